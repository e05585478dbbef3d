"""Suppliers with what can be bought from them, and their terms in words."""

from django.db.models import Count, Q
from django.utils import timezone

from blends.models import Supplier


def suppliers_of(property, on=None):
    """The property's suppliers with `offer_count`, the offers that are open on a day (today); one query."""
    on = on or timezone.localdate()
    is_open = Q(offers__is_withdrawn=False) & (
        Q(offers__valid_until__isnull=True) | Q(offers__valid_until__gte=on)
    )
    rows = Supplier.objects.filter(property=property)
    return rows.annotate(offer_count=Count("offers", filter=is_open))


def freight_words(supplier):
    """What bringing costs, as a sentence without its point.

    Examples
    --------
    >>> from decimal import Decimal
    >>> freight_words(Supplier(freight_kind="weight", freight_usd_per_lb=Decimal("0.0850"), freight_usd=Decimal(25)))
    '$0.085 a pound, at least $25.00'
    """
    kind = Supplier.Freight(supplier.freight_kind)
    if kind == Supplier.Freight.UNKNOWN:
        return "not known"
    if kind == Supplier.Freight.NONE:
        return "delivered free"
    if kind == Supplier.Freight.FLAT:
        words = f"${supplier.freight_usd:,.2f} an order"
    else:
        if kind == Supplier.Freight.WEIGHT:
            words = f"${supplier.freight_usd_per_lb.normalize():f} a pound"
        else:
            words = f"{supplier.freight_pct.normalize():f} % of the goods"
        if supplier.freight_usd:
            words += f", at least ${supplier.freight_usd:,.2f}"
    if supplier.freight_free_from_usd is not None:
        words += f", free from goods of ${supplier.freight_free_from_usd:,.2f}"
    return words
