"""What a blend is judged for, what it is scaled to, and what was clipped of it."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from blends.forms.figures import FigureField, figure_field
from blends.models import Clipping, Planting
from blends.queries.judgement.calendar import refused_days
from plots.models import Plot


def _not_among(choices):
    return f"%(value)s is not accepted; {', '.join(choices.values)} are."


class DayInput(forms.DateInput):
    input_type = "date"

    def format_value(self, value):
        return value.isoformat() if hasattr(value, "isoformat") else value


class DayField(forms.DateField):
    """A day; browsers without a picker send what was typed."""

    widget = DayInput

    def clean(self, value):
        try:
            return super().clean(value)
        except ValidationError as error:
            if error.error_list[0].code == "required":
                raise ValidationError("A day such as 2026-09-12 is needed.", code="required") from error
            raise ValidationError(
                f"{value} is not accepted; a day such as 2026-09-12 is.", code="invalid"
            ) from error


class JudgedForm(forms.Form):
    """What the judgement asks. All may be left out; what cannot be read is said and left out too."""

    objective = forms.ChoiceField(
        label="For",
        choices=Plot.Objective.choices,
        required=False,
        error_messages={"invalid_choice": _not_among(Plot.Objective)},
    )
    method = forms.ChoiceField(
        label="Sown",
        choices=[("", "As the rates say"), *Planting.Method.choices],
        required=False,
        error_messages={"invalid_choice": _not_among(Planting.Method)},
    )
    seeding_on = DayField(label="Sown on", required=False)
    end_on = DayField(label="Ends on", required=False)

    def __init__(self, data=None):
        is_asked = data is not None and any(name in data for name in self.base_fields)
        super().__init__(data if is_asked else None)

    def clean(self):
        values = super().clean()
        for name, said in refused_days(values.get("seeding_on"), values.get("end_on")).items():
            self.add_error(name, said)
        return values

    @property
    def asked(self):
        """Keyword arguments of `judge`; None where nothing usable is asked."""
        self.is_valid()
        values = getattr(self, "cleaned_data", {})
        return {
            "objective": values.get("objective") or None,
            "method": values.get("method") or None,
            "seeding_on": values.get("seeding_on"),
            "end_on": values.get("end_on"),
        }


class ScaleForm(forms.Form):
    budget_usd_per_acre = FigureField(
        label="Seed budget (USD/ac)",
        min_value=Decimal("0.01"),
        max_value=Decimal(100_000),
        decimal_places=2,
        required=False,
    )


class ClippingForm(forms.ModelForm):
    """One species of the blend, clipped."""

    species_id = forms.TypedChoiceField(label="Species", coerce=int)

    class Meta:
        model = Clipping
        field_classes = {"clipped_on": DayField}
        fields = ["stage", "clipped_on", "frames", "frame_ft2", "dry_g", "wet_g"]
        formfield_callback = figure_field
        error_messages = {"stage": {"required": "Choose the stage at which it was clipped."}}
        labels = {
            "clipped_on": "Clipped on",
            "frames": "Frames clipped",
            "frame_ft2": "Ground in one frame (ft²)",
            "dry_g": "Dry weight (g)",
            "wet_g": "Fresh weight (g)",
        }
        help_texts = {
            "frames": "Those with nothing in them too.",
            "dry_g": "All frames together, without the bag.",
        }
        widgets = {
            "clipped_on": DayInput,
            "frames": forms.TextInput({"inputmode": "numeric", "class": "short"}),
        }

    field_order = ["species_id"]

    def __init__(self, species, data=None, today=None):
        super().__init__(data, prefix="clip", initial={"clipped_on": today})
        self.fields["stage"].choices = [("", "Choose the stage"), *Clipping.Stage.choices]
        self.fields["species_id"].choices = [(each.pk, each.common_name) for each in species]
