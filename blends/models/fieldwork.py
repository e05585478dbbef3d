"""Planting day and the end of a stand: lots chosen, what was drilled, how it was terminated."""

import uuid

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from blends.models.blends import Blend
from blends.models.columns import NOT_NEGATIVE, POSITIVE, pounds_field
from blends.models.lots import Lot
from blends.models.machines import Machine
from blends.models.seasons import Planting
from blends.models.species import Species
from plots.models import User


class PlantingLot(models.Model):
    """A lot that a planting takes seed from. Several of one species: each its pounds, one of them the rest."""

    planting = models.ForeignKey(Planting, on_delete=models.CASCADE, related_name="chosen_lots")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="chosen_for")
    # Bulk pounds of this lot; null is whatever the others leave.
    lb = pounds_field("bulk lb", null=True, blank=True, validators=POSITIVE)

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["planting", "lot"], name="a_lot_once_a_planting")]

    def __str__(self):
        return f"{self.lot} for {self.planting}"


class PlantingRecord(models.Model):
    """What happened when a plot, or a part of it, was planted.

    The id is made where it is recorded, so that sending it again does no harm. A correction is another record that this
    one is `replaced_by`; one that was entered by mistake is struck. Both stay. What counts is neither.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    planting = models.ForeignKey(Planting, on_delete=models.PROTECT, related_name="records")
    machine = models.ForeignKey(
        Machine, on_delete=models.PROTECT, null=True, blank=True, related_name="records"
    )
    done_on = models.DateField()
    started_at = models.TimeField(null=True, blank=True)
    ended_at = models.TimeField(null=True, blank=True)
    acres = models.DecimalField(max_digits=9, decimal_places=3, validators=POSITIVE)
    is_by_meter = models.BooleanField("by the drill's acre meter", default=False)
    # What the plot's boundary held that day, to set the acres against; null where it was not measured.
    mapped_acres = models.FloatField(null=True, editable=False)
    operator = models.CharField(max_length=80, blank=True)
    hours_start = models.DecimalField(
        "machine hours at the start",
        max_digits=9,
        decimal_places=1,
        null=True,
        blank=True,
        validators=NOT_NEGATIVE,
    )
    hours_end = models.DecimalField(
        "machine hours at the end",
        max_digits=9,
        decimal_places=1,
        null=True,
        blank=True,
        validators=NOT_NEGATIVE,
    )
    # {"main": "42", "small": "12"}: settings of the boxes as they were.
    settings = models.JSONField(default=dict, blank=True)
    depth_in = models.DecimalField(
        "depth set (in)", max_digits=4, decimal_places=2, null=True, blank=True, validators=POSITIVE
    )
    depths_checked_in = models.JSONField("depths found (in)", default=list, blank=True)
    soil_temp_f = models.DecimalField(
        "soil temperature (°F)",
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(-40), MaxValueValidator(160)],
    )
    soil_temp_depth_in = models.DecimalField(
        "measured at (in)", max_digits=4, decimal_places=1, null=True, blank=True, validators=POSITIVE
    )
    weather = models.CharField(max_length=200, blank=True)
    note = models.TextField(blank=True, max_length=5000)
    replaced_by = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaces"
    )
    is_struck = models.BooleanField(default=False)
    struck_because = models.CharField(max_length=300, blank=True)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["done_on", "created_at"]

    def __str__(self):
        return f"{self.planting.plot}, planted {self.done_on}"


COUNTS = Q(replaced_by__isnull=True, is_struck=False)
"""Records and terminations that hold: neither corrected nor struck."""


class RecordSeed(models.Model):
    """Seed of a planting record: of a lot, or of a species or bought mix whose lot nobody knows."""

    record = models.ForeignKey(PlantingRecord, on_delete=models.CASCADE, related_name="seeds")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="record_seeds")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    blend = models.ForeignKey(Blend, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    loaded_lb = pounds_field("put in (bulk lb)", null=True, blank=True, validators=NOT_NEGATIVE)
    left_lb = pounds_field("left in the hopper (bulk lb)", null=True, blank=True, validators=NOT_NEGATIVE)
    used_lb = pounds_field("used (bulk lb)", validators=NOT_NEGATIVE)
    # What the sheet asked for that day; null where it could not be worked out. [bulk lb/ac]
    target_lb_per_acre = models.FloatField(null=True, editable=False)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(species__isnull=False, blend__isnull=True)
                | Q(species__isnull=True, blend__isnull=False),
                name="record_seed_of_one_thing",
            )
        ]

    def __str__(self):
        return f"{self.used_lb} lb of {self.lot or self.species or self.blend}"


class Termination(models.Model):
    """How and when a stand was ended. Corrections as for a planting record."""

    class Method(models.TextChoices):
        CRIMPED = "crimped", "Roller-crimper"
        MOWED = "mowed", "Mowing"
        HERBICIDE = "herbicide", "Herbicide"
        FROST = "frost", "Frost"
        GRAZED = "grazed", "Grazing"

    class Stage(models.TextChoices):
        """Growth stages in the words that grasses, legumes and brassicas share or have of their own."""

        LEAFY = "leafy", "Leafy, before stems"
        STEMS = "stems", "Stems growing"
        BOOT = "boot", "Boot"
        HEADING = "heading", "Heading or bud"
        BLOOM = "bloom", "Anthesis or bloom"
        MILK = "milk", "Milk or first pods"
        DOUGH = "dough", "Dough or full pods"
        RIPE = "ripe", "Ripe"
        DEAD = "dead", "Dead already"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4)
    planting = models.ForeignKey(Planting, on_delete=models.PROTECT, related_name="terminations")
    method = models.CharField(max_length=9, choices=Method.choices)
    done_on = models.DateField()
    acres = models.DecimalField(max_digits=9, decimal_places=3, null=True, blank=True, validators=POSITIVE)
    stage = models.CharField(max_length=7, choices=Stage.choices, blank=True)
    # Dry matter clipped that day: frames together, dried [g], and the ground inside one frame.
    dry_g = models.DecimalField(
        "dry weight (g)", max_digits=9, decimal_places=2, null=True, blank=True, validators=NOT_NEGATIVE
    )
    frames = models.PositiveSmallIntegerField(null=True, blank=True, validators=[MinValueValidator(1)])
    frame_ft2 = models.DecimalField(
        "ground inside one frame (ft²)",
        max_digits=7,
        decimal_places=3,
        null=True,
        blank=True,
        validators=POSITIVE,
    )
    operator = models.CharField(max_length=80, blank=True)
    weather = models.CharField(max_length=200, blank=True)
    follow_up = models.CharField("what is to follow", max_length=300, blank=True)
    follow_up_on = models.DateField(null=True, blank=True)
    follow_up_done_on = models.DateField(null=True, blank=True)
    # Herbicide alone: when spraying ended, from which the label's intervals count, and who may apply it.
    sprayed_until = models.DateTimeField("spraying ended", null=True, blank=True)
    applicator_licence = models.CharField(
        "applicator's licence, if the label asks", max_length=60, blank=True
    )
    note = models.TextField(blank=True, max_length=5000)
    replaced_by = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaces"
    )
    is_struck = models.BooleanField(default=False)
    struck_because = models.CharField(max_length=300, blank=True)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["done_on", "created_at"]

    def __str__(self):
        return f"{self.planting.plot}, {self.get_method_display().lower()} {self.done_on}"


class SprayedProduct(models.Model):
    """A product in the tank, with what its label says. The intervals are typed from the label and never computed."""

    termination = models.ForeignKey(Termination, on_delete=models.CASCADE, related_name="products")
    name = models.CharField(max_length=120)
    registration_number = models.CharField("registration number on the label", max_length=40)
    rate = models.DecimalField("rate an acre", max_digits=9, decimal_places=3, validators=POSITIVE)
    rate_unit = models.CharField("unit of the rate", max_length=20)
    reentry_h = models.DecimalField(
        "re-entry interval (hours)", max_digits=6, decimal_places=1, validators=NOT_NEGATIVE
    )
    # The label's own; null where the label gives none, which the page says and does not read as 0.
    grazing_days = models.PositiveSmallIntegerField("grazing interval (days)", null=True, blank=True)
    planting_days = models.PositiveSmallIntegerField("planting-back interval (days)", null=True, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self):
        return f"{self.name} ({self.registration_number})"
