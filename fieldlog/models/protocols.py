"""What an owner changed of the protocols and rules that come with the tool; those not changed have no row."""

from django.db import models

from plots.models import Plot, Property, User


class Protocol(models.Model):
    """How something is measured here: a kind of fieldlog/kinds, with this property's settings."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="protocols")
    # The kind's own key where it changes the protocol that comes with the tool; else a word of this property's.
    key = models.SlugField(max_length=40)
    kind = models.CharField(max_length=20)
    name = models.CharField(max_length=80)
    settings = models.JSONField(default=dict, blank=True)
    instructions = models.TextField(blank=True, max_length=2000)
    is_on = models.BooleanField("asked for on visits", default=True)
    on_all_plots = models.BooleanField(default=True)
    plots = models.ManyToManyField(Plot, blank=True, related_name="protocols")
    every_days = models.PositiveSmallIntegerField(null=True, blank=True)
    position = models.PositiveSmallIntegerField(default=0)
    changed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField(auto_now=True)
    earlier = models.JSONField(default=list, blank=True, editable=False)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [models.UniqueConstraint(fields=["property", "key"], name="a_protocol_once")]

    def __str__(self):
        return self.name


class Rule(models.Model):
    """What an owner changed of a rule of fieldlog/rules."""

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="rules")
    key = models.SlugField(max_length=40)
    thresholds = models.JSONField(default=dict, blank=True)
    is_on = models.BooleanField(default=True)
    changed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    changed_at = models.DateTimeField(auto_now=True)
    earlier = models.JSONField(default=list, blank=True, editable=False)

    class Meta:
        ordering = ["key"]
        constraints = [models.UniqueConstraint(fields=["property", "key"], name="a_rule_once")]

    def __str__(self):
        return self.key
