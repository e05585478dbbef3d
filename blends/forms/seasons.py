"""A season's page: which blend each plot gets, and what has been planted."""

from django import forms
from django.utils import timezone

from blends.forms.figures import FigureField
from blends.forms.rows import RowSelect, loose_rows
from blends.models import Planting, Season
from plots.access import LARGEST_ID

FALLOW = "fallow"
MOST_ROWS = 500


class SeasonForm(forms.ModelForm):
    year = forms.IntegerField(
        label="Year",
        min_value=1950,
        max_value=2150,
        help_text="The year in which it is sown.",
        widget=forms.TextInput({"inputmode": "numeric", "class": "short", "autocomplete": "off"}),
        error_messages={
            "invalid": "The year cannot be read; a year from 1950 to 2150 is accepted.",
            "min_value": "A year from 1950 to 2150 is accepted.",
            "max_value": "A year from 1950 to 2150 is accepted.",
        },
    )

    class Meta:
        model = Season
        fields = ["year", "kind"]
        widgets = {"kind": forms.RadioSelect}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["kind"].choices = [
            ("warm", "Warm: sown in spring or early summer"),
            ("cool", "Cool: sown in late summer or fall"),
        ]


def use_choices(blends):
    """What a plot can get: nothing decided, fallow, or a blend."""
    return [("", "Undecided"), (FALLOW, "Fallow"), *((str(blend.pk), str(blend)) for blend in blends)]


def chosen(use):
    """`blend_id` and `fallow` of an assignment for a choice of `use_choices`."""
    return {"blend_id": int(use) if use.isdecimal() else None, "fallow": use == FALLOW}


def as_shown(use, method):
    """What the page showed of a row, in one text."""
    return f"{use}/{method}"


class AssignmentForm(forms.Form):
    """One plot's row. What the page showed comes back with it (`was`), so that only what this person
    changed is stored and nobody else's change of another row is undone."""

    plot_id = forms.IntegerField(min_value=1, max_value=LARGEST_ID)
    was = forms.CharField(required=False)
    use = forms.ChoiceField(label="Blend", required=False)
    method = forms.ChoiceField(label="Method", choices=Planting.Method.choices)
    tick = forms.BooleanField(required=False)

    def __init__(self, *args, uses, methods, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["use"].choices = uses.choices
        self.fields["use"].widget = uses
        self.fields["method"].widget = methods

    @property
    def is_changed(self):
        return as_shown(self.cleaned_data["use"], self.cleaned_data["method"]) != self.cleaned_data["was"]


class BulkForm(forms.Form):
    """What the ticked plots get."""

    bulk_use = forms.ChoiceField(label="Set ticked to", required=False)
    bulk_method = forms.ChoiceField(label="Method", choices=Planting.Method.choices)

    def __init__(self, *args, uses, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["bulk_use"].choices = uses


def assignment_rows(uses, data=None, initial=()):
    """The formset of a page of plots."""
    use, method = RowSelect(choices=uses), RowSelect(choices=Planting.Method.choices)
    return loose_rows(AssignmentForm, "plot", MOST_ROWS, data, initial, uses=use, methods=method)


class CopyForm(forms.Form):
    """Another season of the property to take the assignments of."""

    from_season = forms.TypedChoiceField(label="Copy from", coerce=int)

    def __init__(self, *args, season, others, **kwargs):
        super().__init__(*args, **kwargs)
        field = self.fields["from_season"]
        field.choices = [(other.pk, str(other)) for other in others]
        before = [other.pk for other in others if other.kind == season.kind and other.year < season.year]
        field.initial = before[0] if before else None


class PlantedDayForm(forms.Form):
    """The day on which the ticked plots were planted."""

    on = forms.DateField(
        label="Planted on",
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "required": "Say on which day it was planted.",
            "invalid": "The day cannot be read; a date such as 2026-09-12 is accepted.",
        },
    )

    def clean_on(self):
        on = self.cleaned_data["on"]
        if on > timezone.localdate():
            raise forms.ValidationError(f"{on} is in the future; today or a day before is accepted.")
        return on


class PlantedForm(forms.Form):
    """One plot that was planted, with the acres that it was planted at."""

    planting_id = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=LARGEST_ID)
    tick = forms.BooleanField(required=False)
    acres = FigureField(
        label="Acres planted", required=False, min_value=0.001, max_digits=9, decimal_places=3
    )

    def clean(self):
        values = super().clean()
        if values.get("tick") and values.get("acres") is None and "acres" not in self.errors:
            self.add_error("acres", "Say how many acres were planted; a number above 0 is accepted.")
        return values


def planted_rows(data=None, initial=()):
    """The formset of the plots that can be recorded as planted."""
    return loose_rows(PlantedForm, "planting", MOST_ROWS, data, initial)
