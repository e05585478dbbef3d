"""A delivery and its lots, as they are entered in the barn. Prices are asked of whoever may see them alone."""

from django import forms
from django.utils import timezone

from blends.forms.bench import DayField
from blends.forms.figures import FigureField
from blends.forms.stock import LotForm
from blends.services.stock import LEAST_LB, MOST_LB

_USD = {"min_value": 0, "max_digits": 12, "decimal_places": 2, "required": False}
NOT_NAMED = "Choose the seed."


class DeliveryForm(forms.Form):
    """What a delivery says as a whole; `supplier_id` where no purchase order names it."""

    received_on = DayField(label="Came on")
    supplier_id = forms.TypedChoiceField(label="From", coerce=int, required=False, empty_value=None)
    invoice = forms.CharField(label="Invoice number", max_length=60, required=False)
    freight_usd = FigureField(
        label="Freight (USD)", help_text="Of the whole delivery. Empty is not known; free is 0.", **_USD
    )
    note = forms.CharField(label="Note", max_length=2000, required=False)

    def __init__(self, data=None, *, with_money, suppliers=None, initial=None):
        super().__init__(
            data, initial={"received_on": timezone.localdate()} | (initial or {}), label_suffix=""
        )
        if not with_money:
            del self.fields["freight_usd"]
        if suppliers is None:
            del self.fields["supplier_id"]
        else:
            self.fields["supplier_id"].choices = [
                ("", "No supplier: own seed, a neighbour, what was left"),
                *((each.pk, each.name) for each in suppliers),
            ]


class ReceivedLotForm(LotForm):
    """One lot: how much of it, where it lies, and what its tag says."""

    packs = FigureField(label="Packs", min_value=0, max_value=1_000_000, decimal_places=0, required=False)
    lb = FigureField(
        label="Bulk pounds", min_value=LEAST_LB, max_value=MOST_LB, decimal_places=3, required=False
    )
    where = forms.CharField(
        label="Put at",
        max_length=80,
        required=False,
        widget=forms.TextInput({"list": "places", "autocomplete": "off"}),
    )
    goods_usd = FigureField(label="Goods (USD)", **_USD)
    seed = forms.ChoiceField(label="Seed", required=False)

    AMOUNT = ("seed", "packs", "lb", "where", "goods_usd")
    TAG = (
        "lot_number", "variety", "origin", "purity_pct", "other_crop_pct", "weed_seed_pct", "inert_pct",
        "germination_pct", "hard_pct", "dormant_pct", "test_month", "noxious", "treatment",
    )  # fmt: skip

    def __init__(self, data=None, *, position, with_money, line=None, seeds=None, initial=None):
        self.line, self.position = line, position
        self.place = line.description if line else f"Lot {position + 1}"
        super().__init__(data, prefix=f"lot-{position}", initial=initial)
        if not with_money:
            del self.fields["goods_usd"]
        else:
            self.fields["goods_usd"].help_text = (
                "Empty: packs × the order's price." if line else "Empty is not known."
            )
        if line is not None:
            del self.fields["seed"]
            self.fields["lb"].help_text = f"Empty: packs of {line.pack_lb.normalize():f} lb."
        else:
            self.fields["seed"].choices = seeds
        self.fields["note"].widget = forms.TextInput()
        self.order_fields([*self.AMOUNT, *self.TAG, "note"])

    @property
    def is_blank(self):
        """Nothing was entered of how much came."""
        return not (
            self.cleaned_data.get("packs") or self.cleaned_data.get("lb") or self.cleaned_data.get("seed")
        )

    @property
    def amount_fields(self):
        return [self[name] for name in self.AMOUNT if name in self.fields]

    @property
    def tag_fields(self):
        return [self[name] for name in self.TAG]

    def row(self, seed=None):
        """What services.receiving takes."""
        given = self.cleaned_data
        row = {name: given[name] for name in (*self.TAG, "note") if given.get(name) not in (None, "")}
        packs = given.get("packs")
        row |= {"packs": int(packs) if packs else None, "lb": given.get("lb"), "place": given["where"]}
        if given.get("goods_usd") is not None:
            row["goods_usd"] = given["goods_usd"]
        return row | ({"line": self.line} if self.line else seed or {})


class CorrectedLotForm(forms.Form):
    """How much of a lot came, and what it cost; its tag is corrected on its own page."""

    packs = FigureField(label="Packs", min_value=0, max_value=1_000_000, decimal_places=0, required=False)
    lb = FigureField(label="Bulk pounds", min_value=LEAST_LB, max_value=MOST_LB, decimal_places=3)
    goods_usd = FigureField(label="Goods (USD)", **_USD)

    def __init__(self, data=None, *, lot, with_money):
        self.lot, self.place = lot, str(lot)
        initial = {"packs": lot.packs, "lb": lot.came_lb, "goods_usd": lot.goods_usd}
        super().__init__(data, initial=initial, prefix=f"lot-{lot.pk}", label_suffix="")
        if not with_money:
            del self.fields["goods_usd"]
        for field in self.fields.values():
            field.widget.attrs["aria-label"] = f"{field.label} of {lot}"

    @property
    def changes(self):
        """What differs from what is stored, as services.receiving takes it; empty where nothing does."""
        given = self.cleaned_data
        packs = int(given["packs"]) if given["packs"] else None
        changed = {}
        if packs != self.lot.packs:
            changed["packs"] = packs
        if given["lb"] != self.lot.came_lb:
            changed["lb"] = given["lb"]
        if "goods_usd" in given and given["goods_usd"] != self.lot.goods_usd:
            changed["goods_usd"] = given["goods_usd"]
        return {"lot": self.lot} | changed if changed else {}


class UndoForm(forms.Form):
    reason = forms.CharField(
        label="Why",
        max_length=300,
        error_messages={
            "required": "Taking back a delivery needs a reason in words: entered twice, not ours."
        },
    )

    def __init__(self, data=None):
        super().__init__(data, label_suffix="")
