"""The one order of seed for a season, what was chosen for it, and the ways found to buy it."""

from decimal import Decimal

from django.db import models
from django.db.models import F, Q

from blends.models.blends import Blend
from blends.models.columns import NOT_NEGATIVE, PERCENT, derived
from blends.models.seasons import Season
from blends.models.species import Species
from blends.models.suppliers import Offer
from plots.models import Job, User


class SeedOrder(models.Model):
    """The one order of seed for a season. The figures are derived; `is_stale` says they are being redone."""

    season = models.OneToOneField(Season, on_delete=models.CASCADE, related_name="order")
    overage_pct = models.DecimalField(
        "overage (%)", max_digits=5, decimal_places=2, default=Decimal(5), validators=PERCENT
    )
    # Until a chosen offer brings a tag. Common practice, no source; the page marks what rests on it.
    assumed_purity_pct = models.DecimalField(
        "assumed pure seed (%)", max_digits=5, decimal_places=2, default=Decimal(98), validators=PERCENT
    )
    assumed_germination_pct = models.DecimalField(
        "assumed germination (%)", max_digits=5, decimal_places=2, default=Decimal(85), validators=PERCENT
    )
    # Every change of an input raises inputs_version in its own transaction; the task that computes
    # writes the version it started from, so a change in between leaves the figures stale.
    inputs_version = models.PositiveBigIntegerField(default=1)
    computed_version = models.PositiveBigIntegerField(default=0)
    computed_at = models.DateTimeField(null=True, blank=True)
    problems = models.JSONField(default=list, blank=True, help_text="What stops the order, in sentences.")
    acres = models.FloatField(null=True, blank=True)
    cost_used_usd = models.DecimalField(max_digits=14, decimal_places=2, null=True, blank=True)
    cost_bought_usd = models.DecimalField(max_digits=14, decimal_places=2, null=True, blank=True)

    def __str__(self):
        return f"Seed order, {self.season}"

    @derived
    def is_stale(self):
        return self.computed_version != self.inputs_version


class ItemRow(models.Model):
    """What is bought: a species, or a bought blend."""

    order = models.ForeignKey(SeedOrder, on_delete=models.CASCADE, related_name="%(class)ss")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    blend = models.ForeignKey(Blend, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=Q(species__isnull=False, blend__isnull=True)
                | Q(species__isnull=True, blend__isnull=False),
                name="%(class)s_of_one_thing",
            ),
            models.UniqueConstraint(
                fields=["order", "species"], condition=Q(blend__isnull=True), name="%(class)s_once_a_species"
            ),
            models.UniqueConstraint(
                fields=["order", "blend"], condition=Q(species__isnull=True), name="%(class)s_once_a_blend"
            ),
        ]

    def __str__(self):
        return str(self.item)

    @derived
    def item(self):
        return self.species or self.blend


class OrderChoice(ItemRow):
    """What the person chose for one item of the order: an offer, and the pounds already on hand."""

    offer = models.ForeignKey(Offer, on_delete=models.PROTECT, null=True, blank=True, related_name="choices")
    # Null: what the stock has by its lots. A figure is the person's own word and goes before it; placing the order
    # writes down what the stock had, so that an order that was placed does not follow the seed being used.
    on_hand_lb = models.DecimalField(
        "on hand (bulk lb)", max_digits=10, decimal_places=2, null=True, blank=True, validators=NOT_NEGATIVE
    )


class OrderLine(ItemRow):
    """One computed line of the order. Rebuilt whole by the order's task."""

    offer = models.ForeignKey(Offer, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    pure_live_fraction = models.FloatField(null=True)
    is_pls_assumed = models.BooleanField(default=False)
    on_hand_lb = models.FloatField(default=0)
    planted_lb = models.FloatField(help_text="Bulk pounds that the plots take.")
    needed_lb = models.FloatField(help_text="With the overage.")
    to_buy_lb = models.FloatField()
    packs = models.PositiveIntegerField(null=True)
    bought_lb = models.FloatField(null=True)
    left_over_lb = models.FloatField(null=True)
    cost_bought_usd = models.DecimalField(max_digits=14, decimal_places=2, null=True)
    cost_used_usd = models.DecimalField(max_digits=14, decimal_places=2, null=True)


class Substitution(models.Model):
    """In this order one species is bought and sown instead of another of its functional group.

    Pounds follow from equal live seeds per square foot. A person's choice, which the order and the sheets show.
    """

    order = models.ForeignKey(SeedOrder, on_delete=models.CASCADE, related_name="substitutions")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="+")
    instead = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="+")
    reason = models.CharField(max_length=300, blank=True)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["order", "species"], name="one_substitute_a_species"),
            models.CheckConstraint(condition=~Q(species=F("instead")), name="substitute_is_another"),
        ]

    def __str__(self):
        return f"{self.instead} instead of {self.species}"


class BuyingPlan(models.Model):
    """One search for the cheapest way to buy an order: what was asked, and what was found.

    `asked` and `found` are plain values; services/buying.py says what is in them. A plan belongs to the order's
    figures of `inputs_version`, and is out of date when the order has others.
    """

    order = models.ForeignKey(SeedOrder, on_delete=models.CASCADE, related_name="plans")
    job = models.OneToOneField(
        Job, on_delete=models.SET_NULL, null=True, blank=True, related_name="buying_plan"
    )
    inputs_version = models.PositiveBigIntegerField()
    asked = models.JSONField(default=dict, blank=True)
    found = models.JSONField(default=dict, blank=True)
    taken_at = models.DateTimeField(null=True, blank=True, help_text="When it became the order's choices.")
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self):
        return f"Way to buy the {self.order}"
