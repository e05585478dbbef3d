"""An offer with its tag and price breaks, as a person types it."""

import re

from django import forms

from blends.forms.figures import figure_field
from blends.forms.stock import MonthField
from blends.models import Offer, PriceBreak
from blends.offer_rules import TAG_FIELDS

SPARE_BREAKS = 3
MOST_BREAKS = 20
_BREAK = re.compile(r"break_packs_([0-9]{1,2})")


class OfferForm(forms.ModelForm):
    """An offer of one item. A supplier's name that is not known yet makes a new supplier."""

    item = forms.ChoiceField(label="Seed", error_messages={"required": "Choose the seed that is offered."})
    supplier_name = forms.CharField(
        label="Supplier",
        max_length=120,
        widget=forms.TextInput({"list": "suppliers", "autocomplete": "off"}),
        help_text="Choose one you have, or type a new name.",
        error_messages={"required": "Say who offers it."},
    )
    test_month = MonthField(label="Month of the test", required=False, help_text="Such as 2026-09 or 9/2026.")

    class Meta:
        model = Offer
        fields = [
            "variety",
            "pack_lb",
            "quoted_per",
            "quoted_usd",
            "least_packs",
            "most_packs",
            "quoted_on",
            "valid_until",
            *TAG_FIELDS,
        ]
        formfield_callback = figure_field
        labels = {
            "pack_lb": "Pack (bulk lb)",
            "quoted_per": "The price is for",
            "quoted_usd": "Price (USD)",
            "least_packs": "Fewest packs it sells",
            "most_packs": "Packs to be had",
            "purity_pct": "Pure seed (%)",
            "germination_pct": "Germination (%)",
            "hard_pct": "Hard seed (%)",
            "dormant_pct": "Dormant seed (%)",
            "other_crop_pct": "Other crop seed (%)",
            "weed_seed_pct": "Weed seed (%)",
            "inert_pct": "Inert matter (%)",
            "noxious": "Noxious weed seeds, as listed",
            "treatment": "Treatment, as named on the tag",
        }
        help_texts = {"valid_until": "The last day; afterwards it is not offered for a new choice."}
        widgets = {
            "quoted_on": forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
            "valid_until": forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        }

    field_order = ["item", "supplier_name"]  # errors are listed in the order of the page

    PACK = ["variety", "pack_lb", "quoted_per", "quoted_usd"]
    TERMS = ["least_packs", "most_packs", "quoted_on", "valid_until"]
    TAG = TAG_FIELDS

    def __init__(self, data=None, *, items=None, breaks=(), **kwargs):
        super().__init__(data, **kwargs)
        self.fields["quoted_usd"].required = True
        for name in ("quoted_per", "least_packs"):
            self.fields[name].required = False
        if items is None:  # it is known what is offered
            del self.fields["item"]
        else:
            self.fields["item"].choices = items
        self._add_breaks(data, breaks)

    def clean(self):
        values = super().clean()
        values["quoted_per"] = values.get("quoted_per") or Offer.QuotedPer.PACK
        values["least_packs"] = values.get("least_packs") or 1
        breaks = []
        for number in self._numbers:
            packs = values.pop(f"break_packs_{number}", None)
            usd = values.pop(f"break_usd_{number}", None)
            if packs is not None and usd is not None:
                breaks.append({"from_packs": int(packs), "quoted_usd": usd})
            elif packs is not None and f"break_usd_{number}" not in self.errors:
                self.add_error(f"break_usd_{number}", f"The price from {packs} packs on is missing.")
            elif usd is not None and f"break_packs_{number}" not in self.errors:
                self.add_error(f"break_packs_{number}", f"From how many packs {usd} USD holds is missing.")
        values["breaks"] = breaks
        return values

    def _post_clean(self):
        """The service checks the row: prices and breaks hang on each other."""

    @property
    def pack_fields(self):
        return [self[name] for name in self.PACK]

    @property
    def terms_fields(self):
        return [self[name] for name in self.TERMS]

    @property
    def tag_fields(self):
        return [self[name] for name in self.TAG]

    @property
    def breaks(self):
        """(packs, price) of each row of breaks, as bound fields."""
        return [(self[f"break_packs_{number}"], self[f"break_usd_{number}"]) for number in self._numbers]

    def _add_breaks(self, data, breaks):
        posted = [int(found[1]) for name in data or () if (found := _BREAK.fullmatch(name))]
        count = max([len(breaks) + SPARE_BREAKS, *(number + 1 for number in posted)])
        self._numbers = range(min(count, MOST_BREAKS))
        packs, usd = PriceBreak._meta.get_field("from_packs"), PriceBreak._meta.get_field("quoted_usd")
        for number in self._numbers:
            for name, column, label in (("packs", packs, "From packs"), ("usd", usd, "Price (USD)")):
                made = figure_field(column, required=False, label=f"{label}, break {number + 1}")
                self.fields[f"break_{name}_{number}"] = made
        for number, each in enumerate(breaks):
            self.initial[f"break_packs_{number}"] = each.from_packs
            self.initial[f"break_usd_{number}"] = each.quoted_usd
