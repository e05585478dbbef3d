"""Offers with their prices by the pound, for comparing."""

from dataclasses import dataclass

from blends.calc.seed import usd_per_pls_lb
from blends.models import Offer, SeedOrder
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
