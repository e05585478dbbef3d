"""Background jobs, and boundary files that are brought in."""

import uuid

from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q

from plots.calc.units import M2_PER_ACRE
from plots.fields import BoundaryField
from plots.models.columns import derived
from plots.models.people import Property, User
from plots.models.plots import Plot


class Job(models.Model):
    """Long work that a page can watch. Its task may run twice; the second time finds it done."""

    class State(models.TextChoices):
        WAITING = "waiting", "Waiting"
        RUNNING = "running", "Running"
        DONE = "done", "Done"
        FAILED = "failed", "Failed"
        CANCELLED = "cancelled", "Cancelled"

    FINISHED = (State.DONE, State.FAILED, State.CANCELLED)

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="jobs")
    kind = models.CharField(max_length=40)
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    steps_done = models.PositiveIntegerField(default=0)
    steps_total = models.PositiveIntegerField(default=0)
    message = models.CharField(max_length=300, blank=True)
    is_cancel_asked = models.BooleanField(default=False)
    created_by = models.ForeignKey(User, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    beat_at = models.DateTimeField(null=True, blank=True, help_text="When the worker last said it is alive.")
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(steps_done__lte=F("steps_total")), name="job_steps_within_total"
            )
        ]
        indexes = [
            models.Index(
                fields=["state"], condition=Q(state__in=["waiting", "running"]), name="job_unfinished"
            )
        ]

    def __str__(self):
        return f"{self.kind} ({self.state})"

    @derived
    def is_finished(self):
        return self.state in self.FINISHED


def original_path(instance, filename):
    return f"imports/{instance.property_id}/{instance.pk}"


class BoundaryImport(models.Model):
    """A boundary file that was brought in: the original, what was read, and what was accepted."""

    class State(models.TextChoices):
        ASKING = "asking", "Needs an answer"
        PREVIEW = "preview", "Ready to accept"
        STORED = "stored", "Stored"
        REFUSED = "refused", "Cannot be used"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="boundary_imports")
    file_name = models.CharField(max_length=255)
    original = models.FileField(upload_to=original_path)
    sha256 = models.CharField(max_length=64)
    state = models.CharField(max_length=10, choices=State.choices)
    # What the person answered.
    layer = models.CharField(max_length=255, blank=True)
    crs = models.CharField(
        max_length=20,
        blank=True,
        validators=[RegexValidator(r"^EPSG:\d{4,6}$", "A reference system is written like EPSG:26915.")],
    )
    swap_axes = models.BooleanField(default=False)
    name_field = models.CharField(max_length=255, blank=True)
    # What was read: see services.imports for the shape.
    report = models.JSONField(default=dict, blank=True)
    job = models.OneToOneField(Job, on_delete=models.SET_NULL, null=True, blank=True)
    created_by = models.ForeignKey(User, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-created_at"]

    def __str__(self):
        return self.file_name


class ImportedOutline(models.Model):
    """One outline of an import, waiting for the person to accept it or leave it out."""

    boundary_import = models.ForeignKey(BoundaryImport, on_delete=models.CASCADE, related_name="outlines")
    position = models.PositiveIntegerField()
    # What is to be stored: proposed when the file is read, then as the person typed it, be it too long or empty.
    name = models.CharField(max_length=200, blank=True)
    is_chosen = models.BooleanField(default=True)
    target = models.ForeignKey(
        Plot,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
        help_text="The plot that gets the outline as its boundary; without one it becomes a new plot.",
    )
    attributes = models.JSONField(default=dict, blank=True)
    geometry = BoundaryField()
    west = models.FloatField(null=True, editable=False)
    south = models.FloatField(null=True, editable=False)
    east = models.FloatField(null=True, editable=False)
    north = models.FloatField(null=True, editable=False)
    area_m2 = models.FloatField()
    perimeter_m = models.FloatField()
    is_repaired = models.BooleanField(default=False)
    notes = models.JSONField(default=list, blank=True)
    # Ground shared with plots that are already there: see services.overlaps.
    overlaps = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["boundary_import", "position"], name="one_outline_a_position")
        ]

    def __str__(self):
        return self.name

    @derived
    def acres(self):
        return self.area_m2 / M2_PER_ACRE
