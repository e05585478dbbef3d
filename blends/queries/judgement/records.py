"""What is recorded of blends that judging needs: clippings, and what grew on their plots before."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from django.db.models import F, Q, Subquery

from blends.models import Clipping, Component, Planting, Season
from blends.queries.judgement.words import day
from plots.calc.units import g_per_ft2_to_lb_per_acre
from plots.models import Plot

HISTORY_YEARS = 4
"""How many years of plantings are looked at for families in a row."""


@dataclass(frozen=True)
class Clipped:
    """The latest clipping of a species at a stage.

    Attributes
    ----------
    lb_per_acre : float
        Dry matter. [lb/ac]
    dry_g, ground_ft2 : float
        Of all its frames.
    clipped_on : date
    """

    lb_per_acre: float
    dry_g: float
    ground_ft2: float
    clipped_on: date

    @property
    def words(self):
        return f"clipped {day(self.clipped_on)}: {self.dry_g:g} g from {self.ground_ft2:g} ft²"


def clippings_of(blends):
    """Clippings of stored blends, of themselves and not of the versions before, the latest first; one query.

    Parameters
    ----------
    blends : list of Blend

    Returns
    -------
    dict of int to list of Clipping
        By blend.
    """
    if not blends:
        return {}
    found = {}
    for row in Clipping.objects.filter(blend__in=blends).select_related("blend", "species", "plot"):
        found.setdefault(row.blend_id, []).append(row)
    return found


def latest_clipped(clippings):
    """What counts of a blend's clippings: those of the latest day of each species and stage, grams over ground.

    Parameters
    ----------
    clippings : list of Clipping
        The latest first.

    Returns
    -------
    dict of (int, str) to Clipped
        By species and stage.
    """
    latest, sums = {}, {}
    for row in clippings:
        key = (row.species_id, row.stage)
        if latest.setdefault(key, row.clipped_on) == row.clipped_on:
            grams, ground = sums.get(key, (0.0, 0.0))
            sums[key] = grams + float(row.dry_g), ground + row.frames * float(row.frame_ft2)
    return {
        key: Clipped(g_per_ft2_to_lb_per_acre(grams / ground), grams, ground, latest[key])
        for key, (grams, ground) in sums.items()
    }


@dataclass(frozen=True)
class Sown:
    """What a plot got in one season. `blend_id` is None for fallow."""

    plot_id: int
    plot: str
    year: int
    kind: str
    blend_id: int | None
    planted_on: date | None
    state: str
    objective: str

    @property
    def season(self):
        """Sorts as time does: the warm season is sown before the cool one of the same year."""
        return self.year, self.kind != Season.Kind.WARM


class History:
    """What plots got, season by season, with the plant families of each blend."""

    def __init__(self, sown=(), families=None):
        self.by_plot = {}
        for row in sorted(sown, key=lambda row: row.season, reverse=True):
            self.by_plot.setdefault(row.plot_id, []).append(row)
        self._families = families or {}

    def plantings_of(self, blend):
        """Where the blend is or was sown, the latest season first."""
        rows = [row for rows in self.by_plot.values() for row in rows if row.blend_id == blend.pk]
        return sorted(rows, key=lambda row: row.season, reverse=True)

    def usual_objective(self, blend):
        """What most of the plots want on which the blend is planned; empty where none says.

        Of as many plots each, the objective that the list of choices has first.
        """
        planned = [row for row in self.plantings_of(blend) if row.state == Planting.State.PLANNED]
        wanted = Counter(row.objective for row in planned if row.objective)
        return max(Plot.Objective.values, key=lambda each: wanted[each]) if wanted else ""

    def until(self, plot_id, blend):
        """The plot's name and the families of its seasons before the blend's latest one, the newest first.

        Seasons without a planting are passed over; a fallow one has no families. None where nothing is known of
        the plot.
        """
        rows = self.by_plot.get(plot_id)
        if not rows:
            return None
        own = next((at for at, row in enumerate(rows) if blend and row.blend_id == blend.pk), None)
        before = rows if own is None else rows[own + 1 :]
        return rows[0].plot, [self._families.get(row.blend_id, set()) for row in before]


def history_of(property, blends, plot=None):
    """What the plots of the blends, and one plot more, got in the last years; two queries.

    Parameters
    ----------
    property : Property
    blends : list of Blend
    plot : Plot or None

    Returns
    -------
    History
        Without plots it is empty, and asks for nothing.
    """
    if not blends and plot is None:
        return History()
    wanted = Q(plot__in=Planting.objects.filter(blend__in=blends).values("plot"))
    if plot is not None:
        wanted |= Q(plot=plot)
    newest = Season.objects.filter(property=property).order_by("-year").values("year")[:1]
    rows = (
        Planting.objects.filter(wanted, season__property=property)
        .filter(season__year__gt=Subquery(newest) - HISTORY_YEARS)
        .values_list(
            "plot",
            "plot__name",
            "season__year",
            "season__kind",
            "blend",
            "planted_on",
            "state",
            "plot__objective",
        )
    )
    sown = [Sown(*row) for row in rows]
    families = {}
    components = Component.objects.filter(blend__in={row.blend_id for row in sown if row.blend_id})
    for blend, family in components.order_by().values_list("blend", F("species__family")).distinct():
        families.setdefault(blend, set()).update({family} - {""})
    return History(sown, families)
