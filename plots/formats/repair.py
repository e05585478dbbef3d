"""Invalid polygons made valid so that the ground they enclose is kept.

Each outer ring and each hole is repaired alone; then the holes are cut out and the parts merged. A ring
encloses what it goes round, however often and in whichever direction, so a lobe of a bow-tie is ground, and
so is a plot that was walked round twice. GEOS's own repairs do not keep to that: `buffer(0)` drops half of a
bow-tie, `make_valid` makes land of a stray hole outside the outer ring, and its "structure" method loses the
ground of some rings that run back along themselves.
"""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from plots.formats.limits import MAX_CROSSINGS, MAX_FILE_CROSSINGS
from plots.formats.model import NotAnOutline, UnusableFile

_PAIRS_AT_ONCE = 500_000  # bounds the memory of one search for crossings to about 20 MB
_NOTHING = 1e-6  # share of the ground below which a part or a change is arithmetic, not ground


@dataclass(frozen=True)
class Mended:
    """A valid geometry and sentences that say what was wrong; none when it was valid as drawn."""

    geometry: MultiPolygon
    notes: list


class Mender:
    """Repairs the outlines of one file, which share a budget of crossings."""

    def __init__(self):
        self._crossings_left = MAX_FILE_CROSSINGS

    def mend(self, drawn):
        """The same ground, valid.

        Parameters
        ----------
        drawn : shapely MultiPolygon
            Finite coordinates in any plane.

        Returns
        -------
        Mended

        Raises
        ------
        NotAnOutline
            Nothing is enclosed, or the outline crosses itself too often.
        UnusableFile
            The file as a whole crosses itself too often.
        """
        if drawn.is_valid:
            return Mended(drawn, [])
        notes, parts = [], []
        for part in drawn.geoms:
            if part.is_valid:
                parts.append(part)
            else:
                parts.extend(self._part(part, notes))
        merged = polygons_of(shapely.union_all(parts))
        if _overlap(parts, merged):
            notes.append("Parts that lay over each other were merged; their common ground counts once.")
        if merged.is_empty:
            raise NotAnOutline("it encloses no ground")
        if not notes:
            notes.append("Rings that touched along an edge or twice were joined or parted there.")
        return Mended(_without_slivers(merged), list(dict.fromkeys(notes)))

    def _part(self, part, notes):
        """The valid polygons of one invalid part."""
        shell = self._ring(part.exterior, "The ring", notes)
        holes = [self._ring(hole, "A hole", notes) for hole in part.interiors]
        kept = []
        for hole in holes:
            inside = shapely.intersection(shell, hole).area
            if inside <= _NOTHING * hole.area:
                notes.append("A hole outside the outline was dropped.")
                continue
            if inside < hole.area * (1 - _NOTHING):
                notes.append("A hole stuck out of the outline; it was clipped.")
            kept.append(hole)
        cut = shapely.union_all(kept)
        if kept and cut.area < sum(hole.area for hole in kept) * (1 - _NOTHING):
            notes.append("Holes that lay over each other were merged.")
        ground = polygons_of(shapely.difference(shell, cut)) if kept else shell
        return ground.geoms

    def _ring(self, ring, called, notes):
        drawn = Polygon(ring)
        if drawn.is_valid:
            return MultiPolygon([drawn])
        crossings = count_crossings(shapely.get_coordinates(ring), MAX_CROSSINGS)
        if crossings > MAX_CROSSINGS:
            raise NotAnOutline(f"it is too complex: it crosses itself more than {MAX_CROSSINGS:,} times")
        self._crossings_left -= crossings
        if self._crossings_left < 0:
            raise UnusableFile(
                "The outlines in the file are too complex: together they cross themselves more than "
                f"{MAX_FILE_CROSSINGS:,} times."
            )
        mended = _without_slivers(enclosed(ring))
        notes.append(_what_happened(drawn, mended, called))
        return mended


def quietly(geometry):
    """A geometry that was valid before its coordinates were transformed, with hair-thin touches undone.

    Rounding in a transformation can make a ring touch itself by the width of an atom. Nothing that a person
    could see changes, so nothing is said.
    """
    if geometry.is_valid:
        return geometry
    return Mender().mend(geometry).geometry


def enclosed(ring):
    """The ground that a closed line goes round, by its winding number.

    Parameters
    ----------
    ring : shapely LinearRing or closed LineString

    Returns
    -------
    shapely MultiPolygon
        Valid; empty when the line encloses nothing.
    """
    edges = shapely.get_parts(shapely.node(shapely.LineString(ring)))
    faces = shapely.get_parts(shapely.polygonize(edges))
    inside = shapely.get_coordinates(shapely.point_on_surface(faces))
    vertices = shapely.get_coordinates(ring)
    rounds = np.array([_winding_number(point, vertices) for point in inside], dtype=int)
    return polygons_of(shapely.union_all(faces[rounds != 0]))


def _winding_number(point, vertices):
    """How often a closed line goes round a point: its upward crossings of the ray to the east, less the downward."""
    (x0, y0), (x1, y1) = vertices[:-1].T, vertices[1:].T
    is_left = (x1 - x0) * (point[1] - y0) - (point[0] - x0) * (y1 - y0)
    upward = (y0 <= point[1]) & (y1 > point[1]) & (is_left > 0)
    downward = (y0 > point[1]) & (y1 <= point[1]) & (is_left < 0)
    return int(upward.sum()) - int(downward.sum())


def polygons_of(geometry):
    """The polygons of an overlay's result as a MultiPolygon; lines and points are dropped."""
    members = shapely.get_parts(shapely.get_parts(geometry))
    return MultiPolygon(
        [member for member in members if member.geom_type == "Polygon" and not member.is_empty]
    )


def count_crossings(vertices, limit):
    """Pairs of edges of one ring that meet without being neighbours; counting stops once above the limit.

    Parameters
    ----------
    vertices : ndarray, shape (n, 2)
        Closed.
    limit : int

    Returns
    -------
    int
    """
    moved = np.r_[True, (np.diff(vertices, axis=0) != 0).any(axis=1)]
    vertices = vertices[moved]
    edges = shapely.linestrings(np.stack([vertices[:-1], vertices[1:]], axis=1))
    tree = shapely.STRtree(edges)
    step = max(1, _PAIRS_AT_ONCE // max(1, len(edges)))
    found = 0
    for start in range(0, len(edges), step):
        first, second = tree.query(edges[start : start + step], predicate="intersects")
        apart = second - (first + start)
        found += int(((apart > 1) & (apart < len(edges) - 1)).sum())
        if found > limit:
            break
    return found


def _what_happened(drawn, mended, called):
    parts = len(mended.geoms)
    if parts == 0:
        return f"{called} enclosed nothing and was dropped."
    touched_only = shapely.is_valid_reason(drawn).startswith("Ring Self-intersection")
    verb = "touched" if touched_only else "crossed"
    if parts > 1:
        return f"{called} {verb} itself; it is now {parts} parts."
    if abs(mended.area - drawn.area) <= _NOTHING * mended.area and not mended.geoms[0].interiors:
        return f"{called} ran out and back along the same line; that spike was removed."
    return f"{called} {verb} itself; it now follows the edge of the ground that it encloses."


def _overlap(parts, merged):
    return sum(part.area for part in parts) - merged.area > _NOTHING * merged.area


def _without_slivers(geometry):
    """Without the parts and holes that are too small to be anything but rounding."""
    least = _NOTHING * geometry.area
    return MultiPolygon(
        [
            Polygon(part.exterior, [hole for hole in part.interiors if Polygon(hole).area > least])
            for part in geometry.geoms
            if part.area > least
        ]
    )
