"""Seasons: what each plot gets."""

from dataclasses import dataclass

from django.db.models import Count, F, FilteredRelation, FloatField, Q, Sum
from django.db.models.functions import Cast, Coalesce

from blends.models import Blend, Planting, Season
from blends.queries.sowing import Sowing, sowings
from plots.calc.units import M2_PER_ACRE
from plots.models import Plot

_ACRES_HERE = Coalesce(Cast("here__planted_acres", FloatField()), F("boundary__area_m2") / M2_PER_ACRE)


def seasons_for(property):
    """The property's seasons, the latest first, with how many plots are planned and planted in each."""
    return (
        Season.objects.filter(property=property)
        .annotate(
            planned_count=Count("plantings", filter=Q(plantings__state=Planting.State.PLANNED)),
            planted_count=Count("plantings", filter=~Q(plantings__state=Planting.State.PLANNED)),
        )
        .order_by("-year", "kind")  # counting drops the model's own order
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
