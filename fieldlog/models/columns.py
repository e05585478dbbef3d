"""Columns that several models have."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


def place_fields():
    """Longitude, latitude and the accuracy of a place, each null where nobody knows. [°, °, m]"""
    return (
        _between(-180, 180),
        _between(-90, 90),
        models.FloatField(null=True, blank=True, validators=[MinValueValidator(0)]),
    )


def bearing_field():
    """The way a camera looked, from true north through east. [°]"""
    return models.FloatField(null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(360)])


def _between(least, most):
    return models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(least), MaxValueValidator(most)]
    )
