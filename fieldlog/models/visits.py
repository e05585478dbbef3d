"""Visits to plots, what was read there, and the pictures."""

import uuid

from django.db import models
from django.db.models import Q

from blends.models import Planting
from fieldlog.models.columns import bearing_field, place_fields
from fieldlog.models.phones import Phone
from plots.models import Plot, Property, User
from plots.models.columns import derived


class Visit(models.Model):
    """Somebody was at a plot. What they saw hangs on it."""

    id = models.UUIDField(
        primary_key=True, default=uuid.uuid4, help_text="Made where it is recorded, on a phone too."
    )
    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, related_name="visits")
    visited_at = models.DateTimeField(help_text="To the second; a phone's clock that was off is corrected.")
    # As the phone's clock had it, where that was corrected.
    said_at = models.DateTimeField(null=True, blank=True, editable=False)
    sent_at = models.DateTimeField(null=True, blank=True, editable=False, help_text="By the phone's clock.")
    clock_ahead_s = models.IntegerField(null=True, editable=False)
    lon, lat, accuracy_m = place_fields()
    note = models.TextField(blank=True, max_length=5000)
    phone = models.ForeignKey(Phone, on_delete=models.SET_NULL, null=True, blank=True, related_name="visits")
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    received_at = models.DateTimeField(auto_now_add=True)
    # Once it has been corrected, {"visited_at", "note"} as they came first: nothing is lost, and a phone that sends
    # them again, because the answer never reached it, is still told that they are here.
    first_said = models.JSONField(null=True, blank=True, editable=False)
    corrected_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    corrected_at = models.DateTimeField(null=True, blank=True)
    why_corrected = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-visited_at", "-received_at"]
        indexes = [models.Index(fields=["plot", "-visited_at"], name="visits_of_a_plot")]

    def __str__(self):
        return f"{self.plot}, {self.visited_at:%Y-%m-%d}"


class Reading(models.Model):
    """What one protocol asked, as it was answered. A correction is another reading that replaces this one.

    What counts is neither replaced nor struck. Where two devices correct the same reading both count, each the
    other's rival, until somebody has chosen.
    """

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, help_text="Made where it is recorded.")
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, related_name="readings")
    # On the plot that day; null where nothing was.
    planting = models.ForeignKey(
        Planting, on_delete=models.SET_NULL, null=True, blank=True, related_name="readings"
    )
    kind = models.CharField(max_length=20)
    protocol_key = models.SlugField(max_length=40, blank=True)
    settings = models.JSONField(default=dict, blank=True, help_text="Of its protocol when it was taken.")
    values = models.JSONField(default=dict, help_text="By the names of the kind's steps.")
    # Names of what the person was asked about and said 'yes, really' to.
    sure_of = models.JSONField(default=list, blank=True)
    taken_at = models.DateTimeField()
    lon, lat, accuracy_m = place_fields()
    note = models.CharField(max_length=1000, blank=True)
    # Derived, see services/figures.py: [{"name", "label", "value", "unit", …}]; `figures_of` names what made them.
    figures = models.JSONField(default=list, blank=True, editable=False)
    figures_by = models.PositiveSmallIntegerField(default=0, editable=False)
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    received_at = models.DateTimeField(auto_now_add=True)
    replaces = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="corrections"
    )
    replaced_by = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="+", editable=False
    )
    rival_of = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="rivals", editable=False
    )
    why = models.CharField("why it was corrected", max_length=300, blank=True)
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")

    COUNTS = Q(replaced_by__isnull=True, struck_at__isnull=True)

    class Meta:
        ordering = ["taken_at", "received_at"]
        indexes = [
            models.Index(fields=["kind", "-taken_at"], name="readings_of_a_kind"),
        ]

    def __str__(self):
        return f"{self.kind} of {self.visit}"

    @derived
    def counts(self):
        return self.replaced_by_id is None and self.struck_at is None


class PhotoPoint(models.Model):
    """Where a picture is taken again and again, looking the same way."""

    plot = models.ForeignKey(Plot, on_delete=models.CASCADE, related_name="photo_points")
    name = models.CharField(max_length=80)
    lon, lat, accuracy_m = place_fields()
    bearing_deg = bearing_field()
    note = models.CharField(max_length=300, blank=True)
    is_archived = models.BooleanField(default=False)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["name", "pk"]
        constraints = [models.UniqueConstraint(fields=["plot", "name"], name="a_photo_point_once")]

    def __str__(self):
        return self.name


def photo_path(photo, _name):
    """By what is in it: the same picture sent again is the same file."""
    return f"photos/{photo.property_id}/{photo.sha256[:2]}/{photo.sha256}"


def small_photo_path(photo, _name):
    return f"photos/{photo.property_id}/{photo.sha256[:2]}/{photo.sha256}.small"


class Photo(models.Model):
    """A picture of a visit or of work that was done. Its facts come with the record, its bytes after them."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, help_text="Made where it is taken.")
    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="photos")
    visit = models.ForeignKey(Visit, on_delete=models.PROTECT, null=True, blank=True, related_name="photos")
    reading = models.ForeignKey(
        Reading, on_delete=models.PROTECT, null=True, blank=True, related_name="photos"
    )
    work_report = models.ForeignKey(
        "WorkReport", on_delete=models.PROTECT, null=True, blank=True, related_name="photos"
    )
    point = models.ForeignKey(
        PhotoPoint, on_delete=models.SET_NULL, null=True, blank=True, related_name="photos"
    )
    sha256 = models.CharField(max_length=64, help_text="Of its bytes, in hexadecimal.")
    taken_at = models.DateTimeField()
    lon, lat, accuracy_m = place_fields()
    bearing_deg = bearing_field()
    caption = models.CharField(max_length=300, blank=True)
    # Unknown until the bytes are here.
    file = models.FileField(upload_to=photo_path, blank=True)
    media_type = models.CharField(max_length=20, blank=True)
    width_px = models.PositiveIntegerField(null=True, blank=True)
    height_px = models.PositiveIntegerField(null=True, blank=True)
    arrived_at = models.DateTimeField(null=True, blank=True)
    # Made in the background; blank while it is not, with the reason where it cannot be.
    small = models.FileField(upload_to=small_photo_path, blank=True)
    trouble = models.CharField(max_length=300, blank=True)
    taken_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    struck_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["taken_at", "pk"]
        indexes = [models.Index(fields=["property", "sha256"], name="photos_by_content")]
        constraints = [
            models.CheckConstraint(
                condition=Q(visit__isnull=False, work_report__isnull=True)
                | Q(visit__isnull=True, work_report__isnull=False),
                name="a_photo_of_a_visit_or_of_work",
            )
        ]

    def __str__(self):
        return self.caption or f"Picture of {self.taken_at:%Y-%m-%d %H:%M}"
