"""What is known of the ground besides its boundaries: landmarks, and what the laboratory found in the soil."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from plots.fields import ShapeField
from plots.models.people import Property, User
from plots.models.plots import Plot


def _earlier():
    """What the row said before it was changed, oldest first: [{"at", "by", "was": {field: value}}, …]."""
    return models.JSONField(default=list, blank=True, editable=False)


class Landmark(models.Model):
    """Something that stands or lies on the property and is no part of any acreage."""

    class Kind(models.TextChoices):
        GATE = "gate", "Gate"
        WELL = "well", "Well"
        ROAD = "road", "Road"
        POWER_LINE = "power_line", "Power line"
        CAMERA = "camera", "Trail camera position"
        KEEP_OUT = "keep_out", "Keep out"
        OTHER = "other", "Something else"

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="landmarks")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    name = models.CharField(max_length=80, blank=True)
    note = models.TextField(blank=True, max_length=2000)
    geometry = ShapeField()
    west = models.FloatField(null=True, editable=False, db_index=True)
    south = models.FloatField(null=True, editable=False, db_index=True)
    east = models.FloatField(null=True, editable=False, db_index=True)
    north = models.FloatField(null=True, editable=False, db_index=True)
    is_archived = models.BooleanField(default=False)
    earlier = _earlier()
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["kind", "name", "pk"]

    def __str__(self):
        return self.name or self.get_kind_display()


def _between(least, most):
    return [MinValueValidator(Decimal(least)), MaxValueValidator(Decimal(most))]


def _measured(name, digits, places, least, most, **how):
    return models.DecimalField(
        name,
        max_digits=digits,
        decimal_places=places,
        null=True,
        blank=True,
        validators=_between(least, most),
        **how,
    )


class SoilTest(models.Model):
    """What a laboratory found in a sample of a plot's soil; null is not measured, which is never zero."""

    class PMethod(models.TextChoices):
        MEHLICH_3 = "mehlich3", "Mehlich 3"
        BRAY_1 = "bray1", "Bray P1"
        OLSEN = "olsen", "Olsen"
        OTHER = "other", "Another"

    class ReportedIn(models.TextChoices):
        PPM = "ppm", "ppm"
        LB_PER_ACRE = "lb_per_acre", "lb/ac"

    plot = models.ForeignKey(Plot, on_delete=models.CASCADE, related_name="soil_tests")
    sampled_on = models.DateField()
    lab = models.CharField(max_length=80, blank=True)
    depth_top_in = models.DecimalField(
        max_digits=4, decimal_places=1, default=Decimal(0), validators=_between("0", "80")
    )
    depth_bottom_in = models.DecimalField(max_digits=4, decimal_places=1, validators=_between("0.1", "80"))
    ph = _measured("pH in water", 4, 2, "2", "12")
    organic_matter_pct = _measured("organic matter", 5, 2, "0", "100")
    p_ppm = _measured("phosphorus (P)", 7, 2, "0", "10000")
    p_method = models.CharField("how P was extracted", max_length=10, choices=PMethod.choices, blank=True)
    k_ppm = _measured("potassium (K)", 7, 2, "0", "10000")
    # How the laboratory wrote P and K; stored they are ppm.
    reported_in = models.CharField(max_length=11, choices=ReportedIn.choices, default=ReportedIn.PPM)
    cec_meq_per_100g = _measured("cation exchange capacity (CEC)", 5, 1, "0", "300")
    notes = models.TextField(blank=True, max_length=2000)
    # Entered by mistake: struck out and left out of the trend, but kept.
    is_struck = models.BooleanField(default=False)
    earlier = _earlier()
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-sampled_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(depth_top_in__lt=F("depth_bottom_in")), name="soil_depth_top_above_bottom"
            )
        ]

    def __str__(self):
        return f"{self.plot}, {self.sampled_on}"
