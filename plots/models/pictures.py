"""The property's own picture of its ground, to lie under the plots."""

import uuid

from django.db import models
from django.db.models import Q

from plots.models.columns import derived
from plots.models.people import Property, User
from plots.models.work import Job


def picture_path(instance, filename):
    return f"pictures/{instance.property_id}/{instance.pk}/original"


class GroundPicture(models.Model):
    """A georeferenced picture that was brought in, and the tiles that are cut of it."""

    class State(models.TextChoices):
        ASKING = "asking", "Needs an answer"
        CUTTING = "cutting", "Being cut into tiles"
        READY = "ready", "Ready"
        REFUSED = "refused", "Cannot be used"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="pictures")
    name = models.CharField(max_length=80)
    file_name = models.CharField(max_length=255)
    original = models.FileField(upload_to=picture_path)
    sha256 = models.CharField(max_length=64)
    # Of a picture without georeference in itself: its world file's text, and the reference system as answered.
    world_file = models.TextField(blank=True, max_length=1000)
    crs = models.CharField(max_length=20, blank=True)
    # The person said that it does lie far from the plots.
    is_far_confirmed = models.BooleanField(default=False)
    taken_on = models.DateField(null=True, blank=True)
    state = models.CharField(max_length=10, choices=State.choices)
    said = models.CharField(max_length=500, blank=True, help_text="Why it waits or cannot be used.")
    # What was read: see services.pictures for the shape.
    report = models.JSONField(default=dict, blank=True, editable=False)
    # Known once it has been read.
    west = models.FloatField(null=True, editable=False)
    south = models.FloatField(null=True, editable=False)
    east = models.FloatField(null=True, editable=False)
    north = models.FloatField(null=True, editable=False)
    min_zoom = models.PositiveSmallIntegerField(null=True, editable=False)
    max_zoom = models.PositiveSmallIntegerField(null=True, editable=False)
    pixel_m = models.FloatField(null=True, editable=False, help_text="Ground that one pixel covers.")
    tile_bytes = models.PositiveBigIntegerField(null=True, editable=False, help_text="Of all its tiles.")
    is_shown = models.BooleanField(default=True)
    job = models.OneToOneField(Job, on_delete=models.SET_NULL, null=True, blank=True, related_name="picture")
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state="ready")
                | Q(west__isnull=False, min_zoom__isnull=False, max_zoom__isnull=False),
                name="ready_picture_is_placed",
            )
        ]

    def __str__(self):
        return self.name

    @derived
    def bounds(self):
        """(west, south, east, north) in degrees; None until it has been read."""
        return None if self.west is None else (self.west, self.south, self.east, self.north)
