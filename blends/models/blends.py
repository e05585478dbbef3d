"""Blends in versions, their components, and what was clipped of them."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models.functions import Lower

from blends.models.columns import NOT_NEGATIVE, POSITIVE, derived, percent_field, rate_field
from blends.models.species import Species
from plots.calc.units import g_per_ft2_to_lb_per_acre
from plots.models import Plot, Property, User


class Blend(models.Model):
    """One version of a blend. Once planted it is not edited: a change makes the next version."""

    class Kind(models.TextChoices):
        MIXED_HERE = "mixed", "Mixed here"
        BOUGHT = "bought", "Bought mixed"

    property = models.ForeignKey(Property, on_delete=models.CASCADE, related_name="blends")
    name = models.CharField(max_length=80)
    version = models.PositiveIntegerField(default=1)
    previous = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="next"
    )
    kind = models.CharField(max_length=6, choices=Kind.choices, default=Kind.MIXED_HERE)
    notes = models.TextField(blank=True, max_length=5000)
    # Bought mixed: the bag's bulk pounds an acre; the tag's shares are on the components.
    drilled_bulk_lb_per_acre = rate_field("drilled (bulk lb/ac)")
    broadcast_bulk_lb_per_acre = rate_field("broadcast (bulk lb/ac)")
    # A letter or two that mark the blend on the map and in tables, beside its colour.
    mark = models.CharField(max_length=3)
    tint = models.PositiveSmallIntegerField(default=0, help_text="Index into the palette of the stylesheet.")
    is_archived = models.BooleanField(default=False)
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["name", "-version"]
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                "property",
                "version",
                name="one_blend_a_name_and_version",
                violation_error_message="Another blend of this property has this name.",
            )
        ]

    def __str__(self):
        return self.name if self.version == 1 else f"{self.name} v{self.version}"

    @derived
    def is_bought(self):
        return self.kind == self.Kind.BOUGHT


class Component(models.Model):
    """A species in a blend: rates when it is mixed here, the tag's figures when it is bought mixed."""

    blend = models.ForeignKey(Blend, on_delete=models.CASCADE, related_name="components")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="components")
    position = models.PositiveSmallIntegerField(default=0)
    drilled_pls_lb_per_acre = rate_field("drilled (PLS lb/ac)")
    broadcast_pls_lb_per_acre = rate_field("broadcast (PLS lb/ac)")
    tag_pct_by_weight = percent_field("share of the bag (pure seed, % by weight)")
    tag_germination_pct = percent_field("germination on the tag (%)")

    class Meta:
        ordering = ["position", "pk"]
        constraints = [models.UniqueConstraint(fields=["blend", "species"], name="a_species_once_a_blend")]

    def __str__(self):
        return f"{self.species} in {self.blend}"


class Clipping(models.Model):
    """Dry matter of a stand or of one of its species, clipped inside frames, dried and weighed.

    Clippings go before the table's dry matter. What was weighed is kept; pounds an acre follow from it.
    """

    class Stage(models.TextChoices):
        LEAFY = "leafy", "Leafy"
        MATURE = "mature", "Mature"

    blend = models.ForeignKey(Blend, on_delete=models.CASCADE, related_name="clippings")
    species = models.ForeignKey(Species, on_delete=models.PROTECT, related_name="+")
    plot = models.ForeignKey(Plot, on_delete=models.SET_NULL, null=True, blank=True, related_name="clippings")
    stage = models.CharField(max_length=6, choices=Stage.choices)
    clipped_on = models.DateField()
    frames = models.PositiveSmallIntegerField(
        "frames clipped", validators=[MinValueValidator(1), MaxValueValidator(1000)]
    )
    frame_ft2 = models.DecimalField(
        "ground inside one frame (ft²)", max_digits=7, decimal_places=3, validators=POSITIVE
    )
    # All frames together, without the bag; frames with nothing in them count as frames.
    dry_g = models.DecimalField("dry weight (g)", max_digits=9, decimal_places=2, validators=NOT_NEGATIVE)
    wet_g = models.DecimalField(
        "fresh weight (g)", max_digits=9, decimal_places=2, null=True, blank=True, validators=NOT_NEGATIVE
    )
    created_by = models.ForeignKey(User, on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ["-clipped_on", "-pk"]

    def __str__(self):
        return f"{self.species} in {self.blend}, clipped {self.clipped_on}"

    @derived
    def dry_lb_per_acre(self):
        return g_per_ft2_to_lb_per_acre(float(self.dry_g) / (self.frames * float(self.frame_ft2)))
