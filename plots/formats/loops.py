"""Tracks and routes as outlines: someone walked or drove round a plot.

A track is not drawn: it stops before its start, begins at the truck, goes round twice, loses the signal. What
is a loop and what is not is decided here by a few lengths, each said in the words that the person reads.
"""

import numpy as np
import shapely
from pyproj import Geod
from shapely.geometry import MultiPolygon, Polygon

from plots.calc.units import m2_to_acres
from plots.formats.limits import MAX_CROSSINGS
from plots.formats.model import NotAnOutline
from plots.formats.repair import count_crossings, enclosed
from plots.formats.source import Gathering, counted

_WGS84 = Geod(ellps="WGS84")
_M_PER_DEGREE = 111_320.0  # along the equator; only ratios and small widths depend on it

# Common practice, no source, for handheld receivers under open sky:
_GAP_SHARE = 0.25  # of the track's length: a wider gap is a missing side
_GAP_SIDES = 1.5  # of a route's longest side: a wider gap is no side
_GAP_WIDTHS = 2.0  # of the shape's mean width: a wider gap means the shape came from going out and back
_TELLING_GAP_M = 10.0  # below this, start and end are the same place
LEAST_WIDTH_M = 3.0  # a receiver cannot tell narrower ground from its own wandering
_MOST_LOBES = 4


def gather_loop(segments, *, is_route=False):
    """The outline that a track encloses.

    Parameters
    ----------
    segments : list of ndarray, shape (n, 2)
        Longitude and latitude of each stretch that was recorded without a break. [degrees]
    is_route : bool
        The points are corners that a person set, so the way from the last to the first is one more side.

    Returns
    -------
    Gathering

    Raises
    ------
    NotAnOutline
        The track is not a loop.
    """
    segments = [_without_repeats(segment) for segment in segments if len(segment)]
    if not segments or len(np.unique(np.vstack(segments), axis=0)) < 3:
        raise NotAnOutline("it has fewer than three distinct points")
    for segment in segments:
        if not (np.isfinite(segment).all() and (np.abs(segment) <= (180, 90)).all()):
            raise NotAnOutline("it has a point without a usable latitude and longitude")
    gathered, called = Gathering(), "route" if is_route else "track"
    if len(segments) > 1 and all(closes(segment) for segment in segments):
        gathered.mended(f"The {called} holds {counted(len(segments), 'loop')}; each is a part of the plot.")
        loops = segments
    else:
        if len(segments) > 1:
            gathered.mended(
                f"The {called} came in {counted(len(segments), 'segment')}, which were joined in order."
            )
        loops = [_without_repeats(np.vstack(segments))]
    for loop in loops:
        _add_loop(loop, gathered, called)
    return gathered


def _add_loop(points, gathered, called):
    length_m, gap_m = _length_and_gap(points)
    most_m = _GAP_SHARE * length_m
    if called == "route":
        most_m = max(most_m, _GAP_SIDES * _longest_side(points))
    if gap_m > most_m:
        raise NotAnOutline(
            f"the {called} is not a loop: it ends {gap_m:,.0f} m from its start, {gap_m / length_m:.0%} of its length"
        )
    closed = points if gap_m == 0 else np.vstack([points, points[:1]])
    centre = closed.mean(axis=0)
    scale = _M_PER_DEGREE * np.array([np.cos(np.radians(centre[1])), 1.0])
    flat = (closed - centre) * scale
    drawn = Polygon(flat)
    if drawn.is_valid:
        lobes, width_m = [Polygon(closed)], _mean_width(drawn)
    else:
        kept, note = _lobes(flat, drawn, called)
        width_m = _mean_width(kept)
        lobes = shapely.transform(kept, lambda xy: xy / scale + centre).geoms
        gathered.mended(note)
    if called == "track" and gap_m > _GAP_WIDTHS * width_m:
        raise NotAnOutline(
            f"the {called} is not a loop: it ends {gap_m:,.0f} m from its start and encloses only a strip "
            f"{width_m:.0f} m wide"
        )
    gathered.polygons.extend(lobes)
    if gap_m > _TELLING_GAP_M:
        gathered.mended(f"The {called} was open; the gap of {gap_m:,.0f} m was closed with a straight line.")
    elif gap_m >= 1:
        gathered.notes.append(f"Start and end of the {called} are {gap_m:.0f} m apart; they were joined.")


def _lobes(flat, drawn, called):
    """The ground enclosed by a track that crosses itself, without slivers, and what to say about it."""
    crossings = count_crossings(flat, MAX_CROSSINGS)
    if crossings > MAX_CROSSINGS:
        raise NotAnOutline(
            f"the {called} is too complex: it crosses itself more than {MAX_CROSSINGS:,} times"
        )
    ground = enclosed(drawn.exterior)
    kept = MultiPolygon([_without_narrow_holes(lobe) for lobe in ground.geoms if _is_wide(lobe)])
    if kept.is_empty:
        raise NotAnOutline(f"the {called} encloses no usable area: it goes out and back along the same line")
    largest = max(lobe.area for lobe in kept.geoms)
    if len(kept.geoms) > _MOST_LOBES and largest < kept.area / 2:
        raise NotAnOutline(
            f"the {called} encloses no usable area: it crosses itself {counted(crossings, 'time')} and leaves "
            f"{len(kept.geoms)} scraps of ground"
        )
    note = f"The {called} crossed itself ({counted(crossings, 'crossing')}); the ground it encloses was kept"
    if len(kept.geoms) > 1:
        note += f", now {len(kept.geoms)} parts"
    slivers = len(ground.geoms) - len(kept.geoms)
    if slivers:
        dropped_acres = m2_to_acres(sum(lobe.area for lobe in ground.geoms if not _is_wide(lobe)))
        note += (
            f"; {counted(slivers, 'sliver')} narrower than {LEAST_WIDTH_M:.0f} m "
            f"({dropped_acres:.3f} acre) {'was' if slivers == 1 else 'were'} dropped"
        )
    return kept, f"{note}."


def _without_repeats(points):
    moved = np.r_[True, (np.diff(points, axis=0) != 0).any(axis=1)]
    return points[moved]


def closes(points):
    """Whether a line comes back to within a quarter of its length."""
    if len(np.unique(points, axis=0)) < 3:
        return False
    length_m, gap_m = _length_and_gap(points)
    return gap_m <= _GAP_SHARE * length_m


def _length_and_gap(points):
    length_m = _WGS84.line_length(points[:, 0], points[:, 1])
    gap_m = _WGS84.inv(*points[-1], *points[0])[2]
    return length_m, gap_m


def _longest_side(points):
    return max(_WGS84.line_lengths(points[:, 0], points[:, 1]))


def _mean_width(ground):
    return 2 * ground.area / ground.length


def _is_wide(lobe):
    return _mean_width(lobe) >= LEAST_WIDTH_M


def _without_narrow_holes(lobe):
    """Between two rounds of the same plot there are slivers that nobody left unplanted."""
    return Polygon(lobe.exterior, [hole for hole in lobe.interiors if _is_wide(Polygon(hole))])
