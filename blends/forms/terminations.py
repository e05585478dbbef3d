"""What somebody types of the end of a stand. Nothing about a product is filled in: it is read from the label."""

from django import forms
from django.utils import timezone

from blends.forms.bench import DayField
from blends.forms.fieldwork import IdField, column_figure
from blends.forms.rows import loose_rows
from blends.models import SprayedProduct, Termination
from blends.services.termination_said import LONGEST_INTERVAL_DAYS, LONGEST_REENTRY_H, MOST_PRODUCTS, SAID

_LOCAL = "%Y-%m-%dT%H:%M"


class MomentField(forms.DateTimeField):
    widget = forms.DateTimeInput({"type": "datetime-local"}, format=_LOCAL)
    input_formats = [_LOCAL, "%Y-%m-%d %H:%M"]
    default_error_messages = {
        "invalid": "This cannot be read; a day and time such as 2026-09-12 14:05 are accepted."
    }


class TerminationForm(forms.Form):
    id = IdField()
    method = forms.ChoiceField(
        label="Ended by",
        choices=Termination.Method.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Say how the stand was ended."},
    )
    done_on = DayField(label="Day")
    stage = forms.ChoiceField(label="Stage of the crop", required=False)
    acres = column_figure("Acres", "acres", Termination, max_digits=9)
    operator = forms.CharField(label="Who did it", max_length=80, required=False)
    weather = forms.CharField(label="Weather", max_length=200, required=False)
    dry_g = column_figure("Dry weight of all frames (g)", "dry_g", Termination)
    frames = column_figure("Frames clipped", "frames", Termination)
    frame_ft2 = column_figure("Ground inside one (ft²)", "frame_ft2", Termination)
    sprayed_until = MomentField(label="Spraying ended", required=False)
    applicator_licence = forms.CharField(
        label="Applicator’s licence, if the label asks", max_length=60, required=False
    )
    follow_up = forms.CharField(label="What is to follow", max_length=300, required=False)
    follow_up_on = DayField(label="By", required=False)
    note = forms.CharField(label="Note", max_length=5000, required=False, widget=forms.Textarea({"rows": 3}))

    def __init__(self, data=None, *, stages, initial=None):
        super().__init__(data, initial=initial, label_suffix="")
        self.fields["stage"].choices = [("", "Not said"), *stages]
        zone = timezone.get_current_timezone_name()
        self.fields["sprayed_until"].help_text = f"By the clock of {zone}, as all times here."

    @property
    def is_herbicide(self):
        return self.cleaned_data.get("method") == Termination.Method.HERBICIDE

    @property
    def said(self):
        """What the service takes; what belongs to spraying alone is left out of other methods."""
        values = {name: self.cleaned_data[name] for name in SAID}
        if not self.is_herbicide:
            values |= {"sprayed_until": None, "applicator_licence": ""}
        return values


class ProductForm(forms.Form):
    """A product of the tank; a row of which nothing is filled is none."""

    name = forms.CharField(label="Product, as the label names it", max_length=120, required=False)
    registration_number = forms.CharField(
        label="Registration number on the label", max_length=40, required=False, help_text="Such as 123-45."
    )
    rate = column_figure("Rate an acre", "rate", SprayedProduct)
    rate_unit = forms.CharField(
        label="Unit of the rate", max_length=20, required=False, help_text="fl oz, pt, oz, lb."
    )
    reentry_h = column_figure(
        "Re-entry interval (hours)",
        "reentry_h",
        SprayedProduct,
        max_value=LONGEST_REENTRY_H,
        help_text="If the label says until the spray has dried: the hours that it took.",
    )
    grazing_days = column_figure(
        "Grazing interval (days)", "grazing_days", SprayedProduct, max_value=LONGEST_INTERVAL_DAYS
    )
    grazing_none = forms.BooleanField(label="The label gives none", required=False)
    planting_days = column_figure(
        "Planting-back interval (days)", "planting_days", SprayedProduct, max_value=LONGEST_INTERVAL_DAYS
    )
    planting_none = forms.BooleanField(label="The label gives none", required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)
        for name in ("name", "registration_number", "rate_unit"):
            self.fields[name].widget.attrs["autocomplete"] = "off"

    def clean(self):
        values = super().clean()
        if not self.is_filled:
            return values
        for name in ("name", "registration_number", "rate", "rate_unit", "reentry_h"):
            if values.get(name) in (None, "") and name not in self.errors:
                self.add_error(name, "The label has it, and it is needed.")
        for kind, words in (("grazing", "grazing"), ("planting", "planting-back")):
            days, is_none = values.get(f"{kind}_days"), values.get(f"{kind}_none")
            if f"{kind}_days" in self.errors:
                continue
            if days is None and not is_none:
                self.add_error(
                    f"{kind}_days", f"Give the label’s {words} interval, or tick that the label gives none."
                )
            if days is not None and is_none:
                self.add_error(
                    f"{kind}_days",
                    f"{days} days are given and that the label gives none; one of the two is accepted.",
                )
        return values

    @property
    def is_filled(self):
        return any(value not in (None, "", False) for value in self.cleaned_data.values())

    @property
    def product(self):
        names = (
            "name",
            "registration_number",
            "rate",
            "rate_unit",
            "reentry_h",
            "grazing_days",
            "planting_days",
        )
        values = {name: self.cleaned_data[name] for name in names}
        for name in ("grazing_days", "planting_days"):
            values[name] = None if values[name] is None else int(values[name])
        return values


def product_rows(data=None, initial=()):
    spare = 1 if initial else 2
    return loose_rows(ProductForm, "product", MOST_PRODUCTS, data, list(initial), spare)


def typed_before(termination):
    """(initial of the form, initial of the products) of a termination to correct."""
    products = []
    for row in termination.products.all():
        values = {name: getattr(row, name) for name in ProductForm.base_fields if not name.endswith("_none")}
        values |= {
            "grazing_none": row.grazing_days is None,
            "planting_none": row.planting_days is None,
        }
        products.append(values)
    return {name: getattr(termination, name) for name in SAID}, products
