"""Offers: those that can be bought from today, and their prices by the pound for comparing."""

from dataclasses import dataclass

from django.db.models import Q

from blends.calc.seed import usd_per_pls_lb
from blends.calc.tag_findings import names_treatment
from blends.models import Offer, SeedOrder
from blends.offer_rules import PARTS
from blends.queries.order_inputs import assumed_fraction, tag_fraction


@dataclass(frozen=True)
class PricedOffer:
    """An offer by the pound.

    Attributes
    ----------
    offer : Offer
    usd_per_bulk_lb : float
    pure_live_fraction : float or None
        From the tag, or assumed; None for a bought mix, which is sown by the bulk pound. [-]
    is_pls_assumed : bool
    usd_per_pls_lb : float or None
    """

    offer: Offer
    usd_per_bulk_lb: float
    pure_live_fraction: float | None
    is_pls_assumed: bool
    usd_per_pls_lb: float | None

    @property
    def item(self):
        """The species or the bought blend that is offered."""
        return self.offer.species or self.offer.blend

    @property
    def is_treated(self):
        return names_treatment(self.offer.treatment)


def open_offers(property, on):
    """The offers that seed can be bought from on a day, with supplier, species, blend and price breaks; two queries.

    Left out are those withdrawn, those whose last day is before `on`, and those of suppliers that are archived.
    """
    rows = Offer.objects.filter(property=property, is_withdrawn=False, supplier__is_archived=False)
    rows = rows.filter(Q(valid_until__isnull=True) | Q(valid_until__gte=on))
    return rows.select_related("supplier", "species", "blend").prefetch_related("breaks")


def is_expired(offer, on):
    """Whether the offer's last day is before `on`."""
    return offer.valid_until is not None and offer.valid_until < on


def is_open(offer, on):
    """Whether `open_offers` has it: neither withdrawn nor expired, of a supplier in use."""
    return not (offer.is_withdrawn or offer.supplier.is_archived or is_expired(offer, on))


def tag_notes(offer):
    """What is odd about the tag and stands in nobody's way, in sentences."""
    parts = [getattr(offer, name) for name in PARTS]
    notes = []
    if None not in parts and sum(parts) != 100:
        notes.append(
            f"Pure seed, other crop, weed seed and inert matter add up to {sum(parts).normalize():f} %, not to 100 %."
        )
    unreached = [
        each.from_packs
        for each in offer.breaks.all()
        if each.from_packs > (offer.most_packs or each.from_packs)
    ]
    if unreached:
        notes.append(
            f"{offer.most_packs} packs are to be had, so the price from {unreached[0]} packs is never reached."
        )
    return notes


def priced(offers, order=None):
    """PricedOffer rows; `order` brings the tag that is assumed, otherwise the usual one is."""
    assumed = assumed_fraction(order or SeedOrder())
    return [_priced(offer, assumed) for offer in offers]


def _priced(offer, assumed):
    usd_per_bulk_lb = float(offer.price_usd) / float(offer.pack_lb)
    if offer.species_id is None:
        return PricedOffer(offer, usd_per_bulk_lb, None, False, None)
    tag = tag_fraction(offer)
    live = tag or assumed
    return PricedOffer(
        offer, usd_per_bulk_lb, live, tag is None, float(usd_per_pls_lb(usd_per_bulk_lb, live))
    )
