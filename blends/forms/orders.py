"""The order's terms, and what was chosen for a line."""

from django import forms

from blends.forms.figures import figure_field
from blends.models import OrderChoice, SeedOrder


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
        help_texts = {
            "on_hand_lb": "Used before any is bought. Empty is what the stock has by its lots; a figure of yours goes before it."
        }

    def __init__(self, *args, offers, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["offer_id"].choices = [
            ("", "No offer yet"),
            *((offer.pk, str(offer)) for offer in offers),
        ]
        self.fields["on_hand_lb"].required = False
