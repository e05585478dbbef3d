"""The outlines that the map draws, as GeoJSON: all of a property, what is in view, or one plot with every corner.

Each answer has an `etag` that names everything it shows: a boundary's geometry never changes, so its id stands for it,
and asking again reads no geometry.
"""

from functools import cache
from hashlib import sha256

import numpy as np

from blends.queries.overview import USE, USE_COLUMNS, Use, Wanted, plot_row, plot_rows, plots_with_use
from plots.calc.afar import decimals_for, extent_px, pixel_degrees
from plots.geojson import as_stored, at_zoom, collection_text, compact, from_afar
from plots.models import Boundary

# An outline smaller than this is a point: it would be drawn as little else.
SPECK_PX = 3
# Of more outlines in view the smallest are points too, so that the answer stays some hundred kilobytes.
MOST_DRAWN = 3000
# Only on an outline of this size is there room for a word; of smaller ones the map asks when somebody chooses one.
NAMED_PX = 24


def etag_of(*shown):
    return f'"{sha256(repr(shown).encode()).hexdigest()[:32]}"'


class WholeOutlines:
    """Every plot looked at, seen from afar."""

    def __init__(self, property, season, wanted, facts_of):
        self._property = property
        rows = plot_rows(property, season, wanted).filter(boundary__isnull=False)
        self._rows = [plot_row(values) for values in rows]
        self._facts = [compact(facts_of(row)) for row in self._rows]
        self.etag = etag_of("whole", [row.boundary_id for row in self._rows], self._facts)

    def geojson(self):
        geometries = _geometries(self._property)
        drawn = from_afar([geometries.get(row.boundary_id) for row in self._rows])
        return collection_text(drawn, self._facts, ids=[row.id for row in self._rows])


class OneOutline:
    """One plot with all its corners, archived or not."""

    def __init__(self, plot, season, facts_of):
        rows = plot_rows(plot.property, season, Wanted(archived=plot.is_archived)).filter(pk=plot.pk)
        self._plot = plot
        self._facts = [compact(facts_of(plot_row(values))) for values in rows.filter(boundary__isnull=False)]
        self.etag = etag_of("one", plot.boundary_id, self._facts)

    def geojson(self):
        outlines = [self._plot.boundary.geometry] if self._facts else []
        return collection_text(as_stored(outlines), self._facts, ids=[self._plot.pk] if outlines else [])


class OutlinesInView:
    """The plots looked at whose extent meets a view, with as many corners as show at the zoom.

    An outline with room for words has all facts, a smaller one `id` and `look`. What is no larger than a speck is in
    one feature of points for each look, with `ids` in the order of the points.
    """

    def __init__(self, property, season, wanted, measure, facts_of, view, zoom):
        self._property, self._zoom = property, zoom
        columns = ["pk", "boundary_id", "boundary__area_m2"]
        sides = [f"boundary__{side}" for side in ("west", "south", "east", "north")]
        seen = list(
            plots_with_use(property, season, wanted)
            .filter(boundary__geometry__bbox=view)
            .order_by("pk")
            .values_list(*columns, *sides, *USE_COLUMNS)
        )
        use_of = cache(Use)  # thousands of plots get a few blends
        looks = [measure.look(values[0], values[2], use_of(*values[-len(USE) :])) for values in seen]
        extents = np.array([values[3:7] for values in seen], dtype=float).reshape(-1, 4)
        size_px = extent_px(*extents.T, zoom)
        is_drawn = size_px >= SPECK_PX
        if is_drawn.sum() > MOST_DRAWN:
            is_drawn[np.argsort(-size_px, kind="stable")[MOST_DRAWN:]] = False
        is_named = is_drawn & (size_px >= NAMED_PX)

        named = {seen[i][0] for i in np.flatnonzero(is_named)}
        rows = plot_rows(property, season, wanted).filter(pk__in=named) if named else []
        facts = {values[0]: compact(facts_of(plot_row(values))) for values in rows}
        self._drawn = [
            (
                seen[i][0],
                seen[i][1],
                facts.get(seen[i][0]) or compact({"id": seen[i][0], "look": looks[i]}),
            )
            for i in np.flatnonzero(is_drawn)
        ]
        self._specks = {}
        for i in np.flatnonzero(~is_drawn):
            ids, boundary_ids, places = self._specks.setdefault(looks[i], ([], [], []))
            ids.append(seen[i][0])
            boundary_ids.append(seen[i][1])
            places.append(extents[i])
        specks = [(look, ids, boundary_ids) for look, (ids, boundary_ids, _) in self._specks.items()]
        self.etag = etag_of("view", zoom, self._drawn, specks)

    def geojson(self):
        boundary_ids = [boundary_id for _, boundary_id, _ in self._drawn]
        geometries = _geometries(self._property, boundary_ids)
        drawn = at_zoom([geometries.get(pk) for pk in boundary_ids], self._zoom)
        points, facts = [], []
        for look, (ids, _, places) in self._specks.items():
            points.append(self._points(np.array(places)))
            facts.append(compact({"look": look, "ids": ids}))
        return collection_text([*drawn, *points], [*(each[2] for each in self._drawn), *facts])

    def _points(self, extents):
        decimals = decimals_for(pixel_degrees(self._zoom) / 2)
        middles = np.round((extents[:, :2] + extents[:, 2:]) / 2, decimals)
        return compact({"type": "MultiPoint", "coordinates": middles.tolist()})


def _geometries(property, boundary_ids=None):
    boundaries = Boundary.objects.filter(current_of__property=property)
    if boundary_ids is not None:
        boundaries = boundaries.filter(pk__in=boundary_ids)
    return dict(boundaries.values_list("pk", "geometry"))
