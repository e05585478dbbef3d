"""Finding a species, adding one, and a property's own value for one of its columns."""

from django import forms

from blends.facts import FACT_FIELDS, NO_HAZARD
from blends.forms.figures import figure_field
from blends.models import Basis, Hazard, Species


class SpeciesFilter(forms.Form):
    q = forms.CharField(label="Name", required=False, widget=forms.TextInput({"type": "search"}))
    group = forms.ChoiceField(
        label="Functional group", required=False, choices=[("", "All groups"), *Species.Group.choices]
    )

    def found(self, facts):
        """The rows of `facts` that the person is looking for."""
        words = self.cleaned_data.get("q", "").casefold().split()
        group = self.cleaned_data.get("group", "")
        return [each for each in facts if self._is_found(each.species, words, group)]

    @staticmethod
    def _is_found(species, words, group):
        name = f"{species.common_name} {species.scientific_name}".casefold()
        return group in ("", species.group) and all(word in name for word in words)


class HazardsFormField(forms.MultipleChoiceField):
    """Hazards as boxes to tick; the column's keys with spaces between."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, *, none="", **kwargs):
        super().__init__(required=False, choices=Hazard.choices, **kwargs)
        self.none = none

    def clean(self, value):
        return " ".join(super().clean(value)) or self.none


class OwnSpeciesForm(forms.ModelForm):
    """A species that the reference table lacks. What is left empty stays unknown."""

    hazards = HazardsFormField(label=FACT_FIELDS["hazards"].label)

    class Meta:
        model = Species
        fields = ["common_name", *FACT_FIELDS]
        formfield_callback = figure_field
        labels = {
            name: fact.label + f" ({fact.unit})" * bool(fact.unit) for name, fact in FACT_FIELDS.items()
        }
        widgets = {"cautions": forms.Textarea({"rows": 7})}
        error_messages = {
            "common_name": {"required": "The species needs a name."},
            "group": {"required": "Choose the group that it belongs to."},
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, forms.TypedChoiceField):
                empty = "Choose one" if field.required else "Not known"
                field.choices = [(value, label if value else empty) for value, label in field.choices]

    MAIN = ["common_name", "scientific_name", "group", "life_cycle"]
    SEED = [
        "seeds_per_lb",
        "drill_lb_ac_low",
        "drill_lb_ac_high",
        "broadcast_lb_ac_low",
        "broadcast_lb_ac_high",
    ]
    SOWING = [
        "depth_in_low",
        "depth_in_high",
        "min_soil_temp_f",
        "inoculant_group",
    ]
    CAUTIONS = ["cautions", "hazards"]
    STAGES = [
        "days_to_browse_low",
        "days_to_browse_high",
        "days_to_bloom_low",
        "days_to_bloom_high",
        "days_to_seed_low",
        "days_to_seed_high",
        "browse_preference",
        "browsed_when",
        "seed_use",
        "winter_fate",
    ]

    @property
    def parts(self):
        """The fields under their headings, as the page shows them."""
        parts = [
            ("What it is", self.MAIN),
            ("Seed and rates", self.SEED),
            ("Sowing", self.SOWING),
            ("Growth and browse", self.STAGES),
            ("Cautions", self.CAUTIONS),
        ]
        placed = {name for _, names in parts for name in names}
        rest = [name for name in self.fields if name not in placed]
        return [(title, [self[name] for name in names]) for title, names in [*parts, ("The rest", rest)]]


class OverrideForm(forms.Form):
    """A value of the property's own for one column; `value` takes the shape of the column."""

    reason = forms.CharField(
        label="Why",
        required=False,
        max_length=300,
        help_text="What it was read from, or how it was measured.",
    )
    basis = forms.ChoiceField(
        label="It is",
        widget=forms.RadioSelect,
        initial=Basis.YOURS,
        choices=[(Basis.YOURS, "your own figure"), (Basis.MEASURED, "measured here")],
    )

    def __init__(self, *args, fact, **kwargs):
        super().__init__(*args, **kwargs)
        column, label = fact.column, f"Your value ({fact.unit})" if fact.unit else "Your value"
        if fact.name == "hazards":
            said = "Tick none to say that it has none."
            field = HazardsFormField(label=label, none=NO_HAZARD, help_text=said)
        elif column.get_internal_type() == "BooleanField":
            field = forms.ChoiceField(label=label, choices=[("True", "yes"), ("False", "no")])
        else:
            field = figure_field(column, label=label, required=True, help_text="")
        self.fields = {"value": field, **self.fields}
