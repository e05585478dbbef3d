"""What a pound of seed costs today, for comparing blends; an order is priced by the pack."""

from dataclasses import dataclass

from django.db.models import Q
from django.utils import timezone

from blends.calc.seed import usd_per_pls_lb
from blends.models import Offer, OrderChoice, SeedOrder
from blends.queries.offers import is_open
from blends.queries.order_inputs import assumed_fraction, tag_fraction
from blends.queries.versions import version_ids


@dataclass(frozen=True)
class Price:
    """The price that a cost per acre rests on.

    Attributes
    ----------
    offer : Offer
    usd_per_lb : float
        Of live seed; of bulk seed for a bought mix.
    is_chosen : bool
        The latest order with this item has chosen the offer; otherwise it is the cheapest.
    is_pls_assumed : bool
        The offer has no full tag.
    """

    offer: Offer
    usd_per_lb: float
    is_chosen: bool
    is_pls_assumed: bool


@dataclass(frozen=True)
class Prices:
    """Price by species id and by blend id; what nobody offers is not in it."""

    by_species: dict
    by_blend: dict


NO_PRICES = Prices({}, {})


def prices(property, species_ids, blends=()):
    """The price of species and of bought mixes: the offer that the latest order chose, else the cheapest open one.

    Parameters
    ----------
    property : Property
    species_ids : iterable of int
    blends : iterable of Blend
        Stored; those bought mixed are looked up, and offers for their earlier versions count for them.

    Returns
    -------
    Prices
        Two queries, one more where there is a bought mix.
    """
    bought = [blend for blend in blends if blend.is_bought]
    versions = version_ids(property, bought) if bought else {}
    wanted = Q(species__in=species_ids) | Q(blend__in=[pk for ids in versions.values() for pk in ids])
    chosen = _latest_choices(property, wanted)
    assumed = assumed_fraction(SeedOrder())
    by_thing = {}
    today = timezone.localdate()
    chosen_ids = set(chosen.values())
    offers = Offer.objects.filter(wanted, property=property, is_withdrawn=False).select_related("supplier")
    for offer in offers:
        if offer.pk not in chosen_ids and not is_open(offer, today):
            continue
        by_thing.setdefault((offer.species_id, offer.blend_id), []).append(offer)

    def best(keys, chosen_id):
        found = [
            _price(offer, offer.pk == chosen_id, assumed) for key in keys for offer in by_thing.get(key, [])
        ]
        return min(found, key=lambda price: (not price.is_chosen, price.usd_per_lb), default=None)

    by_species = {pk: best([(pk, None)], chosen.get((pk, None))) for pk in species_ids}
    by_blend = {}
    for blend in bought:
        keys = [(None, pk) for pk in versions[blend.pk]]
        by_blend[blend.pk] = best(keys, next((chosen[key] for key in keys if key in chosen), None))
    return Prices(*({pk: price for pk, price in found.items() if price} for found in (by_species, by_blend)))


def _latest_choices(property, wanted):
    """{(species id, blend id): id of the offer that the latest order with that item has chosen}."""
    chosen = {}
    choices = (
        OrderChoice.objects.filter(wanted, order__season__property=property, offer__is_withdrawn=False)
        .order_by("-order__season__year", "order__season__kind")
        .values_list("species_id", "blend_id", "offer_id")
    )
    for species_id, blend_id, offer_id in choices:
        chosen.setdefault((species_id, blend_id), offer_id)
    return chosen


def _price(offer, is_chosen, assumed):
    usd_per_bulk_lb = float(offer.price_usd) / float(offer.pack_lb)
    if offer.species_id is None:
        return Price(offer, usd_per_bulk_lb, is_chosen, False)
    live = tag_fraction(offer)
    return Price(offer, float(usd_per_pls_lb(usd_per_bulk_lb, live or assumed)), is_chosen, live is None)
