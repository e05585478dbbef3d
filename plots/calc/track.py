"""A walked edge: which of a phone's fixes count, and the line through them.

A phone under trees reports positions that jump, wander while its owner ties a boot, and come with an accuracy of
their own. What is taken and what is left out is decided here by a few lengths and times, and each is counted, so
that nothing is left out unsaid.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely.geometry import LineString, MultiPoint

from plots.calc.plane import Plane

LON, LAT, ACCURACY_M, AT_MS, STRETCH = range(5)  # columns of a fix

# Common practice, no source, for a person with a phone:
FASTEST_M_PER_S = 15.0  # 34 mph: faster than anyone drives round a plot
STILL_M, STILL_S = 3.0, 10.0  # who has not left a circle this wide for this long stands
OVERSHOOT_SHARE = 0.15  # of the length: the last and the first so much of a walk may overlap
APART_M = 10.0  # an end this near to the start is the same place
MEETING_M = 8.0  # two passes of one place lie no further apart
WHOLE_SHARE = 0.9  # of the ground: what holds less is not the loop that was walked

_MOST_MEETINGS = 500_000  # of a walk of five hours, twice round; a scribble has more, and would take minutes
_LOOK_AHEAD = 32  # fixes: who walks has left the circle long before


class Use(IntEnum):
    """What became of a fix."""

    USED = 0
    WORSE = 1  # than the accuracy asked for
    JUMPED = 2  # further than anyone moves
    STILL = 3  # one of many from the same spot


@dataclass(frozen=True)
class Track:
    """The line that was walked.

    uses : ndarray of int, shape (n,)
        A `Use` for each fix.
    lines : list of ndarray, shape (m, 2)
        Longitude and latitude of the used fixes [degrees], a line a stretch.
    accuracy_m : float
        Mean accuracy of the used fixes. [m]
    widest_step_m : float
        The longest way between two used fixes that follow each other. [m]
    widest_in_stretch_m : float
        The same without the ways from one stretch to the next. [m]
    """

    uses: np.ndarray
    lines: list
    accuracy_m: float
    widest_step_m: float
    widest_in_stretch_m: float

    def count(self, use):
        return int((self.uses == use).sum())


def track_of(fixes, worst_accuracy_m):
    """The fixes that count, and the lines through them.

    Left out are fixes worse than `worst_accuracy_m`; runs of fixes that cannot be reached at 15 m/s from the longest
    run that can, allowing for both accuracies; and, of ten seconds or more within three metres, all but the most
    accurate fix.

    Parameters
    ----------
    fixes : array_like, shape (n, 5)
        Longitude, latitude [degrees], accuracy [m], time since the start [ms], number of the stretch; in the order in
        which they came. The accuracy is the radius that holds the true place with 95 % confidence, as browsers give it.
        A pause begins a new stretch.
    worst_accuracy_m : float
        [m]

    Returns
    -------
    Track
        `accuracy_m` is the arithmetic mean of the used fixes' 95 % radii: multiplied by the perimeter it is what the
        acreage would be off if the whole edge lay off to one side, each piece by its own radius. NaN without a used fix.

    Raises
    ------
    ValueError
        Fixes that are not n × 5 finite numbers, a limit that is not positive.

    References
    ----------
    Accuracy: "Geolocation", W3C Recommendation of 16 September 2024, World Wide Web Consortium, "The latitude,
    longitude, and accuracy attributes". The limits of jumps and stands are common practice, no source.

    Examples
    --------
    >>> track = track_of([[-92, 38, 4, 0, 0], [-92, 38.0005, 6, 40_000, 0], [-92, 38.001, 30, 80_000, 0]], 10)
    >>> track.uses.tolist(), track.accuracy_m, len(track.lines[0])
    ([0, 0, 1], 5.0, 2)
    >>> track_of([], 10).lines
    []
    """
    fixes = np.asarray(fixes, dtype=float).reshape(-1, 5)
    if not np.isfinite(fixes).all():
        raise ValueError(
            "a fix holds a value that is not finite; longitude, latitude, accuracy, time and stretch are"
        )
    if not worst_accuracy_m > 0:
        raise ValueError(f"the worst accuracy is {worst_accuracy_m} m; accepted is more than 0")
    uses = np.full(len(fixes), Use.USED)
    uses[fixes[:, ACCURACY_M] > worst_accuracy_m] = Use.WORSE
    good = np.flatnonzero(uses == Use.USED)
    if not good.size:
        return Track(uses, [], np.nan, 0.0, 0.0)
    places_m = _flat(fixes)
    uses[good[_jumped(fixes[good], places_m[good])]] = Use.JUMPED
    good = np.flatnonzero(uses == Use.USED)
    uses[good[_repeated(fixes[good], places_m[good])]] = Use.STILL
    used = np.flatnonzero(uses == Use.USED)
    goes_on = np.diff(fixes[used, STRETCH]) == 0
    breaks = np.flatnonzero(~goes_on) + 1
    steps_m = _steps_m(places_m[used])
    return Track(
        uses=uses,
        lines=[fixes[each][:, [LON, LAT]] for each in np.split(used, breaks)],
        accuracy_m=float(fixes[used, ACCURACY_M].mean()),
        widest_step_m=float(steps_m.max(initial=0.0)),
        widest_in_stretch_m=float(steps_m[goes_on].max(initial=0.0)),
    )


def without_overshoot(line):
    """A line whose end runs past its start, without the overlap.

    Cut is where the last part of the line, 15 % of its length, first crosses the first 15 %: what lies before the
    crossing on the first part goes too, such as the way from a truck. Where the two run beside each other without
    crossing, the end is cut where it comes nearest to the start. Where it does not come near to it, since the walk
    began at a truck or went half a round more, the loop is kept that holds the ground.

    Parameters
    ----------
    line : ndarray, shape (n, 2)
        East and north. [m]

    Returns
    -------
    line : ndarray, shape (m, 2)
        Starts and ends in the crossing if there is one; as it came where it does not run past its start. [m]
    cut_m : float
        The length that was cut off. [m]
    """
    far_m = np.r_[0.0, np.cumsum(_steps_m(line))]
    reach_m = OVERSHOOT_SHARE * far_m[-1]
    last_of_head = np.searchsorted(far_m, reach_m)
    first_of_tail = np.searchsorted(far_m, far_m[-1] - reach_m, side="right") - 1
    if len(line) < 4 or not last_of_head < first_of_tail:
        return line, 0.0
    edges = shapely.linestrings(np.stack([line[:-1], line[1:]], axis=1))
    heads_of_tails = shapely.STRtree(edges[:last_of_head])
    for tail in range(first_of_tail, len(edges)):
        heads = heads_of_tails.query(edges[tail], predicate="intersects")
        if heads.size:
            along_m, head = min((_first_along(edges[tail], edges[each]), each) for each in heads)
            crossing = shapely.get_coordinates(edges[tail].interpolate(along_m))[0]
            cut_m = far_m[head] + _distance_m(line[head], crossing) + far_m[-1] - far_m[tail] - along_m
            kept = np.vstack([crossing, line[head + 1 : tail + 1], crossing])
            return kept[np.r_[True, _steps_m(kept) > 0]], float(cut_m)
    nearest = first_of_tail + int(np.argmin(_distance_m(line[first_of_tail:], line[0])))
    first, last = 0, nearest
    if _distance_m(line[nearest], line[0]) > APART_M:
        first, last = _loop_within(line) or (first, last)
    return line[first : last + 1], float(far_m[first] + far_m[-1] - far_m[last])


def _loop_within(line):
    """The first and the last place of the loop that holds nearly all the ground that the closed line goes round, or
    None: the line comes back to nearly the same place somewhere, and what lies before and after goes round nothing."""
    tree = cKDTree(line)
    if tree.count_neighbors(tree, MEETING_M) > 2 * _MOST_MEETINGS + len(line):
        return None
    first, last = tree.query_pairs(MEETING_M, output_type="ndarray").T
    # Twice the ground between two places, the straight way back included: the shoelace formula in running sums.
    swept = np.r_[0.0, np.cumsum(_cross(line[:-1], line[1:]))]
    held_m2 = abs(swept[last] - swept[first] + _cross(line[last], line[first])) / 2
    rounds = shapely.polygonize([shapely.union_all([LineString(np.vstack([line, line[:1]]))])])
    whole_m2 = shapely.union_all(rounds).area
    # a second round holds its ground a second time
    is_whole = (held_m2 >= WHOLE_SHARE * whole_m2) & (held_m2 <= whole_m2)
    if not is_whole.any():
        return None
    apart_m = np.where(is_whole, _distance_m(line[first], line[last]), np.inf)
    best = int(np.argmin(apart_m))
    return int(first[best]), int(last[best])


def _cross(one, other):
    return one[..., 0] * other[..., 1] - one[..., 1] * other[..., 0]


def thinned(line, tolerance_m):
    """The line with as few of its corners as keep every one within the tolerance (Douglas and Peucker).

    Parameters
    ----------
    line : ndarray, shape (n, 2)
        East and north [m], or longitude and latitude with the tolerance in degrees.
    tolerance_m : float
        The furthest that a corner left out may lie from the line that stays. [m]

    Returns
    -------
    ndarray, shape (m, 2)
        First and last corner are kept.

    References
    ----------
    D. H. Douglas, T. K. Peucker, "Algorithms for the reduction of the number of points required to represent a
    digitized line or its caricature", Cartographica 10 (1973) 112-122, as carried out by GEOS.
    """
    if len(line) < 3:
        return line
    return shapely.get_coordinates(shapely.simplify(LineString(line), tolerance_m, preserve_topology=False))


def plane_of(lines):
    """The plane in metres about lines of longitude and latitude."""
    return Plane.about(MultiPoint(np.vstack(lines)))


def _flat(fixes):
    """East and north [m]. The middle is the median: one wild fix would move the middle of the extent."""
    places = fixes[:, [LON, LAT]]
    plane = Plane(*np.median(places, axis=0).tolist())
    return shapely.get_coordinates(plane.to_metres(shapely.points(places)))


def _jumped(fixes, places_m):
    """Positions of fixes in runs that cannot be reached from the longest run."""
    slack_m = fixes[:-1, ACCURACY_M] + fixes[1:, ACCURACY_M]
    runs = np.split(
        np.arange(len(fixes)),
        np.flatnonzero(_too_fast(fixes[:-1], fixes[1:], _steps_m(places_m), slack_m)) + 1,
    )
    longest = max(range(len(runs)), key=lambda number: len(runs[number]))
    kept = {longest}
    for numbers, end, start in ((range(longest + 1, len(runs)), -1, 0), (range(longest - 1, -1, -1), 0, -1)):
        last = runs[longest][end]
        for number in numbers:
            next_ = runs[number][start]
            early, late = min(last, next_), max(last, next_)
            way_m = _distance_m(places_m[early], places_m[late])
            slack_m = fixes[early, ACCURACY_M] + fixes[late, ACCURACY_M]
            if not _too_fast(fixes[early], fixes[late], way_m, slack_m):
                kept.add(number)
                last = runs[number][end]
    lost = [run for number, run in enumerate(runs) if number not in kept]
    return np.concatenate(lost) if lost else np.array([], dtype=int)


def _too_fast(before, after, way_m, slack_m):
    """Whether nobody gets from one fix to the next. During a pause a phone's clock may have been set: all can be."""
    taken_s = np.maximum(after[..., AT_MS] - before[..., AT_MS], 1000) / 1000
    is_same_stretch = after[..., STRETCH] == before[..., STRETCH]
    return is_same_stretch & (way_m - slack_m > FASTEST_M_PER_S * taken_s)


def _repeated(fixes, places_m):
    """Positions of fixes from a stand, all but the most accurate of each."""
    repeated, start = [], 0
    while start < len(fixes):
        end = _left_at(fixes, places_m, start)
        if fixes[end - 1, AT_MS] - fixes[start, AT_MS] >= STILL_S * 1000:
            best = start + int(np.argmin(fixes[start:end, ACCURACY_M]))
            repeated += [each for each in range(start, end) if each != best]
            start = end
        else:
            start += 1
    return np.array(repeated, dtype=int)


def _left_at(fixes, places_m, start):
    """The first fix after `start` that lies outside its circle or in another stretch."""
    ahead = _LOOK_AHEAD
    while True:
        near = _distance_m(places_m[start : start + ahead], places_m[start]) <= STILL_M
        near &= fixes[start : start + ahead, STRETCH] == fixes[start, STRETCH]
        if not near.all():
            return start + int(np.argmin(near))
        if start + ahead >= len(fixes):
            return len(fixes)
        ahead *= 4


def _first_along(edge, other):
    """How far along the edge it first meets the other. [m]"""
    meeting = shapely.points(shapely.get_coordinates(edge.intersection(other)))
    return float(shapely.line_locate_point(edge, meeting).min())


def _steps_m(places_m):
    return np.hypot(*np.diff(places_m, axis=0).T) if len(places_m) > 1 else np.array([])


def _distance_m(one, other):
    return np.hypot(*(np.asarray(one) - other).T)
