"""What the overview and its map show: each plot with what it gets in one season."""

from dataclasses import dataclass

from django.db.models import Count, Exists, FilteredRelation, Max, Min, OuterRef, Q, Sum

from blends.models import Planting, Season
from plots.calc.units import M2_PER_ACRE
from plots.queries import plots_for

TINTS = 8  # as many as the stylesheet's palette has

BLEND, FALLOW, UNDECIDED = "blend", "fallow", "undecided"


@dataclass(frozen=True)
class Use:
    """What a plot gets in a season; without a blend and not fallow it is undecided."""

    blend_id: int | None = None
    blend_name: str = ""
    blend_version: int | None = None
    mark: str = ""
    tint: int | None = None
    is_fallow: bool | None = None

    @property
    def kind(self):
        return BLEND if self.blend_id else FALLOW if self.is_fallow else UNDECIDED

    @property
    def look(self):
        """The class and hatch that draw it: tint-0 … tint-7, fallow or undecided."""
        return f"tint-{self.tint % TINTS}" if self.blend_id else self.kind

    @property
    def name(self):
        if not self.blend_id:
            return "Fallow" if self.is_fallow else "Nothing planned"
        return self.blend_name if self.blend_version == 1 else f"{self.blend_name} v{self.blend_version}"


_STAGES = {
    (method.value, state.value): f"{state.label}, {'to be ' * (state == state.PLANNED)}{method.label.lower()}"
    for method in Planting.Method
    for state in Planting.State
}


def stage_of(method, state):
    """How far a planting is, in words: 'Planned, to be drilled', 'Up, drilled'."""
    return _STAGES[method, state]


@dataclass(frozen=True)
class PlotRow:
    id: int
    name: str
    boundary_id: int | None
    area_m2: float | None
    use: Use
    method: str | None
    state: str | None

    @property
    def acres(self):
        return None if self.area_m2 is None else self.area_m2 / M2_PER_ACRE

    @property
    def is_measuring(self):
        return self.boundary_id is not None and self.area_m2 is None

    @property
    def stage(self):
        """How far it is, in words; empty without a blend."""
        return stage_of(self.method, self.state) if self.use.blend_id else ""


@dataclass(frozen=True)
class Wanted:
    """Which of a property's plots are looked at; without anything all that are in use."""

    search: str = ""
    use: int | str = ""  # a blend's id, FALLOW or UNDECIDED
    objective: str | None = None  # "" is 'not decided yet'
    archived: bool = False

    @property
    def is_all(self):
        return self == Wanted()

    @property
    def is_found_by(self):
        """Whether anything narrows down the plots in use, or those archived."""
        return self != Wanted(archived=self.archived)


@dataclass(frozen=True)
class Group:
    """All plots looked at that have the same use in the season."""

    use: Use
    plots: int
    measured: int
    without_boundary: int
    area_m2: float | None
    west: float | None
    south: float | None
    east: float | None
    north: float | None

    @property
    def acres(self):
        return None if self.area_m2 is None else self.area_m2 / M2_PER_ACRE


@dataclass(frozen=True)
class Sums:
    """Plots and acres; `acres` is None while nothing is measured, a part while some is.

    `extent` is (west, south, east, north) of their boundaries, None without one.
    """

    groups: list[Group]
    plots: int
    measured: int
    without_boundary: int
    acres: float | None
    undecided: Group | None
    extent: tuple[float, float, float, float] | None

    @property
    def unmeasured(self):
        """Plots whose boundary a task is still measuring."""
        return self.plots - self.measured - self.without_boundary

    @property
    def is_part(self):
        return self.measured < self.plots


def seasons_of(property):
    """The property's seasons, latest first, with `.is_used`: something is planned or planted in it."""
    plantings = Planting.objects.filter(season=OuterRef("pk"), plot__is_archived=False)
    return list(Season.objects.filter(property=property).annotate(is_used=Exists(plantings)))


def latest_used(seasons):
    """The latest season in which anything is planned or planted, else the latest, else None."""
    return next((season for season in seasons if season.is_used), seasons[0] if seasons else None)


USE = ("blend_id", "blend__name", "blend__version", "blend__mark", "blend__tint", "is_fallow")
USE_COLUMNS = [f"planting__{column}" for column in USE]
_OF_USE = {
    "": Q(),
    FALLOW: Q(planting__is_fallow=True),
    UNDECIDED: Q(planting__blend__isnull=True) & ~Q(planting__is_fallow=True),
}


def plots_with_use(property, season, wanted):
    """The plots looked at, as a queryset with `planting`: what they get in the season, if anything."""
    in_season = Q(plantings__season=season) if season else Q(plantings__season__isnull=True)
    plots = plots_for(property, search=wanted.search, archived=wanted.archived)
    if wanted.objective is not None:
        plots = plots.filter(objective=wanted.objective)
    of_use = _OF_USE[wanted.use] if wanted.use in _OF_USE else Q(planting__blend_id=wanted.use)
    return plots.annotate(planting=FilteredRelation("plantings", condition=in_season)).filter(of_use)


def plot_rows(property, season, wanted):
    """A queryset-like of tuples for `plot_row`, ordered by name; slice it before reading."""
    return (
        plots_with_use(property, season, wanted)
        .order_by("name", "pk")
        .values_list(
            "pk",
            "name",
            "boundary_id",
            "boundary__area_m2",
            "planting__method",
            "planting__state",
            *USE_COLUMNS,
        )
    )


def plot_row(values):
    pk, name, boundary_id, area_m2, method, state, *use = values[: 6 + len(USE)]
    return PlotRow(pk, name, boundary_id, area_m2, Use(*use), method, state)


def sums_of(property, season, wanted):
    """The sums of the plots looked at in one season, as `Sums`, in one query."""
    found = (
        plots_with_use(property, season, wanted)
        .order_by()
        .values_list(*USE_COLUMNS)
        .annotate(
            plots=Count("pk"),
            measured=Count("boundary__area_m2"),
            without_boundary=Count("pk", filter=Q(boundary__isnull=True)),
            area_m2=Sum("boundary__area_m2"),
            west=Min("boundary__west"),
            south=Min("boundary__south"),
            east=Max("boundary__east"),
            north=Max("boundary__north"),
        )
    )
    groups = [Group(Use(*values[: len(USE)]), *values[len(USE) :]) for values in found]
    groups.sort(key=lambda group: ([BLEND, FALLOW, UNDECIDED].index(group.use.kind), group.use.name))
    areas_m2 = [group.area_m2 for group in groups if group.area_m2 is not None]
    return Sums(
        groups=groups,
        plots=sum(group.plots for group in groups),
        measured=sum(group.measured for group in groups),
        without_boundary=sum(group.without_boundary for group in groups),
        acres=sum(areas_m2) / M2_PER_ACRE if areas_m2 else None,
        undecided=next((group for group in groups if group.use.kind == UNDECIDED), None),
        extent=_extent_of([group for group in groups if group.west is not None]),
    )


def _extent_of(groups):
    if not groups:
        return None
    west, south = (min(getattr(group, side) for group in groups) for side in ("west", "south"))
    east, north = (max(getattr(group, side) for group in groups) for side in ("east", "north"))
    return west, south, east, north
