"""A blend and its rows, typed on one page."""

from django import forms

from blends.forms.figures import figure_field
from blends.forms.rows import LooseRows, loose_rows
from blends.models import Blend, Component, Species

SPARE_ROWS = 3  # empty rows to type into where no script adds them
MOST_ROWS = 60


class BlendForm(forms.ModelForm):
    class Meta:
        model = Blend
        fields = ["name", "mark", "kind", "drilled_bulk_lb_per_acre", "broadcast_bulk_lb_per_acre", "notes"]
        formfield_callback = figure_field
        labels = {
            "drilled_bulk_lb_per_acre": "Drilled (bulk lb/ac)",
            "broadcast_bulk_lb_per_acre": "Broadcast (bulk lb/ac)",
        }
        help_texts = {"mark": "Up to three letters; from the name if left empty."}
        widgets = {
            "kind": forms.RadioSelect,
            "notes": forms.Textarea({"rows": 3}),
            "mark": forms.TextInput({"class": "short"}),
        }

        error_messages = {"name": {"required": "The blend needs a name."}}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["mark"].required = False
        self.fields["kind"].choices = Blend.Kind.choices


class ComponentForm(forms.ModelForm):
    """One row. A row without a species and without figures is passed over."""

    species_id = forms.TypedChoiceField(label="Species", coerce=int, required=False, empty_value=None)

    class Meta:
        model = Component
        fields = [
            "drilled_pls_lb_per_acre",
            "broadcast_pls_lb_per_acre",
            "tag_pct_by_weight",
            "tag_germination_pct",
        ]
        formfield_callback = figure_field
        labels = {
            "drilled_pls_lb_per_acre": "Drilled (PLS lb/ac)",
            "broadcast_pls_lb_per_acre": "Broadcast (PLS lb/ac)",
            "tag_pct_by_weight": "Share of the bag (% by weight)",
            "tag_germination_pct": "Germination (%)",
        }

    def __init__(self, *args, species_choices, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["species_id"].choices = species_choices

    def clean(self):
        values = super().clean()
        is_filled = any(value is not None for name, value in values.items() if name != "species_id")
        if is_filled and values.get("species_id") is None and "species_id" not in self.errors:
            self.add_error("species_id", "Choose the species of this row, or clear its figures.")
        return values


class ComponentRows(LooseRows):
    """The rows of a blend, numbered for the summary of errors."""

    def add_fields(self, form, index):
        super().add_fields(form, index)
        form.place = "" if index is None else f"Row {index + 1},"

    @property
    def values(self):
        """A dict for each row with a species; a figure that cannot be read is left out."""
        return [form.cleaned_data for form in self.with_species]

    @property
    def with_species(self):
        return [form for form in self.filled if form.cleaned_data.get("species_id") is not None]


def component_rows(species, data=None, initial=(), spare=SPARE_ROWS):
    """The formset of a blend's rows; `species` are the rows that may be chosen."""
    return loose_rows(
        ComponentForm,
        "row",
        MOST_ROWS,
        data,
        initial,
        spare,
        formset=ComponentRows,
        species_choices=species_choices(species),
    )


def species_choices(species):
    """Choices of a select, under the headings of the functional groups."""
    groups = {value: [] for value in Species.Group.values}
    for each in species:
        groups[each.group].append((each.pk, each.common_name))
    named = [(Species.Group(value).label, options) for value, options in groups.items() if options]
    return [("", "No species"), *named]


class CopyBlendForm(forms.Form):
    name = forms.CharField(
        label="Name of the copy",
        max_length=80,
        error_messages={"required": "The copy needs a name of its own."},
    )
