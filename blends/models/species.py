"""Species, the sources of their values, and a property's own values."""

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q

from blends.models.columns import POSITIVE, days_field, percent_field, rate_field
from plots.models import Property, User


class Hazard(models.TextChoices):
    """What can harm stock, people, wildlife or the next crop; a species' cautions say it in words."""

    PRUSSIC_ACID = "prussic_acid", "Prussic acid after frost or drought"
    NITRATE = "nitrate", "Nitrate"
    PHOTOSENSITIZATION = "photosensitization", "Photosensitization"
    BLOAT = "bloat", "Bloat"
    POISON = "poison", "Poisonous in quantity"
    WEEDY = "weedy", "May become a weed"
    ALLELOPATHY = "allelopathy", "Holds back small seeds"


def hazard_keys(text):
    unknown = sorted(set(text.split()) - set(Hazard.values))
    if unknown:
        raise ValidationError(f"{', '.join(unknown)} is not accepted; {', '.join(Hazard.values)} are.")


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

    class Browsed(models.TextChoices):
        YOUNG = "young", "While young"
        GROWING = "growing", "As long as it grows"
        AFTER_FROST = "after_frost", "Mostly after frost"

    class SeedUse(models.TextChoices):
        GRAIN = "grain", "Grain or pods for deer and birds"
        SMALL_SEED = "small_seed", "Small seed for birds"
        LITTLE = "little", "Little"

    class WinterFate(models.TextChoices):
        FROST_KILLED = "frost_killed", "Killed by the first frosts"
        WINTER_KILLED = "winter_killed", "Killed in a cold winter"
        OVERWINTERS = "overwinters", "Lives through the winter"

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
    days_to_browse_low = days_field("days from seeding to the first browse, low")
    days_to_browse_high = days_field("days from seeding to the first browse, high")
    days_to_bloom_low = days_field("days from seeding to bloom or heading, low")
    days_to_bloom_high = days_field("days from seeding to bloom or heading, high")
    days_to_seed_low = days_field("days from seeding to ripe seed, low")
    days_to_seed_high = days_field("days from seeding to ripe seed, high")
    browsed_when = models.CharField(max_length=12, choices=Browsed.choices, blank=True)
    seed_use = models.CharField(max_length=12, choices=SeedUse.choices, blank=True)
    winter_fate = models.CharField(max_length=14, choices=WinterFate.choices, blank=True)
    cover_cm2_per_g = rate_field("ground covered by its residue (cm²/g)")
    lb_per_bu = rate_field("weight of a bushel of seed (lb/bu)")
    hazards = models.CharField(
        max_length=200, blank=True, validators=[hazard_keys], help_text="Keys of Hazard with spaces between."
    )
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
