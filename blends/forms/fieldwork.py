"""What somebody types of a planting: the plot and the day, the seed, the machine, weather and soil."""

import re
import uuid

from django import forms
from django.utils import timezone

from blends.forms.bench import DayField
from blends.forms.figures import FigureField, limits_of
from blends.forms.rows import RowSelect, loose_rows
from blends.models import Box, PlantingRecord

MOST_ROWS = 60
SPARE_ROWS = 2


def column_figure(label, name, model=PlantingRecord, **kwargs):
    """A field for a number with the decimals and limits of its column."""
    column = model._meta.get_field(name)
    settings = {"required": False, "decimal_places": getattr(column, "decimal_places", 0)}
    return FigureField(label=label, **settings | limits_of(column) | kwargs)


def pounds(label):
    return FigureField(label=label, required=False, min_value=0, max_digits=12, decimal_places=3)


class TimeOfDayField(forms.TimeField):
    widget = forms.TimeInput({"type": "time"}, format="%H:%M")
    default_error_messages = {"invalid": "The time cannot be read; one such as 14:05 is accepted."}


class IdField(forms.UUIDField):
    """Made when the page opens, so that a form that is sent twice is one record."""

    widget = forms.HiddenInput

    def __init__(self):
        super().__init__(required=False, initial=uuid.uuid4)


class PlantingForm(forms.Form):
    id = IdField()
    done_on = DayField(label="Planted on")
    acres = column_figure("Acres planted", "acres", required=True, max_digits=9)
    is_by_meter = forms.BooleanField(label="By the drill's acre meter", required=False)
    started_at = TimeOfDayField(label="Started", required=False)
    ended_at = TimeOfDayField(label="Ended", required=False)
    operator = forms.CharField(label="Who drove", max_length=80, required=False)
    left_main = pounds("Left in the hopper (lb)")
    left_small = pounds("Left in the small-seed box (lb)")
    is_counted = forms.BooleanField(label="The bags were weighed", required=False)
    machine_id = forms.TypedChoiceField(label="Machine", required=False, coerce=int, empty_value=None)
    setting_main = forms.CharField(label="Setting", max_length=20, required=False)
    setting_small = forms.CharField(label="Setting of the small-seed box", max_length=20, required=False)
    hours_start = column_figure("Hour meter at the start", "hours_start")
    hours_end = column_figure("Hour meter at the end", "hours_end")
    depth_in = column_figure("Depth set (in)", "depth_in")
    depths_checked_in = forms.CharField(
        label="Depths found (in)",
        max_length=300,
        required=False,
        help_text="Dig in a few places: 0.5, 0.75, 0.5.",
    )
    soil_temp_f = column_figure("Soil temperature (°F)", "soil_temp_f")
    soil_temp_depth_in = column_figure("Measured how deep (in)", "soil_temp_depth_in")
    weather = forms.CharField(label="Weather", max_length=200, required=False)
    note = forms.CharField(label="Note", max_length=5000, required=False, widget=forms.Textarea({"rows": 3}))

    def __init__(self, data=None, *, machines, has_small_box, initial=None):
        super().__init__(data, initial=initial, label_suffix="")
        self.fields["machine_id"].choices = [("", "Not said"), *((each.pk, each.name) for each in machines)]
        self.has_small_box = has_small_box
        for name in ("operator", "setting_main", "setting_small"):
            self.fields[name].widget.attrs["autocomplete"] = "off"
        if has_small_box:
            self.fields["left_main"].label = "Left in the seed box (lb)"

    def clean_depths_checked_in(self):
        words = re.split(r"[,;\s]+", self.cleaned_data["depths_checked_in"].strip())
        try:
            return [float(word.rstrip('"″')) for word in words if word]
        except ValueError:
            raise forms.ValidationError(
                f"{self.cleaned_data['depths_checked_in']} cannot be read; inches such as 0.5, 0.75, 0.5 are accepted."
            ) from None

    @property
    def said(self):
        """What the service takes besides the seed."""
        values = dict(self.cleaned_data)
        values.pop("id")
        left = {box: values.pop(f"left_{box}") for box in Box.values}
        settings = {box: values.pop(f"setting_{box}") for box in Box.values}
        values["settings"] = {box: text for box, text in settings.items() if text.strip()}
        if self.has_small_box:
            values["boxes_left_lb"] = left
        else:
            values["hopper_left_lb"] = left[Box.MAIN]
        return values


class SeedRowForm(forms.Form):
    """Seed of a lot, or of a species whose lot nobody knows. A row without pounds is none."""

    what = forms.ChoiceField(label="Seed", required=False)
    box = forms.ChoiceField(label="Box", required=False, choices=Box.choices)
    loaded_lb = pounds("Put in")
    left_lb = pounds("Left")
    used_lb = pounds("Used")

    def __init__(self, *args, seeds, boxes, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)
        self.fields["what"].choices = seeds.choices
        self.fields["what"].widget = seeds
        self.fields["box"].widget = boxes
        self.fields["what"].error_messages["invalid_choice"] = "This seed is not in the list any more."

    def clean(self):
        values = super().clean()
        has_pounds = any(values.get(name) is not None for name in ("loaded_lb", "left_lb", "used_lb"))
        if has_pounds and not values.get("what") and "what" not in self.errors:
            self.add_error("what", "Say which seed this was.")
        return values

    @property
    def line(self):
        """As services/seed_used.py takes it; None of a row without pounds."""
        values = self.cleaned_data
        amounts = {name: values[name] for name in ("loaded_lb", "left_lb", "used_lb")}
        if not values["what"] or all(value is None for value in amounts.values()):
            return None
        kind, _, pk = values["what"].partition(":")
        return {f"{kind}_id": int(pk), "box": values["box"] or Box.MAIN, **amounts}


def seed_rows(choices, data=None, initial=(), spare=SPARE_ROWS):
    seeds, boxes = RowSelect(choices=choices), RowSelect(choices=Box.choices)
    return loose_rows(SeedRowForm, "seed", MOST_ROWS, data, list(initial), spare, seeds=seeds, boxes=boxes)


def today():
    return timezone.localdate()
