"""From what a reader found to a Reading: placed on the globe, valid, measured, named, everything said."""

from collections import Counter
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPolygon

from plots.calc.geodesy import geodesic_area_perimeter
from plots.calc.units import m2_to_acres
from plots.formats.attributes import Cleaner, as_name, name_fields, quoted
from plots.formats.crs import Placement, crosses_180
from plots.formats.limits import MAX_FEATURES, MAX_LEFT_OUT_ALIKE, MAX_VERTICES
from plots.formats.model import LeftOut, NotAnOutline, Outline, Reading, UnusableFile, unique_names
from plots.formats.repair import Mender, polygons_of, quietly
from plots.formats.source import counted

_LEAST_AREA_M2 = 1.0
_LEAST_WIDTH_M = 0.1  # on average; a survey-grade receiver is not better than this
_MOST_ACRES = 1_000_000  # from memory: no private property in one piece is larger
_TELLING_SHARE = 1e-3  # of the ground: a change that is worth a sentence


@dataclass
class _Plot:
    """A feature on its way: `placed` is valid, in longitude and latitude."""

    found: object
    placed: MultiPolygon
    notes: list
    repaired: bool


def assemble(source, *, crs=None, swap_axes=False):
    """A Reading of what a reader found.

    Parameters
    ----------
    source : Source
    crs : pyproj.CRS, optional
        From the person; goes before what the file says.
    swap_axes : bool
        The person confirms that x and y are exchanged.

    Raises
    ------
    UnusableFile
    """
    check_amount(source.found)
    if not source.found:
        raise nothing_usable(source)
    placement = Placement(_system(source, crs))
    drawn = np.array([found.drawn for found in source.found], dtype=object)
    if swap_axes:
        drawn = shapely.transform(drawn, lambda xy: xy[:, ::-1])
    placement.check(shapely.get_coordinates(drawn), axes_confirmed=swap_axes)

    left_out = list(source.left_out)
    plots = _mended(source.found, drawn, placement, left_out)
    plots = _worth_keeping(plots, left_out)
    if not plots:
        raise nothing_usable(source, left_out)
    _tell_duplicates(plots)
    return _reading(source, plots, left_out, placement)


def check_amount(found):
    """Refuse more features or vertices than a property can have."""
    if len(found) > MAX_FEATURES:
        raise UnusableFile(f"The file holds {len(found):,} outlines; at most {MAX_FEATURES:,} can be read.")
    vertices = sum(shapely.get_num_coordinates(feature.drawn) for feature in found)
    if vertices > MAX_VERTICES:
        raise too_many_vertices(vertices)


def too_many_vertices(count=None):
    """The refusal of a file with too many vertices; the count is unknown when reading stopped early."""
    number = f"{count:,}" if count else f"more than {MAX_VERTICES:,}"
    return UnusableFile(
        f"The file holds {number} vertices; at most {MAX_VERTICES:,} can be read. "
        "Simplify the outlines or split the file."
    )


def nothing_usable(source, left_out=None):
    """The refusal of a file without an outline, naming what it holds instead."""
    left_out = source.left_out if left_out is None else left_out
    if not left_out:
        return UnusableFile(f"There are no polygons in the file: the {source.format} holds nothing to draw.")
    if len(left_out) <= 3:
        reasons = [f"{item.what}: {item.why}" for item in left_out]
    else:
        counts = Counter(item.why for item in left_out)
        reasons = [f"{count} × {why}" for why, count in counts.most_common(4)]
        if len(counts) > 4:
            reasons.append("and more")
    return UnusableFile(f"There are no polygons in the file that can become plots ({'; '.join(reasons)}).")


def _system(source, asked):
    if asked is not None and source.crs_is_fixed and asked.to_epsg() != 4326:
        raise UnusableFile(
            f"{source.format} coordinates are always WGS84 longitude and latitude; leave the coordinate system out."
        )
    chosen = source.crs if asked is None or source.crs_is_fixed else asked
    if chosen is None:
        west, south, east, north = shapely.total_bounds([feature.drawn for feature in source.found])
        raise UnusableFile(
            f"The {source.format} does not say its coordinate system (CRS); its coordinates run from x {west:.10g} "
            f"to {east:.10g} and y {south:.10g} to {north:.10g}. Give the system as EPSG:n, such as EPSG:26915.",
            needs="crs",
            extent=(west, south, east, north),
        )
    return chosen


def _mended(features, drawn, placement, left_out):
    """Repair in the file's own plane, where the person drew; then transform."""
    mender, plots = Mender(), []
    for found, geometry in zip(features, drawn, strict=True):
        try:
            mended = mender.mend(geometry)
        except NotAnOutline as error:
            left_out.append(LeftOut(found.what, str(error)))
            continue
        except shapely.GEOSException:
            left_out.append(
                LeftOut(found.what, "its outline crosses itself in a way that cannot be repaired")
            )
            continue
        placed = shapely.transform(mended.geometry, placement.to_lon_lat)
        notes = found.notes + mended.notes
        if mended.notes:
            notes = [*notes, *_change_of_ground(shapely.transform(geometry, placement.to_lon_lat), placed)]
        plots.append(_Plot(found, placed, notes, found.repaired or bool(mended.notes)))
    return plots


def _change_of_ground(before, after):
    (before_m2, after_m2), _ = geodesic_area_perimeter([before, polygons_of(after)])
    if abs(after_m2 - before_m2) <= _TELLING_SHARE * after_m2:
        return []
    before_acres, after_acres = m2_to_acres(max(before_m2, 0.0)), m2_to_acres(after_m2)
    return [f"Acreage: {before_acres:,.3f} as drawn, {after_acres:,.3f} now."]


def _worth_keeping(plots, left_out):
    """The plots that enclose ground and can be told on a flat map."""
    kept = []
    for plot in plots:
        if crosses_180(plot.placed):
            why = "it crosses the 180th meridian in one piece; cut it there into two parts"
            left_out.append(LeftOut(plot.found.what, why))
        else:
            plot.placed = _turned(quietly(plot.placed))
            kept.append(plot)
    if not kept:
        return []
    areas_m2, perimeters_m = geodesic_area_perimeter([plot.placed for plot in kept])
    usable = []
    for plot, area_m2, perimeter_m in zip(kept, areas_m2, perimeters_m, strict=True):
        width_m = 2 * area_m2 / perimeter_m if perimeter_m else 0.0
        if area_m2 < _LEAST_AREA_M2 or width_m < _LEAST_WIDTH_M:
            why = f"it encloses no usable ground ({area_m2:.3g} m², {width_m:.2g} m wide on average)"
            left_out.append(LeftOut(plot.found.what, why))
            continue
        if m2_to_acres(area_m2) > _MOST_ACRES:
            raise UnusableFile(
                f"{plot.found.what} covers {m2_to_acres(area_m2):,.0f} acres, far larger than any property (at most "
                f"{_MOST_ACRES:,} acres are read); leave it out of the file, or give the right coordinate system."
            )
        usable.append(plot)
    return usable


def _turned(geometry):
    """Outer rings counter-clockwise, holes clockwise, members and first vertices in one order."""
    return shapely.orient_polygons(shapely.normalize(geometry), exterior_cw=False)


def _tell_duplicates(plots):
    first_at = {}
    for plot in plots:
        earlier = first_at.setdefault(shapely.to_wkb(plot.placed), plot)
        if earlier is not plot:
            plot.notes.append(f"A duplicate: the same outline as {earlier.found.what}.")


def _reading(source, plots, left_out, placement):
    cleaner = Cleaner()
    rows = [cleaner.clean(plot.found.attributes) for plot in plots]
    fields, sure = name_fields(rows)
    names = unique_names([row.get(fields[0]) if sure else None for row in rows])
    outlines = [
        Outline(name, plot.placed, row, plot.repaired, plot.notes)
        for name, plot, row in zip(names, plots, rows, strict=True)
    ]
    lon_lat = shapely.get_coordinates([plot.placed for plot in plots])
    notes = [*source.notes, *_about_names(fields, sure, rows), *cleaner.notes()]
    accuracy = placement.accuracy_note(lon_lat)
    if accuracy:
        notes.append(accuracy)
    return Reading(
        format=source.format,
        layer=source.layer,
        layers=source.layers,
        crs=placement.words,
        outlines=outlines,
        left_out=_grouped(left_out),
        notes=notes,
        name_fields=fields,
    )


def _about_names(fields, sure, rows):
    if not sure:
        return []
    given = [as_name(row.get(fields[0])) for row in rows]
    missing = given.count("")
    again = len(given) - missing - len(set(given) - {""})
    said = []
    if missing:
        said.append(f"{counted(missing, 'plot')} had no {quoted(fields[0])} and took a number as name.")
    if again:
        said.append(
            f"{counted(again, 'name')} in {quoted(fields[0])} had been given before and took a number."
        )
    return said


def _grouped(left_out):
    """At most 50 lines with the same reason, then one that counts the rest."""
    seen, kept, more = Counter(), [], Counter()
    for item in left_out:
        seen[item.why] += 1
        if seen[item.why] <= MAX_LEFT_OUT_ALIKE:
            kept.append(item)
        else:
            more[item.why] += 1
    return kept + [LeftOut(f"{count:,} more", why) for why, count in more.items()]
