"""Property and people, plots and their boundaries, imports and background jobs."""

import hashlib
import secrets
import uuid

from django.contrib.auth.models import AbstractUser
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from plots.calc.units import M2_PER_ACRE
from plots.fields import BoundaryField

derived = property  # a field named `property` hides the builtin inside a class body


class User(AbstractUser):
    """A person who signs in."""

    @derived
    def shown_name(self):
        return self.get_full_name() or self.username


class FirstOwnerLink(models.Model):
    """The one-time link by which the first visitor of a new installation becomes its owner."""

    token_sha256 = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField(auto_now_add=True)
    used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self):
        return "used" if self.used_at else "open"


class Property(models.Model):
    """The land that one set of plots belongs to."""

    name = models.CharField(max_length=120)
    slug = models.SlugField(max_length=60, unique=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        verbose_name_plural = "properties"

    def __str__(self):
        return self.name


class Membership(models.Model):
    """Who may do what on a property; `access.py` says what each role includes."""

    class Role(models.TextChoices):
        OWNER = "owner", "Owner"
        MANAGER = "manager", "Manager"
        RECORDER = "recorder", "Recorder"
        VIEWER = "viewer", "Viewer"

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="memberships")
    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=10, choices=Role.choices)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "property"], name="one_membership_a_person"),
            models.CheckConstraint(
                condition=Q(role__in=["owner", "manager", "recorder", "viewer"]), name="membership_role_known"
            ),
        ]

    def __str__(self):
        return f"{self.user} ({self.role}) on {self.property}"


class ApiToken(models.Model):
    """A token for the API: shown once when it is made, stored only as its SHA-256."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="api_tokens")
    name = models.CharField(max_length=80)
    token_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    created_at = models.DateTimeField(auto_now_add=True)
    last_used_on = models.DateField(null=True, blank=True)

    def __str__(self):
        return self.name


def new_secret():
    """A fresh random secret and the digest to store in its place."""
    secret = secrets.token_urlsafe(32)
    return secret, secret_digest(secret)


def secret_digest(secret):
    return hashlib.sha256(secret.encode()).hexdigest()


class Plot(models.Model):
    """A piece of ground that is planted as one."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="plots")
    name = models.CharField(max_length=80)
    notes = models.TextField(blank=True, max_length=5000)
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

    plot = models.ForeignKey(Plot, on_delete=models.CASCADE, related_name="boundaries")
    geometry = BoundaryField()
    west = models.FloatField(null=True, editable=False, db_index=True)
    south = models.FloatField(null=True, editable=False, db_index=True)
    east = models.FloatField(null=True, editable=False, db_index=True)
    north = models.FloatField(null=True, editable=False, db_index=True)
    # Measured by a task: null is 'not measured yet', which no figure may take for zero.
    area_m2 = models.FloatField(null=True, blank=True)
    perimeter_m = models.FloatField(null=True, blank=True)
    how = models.CharField(max_length=10, choices=How.choices)
    why = models.CharField(max_length=300, blank=True)
    repairs = models.JSONField(default=list, blank=True, help_text="What the import mended, in sentences.")
    source_import = models.ForeignKey(
        "BoundaryImport", on_delete=models.PROTECT, null=True, blank=True, related_name="boundaries"
    )
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
        ]
        indexes = [
            models.Index(fields=["plot"], condition=Q(area_m2__isnull=True), name="boundary_unmeasured")
        ]

    def __str__(self):
        return f"{self.plot} ({self.how})"

    @derived
    def acres(self):
        """International acres; None until measured."""
        return None if self.area_m2 is None else self.area_m2 / M2_PER_ACRE

    @derived
    def part_count(self):
        return len(self.geometry.geoms)

    @derived
    def hole_count(self):
        return sum(len(part.interiors) for part in self.geometry.geoms)


class Job(models.Model):
    """Long work that a page can watch. Its task may run twice; the second time finds it done."""

    class State(models.TextChoices):
        WAITING = "waiting", "Waiting"
        RUNNING = "running", "Running"
        DONE = "done", "Done"
        FAILED = "failed", "Failed"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="jobs")
    kind = models.CharField(max_length=40)
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    steps_done = models.PositiveIntegerField(default=0)
    steps_total = models.PositiveIntegerField(default=0)
    message = models.CharField(max_length=300, blank=True)
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
        return self.state in (self.State.DONE, self.State.FAILED)


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
