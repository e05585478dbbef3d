"""Purchase orders: numbered documents with their own copy of every figure, and what came of them."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from blends.models.blends import Blend
from blends.models.columns import NOT_NEGATIVE, POSITIVE, derived, percent_field, usd_field
from blends.models.orders import SeedOrder
from blends.models.species import Species
from blends.models.suppliers import Offer, Supplier
from plots.models import Property, User


class PurchaseOrder(models.Model):
    """What is bought from one supplier. Names, addresses and terms are copied when it is made and sent."""

    class State(models.TextChoices):
        DRAFT = "draft", "Draft"
        SENT = "sent", "Sent"
        PART_RECEIVED = "part", "Part received"
        RECEIVED = "received", "Received"
        CLOSED = "closed", "Closed"

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="purchase_orders")
    # Counted up within the property and never given twice.
    number = models.PositiveIntegerField()
    order = models.ForeignKey(SeedOrder, on_delete=models.PROTECT, related_name="purchase_orders")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="purchase_orders")
    state = models.CharField(max_length=8, choices=State.choices, default=State.DRAFT)
    supplier_address = models.TextField(blank=True, max_length=500)
    our_address = models.TextField(blank=True, max_length=500)
    terms = models.TextField(blank=True, max_length=2000)
    note = models.TextField("note to the supplier", blank=True, max_length=2000)
    wanted_by = models.DateField(null=True, blank=True)
    freight_usd = usd_field("freight as expected (USD)")
    sent_on = models.DateField(null=True, blank=True)
    closed_because = models.CharField(max_length=300, blank=True)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-number"]
        constraints = [models.UniqueConstraint(fields=["property", "number"], name="one_purchase_a_number")]

    def __str__(self):
        return f"Purchase order {self.number}"

    @derived
    def is_open(self):
        """Sent and not done with: something may still come."""
        return self.state in (self.State.SENT, self.State.PART_RECEIVED)


class PurchaseLine(models.Model):
    """So many packs of one thing, with the words and figures that stand on the document."""

    purchase = models.ForeignKey(PurchaseOrder, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField(default=0)
    offer = models.ForeignKey(Offer, on_delete=models.PROTECT, related_name="purchase_lines")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    blend = models.ForeignKey(Blend, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    description = models.CharField(max_length=200)
    packs = models.PositiveIntegerField(validators=[MinValueValidator(1), MaxValueValidator(1_000_000)])
    pack_lb = models.DecimalField("pack (bulk lb)", max_digits=9, decimal_places=3, validators=POSITIVE)
    price_usd = models.DecimalField(
        "price a pack (USD)", max_digits=10, decimal_places=2, validators=NOT_NEGATIVE
    )
    purity_pct = percent_field("pure seed (%)")
    germination_pct = percent_field("germination (%)")
    hard_pct = percent_field("hard seed (%)")
    dormant_pct = percent_field("dormant seed (%)")

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(species__isnull=False, blend__isnull=True)
                | Q(species__isnull=True, blend__isnull=False),
                name="purchase_line_of_one_thing",
            )
        ]

    def __str__(self):
        return f"{self.packs} × {self.description}"

    @derived
    def item(self):
        return self.species or self.blend

    @derived
    def lb(self):
        return self.packs * self.pack_lb

    @derived
    def goods_usd(self):
        return self.packs * self.price_usd


class PurchaseChange(models.Model):
    """What became of a purchase order, step by step; never edited."""

    purchase = models.ForeignKey(PurchaseOrder, on_delete=models.CASCADE, related_name="changes")
    said = models.CharField(max_length=500, help_text="One sentence: sent, 3 packs made 4, closed.")
    was = models.JSONField(default=dict, blank=True, help_text="What the fields said before.")
    by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self):
        return self.said


class Receipt(models.Model):
    """One delivery: what came makes lots, and its freight is shared among them to the cent."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="receipts")
    purchase = models.ForeignKey(
        PurchaseOrder, on_delete=models.PROTECT, null=True, blank=True, related_name="receipts"
    )
    supplier = models.ForeignKey(
        Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="receipts"
    )
    received_on = models.DateField()
    invoice = models.CharField("invoice number", max_length=60, blank=True)
    freight_usd = usd_field("freight (USD)")
    note = models.TextField(blank=True, max_length=2000)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-received_on", "-pk"]

    def __str__(self):
        return f"Delivery of {self.received_on}"
