"""Seasons, and what each plot gets in them."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from blends.models.blends import Blend
from blends.models.columns import POSITIVE, derived
from plots.models import Boundary, Plot, Property


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
