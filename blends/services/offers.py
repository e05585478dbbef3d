"""What suppliers offer: made, changed, replaced, withdrawn. What an offer may say is in blends/offer_rules.py."""

from dataclasses import dataclass, field
from decimal import Decimal

from django.db import transaction
from django.db.models import Q

from blends.models import BuyingPlan, Offer, OrderChoice, Planting, PriceBreak, PurchaseOrder, SeedOrder
from blends.offer_rules import OFFER_FIELDS, SCALARS, check_offer, pack_price_of
from blends.services.stale import mark_stale
from blends.services.suppliers import add_supplier
from config.errors import Conflict, Refused, refuse
from plots.services.rows import save_clean

__all__ = ["OFFER_FIELDS", "add_supplier", "offer_again", "save_offer", "withdraw_offer"]

_PLANTED = (Planting.State.DRILLED, Planting.State.UP, Planting.State.TERMINATED)


@dataclass(frozen=True)
class Replacement:
    """Another offer was made in the place of one that had to stay as it was.

    Attributes
    ----------
    old : Offer
    moved, kept : list of SeedOrder
        Orders whose choice went over to the new one, and orders that keep the old one and its price.
    """

    old: Offer
    moved: list = field(default_factory=list)
    kept: list = field(default_factory=list)

    @property
    def said(self):
        """One sentence for the person."""
        words = (
            "The offer as it was stays where it was ordered or planted, and is withdrawn; this is a new one."
        )
        if self.moved:
            words += f" It is bought from now on for: {_seasons(self.moved)}."
        if self.kept:
            words += f" Kept as it was: {_seasons(self.kept)}."
        return words


@transaction.atomic
def save_offer(*, property, offer=None, breaks=None, **values):
    """Make an offer, or change one; the orders that chose it are computed again.

    An offer that a sent purchase order names, or that the order of a season chose in which something has been
    planted, stays as it is: the change makes a new offer, and the old one is withdrawn and `replaced_by` it. Orders
    of which nothing has been sent, of seasons in which nothing has been planted, go over to the new one.

    Parameters
    ----------
    property : Property
    offer : Offer or None
        The one to change; values that are not given stay as they are.
    breaks : list of {"from_packs": int, "quoted_usd": Decimal} or None
        From so many packs on, the price of all of them, quoted as the price is. None leaves them as they are.
    **values
        OFFER_FIELDS: a supplier, a species or a bought blend, the pack [bulk lb], its price [USD] as it is quoted
        and the tag [%] as far as it is known. `price_usd` alone is a price quoted by the pack.

    Returns
    -------
    Offer
        With `replacement`: a Replacement where a new offer was made in the place of `offer`, else None.

    Raises
    ------
    Refused
        A value that cannot be used, or anything of another property.
    Conflict
        Another species or blend for an offer that is in use; an offer that has been replaced.
    """
    unknown = values.keys() - set(OFFER_FIELDS)
    if unknown:
        raise Refused(f"“{min(unknown)}” is not a value of an offer; accepted are {', '.join(OFFER_FIELDS)}.")
    if offer is None:
        saved = _written(property, Offer(property=property), values, breaks or [])
        saved.replacement = None
        return saved
    if offer.property_id != property.pk:
        raise Refused("This offer belongs to another property.")
    # A choice that is being stored holds its offer: wait for it, or its order would be missed.
    offer = Offer.objects.select_for_update().get(pk=offer.pk)
    if offer.replaced_by_id is not None:
        raise Conflict(f"The offer “{offer}” has been replaced by another; change that one.")
    before = _facts(offer)
    thing = offer.species_id, offer.blend_id
    if is_settled(offer):
        return _replaced(property, offer, thing, before, values, breaks)
    saved = _written(property, offer, values, breaks, thing)
    saved.replacement = None
    mark_stale([order.pk for order in orders_buying(saved)])
    return saved


@transaction.atomic
def withdraw_offer(*, offer):
    """Stop offering it for new orders. Orders that chose it keep it."""
    Offer.objects.filter(pk=offer.pk).update(is_withdrawn=True)
    offer.is_withdrawn = True


@transaction.atomic
def offer_again(*, offer):
    """Take back that an offer was withdrawn.

    Raises
    ------
    Conflict
        Another offer has replaced it.
    """
    row = Offer.objects.select_for_update().get(pk=offer.pk)
    if row.replaced_by_id is not None:
        raise Conflict(f"The offer “{row}” has been replaced by another, which is offered instead.")
    Offer.objects.filter(pk=row.pk).update(is_withdrawn=False)
    offer.is_withdrawn = False


def put_in_place_of(old, new):
    """Withdraw an offer for another of the same seed, and take over the choices that are free to go.

    Returns
    -------
    Replacement
    """
    Offer.objects.filter(pk=old.pk).update(is_withdrawn=True, replaced_by=new)
    old.is_withdrawn, old.replaced_by = True, new
    orders = orders_buying(old)
    moved = [order for order in orders if is_free_to_change(order)]
    OrderChoice.objects.filter(order__in=moved, offer=old).update(offer=new)
    mark_stale([order.pk for order in moved])
    return Replacement(old, moved, [order for order in orders if order not in moved])


def is_free_to_change(order):
    """Whether a new price may still reach the order: nothing of it has been sent, nothing of its season planted."""
    is_sent = order.purchase_orders.exclude(state=PurchaseOrder.State.DRAFT).exists()
    return not is_sent and not order.season.plantings.filter(state__in=_PLANTED).exists()


def is_settled(offer):
    """Whether the offer has to stay as it is."""
    sent = offer.purchase_lines.exclude(purchase__state=PurchaseOrder.State.DRAFT)
    orders = orders_buying(offer)
    planted = Planting.objects.filter(season__order__in=orders, state__in=_PLANTED)
    return sent.exists() or planted.exists()


def orders_buying(offer):
    """Orders that chose the offer, or took a way to buy that has it."""
    taken = BuyingPlan.objects.filter(order__season__property=offer.property_id, taken_at__isnull=False)
    by_plan = [
        order_id
        for order_id, found in taken.values_list("order", "found")
        if any(line.get("offer_id") == offer.pk for line in found.get("lines", []))
    ]
    orders = SeedOrder.objects.filter(Q(orderchoices__offer=offer) | Q(pk__in=by_plan))
    return list(orders.select_related("season").distinct().order_by("season__year", "season__kind"))


def _replaced(property, old, thing, before, values, breaks):
    breaks = _breaks_of(old) if breaks is None else breaks
    new = Offer.objects.get(pk=old.pk)
    new.pk, new.price_list = None, None
    new._state.adding = True
    probe = _filled(property, new, values, breaks)
    if (probe.species_id, probe.blend_id) != thing:
        raise Conflict("An order has chosen this offer; make a new offer for another species or blend.")
    if _facts(probe, breaks) == before:  # nothing was changed
        old.replacement = None
        return old
    new = _stored(new, breaks)
    new.replacement = put_in_place_of(old, new)
    return new


def _written(property, offer, values, breaks, thing=None):
    breaks = _breaks_of(offer) if breaks is None else breaks
    offer = _filled(property, offer, values, breaks)
    is_in_use = offer.pk and (offer.choices.exists() or offer.purchase_lines.exists())
    if is_in_use and (offer.species_id, offer.blend_id) != thing:
        raise Conflict("An order has chosen this offer; make a new offer for another species or blend.")
    return _stored(offer, breaks)


def _filled(property, offer, values, breaks):
    """The offer with its values and prices, checked and not stored."""
    if "price_usd" in values and "quoted_usd" not in values:
        if values.get("quoted_per", Offer.QuotedPer.PACK) != Offer.QuotedPer.PACK:
            refuse("quoted_usd", "A price by the pound is needed: the price of the pack follows from it.")
        values = {
            **values,
            "quoted_per": Offer.QuotedPer.PACK,
            "quoted_usd": values["price_usd"],
        }
    told_usd = values.get("price_usd")
    for name, value in values.items():
        setattr(offer, name, value)
    check_offer(property, offer, breaks)
    if told_usd is not None and told_usd != offer.price_usd:
        refuse(
            "price_usd",
            f"The price of a pack is {told_usd}, and as it is quoted it comes to {offer.price_usd}; "
            "accepted is that figure, or none.",
        )
    return offer


def _stored(offer, breaks):
    offer = save_clean(offer)
    # What is typed is the whole list of breaks; a document has its own copy of the price.
    offer.breaks.all().delete()
    for each in breaks:
        save_clean(
            PriceBreak(
                offer=offer,
                from_packs=each["from_packs"],
                quoted_usd=each["quoted_usd"],
                price_usd=pack_price_of(offer, each["quoted_usd"]),
            )
        )
    return offer


def _facts(offer, breaks=None):
    """Everything that an offer says, to see whether anything is changed."""
    breaks = _breaks_of(offer) if breaks is None else breaks
    said = [(each["from_packs"], Decimal(each["quoted_usd"])) for each in breaks]
    return [getattr(offer, name) for name in (*SCALARS, "supplier_id", "species_id", "blend_id")], said


def _breaks_of(offer):
    return [{"from_packs": each.from_packs, "quoted_usd": each.quoted_usd} for each in offer.breaks.all()]


def _seasons(orders):
    return ", ".join(str(order.season).lower() for order in orders)
