"""Seed lots with their tags, the ledger of their pounds, and inoculant."""

from django.db import models
from django.db.models import F, Q

from blends.models.blends import Blend
from blends.models.columns import (
    NOT_NEGATIVE,
    POSITIVE,
    derived,
    percent_field,
    pounds_field,
    tag_fields,
    usd_field,
)
from blends.models.purchases import PurchaseLine, Receipt
from blends.models.species import Species
from plots.models import Property, User


def tag_photo_path(instance, filename):
    return f"tags/{instance.property_id}/{instance.pk}"


class Lot(models.Model):
    """Seed of one tag. The tag stays as it came; tests made later are `tests`, and the latest goes before it.

    `on_hand_lb` is derived from the ledger in the transaction that writes to it, by services/stock.py alone.
    """

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="lots")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, null=True, blank=True, related_name="lots")
    blend = models.ForeignKey(Blend, on_delete=models.PROTECT, null=True, blank=True, related_name="lots")
    variety = models.CharField(max_length=80, blank=True)
    lot_number = models.CharField("lot number on the tag", max_length=60, blank=True)
    receipt = models.ForeignKey(Receipt, on_delete=models.PROTECT, null=True, blank=True, related_name="lots")
    purchase_line = models.ForeignKey(
        PurchaseLine, on_delete=models.PROTECT, null=True, blank=True, related_name="lots"
    )
    packs = models.PositiveIntegerField(null=True, blank=True)
    purity_pct = percent_field("pure seed (%)")
    germination_pct = percent_field("germination (%)")
    hard_pct = percent_field("hard seed (%)")
    dormant_pct = percent_field("dormant seed (%)")
    other_crop_pct, weed_seed_pct, inert_pct, noxious, test_month, origin, treatment = tag_fields()
    tag_photo = models.FileField(upload_to=tag_photo_path, blank=True)
    tag_photo_type = models.CharField(max_length=20, blank=True, editable=False)
    # What it cost: goods as invoiced, and its share of the delivery's freight. Null while unknown.
    goods_usd = usd_field("goods (USD)")
    freight_usd = usd_field("share of the freight (USD)")
    on_hand_lb = pounds_field("on hand (bulk lb)", default=0, editable=False)
    note = models.TextField(blank=True, max_length=2000)
    earlier = models.JSONField(
        default=list, blank=True, editable=False
    )  # as plots/services/earlier.py keeps it
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["created_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(species__isnull=False, blend__isnull=True)
                | Q(species__isnull=True, blend__isnull=False),
                name="lot_of_one_thing",
            ),
            models.CheckConstraint(condition=Q(on_hand_lb__gte=0), name="lot_never_below_zero"),
        ]

    def __str__(self):
        return f"{self.item}, lot {self.lot_number or self.pk}"

    @derived
    def item(self):
        return self.species or self.blend

    @derived
    def cost_usd(self):
        """Goods and freight; None where the goods are not known. Freight that is not known is left out."""
        return None if self.goods_usd is None else self.goods_usd + (self.freight_usd or 0)


class LotTest(models.Model):
    """Germination tested again. A tetrazolium test reads what is alive, so it goes before germination and dormant."""

    class Kind(models.TextChoices):
        GERMINATION = "germination", "Germination"
        TETRAZOLIUM = "tetrazolium", "Tetrazolium"

    lot = models.ForeignKey(Lot, on_delete=models.CASCADE, related_name="tests")
    kind = models.CharField(max_length=11, choices=Kind.choices, default=Kind.GERMINATION)
    tested_on = models.DateField()
    germination_pct = percent_field("germination, or alive by tetrazolium (%)")
    hard_pct = percent_field("hard seed (%)")
    dormant_pct = percent_field("dormant seed (%)")
    seeds_tested = models.PositiveSmallIntegerField(null=True, blank=True)
    tested_by = models.CharField("laboratory, or who counted", max_length=120, blank=True)
    is_struck = models.BooleanField(default=False)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-tested_on", "-pk"]

    def __str__(self):
        return f"{self.lot}, tested {self.tested_on}"


class StockEntry(models.Model):
    """A line of a lot's ledger; written by services/stock.py alone and never deleted.

    Pounds are signed: received and found above 0, used and lost below. A count says what was there
    (`counted_lb`); its `lb` is what that differs from the book, worked out anew when something before it is
    corrected. A move is two entries. What is corrected is taken back (`is_taken_back`) and counts no more; the entry
    that stands for it keeps its place in the ledger (`stands_at`). The ledger's order is day, place, id.
    """

    class Kind(models.TextChoices):
        RECEIVED = "received", "Received"
        USED = "used", "Used"
        LOST = "lost", "Lost"
        COUNTED = "counted", "Counted"
        MOVED = "moved", "Moved"

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="entries")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    on = models.DateField()
    stands_at = models.PositiveBigIntegerField(editable=False)
    lb = pounds_field("bulk lb")
    counted_lb = pounds_field("counted (bulk lb)", null=True, blank=True, validators=NOT_NEGATIVE)
    place = models.CharField(max_length=80, blank=True, help_text="Where the seed lies; empty is not said.")
    # Used, lost and short at a count: its part of the lot's cost, by services/stock.py.
    cost_usd = models.DecimalField(max_digits=12, decimal_places=2, null=True, blank=True, editable=False)
    record_seed = models.ForeignKey(
        "RecordSeed", on_delete=models.PROTECT, null=True, blank=True, related_name="entries"
    )
    reason = models.CharField(max_length=300, blank=True)
    is_taken_back = models.BooleanField(default=False)
    taken_back_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    taken_back_at = models.DateTimeField(null=True, blank=True)
    taken_back_because = models.CharField(max_length=300, blank=True)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["on", "stands_at", "pk"]
        verbose_name_plural = "stock entries"

    def __str__(self):
        return f"{self.get_kind_display()} {self.lb} lb of {self.lot}"


class InoculantLot(models.Model):
    """Inoculant for a group of legumes. Bacteria die: past its expiry date it is not to be relied on."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="inoculants")
    inoculant_group = models.CharField("group, as species have it", max_length=120)
    lot_number = models.CharField(max_length=60, blank=True)
    treats_lb = models.DecimalField(
        "treats (lb of seed)", max_digits=9, decimal_places=1, null=True, blank=True, validators=POSITIVE
    )
    received_on = models.DateField()
    expires_on = models.DateField(null=True, blank=True)
    kept_at = models.CharField("where it is kept", max_length=80, blank=True)
    cost_usd = usd_field("cost (USD)")
    used_up_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True, max_length=2000)
    earlier = models.JSONField(
        default=list, blank=True, editable=False
    )  # as plots/services/earlier.py keeps it
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = [F("expires_on").asc(nulls_last=True), "pk"]

    def __str__(self):
        return f"Inoculant for {self.inoculant_group}, lot {self.lot_number or self.pk}"
