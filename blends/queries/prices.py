"""What a pound of seed costs today, for comparing blends; an order is priced by the pack."""

from dataclasses import dataclass

from django.db.models import Q

from blends.calc.seed import usd_per_pls_lb
from blends.models import Blend, Offer, OrderChoice, SeedOrder
from blends.queries.order_inputs import assumed_fraction, tag_fraction


@dataclass(frozen=True)
class Price:
    """The price that a cost per acre rests on.

    Attributes
    ----------
    offer : Offer
    usd_per_lb : float
        Of live seed; of bulk seed for a bought mix.
    is_chosen : bool
        An order has chosen the offer; otherwise it is the cheapest.
    is_pls_assumed : bool
        The offer has no full tag.
    """

    offer: Offer
    usd_per_lb: float
    is_chosen: bool
    is_pls_assumed: bool


def prices(property, species_ids, blend=None):
    """The price of each species and of a bought mix: the offer that the latest order chose, else the cheapest.

    Parameters
    ----------
    property : Property
    species_ids : list of int
    blend : Blend, optional
        A stored bought mix; offers for its earlier versions count too.

    Returns
    -------
    dict
        Price by species id, and under "blend"; what nobody offers is not in it.
    """
    versions = version_ids(property, blend) if blend is not None and blend.is_bought else []
    wanted = Q(species__in=species_ids) | Q(blend__in=versions)
    chosen_ids = set()
    seen = set()
    choices = (
        OrderChoice.objects.filter(wanted, order__season__property=property, offer__is_withdrawn=False)
        .order_by("-order__season__year", "order__season__kind")
        .values_list("species_id", "offer_id")
    )
    for species_id, offer_id in choices:
        if species_id not in seen:
            seen.add(species_id)
            chosen_ids.add(offer_id)
    assumed = assumed_fraction(SeedOrder())
    found = {}
    offers = Offer.objects.filter(wanted, property=property, is_withdrawn=False).select_related("supplier")
    for offer in offers:
        price = _price(offer, offer.pk in chosen_ids, assumed)
        key = offer.species_id or "blend"
        if key not in found or _rank(price) < _rank(found[key]):
            found[key] = price
    return found


def version_ids(property, blend):
    """Ids of a blend and of all versions before it; one query."""
    previous = dict(Blend.objects.filter(property=property).values_list("pk", "previous_id"))
    ids, version = [], blend.pk
    while version is not None:
        ids.append(version)
        version = previous[version]
    return ids


def _price(offer, is_chosen, assumed):
    usd_per_bulk_lb = float(offer.price_usd) / float(offer.pack_lb)
    if offer.species_id is None:
        return Price(offer, usd_per_bulk_lb, is_chosen, False)
    live = tag_fraction(offer)
    return Price(offer, float(usd_per_pls_lb(usd_per_bulk_lb, live or assumed)), is_chosen, live is None)


def _rank(price):
    return not price.is_chosen, price.usd_per_lb
