"""Suppliers and what they offer."""

from django.db import transaction

from blends.access import species_rows
from blends.models import Offer, Supplier
from blends.services.stale import mark_orders_stale
from config.errors import Conflict, Refused
from plots.services.rows import save_clean

OFFER_FIELDS = (
    "supplier",
    "species",
    "blend",
    "variety",
    "pack_lb",
    "price_usd",
    "purity_pct",
    "germination_pct",
    "hard_pct",
    "dormant_pct",
    "quoted_on",
)


@transaction.atomic
def add_supplier(*, property, name):
    """A supplier by name.

    Raises
    ------
    Refused
        An empty name, or one that the property has already.
    """
    return save_clean(Supplier(property=property, name=name.strip()))


@transaction.atomic
def save_offer(*, property, offer=None, **values):
    """Make an offer, or change one; the orders that chose it are computed again.

    A new quote for a new season is a new offer: changing this one changes the past orders that chose it.

    Parameters
    ----------
    property : Property
    offer : Offer or None
        The one to change; values that are not given stay as they are.
    **values
        OFFER_FIELDS: a supplier, a species or a bought blend, the pack [bulk lb], its price [USD] and the
        tag [%] as far as it is known.

    Raises
    ------
    Refused
        A value that cannot be used, or anything of another property.
    Conflict
        Another species or blend for an offer that an order has chosen.
    """
    unknown = values.keys() - set(OFFER_FIELDS)
    if unknown:
        raise Refused(f"“{min(unknown)}” is not a value of an offer; accepted are {', '.join(OFFER_FIELDS)}.")
    if offer is None:
        offer = Offer(property=property)
    elif offer.property_id != property.pk:
        raise Refused("This offer belongs to another property.")
    else:
        # A choice that is being stored holds its offer: wait for it, or its order would be missed.
        offer = Offer.objects.select_for_update().get(pk=offer.pk)
    thing = offer.species_id, offer.blend_id
    for field, value in values.items():
        setattr(offer, field, value)
    _check_offer(property, offer)
    if offer.pk and (offer.species_id, offer.blend_id) != thing and offer.choices.exists():
        raise Conflict("An order has chosen this offer; make a new offer for another species or blend.")
    offer = save_clean(offer)
    mark_orders_stale(orderchoices__offer=offer)
    return offer


@transaction.atomic
def withdraw_offer(*, offer):
    """Stop offering it for new orders. Orders that chose it keep it."""
    Offer.objects.filter(pk=offer.pk).update(is_withdrawn=True)
    offer.is_withdrawn = True


def _check_offer(property, offer):
    if offer.supplier_id is not None and offer.supplier.property_id != property.pk:
        _refuse("supplier", f"Supplier {offer.supplier_id} is not one of this property.")
    if offer.species_id is not None and not species_rows(property).filter(pk=offer.species_id).exists():
        _refuse("species", f"Species {offer.species_id} is not in this property's list.")
    if offer.blend_id is not None:
        if offer.blend.property_id != property.pk:
            _refuse("blend", f"Blend {offer.blend_id} is not one of this property.")
        if not offer.blend.is_bought:
            _refuse("blend", f"{offer.blend} is mixed here; an offer is for a species or for a bought mix.")
    if (offer.species_id is None) == (offer.blend_id is None):
        _refuse("species", "An offer is for one thing: a species, or a bought mix.")
    for field in ("purity_pct", "germination_pct"):
        if getattr(offer, field) == 0:
            label = Offer._meta.get_field(field).verbose_name
            _refuse(
                field, f"{label} is 0; accepted is above 0 to 100, or nothing where the tag is not known."
            )
    try:
        alive_pct = sum(
            float(getattr(offer, f"{what}_pct") or 0) for what in ("germination", "hard", "dormant")
        )
    except (TypeError, ValueError):
        return  # not a number: full_clean says so at the field
    if alive_pct > 100:
        _refuse(
            "germination_pct",
            f"Germination, hard and dormant seed add up to {alive_pct:g} %; accepted is 100 % at most.",
        )


def _refuse(field, sentence):
    raise Refused(sentence, fields={field: [sentence]})
