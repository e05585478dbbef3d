"""Taking a narrow strip of shared ground away from one of two outlines."""

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from plots.calc.change import overlaid
from plots.calc.geodesy import geodesic_area_perimeter
from plots.calc.plane import Plane
from plots.calc.shape import width_m

MOST_SHARE = 0.05
"""Of an outline that a trim may take: more is no sliver, however narrow. Ours. [-]"""
LEAST_LEFT_M2 = 1e-6
"""Ground that two outlines may share after a trim: what a nanometre of rounding leaves along an edge. [m²]"""
_NEEDLE_M = 0.01
"""A tip beside the cut that is thinner is no ground but what a corner beside the other's edge leaves. Ours. [m]"""
_NEEDLE_SHARE = 0.1  # of its length, at most, is a needle's width


class CannotTrim(ValueError):
    """Why not, as what would happen: 'it would fall into 2 pieces'."""


def trimmed(outline, keeper, narrow_m):
    """The outline without the ground that the keeper has, when that is a sliver along its edge.

    Along the common edge the corners are the keeper's own, so that no new sliver arises. Needles that the cut leaves,
    thinner than a centimetre, go too.

    Parameters
    ----------
    outline, keeper : shapely MultiPolygon
        Valid; longitude and latitude on WGS84. [degrees]
    narrow_m : float
        Pieces that the trim cuts off and that are nowhere wider go with it. [m]

    Returns
    -------
    shapely MultiPolygon
        It shares less than `LEAST_LEFT_M2` with the keeper.

    Raises
    ------
    CannotTrim
        The outline would lose a part or more than `MOST_SHARE`, fall into pieces, or get a hole; or the ground
        is still shared afterwards.

    Examples
    --------
    >>> from shapely.geometry import box
    >>> left, right = (MultiPolygon([box(w, 38, w + 0.00101, 38.001)]) for w in (-92, -91.999))
    >>> trimmed(right, left, 2.0).bounds
    (-91.99899, 38.0, -91.99799, 38.001)
    """
    rest = MultiPolygon([_largest_piece(part, keeper, narrow_m) for part in outline.geoms])
    before_m2, after_m2 = geodesic_area_perimeter([outline, rest])[0]
    if after_m2 < (1 - MOST_SHARE) * before_m2:
        raise CannotTrim(
            f"it would lose {1 - after_m2 / before_m2:.0%} of its ground; {MOST_SHARE:.0%} is accepted at most"
        )
    # on a flat map: a geodesic area is summed from the equator, and is no better than a square centimetre
    left_m2 = Plane.about(keeper).to_metres(overlaid(shapely.intersection, rest, keeper)).area
    if left_m2 > LEAST_LEFT_M2 or not rest.is_valid:
        raise CannotTrim("the two outlines would still share ground along the new edge")
    return rest


def _largest_piece(part, keeper, narrow_m):
    pieces = sorted(overlaid(shapely.difference, part, keeper).geoms, key=lambda piece: -piece.area)
    if not pieces:
        raise CannotTrim("it would lose a whole part")
    wide = [piece for piece in pieces[1:] if width_m(piece) > narrow_m]
    if wide:
        raise CannotTrim(f"it would fall into {1 + len(wide)} pieces")
    if len(pieces[0].interiors) > len(part.interiors):
        raise CannotTrim("it would get a hole")
    return _without_needles(pieces[0], keeper)


def _without_needles(piece, keeper):
    """The piece without tips that reach along the keeper's edge, such as where the end edges of neighbours that
    overlap do not lie quite in one line."""
    plane = Plane.about(piece)
    edge, kept = plane.to_metres(keeper).boundary, set(map(tuple, shapely.get_coordinates(keeper)))
    rings = [
        _blunted(shapely.get_coordinates(ring)[:-1], plane, edge, kept)
        for ring in (piece.exterior, *piece.interiors)
    ]
    blunt = Polygon(rings[0], rings[1:])
    return blunt if blunt.is_valid else piece


def _blunted(corners, plane, edge, kept):
    at = shapely.get_coordinates(plane.to_metres(shapely.points(corners)))
    is_near = shapely.distance(shapely.points(at), edge) < _NEEDLE_M
    may_go = is_near & [tuple(corner) not in kept for corner in corners]
    left, place = list(range(len(corners))), 0
    while len(left) > 4 and place < len(left):
        before, tip, next_, after = (left[(place + step) % len(left)] for step in (-1, 0, 1, 2))
        # a needle ends in one corner, or in two beside each other
        if may_go[tip] and _is_needle(at[before], at[tip], at[tip], at[next_], is_near[[before, next_]]):
            gone = [tip]
        elif (
            may_go[[tip, next_]].all()
            and np.hypot(*(at[tip] - at[next_])) < _NEEDLE_M
            and _is_needle(at[before], at[tip], at[next_], at[after], is_near[[before, after]])
        ):
            gone = [tip, next_]
        else:
            place += 1
            continue
        left = [each for each in left if each not in gone]
        place = max(0, place - 2)
    return corners[left]


def _is_needle(before, tip, other_tip, after, are_near):
    """Whether the ways to the tip and from it lie on each other, the shorter one along the keeper's edge."""
    there, back = before - tip, after - other_tip
    is_there_longer = np.hypot(*there) >= np.hypot(*back)
    long, short = (there, back) if is_there_longer else (back, there)
    length_m = np.hypot(*long)
    along_m = short @ long / length_m
    beside_m = abs(long[0] * short[1] - long[1] * short[0]) / length_m
    return bool(
        are_near[int(is_there_longer)] and beside_m < _NEEDLE_M and beside_m < _NEEDLE_SHARE * along_m
    )
