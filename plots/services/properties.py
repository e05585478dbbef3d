"""Making a property."""

from django.db import transaction
from django.utils.text import slugify

from plots.models import Membership, Property
from plots.services.rows import save_clean

_ROOM_FOR_NUMBER = 8


@transaction.atomic
def create_property(*, user, name):
    """A property with the person as its owner; its address is made from its name."""
    property = save_clean(Property(name=" ".join(name.split()), slug=_free_slug(name)))
    Membership.objects.create(user=user, property=property, role=Membership.Role.OWNER)
    return property


def _free_slug(name):
    longest = Property._meta.get_field("slug").max_length - _ROOM_FOR_NUMBER
    wanted = slugify(name)[:longest].strip("-") or "property"
    taken = set(Property.objects.filter(slug__startswith=wanted).values_list("slug", flat=True))
    number, slug = 1, wanted
    while slug in taken:
        number += 1
        slug = f"{wanted}-{number}"
    return slug
