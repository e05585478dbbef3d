"""What readings propose, what is to be done, and what was done."""

import uuid

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from fieldlog.models.columns import place_fields
from fieldlog.models.visits import Reading
from plots.models import Plot, Property, User


class WorkItem(models.Model):
    """Something to be done: where, by whom, by when, with what."""

    class Kind(models.TextChoices):
        PULL = "pull", "Pull weeds"
        RECOUNT = "recount", "Count again"
        OVERSEED = "overseed", "Overseed"
        ORDER = "order", "Order seed"
        CALIBRATE = "calibrate", "Calibrate"
        DRILL = "drill", "Drill"
        TERMINATE = "terminate", "Terminate"
        SOIL_TEST = "soil_test", "Test soil"
        VISIT = "visit", "Visit"
        OTHER = "other", "Other"

    class State(models.TextChoices):
        OPEN = "open", "To do"
        DONE = "done", "Done"
        DROPPED = "dropped", "Dropped"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, help_text="Made where it is written down.")
    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="work_items")
    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, null=True, blank=True, related_name="work_items")
    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.OTHER)
    title = models.CharField(max_length=120)
    how = models.TextField(blank=True, max_length=2000)
    tools = models.CharField(max_length=200, blank=True)
    lon, lat, accuracy_m = place_fields()
    starts_on = models.DateField(null=True, blank=True)
    due_on = models.DateField(null=True, blank=True)
    assigned_to = models.ForeignKey(
        User, on_delete=models.SET_NULL, null=True, blank=True, related_name="work_items"
    )
    state = models.CharField(max_length=7, choices=State.choices, default=State.OPEN)
    # What of a season's plan it stands for, such as "2027-warm/order"; once a property. Blank for anything else.
    plan_key = models.CharField(max_length=80, blank=True)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)
    earlier = models.JSONField(default=list, blank=True, editable=False)

    class Meta:
        ordering = ["due_on", "created_at"]
        indexes = [models.Index(fields=["property", "state", "due_on"], name="work_to_do")]
        constraints = [
            models.UniqueConstraint(
                fields=["property", "plan_key"], condition=~Q(plan_key=""), name="work_of_a_plan_once"
            )
        ]

    def __str__(self):
        return self.title


class WorkReport(models.Model):
    """Somebody worked on it: how long, and whether it is done. Its minutes belong to the plot's cost."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, help_text="Made where it is written down.")
    item = models.ForeignKey(WorkItem, on_delete=models.PROTECT, related_name="reports")
    done_at = models.DateTimeField(help_text="A phone's clock that was off is corrected.")
    said_at = models.DateTimeField(null=True, blank=True, editable=False)
    minutes = models.DecimalField(
        max_digits=6,
        decimal_places=1,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(10_000)],
    )
    is_finished = models.BooleanField("the work is done", default=True)
    note = models.CharField(max_length=1000, blank=True)
    lon, lat, accuracy_m = place_fields()
    reported_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    received_at = models.DateTimeField(auto_now_add=True)
    struck_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["done_at", "received_at"]

    def __str__(self):
        return f"{self.item}, {self.done_at:%Y-%m-%d}"


class Proposal(models.Model):
    """What a rule made of a reading: on which reading, with which thresholds. A person decides."""

    class State(models.TextChoices):
        OPEN = "open", "To be decided"
        ACCEPTED = "accepted", "Accepted"
        DISMISSED = "dismissed", "Dismissed"
        GONE = "gone", "No longer so"

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="proposals")
    plot = models.ForeignKey(Plot, on_delete=models.PROTECT, related_name="proposals")
    reading = models.ForeignKey(Reading, on_delete=models.PROTECT, related_name="proposals")
    rule = models.SlugField(max_length=40)
    thresholds = models.JSONField(default=dict, help_text="Of the rule when it spoke.")
    sentence = models.CharField(max_length=500)
    source = models.CharField(max_length=300, blank=True)
    # What the work would be; blank where it is a thought for the next blend.
    work_kind = models.CharField(max_length=10, choices=WorkItem.Kind.choices, blank=True)
    due_on = models.DateField(null=True, blank=True)
    state = models.CharField(max_length=9, choices=State.choices, default=State.OPEN)
    made_at = models.DateTimeField(auto_now_add=True)
    decided_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    decided_at = models.DateTimeField(null=True, blank=True)
    why = models.CharField(max_length=300, blank=True)
    work_item = models.OneToOneField(
        WorkItem, on_delete=models.SET_NULL, null=True, blank=True, related_name="proposal"
    )

    class Meta:
        ordering = ["-made_at"]
        constraints = [models.UniqueConstraint(fields=["reading", "rule"], name="a_rule_speaks_once")]

    def __str__(self):
        return self.sentence


class CalendarFeed(models.Model):
    """A secret address under which a calendar reads one person's work on a property. Only its hash is kept."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="calendar_feeds")
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="calendar_feeds")
    token_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    only_mine = models.BooleanField("only what is mine or nobody's", default=False)
    created_at = models.DateTimeField(auto_now_add=True)
    last_read_on = models.DateField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-created_at"]

    def __str__(self):
        return f"Calendar of {self.property} for {self.user}"
