"""What the overview and its map show: each plot with what it gets in one season."""

from dataclasses import dataclass
from hashlib import sha256

from django.db.models import Count, Exists, FilteredRelation, OuterRef, Q, Sum

from blends.models import Planting, Season
from plots.calc.units import M2_PER_ACRE
from plots.geojson import as_stored, collection_text, compact, from_afar
from plots.models import Boundary
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
class Group:
    """All plots of the property with the same use in the season."""

    use: Use
    plots: int
    measured: int
    without_boundary: int
    area_m2: float | None

    @property
    def acres(self):
        return None if self.area_m2 is None else self.area_m2 / M2_PER_ACRE


@dataclass(frozen=True)
class Sums:
    """The property's plots and acres; `acres` is None while nothing is measured, a part while some is."""

    groups: list[Group]
    plots: int
    measured: int
    without_boundary: int
    acres: float | None
    undecided: Group | None

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


_USE = ("blend_id", "blend__name", "blend__version", "blend__mark", "blend__tint", "is_fallow")
_USE_COLUMNS = [f"planting__{column}" for column in _USE]


def _plots_with_use(property, season, **which):
    in_season = Q(plantings__season=season) if season else Q(plantings__season__isnull=True)
    return plots_for(property, **which).annotate(planting=FilteredRelation("plantings", condition=in_season))


def plot_rows(property, season, *, search="", archived=False):
    """A queryset-like of tuples for `plot_row`, ordered by name; slice it before reading."""
    return (
        _plots_with_use(property, season, search=search, archived=archived)
        .order_by("name", "pk")
        .values_list(
            "pk",
            "name",
            "boundary_id",
            "boundary__area_m2",
            "planting__method",
            "planting__state",
            *_USE_COLUMNS,
        )
    )


def plot_row(values):
    pk, name, boundary_id, area_m2, method, state, *use = values
    return PlotRow(pk, name, boundary_id, area_m2, Use(*use), method, state)


def sums_of(property, season):
    """The property's sums in one season, as `Sums`, in one query."""
    found = (
        _plots_with_use(property, season)
        .order_by()
        .values_list(*_USE_COLUMNS)
        .annotate(
            plots=Count("pk"),
            measured=Count("boundary__area_m2"),
            without_boundary=Count("pk", filter=Q(boundary__isnull=True)),
            area_m2=Sum("boundary__area_m2"),
        )
    )
    groups = [Group(Use(*values[: len(_USE)]), *values[len(_USE) :]) for values in found]
    groups.sort(key=lambda group: ([BLEND, FALLOW, UNDECIDED].index(group.use.kind), group.use.name))
    areas_m2 = [group.area_m2 for group in groups if group.area_m2 is not None]
    return Sums(
        groups=groups,
        plots=sum(group.plots for group in groups),
        measured=sum(group.measured for group in groups),
        without_boundary=sum(group.without_boundary for group in groups),
        acres=sum(areas_m2) / M2_PER_ACRE if areas_m2 else None,
        undecided=next((group for group in groups if group.use.kind == UNDECIDED), None),
    )


class Outlines:
    """The outlines of a property's plots, or of one plot, with what they get in a season.

    `properties_of(row)` gives a feature's properties. `etag` names everything that the GeoJSON shows: a
    boundary's geometry never changes, so its id stands for it, and asking again reads no geometry.
    """

    def __init__(self, property, season, properties_of, plot=None):
        rows = plot_rows(property, season, archived=bool(plot and plot.is_archived))
        if plot:
            rows = rows.filter(pk=plot.pk)
        self._property, self._plot = property, plot
        self._rows = [plot_row(values) for values in rows.filter(boundary__isnull=False)]
        self._properties = [compact(properties_of(row)) for row in self._rows]
        shown = [str(bool(plot)), *(str(row.boundary_id) for row in self._rows), *self._properties]
        self.etag = f'"{sha256("|".join(shown).encode()).hexdigest()[:32]}"'

    def geojson(self):
        """The text of a GeoJSON FeatureCollection (RFC 7946)."""
        boundaries = Boundary.objects.filter(current_of__property=self._property)
        if self._plot:
            boundaries = boundaries.filter(plot=self._plot)
        geometries = dict(boundaries.values_list("pk", "geometry"))
        outlines = [geometries.get(row.boundary_id) for row in self._rows]
        drawn = as_stored(outlines) if self._plot else from_afar(outlines)
        return collection_text(drawn, self._properties, ids=[row.id for row in self._rows])
