"""The shapes of the API's bodies for purchase orders and deliveries. Money is text with two decimals."""

from rest_framework import serializers

from blends.models import Lot, PurchaseOrder
from blends.queries.stock import findings_of
from blends.services.lots import TAG_FIELDS
from plots.api.serializers import IdField

_USD = {"max_digits": 14, "decimal_places": 2}
_LB = {"max_digits": 14, "decimal_places": 3}
_PCT = {
    "max_digits": 5,
    "decimal_places": 2,
    "required": False,
    "allow_null": True,
    "min_value": 0,
    "max_value": 100,
}
COSTS_OF_LOT = ("goods_usd", "freight_usd", "cost_usd")


class PurchaseLineSerializer(serializers.Serializer):
    """A line, and how much of it has come."""

    id = serializers.IntegerField(source="line.pk")
    offer_id = serializers.IntegerField(source="line.offer_id")
    species_id = serializers.IntegerField(source="line.species_id", allow_null=True)
    blend_id = serializers.IntegerField(source="line.blend_id", allow_null=True)
    description = serializers.CharField(source="line.description")
    packs = serializers.IntegerField(source="line.packs")
    pack_lb = serializers.DecimalField(9, 3, source="line.pack_lb")
    lb = serializers.DecimalField(**_LB, source="line.lb")
    price_usd = serializers.DecimalField(**_USD, source="line.price_usd")
    goods_usd = serializers.DecimalField(**_USD, source="line.goods_usd")
    purity_pct = serializers.DecimalField(5, 2, source="line.purity_pct", allow_null=True)
    germination_pct = serializers.DecimalField(5, 2, source="line.germination_pct", allow_null=True)
    hard_pct = serializers.DecimalField(5, 2, source="line.hard_pct", allow_null=True)
    dormant_pct = serializers.DecimalField(5, 2, source="line.dormant_pct", allow_null=True)
    treatment = serializers.CharField(source="line.offer.treatment")
    received_packs = serializers.DecimalField(14, 3)
    received_lb = serializers.DecimalField(**_LB)


class PurchaseSerializer(serializers.Serializer):
    """A purchase order; `total_usd` is null while the freight is not known."""

    number = serializers.IntegerField(source="purchase.number")
    season = serializers.CharField(source="purchase.order.season.slug")
    supplier_id = serializers.IntegerField(source="purchase.supplier_id")
    supplier = serializers.CharField(source="purchase.supplier.name")
    state = serializers.CharField(
        source="purchase.state", help_text=", ".join(PurchaseOrder.State.values) + "."
    )
    sent_on = serializers.DateField(source="purchase.sent_on", allow_null=True)
    wanted_by = serializers.DateField(source="purchase.wanted_by", allow_null=True)
    supplier_address = serializers.CharField(source="purchase.supplier_address")
    our_address = serializers.CharField(source="purchase.our_address")
    terms = serializers.CharField(source="purchase.terms")
    note = serializers.CharField(source="purchase.note")
    closed_because = serializers.CharField(source="purchase.closed_because")
    lines = PurchaseLineSerializer(many=True)
    lb = serializers.DecimalField(**_LB)
    goods_usd = serializers.DecimalField(**_USD)
    freight_usd = serializers.DecimalField(**_USD, allow_null=True)
    total_usd = serializers.DecimalField(**_USD, allow_null=True)


class PurchaseChangeSerializer(serializers.Serializer):
    """What became of it, and what it said before."""

    said = serializers.CharField()
    was = serializers.JSONField()
    by = serializers.CharField(source="by.shown_name", default=None, allow_null=True)
    at = serializers.DateTimeField()


class PurchaseDetailSerializer(PurchaseSerializer):
    changes = PurchaseChangeSerializer(source="purchase.changes.all", many=True)


class PurchaseDraftSerializer(serializers.Serializer):
    """Of which season's order; with a supplier, one empty draft for it instead of drafts of what the order buys."""

    season = serializers.SlugField()
    supplier_id = IdField(required=False)


class PurchaseLineChangeSerializer(serializers.Serializer):
    """Packs of a line, 0 to take it off; without a price the price follows the packs."""

    id = IdField()
    packs = serializers.IntegerField(min_value=0, max_value=1_000_000)
    price_usd = serializers.DecimalField(10, 2, required=False, allow_null=True, min_value=0)


class NewPurchaseLineSerializer(serializers.Serializer):
    offer_id = IdField()
    packs = serializers.IntegerField(min_value=1, max_value=1_000_000)
    price_usd = serializers.DecimalField(10, 2, required=False, allow_null=True, min_value=0)


class PurchaseChangesSerializer(serializers.Serializer):
    """What is changed; what is left out stays. After sending it is recorded."""

    note = serializers.CharField(required=False, allow_blank=True, max_length=2000)
    terms = serializers.CharField(required=False, allow_blank=True, max_length=2000)
    wanted_by = serializers.DateField(required=False, allow_null=True)
    freight_usd = serializers.DecimalField(12, 2, required=False, allow_null=True, min_value=0)
    lines = PurchaseLineChangeSerializer(many=True, required=False)
    add = NewPurchaseLineSerializer(many=True, required=False)


class PurchaseSentSerializer(serializers.Serializer):
    sent_on = serializers.DateField(required=False, help_text="Left out: today.")


class PurchaseClosedSerializer(serializers.Serializer):
    because = serializers.CharField(required=False, allow_blank=True, max_length=300)


class TagFindingSerializer(serializers.Serializer):
    """What stands against a tag: stop, warn or note."""

    level = serializers.CharField()
    sentence = serializers.CharField()
    rule = serializers.CharField()
    source = serializers.CharField()


class ReceivedLotSerializer(serializers.ModelSerializer):
    """A lot of a delivery. What it cost is left out for a role without costs."""

    item = serializers.CharField(read_only=True)
    lb = serializers.DecimalField(**_LB, source="came_lb", allow_null=True, help_text="Null: taken back.")
    cost_usd = serializers.DecimalField(**_USD, allow_null=True, read_only=True)
    findings = serializers.SerializerMethodField()

    class Meta:
        model = Lot
        fields = [
            "id", "species_id", "blend_id", "item", "purchase_line_id", "packs", "lb", "on_hand_lb",
            *TAG_FIELDS, "note", *COSTS_OF_LOT, "findings",
        ]  # fmt: skip

    def get_findings(self, lot) -> TagFindingSerializer(many=True):
        return TagFindingSerializer(findings_of(lot), many=True).data if self.context.get("is_detail") else []

    def to_representation(self, lot):
        said = super().to_representation(lot)
        if not self.context.get("with_costs"):
            said = {name: value for name, value in said.items() if name not in COSTS_OF_LOT}
        if not self.context.get("is_detail"):
            said.pop("findings")
        return said


class ReceiptSerializer(serializers.Serializer):
    """A delivery with its lots. Its freight is left out for a role without costs."""

    id = serializers.IntegerField(source="pk")
    purchase = serializers.IntegerField(source="purchase.number", default=None, allow_null=True)
    supplier = serializers.CharField(source="supplier.name", default=None, allow_null=True)
    received_on = serializers.DateField()
    invoice = serializers.CharField()
    note = serializers.CharField()
    freight_usd = serializers.DecimalField(**_USD, allow_null=True)
    is_taken_back = serializers.SerializerMethodField()
    lots = ReceivedLotSerializer(source="all_lots", many=True)

    def get_is_taken_back(self, receipt) -> bool:
        return not any(lot.came_lb for lot in receipt.all_lots)

    def to_representation(self, receipt):
        said = super().to_representation(receipt)
        if not self.context.get("with_costs"):
            said.pop("freight_usd")
        return said


class ReceivedTagSerializer(serializers.Serializer):
    """What a tag says; what it does not say is null or left out, never 0."""

    variety = serializers.CharField(required=False, allow_blank=True, max_length=80)
    lot_number = serializers.CharField(required=False, allow_blank=True, max_length=60)
    origin = serializers.CharField(required=False, allow_blank=True, max_length=80)
    purity_pct = serializers.DecimalField(**_PCT)
    other_crop_pct = serializers.DecimalField(**_PCT)
    weed_seed_pct = serializers.DecimalField(**_PCT)
    inert_pct = serializers.DecimalField(**_PCT)
    germination_pct = serializers.DecimalField(**_PCT)
    hard_pct = serializers.DecimalField(**_PCT)
    dormant_pct = serializers.DecimalField(**_PCT)
    noxious = serializers.CharField(required=False, allow_blank=True, max_length=300)
    test_month = serializers.DateField(required=False, allow_null=True, help_text="Any day of the month.")
    treatment = serializers.CharField(required=False, allow_blank=True, max_length=200)
    note = serializers.CharField(required=False, allow_blank=True, max_length=2000)
    place = serializers.CharField(required=False, allow_blank=True, max_length=80)
    packs = serializers.IntegerField(required=False, allow_null=True, min_value=0, max_value=1_000_000)
    lb = serializers.DecimalField(10, 3, required=False, allow_null=True)
    goods_usd = serializers.DecimalField(
        12,
        2,
        required=False,
        allow_null=True,
        min_value=0,
        help_text="For who edits. Left out: packs × price.",
    )


class NewLotSerializer(ReceivedTagSerializer):
    """A lot that came: of a line of the purchase order, or a species or bought blend."""

    line_id = IdField(required=False, allow_null=True)
    species_id = IdField(required=False, allow_null=True)
    blend_id = IdField(required=False, allow_null=True)


class DeliverySerializer(serializers.Serializer):
    received_on = serializers.DateField()
    invoice = serializers.CharField(required=False, allow_blank=True, max_length=60)
    note = serializers.CharField(required=False, allow_blank=True, max_length=2000)
    freight_usd = serializers.DecimalField(
        12, 2, required=False, allow_null=True, min_value=0, help_text="For who edits. Null: not known."
    )


class NewDeliverySerializer(DeliverySerializer):
    """A delivery; `dry` stores nothing and answers with what would be, findings and all."""

    purchase = IdField(required=False, allow_null=True, help_text="Its number.")
    supplier_id = IdField(required=False, allow_null=True)
    lots = NewLotSerializer(many=True)
    dry = serializers.BooleanField(required=False, default=False)


class ReceivedLotChangeSerializer(ReceivedTagSerializer):
    id = IdField()


class DeliveryChangesSerializer(DeliverySerializer):
    received_on = serializers.DateField(required=False)
    lots = ReceivedLotChangeSerializer(many=True, required=False)


class ReceiptUndoneSerializer(serializers.Serializer):
    reason = serializers.CharField(max_length=300)
