"""What a person says of seed in stock: a loss, a count, a move, a tag, a later test, inoculant."""

import re
from datetime import date

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from blends.forms.bench import DayField
from blends.forms.figures import FigureField, figure_field
from blends.models import InoculantLot, Lot, LotTest
from blends.services.lots import LOT_FIELDS
from blends.services.stock import LEAST_LB, MOST_LB

_POUNDS = {"decimal_places": 3, "max_value": MOST_LB}
_PLACE = {"list": "places", "autocomplete": "off"}
_MONTH = re.compile(r"(?P<year>\d{4})-(?P<month>\d{1,2})(-\d{1,2})?|(?P<m>\d{1,2})/(?P<y>\d{4})")


class MonthField(forms.CharField):
    """A month as 2026-03 or 3/2026; its first day."""

    def __init__(self, **kwargs):
        super().__init__(
            widget=forms.TextInput({"class": "short", "inputmode": "numeric", "autocomplete": "off"}),
            **kwargs,
        )

    def prepare_value(self, value):
        return f"{value:%Y-%m}" if isinstance(value, date) else value

    def clean(self, value):
        text = super().clean(value).strip()
        if not text:
            return None
        found = _MONTH.fullmatch(text)
        try:
            year, month = (int(found["year"] or found["y"]), int(found["month"] or found["m"]))
            return date(year, month, 1)
        except (TypeError, ValueError) as error:
            raise ValidationError(f"{text} is not accepted; a month such as 2026-03 or 3/2026 is.") from error


class _EntryForm(forms.Form):
    """A line of the ledger. `act` tells the forms of one page apart."""

    act = ""

    def __init__(self, data=None, initial=None):
        super().__init__(
            data,
            initial={"on": timezone.localdate()} | (initial or {}),
            label_suffix="",
            prefix=self.act,
        )


class CountedForm(_EntryForm):
    act = "counted"
    lb = FigureField(label="Pounds there", min_value=0, **_POUNDS)
    place = forms.CharField(
        label="At",
        max_length=80,
        required=False,
        widget=forms.TextInput(_PLACE),
        help_text="Left empty: where all of it lies.",
    )
    on = DayField(label="Counted on")
    reason = forms.CharField(label="Note", max_length=300, required=False)


class LostForm(_EntryForm):
    act = "lost"
    lb = FigureField(label="Pounds lost", min_value=LEAST_LB, **_POUNDS)
    place = forms.CharField(
        label="From",
        max_length=80,
        required=False,
        widget=forms.TextInput(_PLACE),
        help_text="Left empty: from where most lies.",
    )
    on = DayField(label="On")
    reason = forms.CharField(
        label="What happened",
        max_length=300,
        help_text="Spilled, spoiled, eaten by mice, given away.",
        error_messages={"required": "A loss needs a reason in words: spilled, spoiled, given away."},
    )


class MovedForm(_EntryForm):
    act = "moved"
    lb = FigureField(label="Pounds moved", min_value=LEAST_LB, **_POUNDS)
    from_place = forms.CharField(
        label="From",
        max_length=80,
        required=False,
        widget=forms.TextInput(_PLACE),
        help_text="Left empty: the seed whose place was not said.",
    )
    to_place = forms.CharField(
        label="To",
        max_length=80,
        widget=forms.TextInput(_PLACE),
        error_messages={"required": "Say where it lies now."},
    )
    on = DayField(label="On")


class LotForm(forms.ModelForm):
    """The tag as it is printed, in the order of the tag."""

    test_month = MonthField(label="Month of the test", required=False, help_text="Such as 2026-03.")

    class Meta:
        model = Lot
        fields = list(LOT_FIELDS)
        formfield_callback = figure_field
        labels = {
            "variety": "Variety",
            "lot_number": "Lot number",
            "origin": "Origin",
            "purity_pct": "Pure seed (%)",
            "other_crop_pct": "Other crop seed (%)",
            "weed_seed_pct": "Weed seed (%)",
            "inert_pct": "Inert matter (%)",
            "germination_pct": "Germination (%)",
            "hard_pct": "Hard seed (%)",
            "dormant_pct": "Dormant seed (%)",
            "noxious": "Noxious weed seeds",
            "treatment": "Treatment",
            "note": "Note",
        }
        help_texts = {
            "noxious": "As the tag lists them, with the number a pound.",
            "treatment": "As the tag names it. Empty is not treated.",
        }
        widgets = {"note": forms.Textarea({"rows": 3})}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)

    def _post_clean(self):
        """The service checks the row; the row that the page shows stays as it is stored."""


class LotTestForm(forms.ModelForm):
    tested_on = DayField(label="Tested on")

    class Meta:
        model = LotTest
        fields = [
            "kind",
            "tested_on",
            "germination_pct",
            "hard_pct",
            "dormant_pct",
            "seeds_tested",
            "tested_by",
        ]
        formfield_callback = figure_field
        labels = {
            "kind": "Kind of test",
            "germination_pct": "Germination, or alive by tetrazolium (%)",
            "hard_pct": "Hard seed (%)",
            "dormant_pct": "Dormant seed (%)",
            "seeds_tested": "Seeds tested",
            "tested_by": "Laboratory, or who counted",
        }
        help_texts = {
            "hard_pct": "Left empty, the tag's figure stays beside the new germination.",
            "dormant_pct": "Left empty, the tag's figure stays.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)
        self.fields["germination_pct"].required = True

    def _post_clean(self):
        """The service checks the row."""


class PhotoForm(forms.Form):
    file = forms.FileField(
        label="Photo of the tag",
        allow_empty_file=True,
        help_text="JPEG, PNG or WebP, at most 12 MB.",
        widget=forms.FileInput({"accept": "image/jpeg,image/png,image/webp", "capture": "environment"}),
        error_messages={"required": "Choose a photo, or take one."},
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)


class InoculantForm(forms.ModelForm):
    received_on = DayField(label="Came on")
    expires_on = DayField(label="Expires on", required=False, help_text="As printed on the packet.")

    class Meta:
        model = InoculantLot
        fields = [
            "inoculant_group",
            "lot_number",
            "treats_lb",
            "received_on",
            "expires_on",
            "kept_at",
            "cost_usd",
            "note",
        ]
        formfield_callback = figure_field
        labels = {
            "inoculant_group": "For",
            "lot_number": "Lot number",
            "treats_lb": "Treats (lb of seed)",
            "kept_at": "Kept at",
            "cost_usd": "Cost (USD)",
            "note": "Note",
        }
        widgets = {"note": forms.Textarea({"rows": 3}), "kept_at": forms.TextInput(_PLACE)}

    def __init__(self, *args, groups, may_see_costs, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)
        choices = [
            ("", "Choose the group"),
            *((name, f"{name}: {', '.join(who)}") for name, who in groups.items()),
        ]
        stored = self.initial.get("inoculant_group")
        if stored and stored not in groups:
            choices.append((stored, stored))
        self.fields["inoculant_group"] = forms.ChoiceField(
            label="For",
            choices=choices,
            error_messages={
                "required": "Choose the group of legumes that it is for.",
                "invalid_choice": "%(value)s is no group that a species of this property has.",
            },
        )
        self.order_fields(self._meta.fields)
        if not may_see_costs:
            del self.fields["cost_usd"]

    def _post_clean(self):
        """The service checks the row."""
