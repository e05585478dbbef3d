"""Seasons: what each plot gets, and what is on each plot now."""

from dataclasses import dataclass

from django.db.models import Count, F, FilteredRelation, FloatField, Q, Sum, Window
from django.db.models.functions import Cast, Coalesce, RowNumber

from blends.models import Blend, Planting, Season
from blends.queries.sowing import Sowing, sowings
from plots.calc.units import M2_PER_ACRE
from plots.models import Plot

_ACRES_HERE = Coalesce(Cast("here__planted_acres", FloatField()), F("boundary__area_m2") / M2_PER_ACRE)
_LATEST_FIRST = [F("season__year").desc(), F("season__kind").asc()]  # the cool season follows the warm one


def seasons_for(property):
    """The property's seasons, the latest first, with how many plots are planned and planted in each."""
    return Season.objects.filter(property=property).annotate(
        planned_count=Count("plantings", filter=Q(plantings__state=Planting.State.PLANNED)),
        planted_count=Count("plantings", filter=~Q(plantings__state=Planting.State.PLANNED)),
    )


def blends_to_assign(property):
    """The newest version of every blend that is not put away."""
    return Blend.objects.filter(property=property, next=None, is_archived=False)


@dataclass(frozen=True)
class SeasonRow:
    """One plot in a season.

    Attributes
    ----------
    plot : Plot
    planting : Planting or None
        None while nothing is decided; comes with its blend.
    acres : float or None
        Planted acres, until then those of the plot's boundary; None while unknown. [acres]
    """

    plot: Plot
    planting: Planting | None

    @property
    def acres(self):
        if self.planting and self.planting.planted_acres is not None:
            return float(self.planting.planted_acres)
        return self.plot.mapped_acres


class SeasonRows:
    """The rows of a season, for a paginator: counted and sliced in the database, one query a page."""

    def __init__(self, plots, season):
        self.plots, self.season = plots, season

    def __len__(self):
        return self.plots.count()

    count = __len__

    def __getitem__(self, page):
        plots = list(self.plots[page])
        plantings = self.season.plantings.filter(plot__in=[plot.pk for plot in plots])
        by_plot = {row.plot_id: row for row in plantings.select_related("blend")}
        return [SeasonRow(plot, by_plot.get(plot.pk)) for plot in plots]

    def __iter__(self):
        return iter(self[:])


def season_rows(season, search="", undecided=False):
    """One row for each plot of the property, by name; archived plots only where they were planted.

    Parameters
    ----------
    season : Season
    search : str
        Part of the plot's name.
    undecided : bool
        Only plots of which nothing has been decided.

    Returns
    -------
    SeasonRows
        A sequence for a paginator.
    """
    plots = _plots_in(season).select_related("boundary").defer("boundary__geometry")
    if search:
        plots = plots.filter(name__icontains=search)
    if undecided:
        plots = plots.filter(here=None)
    return SeasonRows(plots, season)


@dataclass(frozen=True)
class SeasonSums:
    """Plots and acres of a season; acres are those known, `unmeasured` says how many plots have none."""

    plots: int
    with_blend: int
    fallow: int
    undecided: int
    planted: int
    acres: float
    acres_with_blend: float
    acres_planted: float
    unmeasured: int
    by_blend: list[Sowing]


def season_sums(season):
    """Plots and acres of a season in all, and what each blend takes; four queries."""
    planted = ~Q(here__state=Planting.State.PLANNED) & Q(here__isnull=False)
    with_blend = Q(here__blend__isnull=False)
    sums = _plots_in(season).aggregate(
        plots=Count("pk"),
        with_blend=Count("pk", filter=with_blend),
        fallow=Count("pk", filter=Q(here__is_fallow=True)),
        undecided=Count("pk", filter=Q(here=None)),
        planted=Count("pk", filter=planted),
        acres=Sum(_ACRES_HERE, default=0.0),
        acres_with_blend=Sum(_ACRES_HERE, filter=with_blend, default=0.0),
        acres_planted=Sum(_ACRES_HERE, filter=planted, default=0.0),
        unmeasured=Count("pk", filter=Q(boundary__area_m2=None, here__planted_acres=None)),
    )
    return SeasonSums(**sums, by_blend=sowings(season))


def _plots_in(season):
    """Plots of the season's property, with the season's planting joined as `here`."""
    return (
        Plot.objects.filter(property=season.property_id)
        .annotate(here=FilteredRelation("plantings", condition=Q(plantings__season=season)))
        .filter(Q(is_archived=False) | (Q(here__isnull=False) & ~Q(here__state=Planting.State.PLANNED)))
    )


@dataclass(frozen=True)
class PlotNow:
    """What is on a plot.

    Attributes
    ----------
    planted : Planting or None
        The latest that was planted.
    planned : Planting or None
        What is planned, or fallow, for a later season than that.
    """

    planted: Planting | None = None
    planned: Planting | None = None

    @property
    def shown(self):
        """What stands there, else what is planned, else None."""
        stands = self.planted and self.planted.state != Planting.State.TERMINATED
        return self.planted if stands or not self.planned else self.planned


def latest_plantings(property):
    """What is on each live plot, by plot id; a plot of which nothing was ever decided is not in it.

    One query; plantings come with their blend and season.
    """
    is_planned = Q(state=Planting.State.PLANNED)
    latest = (
        Planting.objects.filter(season__property=property, plot__is_archived=False)
        .annotate(is_planned=is_planned)
        .annotate(
            nth=Window(RowNumber(), partition_by=[F("plot_id"), F("is_planned")], order_by=_LATEST_FIRST)
        )
        .filter(nth=1)
        .select_related("blend", "season")
    )
    found = {}
    for row in latest:
        found.setdefault(row.plot_id, {})["planned" if row.is_planned else "planted"] = row
    return {plot_id: _plot_now(**rows) for plot_id, rows in found.items()}


def _plot_now(planted=None, planned=None):
    if planted and planned and _when(planned.season) <= _when(planted.season):
        planned = None
    return PlotNow(planted, planned)


def _when(season):
    return season.year, season.kind == Season.Kind.COOL
