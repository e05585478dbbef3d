"""A supplier with its terms, as a person types it."""

from django import forms

from blends.forms.figures import figure_field
from blends.models import Supplier
from blends.services.suppliers import FREIGHT_FIGURES, SUPPLIER_FIELDS


class SupplierForm(forms.ModelForm):
    class Meta:
        model = Supplier
        fields = SUPPLIER_FIELDS
        formfield_callback = figure_field
        labels = {
            "contact": "Telephone or e-mail",
            "terms": "Its terms",
            "min_order_usd": "Smallest order it takes (USD of goods)",
            "freight_kind": "Freight",
            "freight_usd": "Charge (USD)",
            "freight_usd_per_lb": "Charge a pound (USD/lb)",
            "freight_pct": "Charge of the goods' value (%)",
            "freight_free_from_usd": "Free from goods of (USD)",
        }
        help_texts = {
            "address": "As it stands on your purchase orders.",
            "terms": "Payment, returns, whatever you agreed on.",
            "freight_kind": "While it is not known, what an order costs in all is not known either.",
            "freight_usd": "One charge: the charge. By the pound or by value: the least that is charged, if there is a least.",
        }
        widgets = {
            "address": forms.Textarea({"rows": 3}),
            "terms": forms.Textarea({"rows": 3}),
            "freight_kind": forms.RadioSelect,
        }

    WHO = ["name", "contact", "address", "terms", "min_order_usd"]
    FIGURES = ["freight_usd_per_lb", "freight_pct", "freight_usd", "freight_free_from_usd"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)
        kind = self.fields["freight_kind"]
        kind.required = False
        kind.choices = Supplier.Freight.choices

    def clean(self):
        """Figures that the chosen kind of freight does not have are hidden on the page, and not kept."""
        values = super().clean()
        its = FREIGHT_FIGURES.get(values.get("freight_kind") or "", ())
        return {
            name: None if name in self.FIGURES and name not in its else value
            for name, value in values.items()
        }

    def _post_clean(self):
        """The service checks the row."""

    @property
    def who_fields(self):
        return [self[name] for name in self.WHO]

    @property
    def freight_fields(self):
        """(field, the kinds that have it, for the page's styles)."""
        return [
            (
                self[name],
                " ".join(f"for-{kind.value}" for kind, its in FREIGHT_FIGURES.items() if name in its),
            )
            for name in self.FIGURES
        ]
