"""Species and their sources, blends, seasons and plantings, offers and the seed order."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from plots.models import Boundary, Plot, Property, User

derived = property  # a field named `property` hides the builtin inside a class body

PERCENT = [MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))]
POSITIVE = [MinValueValidator(Decimal("0.0001"))]
NOT_NEGATIVE = [MinValueValidator(Decimal(0))]


def rate_field(what, **kwargs):
    """Pounds per acre, unknown while null."""
    return models.DecimalField(
        what, max_digits=9, decimal_places=4, null=True, blank=True, validators=POSITIVE, **kwargs
    )


def percent_field(what, **kwargs):
    return models.DecimalField(
        what, max_digits=5, decimal_places=2, null=True, blank=True, validators=PERCENT, **kwargs
    )


class Basis(models.TextChoices):
    """Where a value comes from; shown wherever the value is shown."""

    PUBLISHED = "published", "Published"
    WORKED_OUT = "worked_out", "Worked out from a published value"
    PART_PUBLISHED = "part_published", "Published in part, the rest from memory"
    MEMORY = "memory", "From memory, not checked"
    COMMON_PRACTICE = "common_practice", "Common practice, no source"
    MEASURED = "measured", "Measured here"
    YOURS = "yours", "Yours"


class Source(models.Model):
    """A document or data set that values were taken from."""

    key = models.SlugField(primary_key=True, max_length=40)
    title = models.CharField(max_length=400)
    publisher = models.CharField(max_length=200)
    year = models.CharField(max_length=40)
    address = models.CharField(max_length=500, blank=True)
    taken = models.TextField(blank=True, help_text="What was taken from it.")
    read_as = models.CharField(max_length=120, blank=True, help_text="Page, data file, first part …")

    def __str__(self):
        return self.title


class Species(models.Model):
    """A species that can be sown: the reference table's, or a property's own.

    The columns hold the reference values; `provenance` holds, per column, its basis and sources:
    {"seeds_per_lb": {"basis": "published", "sources": ["plants_db"]}, …}. A property's overrides
    are SpeciesOverride rows; `queries.species_facts` puts the two together.
    """

    class Group(models.TextChoices):
        COOL_GRASS = "cool_grass", "Cool-season grass"
        WARM_GRASS = "warm_grass", "Warm-season grass"
        COOL_LEGUME = "cool_legume", "Cool-season legume"
        WARM_LEGUME = "warm_legume", "Warm-season legume"
        BRASSICA = "brassica", "Brassica"
        COOL_BROADLEAF = "cool_broadleaf", "Cool-season broadleaf"
        WARM_BROADLEAF = "warm_broadleaf", "Warm-season broadleaf"

    class Cycle(models.TextChoices):
        ANNUAL = "annual", "Annual"
        BIENNIAL = "biennial", "Biennial"
        PERENNIAL = "perennial", "Perennial"

    class Preference(models.TextChoices):
        HIGH = "high", "High"
        MODERATE = "moderate", "Moderate"
        LOW = "low", "Low"

    property = models.ForeignKey(
        Property, on_delete=models.CASCADE, null=True, blank=True, related_name="own_species"
    )
    key = models.SlugField(max_length=60)
    common_name = models.CharField(max_length=80)
    scientific_name = models.CharField(max_length=120, blank=True)
    family = models.CharField(max_length=60, blank=True)
    group = models.CharField("functional group", max_length=20, choices=Group.choices)
    life_cycle = models.CharField(max_length=12, choices=Cycle.choices, blank=True)
    fixes_nitrogen = models.BooleanField(default=False)
    inoculant_group = models.CharField(max_length=120, blank=True)
    browse_preference = models.CharField(max_length=10, choices=Preference.choices, blank=True)
    cautions = models.TextField(blank=True)
    seeds_per_lb = models.DecimalField(
        max_digits=12, decimal_places=2, null=True, blank=True, validators=POSITIVE
    )
    seeds_per_lb_range = models.CharField(max_length=120, blank=True)
    drill_lb_ac_low = rate_field("full rate drilled, low (PLS lb/ac)")
    drill_lb_ac_high = rate_field("full rate drilled, high (PLS lb/ac)")
    broadcast_lb_ac_low = rate_field("full rate broadcast, low (PLS lb/ac)")
    broadcast_lb_ac_high = rate_field("full rate broadcast, high (PLS lb/ac)")
    depth_in_low = rate_field("seeding depth, low (in)")
    depth_in_high = rate_field("seeding depth, high (in)")
    min_soil_temp_f = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    dry_matter_lb_ac_low = rate_field("dry matter, low (lb/ac)")
    dry_matter_lb_ac_high = rate_field("dry matter, high (lb/ac)")
    nitrogen_pct_vegetative = percent_field("nitrogen, leafy (% of dry matter)")
    nitrogen_pct_mature = percent_field("nitrogen, mature (% of dry matter)")
    cn_vegetative = rate_field("C:N, leafy")
    cn_mature = rate_field("C:N, mature")
    provenance = models.JSONField(default=dict, blank=True)

    class Meta:
        verbose_name_plural = "species"
        ordering = ["common_name"]
        constraints = [
            models.UniqueConstraint(fields=["key", "property"], name="one_own_species_a_key"),
            models.UniqueConstraint(
                fields=["key"], condition=Q(property__isnull=True), name="one_reference_species_a_key"
            ),
        ]

    def __str__(self):
        return self.common_name


class SpeciesOverride(models.Model):
    """A property's own value for one column of a reference species. The original stays as it is."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="species_overrides")
    species = models.ForeignKey(Species, on_delete=models.CASCADE, related_name="overrides")
    field = models.CharField(max_length=40)
    value = models.CharField(max_length=400)
    reason = models.CharField(max_length=300, blank=True)
    basis = models.CharField(max_length=20, choices=Basis.choices, default=Basis.YOURS)
    author = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["property", "species", "field"],
                condition=Q(ended_at__isnull=True),
                name="one_override_a_value",
            )
        ]

    def __str__(self):
        return f"{self.species}.{self.field} = {self.value}"


class Blend(models.Model):
    """One version of a blend. Once planted it is not edited: a change makes the next version."""

    class Kind(models.TextChoices):
        MIXED_HERE = "mixed", "Mixed here"
        BOUGHT = "bought", "Bought mixed"

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="blends")
    name = models.CharField(max_length=80)
    version = models.PositiveIntegerField(default=1)
    previous = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="next"
    )
    kind = models.CharField(max_length=6, choices=Kind.choices, default=Kind.MIXED_HERE)
    notes = models.TextField(blank=True, max_length=5000)
    # Bought mixed: the bag's bulk pounds an acre; the tag's shares are on the components.
    drilled_bulk_lb_per_acre = rate_field("drilled (bulk lb/ac)")
    broadcast_bulk_lb_per_acre = rate_field("broadcast (bulk lb/ac)")
    # A letter or two that mark the blend on the map and in tables, beside its colour.
    mark = models.CharField(max_length=3)
    tint = models.PositiveSmallIntegerField(default=0, help_text="Index into the palette of the stylesheet.")
    is_archived = models.BooleanField(default=False)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["name", "-version"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                "property",
                "version",
                name="one_blend_a_name_and_version",
                violation_error_message="Another blend of this property has this name.",
            )
        ]

    def __str__(self):
        return self.name if self.version == 1 else f"{self.name} v{self.version}"

    @derived
    def is_bought(self):
        return self.kind == self.Kind.BOUGHT


class Component(models.Model):
    """A species in a blend: rates when it is mixed here, the tag's figures when it is bought mixed."""

    blend = models.ForeignKey(Blend, on_delete=models.CASCADE, related_name="components")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="components")
    position = models.PositiveSmallIntegerField(default=0)
    drilled_pls_lb_per_acre = rate_field("drilled (PLS lb/ac)")
    broadcast_pls_lb_per_acre = rate_field("broadcast (PLS lb/ac)")
    tag_pct_by_weight = percent_field("share of the bag (pure seed, % by weight)")
    tag_germination_pct = percent_field("germination on the tag (%)")

    class Meta:
        ordering = ["position", "pk"]
        constraints = [models.UniqueConstraint(fields=["blend", "species"], name="a_species_once_a_blend")]

    def __str__(self):
        return f"{self.species} in {self.blend}"


class Season(models.Model):
    """A growing season of a property: cool or warm, with the year in which it is sown."""

    class Kind(models.TextChoices):
        WARM = "warm", "Warm"
        COOL = "cool", "Cool"

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="seasons")
    year = models.PositiveSmallIntegerField(validators=[MinValueValidator(1950), MaxValueValidator(2150)])
    kind = models.CharField(max_length=4, choices=Kind.choices)

    class Meta:
        # A warm season is sown in spring, the cool one of the same year after it, in late summer.
        ordering = ["-year", "kind"]
        constraints = [models.UniqueConstraint(fields=["property", "year", "kind"], name="one_season_a_year")]

    def __str__(self):
        return f"{self.get_kind_display()} season {self.year}"

    @derived
    def slug(self):
        return f"{self.year}-{self.kind}"


class Planting(models.Model):
    """What a plot gets in a season: a blend, or fallow. Without a row, nothing has been decided."""

    class Method(models.TextChoices):
        DRILLED = "drilled", "Drilled"
        BROADCAST = "broadcast", "Broadcast"

    class State(models.TextChoices):
        PLANNED = "planned", "Planned"
        DRILLED = "drilled", "Planted"
        UP = "up", "Up"
        TERMINATED = "terminated", "Terminated"

    season = models.ForeignKey(Season, on_delete=models.CASCADE, related_name="plantings")
    plot = models.ForeignKey(Plot, on_delete=models.CASCADE, related_name="plantings")
    blend = models.ForeignKey(
        Blend, on_delete=models.PROTECT, null=True, blank=True, related_name="plantings"
    )
    is_fallow = models.BooleanField(default=False)
    method = models.CharField(max_length=9, choices=Method.choices, default=Method.DRILLED)
    state = models.CharField(max_length=10, choices=State.choices, default=State.PLANNED)
    planted_on = models.DateField(null=True, blank=True)
    # Kept from the day it was planted; while planned, the plot's boundary of the day counts.
    planted_acres = models.DecimalField(
        max_digits=9, decimal_places=3, null=True, blank=True, validators=POSITIVE
    )
    boundary = models.ForeignKey(Boundary, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    # Derived by the order's task; null while unknown.
    cost_used_usd = models.DecimalField(max_digits=12, decimal_places=2, null=True, editable=False)
    cost_bought_usd = models.DecimalField(max_digits=12, decimal_places=2, null=True, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["season", "plot"], name="one_planting_a_season"),
            models.CheckConstraint(
                condition=Q(blend__isnull=False, is_fallow=False) | Q(blend__isnull=True, is_fallow=True),
                name="a_blend_or_fallow",
            ),
            models.CheckConstraint(
                condition=Q(is_fallow=True)
                | Q(state="planned")
                | Q(planted_acres__isnull=False, planted_on__isnull=False),
                name="planted_keeps_acres_and_date",
            ),
        ]

    def __str__(self):
        return f"{self.plot}: {self.blend or 'fallow'} ({self.season})"


class Supplier(models.Model):
    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="suppliers")
    name = models.CharField(max_length=120)

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


class Offer(models.Model):
    """A pack of a species or of a bought blend at a price, with its tag as far as it is known."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="offers")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="offers")
    species = models.ForeignKey(
        Species, on_delete=models.PROTECT, null=True, blank=True, related_name="offers"
    )
    blend = models.ForeignKey(Blend, on_delete=models.PROTECT, null=True, blank=True, related_name="offers")
    variety = models.CharField(max_length=80, blank=True)
    pack_lb = models.DecimalField("pack (bulk lb)", max_digits=9, decimal_places=3, validators=POSITIVE)
    price_usd = models.DecimalField(
        "price a pack (USD)", max_digits=10, decimal_places=2, validators=NOT_NEGATIVE
    )
    purity_pct = percent_field("pure seed (%)")
    germination_pct = percent_field("germination (%)")
    hard_pct = percent_field("hard seed (%)")
    dormant_pct = percent_field("dormant seed (%)")
    quoted_on = models.DateField(null=True, blank=True)
    is_withdrawn = models.BooleanField(default=False)

    class Meta:
        ordering = ["supplier__name", "pack_lb"]
        constraints = [
            models.CheckConstraint(
                condition=Q(species__isnull=False, blend__isnull=True)
                | Q(species__isnull=True, blend__isnull=False),
                name="offer_of_one_thing",
            )
        ]

    def __str__(self):
        return f"{self.species or self.blend}, {self.pack_lb.normalize():f} lb from {self.supplier}"


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
    on_hand_lb = models.DecimalField(
        "on hand (bulk lb)", max_digits=10, decimal_places=2, default=Decimal(0), validators=NOT_NEGATIVE
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
