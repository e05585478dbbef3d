"""Plots and the record of their boundaries."""

import uuid

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from plots.calc.units import M2_PER_ACRE
from plots.fields import BoundaryField
from plots.models.columns import derived
from plots.models.people import Property, User


class Plot(models.Model):
    """A piece of ground that is planted as one."""

    class Objective(models.TextChoices):
        HOLD_WEEDS = "hold_weeds", "Hold weeds"
        FEED_NEXT = "feed_next", "Feed the next crop"
        BALANCE = "balance", "Balance"

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="plots")
    name = models.CharField(max_length=80)
    notes = models.TextField(blank=True, max_length=5000)
    objective = models.CharField(
        "what its residue is for",
        max_length=10,
        choices=Objective.choices,
        blank=True,
        help_text="Empty while it has not been decided.",
    )
    boundary = models.OneToOneField(
        "Boundary",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="current_of",
        help_text="The boundary that holds now; older ones stay in `boundaries`.",
    )
    is_archived = models.BooleanField(default=False)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                "property",
                name="one_plot_a_name",
                violation_error_message="Another plot of this property has this name.",
            )
        ]

    def __str__(self):
        return self.name

    @derived
    def mapped_acres(self):
        """Acres inside the current boundary, holes subtracted; None while unknown."""
        return self.boundary.acres if self.boundary else None


class Boundary(models.Model):
    """One outline of a plot. An edit makes a new one; the geometry of an old one never changes."""

    class How(models.TextChoices):
        IMPORTED = "imported", "Imported from a file"
        DRAWN = "drawn", "Drawn on the map"
        WALKED = "walked", "Walked with a phone"
        RESHAPED = "reshaped", "Split, merged or trimmed"

    plot = models.ForeignKey(Plot, on_delete=models.CASCADE, related_name="boundaries")
    geometry = BoundaryField()
    west = models.FloatField(null=True, editable=False, db_index=True)
    south = models.FloatField(null=True, editable=False, db_index=True)
    east = models.FloatField(null=True, editable=False, db_index=True)
    north = models.FloatField(null=True, editable=False, db_index=True)
    # Measured by a task: null is 'not measured yet', which no figure may take for zero.
    area_m2 = models.FloatField(null=True, blank=True)
    perimeter_m = models.FloatField(null=True, blank=True)
    # How far off a corner may be: of a walk the mean 95 % radius of its fixes; null where nobody knows.
    accuracy_m = models.FloatField(null=True, blank=True)
    how = models.CharField(max_length=10, choices=How.choices)
    why = models.CharField(max_length=300, blank=True)
    repairs = models.JSONField(default=list, blank=True, help_text="What the import mended, in sentences.")
    source_import = models.ForeignKey(
        "BoundaryImport", on_delete=models.PROTECT, null=True, blank=True, related_name="boundaries"
    )
    restored_from = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    # Whether the ground that it shares with the plots around it has been looked for: see `Overlap`.
    is_compared = models.BooleanField(default=False, editable=False)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        verbose_name_plural = "boundaries"
        ordering = ["-created_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(area_m2__isnull=True) | Q(area_m2__gte=0), name="area_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(area_m2__isnull=True, perimeter_m__isnull=True)
                | Q(area_m2__isnull=False, perimeter_m__isnull=False),
                name="measured_whole_or_not",
            ),
            models.CheckConstraint(
                condition=Q(accuracy_m__isnull=True) | Q(accuracy_m__gt=0), name="accuracy_positive"
            ),
        ]
        indexes = [
            models.Index(fields=["plot"], condition=Q(area_m2__isnull=True), name="boundary_unmeasured"),
            models.Index(fields=["plot"], condition=Q(is_compared=False), name="boundary_uncompared"),
        ]

    def __str__(self):
        return f"{self.plot} ({self.how})"

    @derived
    def acres(self):
        """International acres; None until measured."""
        return None if self.area_m2 is None else self.area_m2 / M2_PER_ACRE

    @derived
    def margin_acres(self):
        """± acres if the whole edge were off by its accuracy, perimeter × accuracy; None while either is unknown."""
        if self.perimeter_m is None or self.accuracy_m is None:
            return None
        return self.perimeter_m * self.accuracy_m / M2_PER_ACRE

    @derived
    def part_count(self):
        return len(self.geometry.geoms)

    @derived
    def hole_count(self):
        return sum(len(part.interiors) for part in self.geometry.geoms)


class Overlap(models.Model):
    """Ground that two boundaries share. Boundaries never change, so neither does this; it stands while both hold."""

    first = models.ForeignKey(Boundary, on_delete=models.CASCADE, related_name="overlaps_as_first")
    second = models.ForeignKey(Boundary, on_delete=models.CASCADE, related_name="overlaps_as_second")
    geometry = BoundaryField()
    west = models.FloatField(null=True, editable=False)
    south = models.FloatField(null=True, editable=False)
    east = models.FloatField(null=True, editable=False)
    north = models.FloatField(null=True, editable=False)
    area_m2 = models.FloatField()
    # The widest place across the shared ground: a sliver is narrow however long it is.
    width_m = models.FloatField()

    class Meta:
        ordering = ["-area_m2", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["first", "second"], name="one_overlap_a_pair"),
            models.CheckConstraint(condition=Q(first__lt=F("second")), name="overlap_in_order"),
        ]

    def __str__(self):
        return f"{self.first} and {self.second}"

    @derived
    def acres(self):
        return self.area_m2 / M2_PER_ACRE


class Walk(models.Model):
    """An edge walked with a phone: every fix as it came, until somebody makes a boundary of it or sets it aside."""

    class State(models.TextChoices):
        WAITING = "waiting", "Waiting to be looked at"
        ACCEPTED = "accepted", "Made a boundary"
        SET_ASIDE = "set_aside", "Set aside"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, help_text="Made on the phone.")
    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="walks")
    plot = models.ForeignKey(
        Plot,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="walks",
        help_text="The plot whose edge it is; without one it becomes a new plot.",
    )
    new_name = models.CharField(max_length=80, blank=True)
    # [[longitude, latitude, accuracy in m, milliseconds since the start, stretch], …]; a pause begins a stretch.
    fixes = models.JSONField()
    worst_accuracy_m = models.FloatField(help_text="Fixes worse than this are left out.")
    tolerance_m = models.FloatField(help_text="How far the thinned line may lie from the fixes.")
    started_at = models.DateTimeField(help_text="By the phone's clock.")
    sent_at = models.DateTimeField(help_text="By the phone's clock.")
    received_at = models.DateTimeField(auto_now_add=True)
    note = models.CharField(max_length=300, blank=True)
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    boundary = models.OneToOneField(
        Boundary, on_delete=models.PROTECT, null=True, blank=True, related_name="walk"
    )
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-started_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(worst_accuracy_m__gt=0, tolerance_m__gt=0), name="walk_limits_positive"
            ),
            models.CheckConstraint(
                condition=Q(state="accepted", boundary__isnull=False)
                | (~Q(state="accepted") & Q(boundary__isnull=True)),
                name="accepted_has_a_boundary",
            ),
        ]

    def __str__(self):
        return f"{self.plot or self.new_name}, walked {self.started_at:%Y-%m-%d}"
