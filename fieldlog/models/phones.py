"""The phones that people record with, and where people are while they work alone."""

import uuid

from django.db import models
from django.db.models import Q
from django.utils import timezone

from fieldlog.models.columns import place_fields
from plots.models import Plot, Property, User
from plots.models.columns import derived


class Phone(models.Model):
    """A browser that records, as one person uses it. What it last said of itself and of what waits on it."""

    phone_id = models.UUIDField(help_text="Made on the phone; two people may share one.")
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="phones")
    name = models.CharField(max_length=80, blank=True)
    user_agent = models.CharField(max_length=300, blank=True)
    first_seen_at = models.DateTimeField(auto_now_add=True)
    last_seen_at = models.DateTimeField()
    # How far its clock was ahead of the server's when it last said so. [s]
    clock_ahead_s = models.IntegerField(null=True)
    # [{"id", "kind", "title", "slug", "started_at", "refused"}]: what had not been sent when it last said so.
    waiting = models.JSONField(default=list, blank=True)
    session_key = models.CharField(max_length=40, blank=True, editable=False)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(User, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-last_seen_at"]
        constraints = [models.UniqueConstraint(fields=["phone_id", "user"], name="a_phone_once_a_person")]

    def __str__(self):
        return self.name or "A phone"


class CheckIn(models.Model):
    """Somebody works alone and says by when they will be back."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, help_text="Made where it is recorded.")
    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="check_ins")
    user = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    plot = models.ForeignKey(Plot, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    began_at = models.DateTimeField()
    back_by = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    # Who said so; at the desk it may be somebody else.
    ended_by = models.ForeignKey(User, on_delete=models.SET_NULL, null=True, blank=True, related_name="+")
    lon, lat, accuracy_m = place_fields()
    note = models.CharField(max_length=300, blank=True)
    received_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-began_at"]
        indexes = [
            models.Index(
                fields=["property", "back_by"], condition=Q(ended_at__isnull=True), name="who_is_out"
            )
        ]

    def __str__(self):
        return f"{self.user.shown_name}, back by {self.back_by:%H:%M}"

    @derived
    def is_overdue(self):
        return self.ended_at is None and self.back_by < timezone.now()
