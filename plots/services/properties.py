"""Making a property, and what is known of it as a whole."""

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


@transaction.atomic
def update_property(*, property, name, last_frost_on, first_frost_on, address=None, order_terms=None):
    """Name the property, say when its frosts come and what its purchase orders say; its web address stays.

    Parameters
    ----------
    last_frost_on, first_frost_on : date or None
        Average last frost of spring and first of autumn, in any order; None while not known. Only month and
        day count.
    address, order_terms : str or None
        Where seed is delivered and billed to, and on what terms it is bought; None leaves them as they were.

    Raises
    ------
    Refused
        A name that is empty or too long.
    """
    property.name = " ".join(name.split())
    property.last_frost_on, property.first_frost_on = last_frost_on, first_frost_on
    for field, value in (("address", address), ("order_terms", order_terms)):
        if value is not None:
            setattr(property, field, value.strip())
    fields = ["name", "last_frost_on", "first_frost_on", "address", "order_terms"]
    return save_clean(property, update_fields=fields)


def _free_slug(name):
    longest = Property._meta.get_field("slug").max_length - _ROOM_FOR_NUMBER
    wanted = slugify(name)[:longest].strip("-") or "property"
    taken = set(Property.objects.filter(slug__startswith=wanted).values_list("slug", flat=True))
    number, slug = 1, wanted
    while slug in taken:
        number += 1
        slug = f"{wanted}-{number}"
    return slug
