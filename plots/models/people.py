"""Properties and the people on them."""

import hashlib
import secrets

from django.contrib.auth.models import AbstractUser
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from plots.models.columns import derived


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

    class Imagery(models.TextChoices):
        XYZ = "xyz", "XYZ tiles"
        WMTS = "wmts", "WMTS (OGC Web Map Tile Service)"
        NONE = "none", "None"

    name = models.CharField(max_length=120)
    slug = models.SlugField(max_length=60, unique=True)
    # Average dates, which are even chances; only month and day count. Null while nobody has given them.
    last_frost_on = models.DateField("last frost of spring", null=True, blank=True)
    first_frost_on = models.DateField("first frost of autumn", null=True, blank=True)
    # Pictures of the ground from somebody else's server, below the plots; empty is the installation's, if it has any.
    imagery_kind = models.CharField(max_length=4, choices=Imagery.choices, blank=True)
    imagery_address = models.CharField(max_length=500, blank=True)
    imagery_credit = models.CharField("words its provider asks for", max_length=200, blank=True)
    imagery_zoom = models.PositiveSmallIntegerField(
        "nearest zoom it has pictures for",
        default=16,
        validators=[MinValueValidator(1), MaxValueValidator(22)],
    )
    # What its purchase orders say: where to deliver and bill to, and on what terms it buys.
    address = models.TextField(blank=True, max_length=500)
    order_terms = models.TextField("terms of its purchase orders", blank=True, max_length=2000)
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
