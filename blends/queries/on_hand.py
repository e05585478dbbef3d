"""Seed on hand by its lots, as an order counts it."""

from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import DecimalField, OuterRef, Q, Subquery, Sum, Value

from blends.models import StockEntry
from blends.queries.lots import live_fraction, lots_of


@dataclass
class OnHand:
    """What the stock has of one item.

    Attributes
    ----------
    lb : float
        Live pounds of a species, bulk pounds of a bought mix. Lots of which nobody knows how alive they are count
        nothing. [lb PLS; bulk of a mix]
    lots : list of (Lot, float or None)
        With the pure live fraction, 1 for a mix; None is not known. A lot has `used_lb`: what the season has taken.
    """

    lb: float = 0.0
    lots: list = field(default_factory=list)

    @property
    def unknown(self):
        """Lots that count nothing, since nobody knows how alive they are."""
        return [lot for lot, live in self.lots if live is None]

    @property
    def counted(self):
        """[(lot, live fraction, pounds that count)] of the others."""
        return [
            (lot, live, float(lot.on_hand_lb + lot.used_lb) * live)
            for lot, live in self.lots
            if live is not None
        ]


def seed_on_hand(property, season=None):
    """OnHand by (species id, blend id); two queries.

    Parameters
    ----------
    property : Property
    season : Season, optional
        What its plots have taken counts as on hand too.
    """
    rows = lots_of(property)
    if season is None:
        rows = rows.annotate(sown_lb=Value(None, DecimalField())).filter(on_hand_lb__gt=0)
    else:
        sown = StockEntry.objects.filter(
            lot=OuterRef("pk"),
            is_taken_back=False,
            kind=StockEntry.Kind.USED,
            record_seed__record__planting__season=season,
        )
        sum_of_it = sown.order_by().values("lot").annotate(sum=Sum("lb")).values("sum")
        rows = rows.annotate(sown_lb=Subquery(sum_of_it))
        rows = rows.filter(Q(on_hand_lb__gt=0) | Q(sown_lb__isnull=False))
    found = {}
    for lot in rows.order_by("pk"):
        live = 1.0 if lot.blend_id else live_fraction(lot)
        lot.used_lb = -(lot.sown_lb or Decimal(0))
        row = found.setdefault((lot.species_id, lot.blend_id), OnHand())
        row.lots.append((lot, live))
        row.lb += 0.0 if live is None else float(lot.on_hand_lb + lot.used_lb) * live
    return found


def joined(rows):
    """One OnHand of several: what lies there of a bought mix in all its versions."""
    rows = list(rows)
    return OnHand(sum(row.lb for row in rows), [lot for row in rows for lot in row.lots])
