"""Columns that several models have, and what they accept."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

derived = property  # a field named `property` hides the builtin inside a class body

PERCENT = [MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))]
POSITIVE = [MinValueValidator(Decimal("0.0001"))]
NOT_NEGATIVE = [MinValueValidator(Decimal(0))]
DAYS = [MinValueValidator(1), MaxValueValidator(1000)]


def rate_field(what, **kwargs):
    """Pounds per acre, unknown while null."""
    return models.DecimalField(
        what, max_digits=9, decimal_places=4, null=True, blank=True, validators=POSITIVE, **kwargs
    )


def percent_field(what, **kwargs):
    return models.DecimalField(
        what, max_digits=5, decimal_places=2, null=True, blank=True, validators=PERCENT, **kwargs
    )


def days_field(what, **kwargs):
    return models.PositiveSmallIntegerField(what, null=True, blank=True, validators=DAYS, **kwargs)


def usd_field(what, **kwargs):
    """Whole cents, unknown while null."""
    return models.DecimalField(
        what, max_digits=12, decimal_places=2, null=True, blank=True, validators=NOT_NEGATIVE, **kwargs
    )


def pounds_field(what, **kwargs):
    """Bulk pounds to a thousandth, about half a gram."""
    return models.DecimalField(what, max_digits=12, decimal_places=3, **kwargs)


def tag_fields():
    """What a seed tag states besides pure seed, germination, hard and dormant seed, in the law's order.

    Noxious weeds are listed by name and number as the tag has them; the month of the test is its first day.
    """
    return (
        percent_field("other crop seed (%)"),
        percent_field("weed seed (%)"),
        percent_field("inert matter (%)"),
        models.CharField("noxious weed seeds, as listed", max_length=300, blank=True),
        models.DateField("month of the test", null=True, blank=True),
        models.CharField(max_length=80, blank=True),
        models.CharField("treatment, as named on the tag", max_length=200, blank=True),
    )
