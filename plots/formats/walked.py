"""A walk with a phone as an outline: plots/calc/track.py chooses the fixes, loops.py says what is a loop."""

from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import MultiPolygon
from shapely.geometry.polygon import orient

from plots.calc.geodesy import geodesic_area_perimeter
from plots.calc.track import Use, plane_of, thinned, track_of, without_overshoot
from plots.calc.units import m2_to_acres, m_to_ft
from plots.formats.loops import LEAST_WIDTH_M, closes, gather_loop
from plots.formats.model import NotAnOutline
from plots.formats.repair import polygons_of
from plots.formats.source import counted

_TELLING_CUT_M = 1.0
_TELLING_SHARE = 0.25  # of the acres: seed is seldom ordered with more to spare
_TELLING_STEP_M = 25.0  # walked in twenty seconds: an edge between two fixes further apart was not seen


@dataclass(frozen=True)
class Walked:
    """What a walk comes to.

    outline : shapely MultiPolygon
        Longitude and latitude on WGS84, valid. [degrees]
    area_m2, perimeter_m : float
        Geodesic.
    accuracy_m : float
        Mean accuracy of the fixes used: the radius that holds the true place with 95 % confidence. [m]
    margin_m2 : float
        Perimeter × accuracy: what the area would be off if the whole edge lay off to one side. [m²]
    gap_m : float
        From the last fix used to the first, which was closed with a straight line. [m]
    uses : ndarray of int, shape (n,)
        A `Use` for each fix.
    notes : list of str
        What was done, in sentences.
    """

    outline: MultiPolygon
    area_m2: float
    perimeter_m: float
    accuracy_m: float
    gap_m: float
    uses: np.ndarray
    notes: list = field(default_factory=list)

    @property
    def margin_m2(self):
        return self.perimeter_m * self.accuracy_m

    @property
    def acres(self):
        return m2_to_acres(self.area_m2)

    @property
    def margin_acres(self):
        return m2_to_acres(self.margin_m2)

    @property
    def corners(self):
        return sum(
            len(ring.coords) - 1 for part in self.outline.geoms for ring in (part.exterior, *part.interiors)
        )


def walked_outline(fixes, worst_accuracy_m, tolerance_m):
    """The outline that a walk goes round.

    The fixes are chosen (`track_of`) and their stretches joined in order; where the end runs past the start both are
    cut at the crossing, and a way from a truck goes (`without_overshoot`); the line is thinned and closed, and where it still crosses itself the
    ground that it goes round is kept (`gather_loop`). Where each of several stretches is a loop each is a part.

    Parameters
    ----------
    fixes : array_like, shape (n, 5)
        As for `track_of`.
    worst_accuracy_m, tolerance_m : float
        [m]

    Returns
    -------
    Walked
        Every corner lies on the line through the used fixes, cut and closed, or within the tolerance of it.

    Raises
    ------
    NotAnOutline
        Too few fixes, no loop, or no more ground than the accuracy leaves open.
    """
    track = track_of(fixes, worst_accuracy_m)
    used = track.count(Use.USED)
    if used < 3:
        raise NotAnOutline(
            f"{used} of {counted(len(track.uses), 'point')} {'is' if used == 1 else 'are'} left that can be used, and an "
            f"outline needs three; {track.count(Use.WORSE)} are worse than {length_text(worst_accuracy_m)}"
        )
    notes = _said_of(track, worst_accuracy_m)
    plane = plane_of(track.lines)
    are_loops = len(track.lines) > 1 and all(closes(line) for line in track.lines)
    step_m = track.widest_in_stretch_m if are_loops else track.widest_step_m
    if step_m > _TELLING_STEP_M:
        notes.append(
            f"Between two points there are {length_text(step_m)} without one; the edge is taken as straight there."
        )
    if are_loops:
        lines = track.lines
    else:
        lines = [np.vstack(track.lines)]
        if len(track.lines) > 1:
            notes.append(f"The {len(track.lines)} stretches between pauses were joined in order.")
    thin, gaps_m = [], []
    for line in lines:
        flat, cut_m = without_overshoot(shapely.get_coordinates(plane.to_metres(shapely.points(line))))
        if cut_m > _TELLING_CUT_M:
            notes.append(
                f"The walk began before its loop or ran past its start; {length_text(cut_m)} were cut off."
            )
        gaps_m.append(float(np.hypot(*(flat[-1] - flat[0]))))
        thin.append(shapely.get_coordinates(plane.to_degrees(shapely.points(thinned(flat, tolerance_m)))))
    gathered = gather_loop(thin)
    outline = _clean(gathered.polygons)
    area_m2, perimeter_m = geodesic_area_perimeter(outline)
    walked = Walked(
        outline=outline,
        area_m2=float(area_m2),
        perimeter_m=float(perimeter_m),
        accuracy_m=track.accuracy_m,
        gap_m=max(gaps_m),
        uses=track.uses,
        notes=[*notes, *gathered.notes],
    )
    width_m = 2 * walked.area_m2 / walked.perimeter_m
    if width_m < LEAST_WIDTH_M:
        raise NotAnOutline(
            f"it goes round a strip {length_text(width_m)} wide on average; a phone cannot tell ground narrower than "
            f"{length_text(LEAST_WIDTH_M)} from its own wandering"
        )
    walked.notes.append(
        f"Thinned to {counted(walked.corners, 'corner')}: the line stays within {length_text(tolerance_m)} of the points "
        "that it follows."
    )
    share = walked.margin_m2 / walked.area_m2
    if share > _TELLING_SHARE:
        walked.notes.append(
            f"The ± is {share:.0%} of the acres: walk it again under a clearer sky, or leave out more of the poor points."
        )
    return walked


def length_text(length_m):
    """'33 ft (10 m)'."""
    return (
        f"{m_to_ft(length_m):,.0f} ft ({length_m:,.3g} m)"
        if length_m < 1000
        else f"{m_to_ft(length_m):,.0f} ft"
    )


def _said_of(track, worst_accuracy_m):
    said = [f"{track.count(Use.USED):,} of {counted(len(track.uses), 'point')} were used."]
    left_out = [
        (Use.WORSE, f"worse than {length_text(worst_accuracy_m)}"),
        (Use.JUMPED, "further from the others than anybody gets in the time"),
        (Use.STILL, "more of a spot where you stood, which counts once"),
    ]
    said += [f"{track.count(use):,} left out: {why}." for use, why in left_out if track.count(use)]
    return said


def _clean(polygons):
    outline = MultiPolygon([orient(each) for each in polygons])
    if outline.is_valid:
        return outline
    # parts that were walked apart and share ground
    return MultiPolygon([orient(each) for each in polygons_of(shapely.union_all(polygons)).geoms])
