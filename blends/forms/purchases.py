"""A purchase order's details, its lines, and why it is closed."""

from django import forms

from blends.forms.bench import DayField
from blends.forms.figures import FigureField, figure_field
from blends.models import PurchaseOrder


class DetailsForm(forms.ModelForm):
    wanted_by = DayField(label="Wanted by", required=False)

    class Meta:
        model = PurchaseOrder
        fields = ["wanted_by", "freight_usd", "note", "terms"]
        formfield_callback = figure_field
        labels = {
            "freight_usd": "Freight as expected (USD)",
            "note": "Note to the supplier",
            "terms": "Terms",
        }
        help_texts = {
            "freight_usd": "Follows the supplier's terms until you type another. Empty is not known."
        }
        widgets = {"note": forms.Textarea({"rows": 3}), "terms": forms.Textarea({"rows": 3})}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)

    def _post_clean(self):
        """The service checks the row; the page shows it as it is stored."""


class LineForm(forms.Form):
    """Packs and price of one line; `place` names it in the summary of errors."""

    packs = FigureField(label="Packs", min_value=0, max_value=1_000_000, decimal_places=0)
    price_usd = FigureField(
        label="Price a pack (USD)", min_value=0, max_digits=10, decimal_places=2, required=False
    )

    def __init__(self, data=None, *, line):
        self.line, self.place = line, line.description
        initial = {"packs": line.packs, "price_usd": line.price_usd}
        super().__init__(data, initial=initial, prefix=f"line-{line.pk}", label_suffix="")
        for name in self.fields:
            self.fields[name].widget.attrs["aria-label"] = f"{self.fields[name].label} of {line.description}"

    @property
    def is_changed(self):
        return self.cleaned_data["packs"] != self.line.packs or self.typed_price != self.line.price_usd

    @property
    def typed_price(self):
        return self.cleaned_data["price_usd"]


class NewLineForm(forms.Form):
    offer_id = forms.TypedChoiceField(
        label="Offer", coerce=int, error_messages={"required": "Choose what is added."}
    )
    packs = FigureField(label="Packs", min_value=1, max_value=1_000_000, decimal_places=0)

    def __init__(self, data=None, *, offers):
        super().__init__(data, prefix="new", label_suffix="")
        self.fields["offer_id"].choices = [
            ("", "Choose an offer"),
            *((each.pk, str(each)) for each in offers),
        ]


class SendForm(forms.Form):
    sent_on = DayField(label="Sent on")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)


class CloseForm(forms.Form):
    because = forms.CharField(
        label="Why", max_length=300, required=False, help_text="Sold out, bought elsewhere, not needed."
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)
