"""What follows a plot's boundary when it changes, and what keeps the acres that it was made with."""

from dataclasses import dataclass

from blends.models import Planting
from blends.queries.overview import stage_of
from blends.queries.sowing import rates_lb_per_acre
from plots.models import Boundary


@dataclass(frozen=True)
class MovedPlanting:
    """A planting that is still planned: its acres and its seed are those of the boundary.

    Attributes
    ----------
    planting : Planting
        With its blend and its season's order.
    acres_before, acres_after : float or None
        [acres]
    lb_per_acre : float or None
        PLS of a blend mixed here, bulk of one bought mixed; None while a rate is missing. [lb/ac]
    """

    planting: Planting
    acres_before: float | None
    acres_after: float | None
    lb_per_acre: float | None

    @property
    def seed_lb_before(self):
        return self._seed_lb(self.acres_before)

    @property
    def seed_lb_after(self):
        """Pounds of the same kind as the rate; None while either is unknown."""
        return self._seed_lb(self.acres_after)

    @property
    def seed_kind(self):
        return "bulk" if self.planting.blend.is_bought else "PLS"

    @property
    def is_recomputing(self):
        """Whether the figures of its order are still those of before."""
        order = getattr(self.planting.season, "order", None)
        return order is not None and order.is_stale

    def _seed_lb(self, acres):
        return None if None in (acres, self.lb_per_acre) else acres * self.lb_per_acre


@dataclass(frozen=True)
class Moved:
    """What moved from one boundary of a plot to another, and what did not.

    Attributes
    ----------
    before, after : Boundary
    planned : list of MovedPlanting
        Latest season first.
    kept : list of Planting
        Planted while another boundary than `after` held; with their `.stage` as in the overview.
    """

    before: Boundary
    after: Boundary
    planned: list
    kept: list

    @property
    def acres_gained(self):
        """After less before; None while either is not measured. [acres]"""
        acres = self.before.acres, self.after.acres
        return None if None in acres else acres[1] - acres[0]


def what_moved(plot, before, after):
    """The plantings of a plot between two of its boundaries, of which `after` holds now; two queries."""
    plantings = list(
        Planting.objects.filter(plot=plot, blend__isnull=False)
        .select_related("blend", "season__order")
        .order_by("-season__year", "season__kind")
    )
    planned = [row for row in plantings if row.state == Planting.State.PLANNED]
    kept = [row for row in plantings if row.state != Planting.State.PLANNED and row.boundary_id != after.pk]
    for planting in kept:
        planting.stage = stage_of(planting.method, planting.state)
    rates = rates_lb_per_acre({row.blend for row in planned}) if planned else {}
    return Moved(
        before,
        after,
        [MovedPlanting(row, before.acres, after.acres, rates[row.blend_id, row.method]) for row in planned],
        kept,
    )
