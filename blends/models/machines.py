"""Drills and spreaders, which box a species goes in, and how they were calibrated."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower

from blends.models.blends import Blend
from blends.models.columns import NOT_NEGATIVE, POSITIVE, derived
from blends.models.species import Species
from plots.models import Property, User


class Box(models.TextChoices):
    """What meters seed on a machine. A spreader has the main box alone."""

    MAIN = "main", "Seed box"
    SMALL = "small", "Small-seed box"


def _inches(what, **kwargs):
    return models.DecimalField(
        what, max_digits=7, decimal_places=2, null=True, blank=True, validators=POSITIVE, **kwargs
    )


class Machine(models.Model):
    """A drill, or a spreader. Volumes are of a level-full box."""

    class Kind(models.TextChoices):
        DRILL = "drill", "Drill"
        SPREADER = "spreader", "Broadcast spreader"

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="machines")
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.DRILL)
    openers = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(200)]
    )
    spacing_in = _inches("between openers (in)")
    swath_ft = models.DecimalField(
        "effective swath (ft)", max_digits=6, decimal_places=2, null=True, blank=True, validators=POSITIVE
    )
    main_box_ft3 = models.DecimalField(
        "seed box or hopper (ft³)", max_digits=7, decimal_places=2, null=True, blank=True, validators=POSITIVE
    )
    small_box_ft3 = models.DecimalField(
        "small-seed box (ft³)", max_digits=7, decimal_places=2, null=True, blank=True, validators=POSITIVE
    )
    # What a setting may be, so that a fitted one outside is said.
    setting_low = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    setting_high = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    course_ft = models.DecimalField(
        "calibration course (ft)", max_digits=7, decimal_places=1, null=True, blank=True, validators=POSITIVE
    )
    note = models.TextField(blank=True, max_length=2000)
    is_archived = models.BooleanField(default=False)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["kind", "name"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                "property",
                name="one_machine_a_name",
                violation_error_message="Another machine of this property has this name.",
            )
        ]

    def __str__(self):
        return self.name

    @derived
    def width_ft(self):
        """Ground covered by one pass: openers × spacing, or the swath; None while unknown. [ft]"""
        if self.kind == self.Kind.SPREADER:
            return self.swath_ft and float(self.swath_ft)
        if self.openers is None or self.spacing_in is None:
            return None
        return self.openers * float(self.spacing_in) / 12

    def box_ft3(self, box):
        """Volume of a box, None while unknown. [ft³]"""
        volume = self.main_box_ft3 if box == Box.MAIN else self.small_box_ft3
        return None if volume is None else float(volume)


class SeedBox(models.Model):
    """A person's choice of the box for a species on a machine; without one the rule of calc/boxes.py holds."""

    machine = models.ForeignKey(Machine, on_delete=models.CASCADE, related_name="seed_boxes")
    species = models.ForeignKey(Species, on_delete=models.CASCADE, related_name="+")
    box = models.CharField(max_length=5, choices=Box.choices)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["machine", "species"], name="one_box_a_species")]

    def __str__(self):
        return f"{self.species}: {self.get_box_display()}"


class Calibration(models.Model):
    """Seed caught over a course at a setting of one box, of a blend or of a single species."""

    machine = models.ForeignKey(Machine, on_delete=models.PROTECT, related_name="calibrations")
    box = models.CharField(max_length=5, choices=Box.choices, default=Box.MAIN)
    blend = models.ForeignKey(Blend, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    calibrated_on = models.DateField()
    setting = models.DecimalField(max_digits=8, decimal_places=2)
    gear = models.CharField("range or gear, as the drill has it", max_length=40, blank=True)
    # One weight a catch, bags taken off [g]. A spreader: what left the hopper.
    caught_g = models.JSONField()
    course_ft = models.DecimalField("course (ft)", max_digits=7, decimal_places=1, validators=POSITIVE)
    rows_per_catch = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    # Width that one catch stands for [ft], as the machine was that day.
    catch_width_ft = models.DecimalField(
        "width of one catch (ft)", max_digits=7, decimal_places=3, validators=POSITIVE
    )
    lb_per_acre = models.DecimalField(
        "delivered (bulk lb/ac)", max_digits=9, decimal_places=4, validators=NOT_NEGATIVE
    )
    lb_per_ft3 = models.DecimalField(
        "weight of the seed (lb/ft³)",
        max_digits=7,
        decimal_places=3,
        null=True,
        blank=True,
        validators=POSITIVE,
    )
    is_lb_per_ft3_weighed = models.BooleanField(default=False)
    note = models.TextField(blank=True, max_length=1000)
    is_struck = models.BooleanField(default=False)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-calibrated_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(blend__isnull=True) | Q(species__isnull=True), name="calibration_of_one_thing"
            )
        ]

    def __str__(self):
        return f"{self.machine}, setting {self.setting}, {self.calibrated_on}"
