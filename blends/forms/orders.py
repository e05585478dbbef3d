"""The order's terms, what was chosen for a line, and offers."""

from django import forms

from blends.forms.figures import figure_field
from blends.models import Offer, OrderChoice, SeedOrder


class TermsForm(forms.ModelForm):
    class Meta:
        model = SeedOrder
        fields = ["overage_pct", "assumed_purity_pct", "assumed_germination_pct"]
        formfield_callback = figure_field
        help_texts = {
            "overage_pct": "Seed beyond what the plots take, for overlaps and what stays in the drill.",
            "assumed_purity_pct": "For seed without a tag. Common practice, no source.",
            "assumed_germination_pct": "For seed without a tag. Common practice, no source.",
        }


class ChoiceForm(forms.ModelForm):
    """The offer and the pounds on hand for one item of an order."""

    offer_id = forms.TypedChoiceField(label="Offer", coerce=int, required=False, empty_value=None)

    class Meta:
        model = OrderChoice
        fields = ["on_hand_lb"]
        formfield_callback = figure_field
        labels = {"on_hand_lb": "On hand (bulk lb)"}
        help_texts = {"on_hand_lb": "Seed in the shed, used before any is bought. Empty is none."}

    def __init__(self, *args, offers, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["offer_id"].choices = [
            ("", "No offer yet"),
            *((offer.pk, str(offer)) for offer in offers),
        ]
        self.fields["on_hand_lb"].required = False


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

    class Meta:
        model = Offer
        fields = [
            "variety",
            "pack_lb",
            "price_usd",
            "purity_pct",
            "germination_pct",
            "hard_pct",
            "dormant_pct",
            "quoted_on",
        ]
        formfield_callback = figure_field
        labels = {
            "pack_lb": "Pack (bulk lb)",
            "price_usd": "Price of a pack (USD)",
            "purity_pct": "Pure seed (%)",
            "germination_pct": "Germination (%)",
            "hard_pct": "Hard seed (%)",
            "dormant_pct": "Dormant seed (%)",
        }
        widgets = {"quoted_on": forms.DateInput({"type": "date"}, format="%Y-%m-%d")}

    field_order = ["item", "supplier_name"]  # errors are listed in the order of the page

    PACK = ["variety", "pack_lb", "price_usd", "quoted_on"]
    TAG = ["purity_pct", "germination_pct", "hard_pct", "dormant_pct"]

    def __init__(self, *args, items=None, **kwargs):
        super().__init__(*args, **kwargs)
        if items is None:  # it is known what is offered
            del self.fields["item"]
        else:
            self.fields["item"].choices = items

    @property
    def pack_fields(self):
        return [self[name] for name in self.PACK]

    @property
    def tag_fields(self):
        return [self[name] for name in self.TAG]
