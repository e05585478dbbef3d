"""Suppliers, what they offer, and the price lists that offers come from."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.formats import date_format

from blends.models.blends import Blend
from blends.models.columns import NOT_NEGATIVE, POSITIVE, percent_field, tag_fields, usd_field
from blends.models.species import Species
from plots.models import Property, User


class Supplier(models.Model):
    """Who sells seed, and what bringing it costs. Freight that nobody has stated is unknown, never free."""

    class Freight(models.TextChoices):
        UNKNOWN = "", "Not known"
        NONE = "none", "Delivered free"
        FLAT = "flat", "One charge an order"
        WEIGHT = "weight", "By the pound"
        VALUE = "value", "By the value of the goods"

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="suppliers")
    name = models.CharField(max_length=120)
    address = models.TextField(blank=True, max_length=500)
    contact = models.CharField("telephone or e-mail", max_length=200, blank=True)
    terms = models.TextField("its terms", blank=True, max_length=2000)
    min_order_usd = usd_field("smallest order it takes (USD of goods)")
    freight_kind = models.CharField(
        max_length=6, choices=Freight.choices, blank=True, default=Freight.UNKNOWN
    )
    # Flat: the charge. By weight or value: the least that is charged, if there is a least.
    freight_usd = usd_field("charge, or the least charge (USD)")
    freight_usd_per_lb = models.DecimalField(
        "charge a pound (USD/lb)",
        max_digits=8,
        decimal_places=4,
        null=True,
        blank=True,
        validators=NOT_NEGATIVE,
    )
    freight_pct = percent_field("charge of the goods' value (%)")
    freight_free_from_usd = usd_field("free from goods of (USD)")
    # Headings of its last accepted price list, in lower case: {"heading": field of an offer}.
    list_columns = models.JSONField(default=dict, blank=True, editable=False)
    is_archived = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                "property",
                name="one_supplier_a_name",
                violation_error_message="Another supplier of this property has this name.",
            )
        ]

    def __str__(self):
        return self.name


class PriceList(models.Model):
    """A price list that was pasted or uploaded: its table as it came, how its columns were matched, what became of it."""

    class State(models.TextChoices):
        MATCHING = "matching", "Columns to be matched"
        STORED = "stored", "Stored"
        SET_ASIDE = "set_aside", "Set aside"

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="price_lists")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="price_lists")
    file_name = models.CharField(max_length=255, blank=True, help_text="Empty where it was pasted.")
    table = models.JSONField(help_text="Rows of cells as text, headings and all.")
    heading_row = models.PositiveIntegerField(default=0)
    # {"pack_lb": 2, "price:pack": 3, "break:10": 4, "all:valid_until": "2027-03-31"}: see services/price_lists.match_columns.
    columns = models.JSONField(default=dict, blank=True, help_text="Field of an offer: column, from 0.")
    state = models.CharField(max_length=9, choices=State.choices, default=State.MATCHING)
    # Once stored, what could not become an offer: [{"row": of the table, "line": as a person counts it, "cells": its text,
    # "reason", "why": "heading" or "not_ours", or "" where it can be mended}, …].
    left_out = models.JSONField(default=list, blank=True)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-created_at"]

    def __str__(self):
        return self.file_name or f"Pasted on {date_format(timezone.localtime(self.created_at), 'j M Y')}"


class SeedName(models.Model):
    """What a price list or a tag calls a species or a bought mix; matched once by a person, then remembered."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="seed_names")
    name = models.CharField(max_length=200, help_text="In lower case, spaces made one.")
    species = models.ForeignKey(Species, on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    blend = models.ForeignKey(Blend, on_delete=models.CASCADE, null=True, blank=True, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["property", "name"], name="one_meaning_a_seed_name"),
            models.CheckConstraint(
                condition=Q(species__isnull=True) | Q(blend__isnull=True), name="seed_name_of_one_thing"
            ),
        ]

    def __str__(self):
        return self.name


class Offer(models.Model):
    """A pack of a species or of a bought blend at a price, with its tag as far as it is known.

    `price_usd` is what one pack costs, whole cents; where the price is quoted by the pound it follows from
    `quoted_usd`, the pack and, by the PLS pound, the tag. An offer that a sent purchase order names never changes:
    another price makes another offer, which this one is `replaced_by`.
    """

    class QuotedPer(models.TextChoices):
        PACK = "pack", "A pack"
        BULK_LB = "bulk_lb", "A bulk pound"
        PLS_LB = "pls_lb", "A PLS pound"

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="offers")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="offers")
    species = models.ForeignKey(
        Species, on_delete=models.PROTECT, null=True, blank=True, related_name="offers"
    )
    blend = models.ForeignKey(Blend, on_delete=models.PROTECT, null=True, blank=True, related_name="offers")
    variety = models.CharField(max_length=80, blank=True)
    pack_lb = models.DecimalField("pack (bulk lb)", max_digits=9, decimal_places=3, validators=POSITIVE)
    quoted_per = models.CharField(max_length=7, choices=QuotedPer.choices, default=QuotedPer.PACK)
    quoted_usd = models.DecimalField(
        "price as quoted (USD)",
        max_digits=11,
        decimal_places=4,
        null=True,
        blank=True,
        validators=NOT_NEGATIVE,
    )
    price_usd = models.DecimalField(
        "price a pack (USD)", max_digits=10, decimal_places=2, validators=NOT_NEGATIVE
    )
    least_packs = models.PositiveIntegerField(
        "fewest packs", default=1, validators=[MinValueValidator(1), MaxValueValidator(100_000)]
    )
    most_packs = models.PositiveIntegerField(
        "packs to be had",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(100_000)],
    )
    purity_pct = percent_field("pure seed (%)")
    germination_pct = percent_field("germination (%)")
    hard_pct = percent_field("hard seed (%)")
    dormant_pct = percent_field("dormant seed (%)")
    other_crop_pct, weed_seed_pct, inert_pct, noxious, test_month, origin, treatment = tag_fields()
    quoted_on = models.DateField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    is_withdrawn = models.BooleanField(default=False)
    replaced_by = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaces"
    )
    price_list = models.ForeignKey(
        PriceList, on_delete=models.SET_NULL, null=True, blank=True, related_name="offers"
    )

    class Meta:
        ordering = ["supplier__name", "pack_lb"]
        constraints = [
            models.CheckConstraint(
                condition=Q(species__isnull=False, blend__isnull=True)
                | Q(species__isnull=True, blend__isnull=False),
                name="offer_of_one_thing",
            ),
            models.CheckConstraint(
                condition=Q(most_packs__isnull=True) | Q(most_packs__gte=F("least_packs")),
                name="offer_fewest_within_most",
                violation_error_message="The fewest packs are more than there are to be had.",
            ),
        ]

    def __str__(self):
        return f"{self.species or self.blend}, {self.pack_lb.normalize():f} lb from {self.supplier}"


class PriceBreak(models.Model):
    """From so many packs on, each of them costs less. Quoted per what its offer is quoted per."""

    offer = models.ForeignKey(Offer, on_delete=models.CASCADE, related_name="breaks")
    from_packs = models.PositiveIntegerField(validators=[MinValueValidator(2), MaxValueValidator(100_000)])
    quoted_usd = models.DecimalField(
        "price as quoted (USD)", max_digits=11, decimal_places=4, validators=NOT_NEGATIVE
    )
    price_usd = models.DecimalField(
        "price a pack (USD)", max_digits=10, decimal_places=2, validators=NOT_NEGATIVE
    )

    class Meta:
        ordering = ["from_packs"]
        constraints = [models.UniqueConstraint(fields=["offer", "from_packs"], name="one_break_a_quantity")]

    def __str__(self):
        return f"from {self.from_packs} packs {self.price_usd:.2f} USD"
