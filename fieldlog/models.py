"""What is recorded on the ground."""

import uuid

from django.db import models

from plots.models import Plot, User


class Visit(models.Model):
    """Somebody was at a plot. What they saw hangs on it."""

    id = models.UUIDField(
        primary_key=True, default=uuid.uuid4, help_text="Made where it is recorded, on a phone too."
    )
    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, related_name="visits")
    visited_at = models.DateTimeField(help_text="By the clock of whoever recorded it, to the second.")
    note = models.TextField(blank=True, max_length=5000)
    recorded_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    received_at = models.DateTimeField(auto_now_add=True)
    # Once it has been corrected, {"visited_at", "note"} as they came first: nothing is lost, and a phone that sends
    # them again, because the answer never reached it, is still told that they are here.
    first_said = models.JSONField(null=True, blank=True, editable=False)
    corrected_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    corrected_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-visited_at", "-received_at"]
        indexes = [models.Index(fields=["plot", "-visited_at"], name="visits_of_a_plot")]

    def __str__(self):
        return f"{self.plot}, {self.visited_at:%Y-%m-%d}"
