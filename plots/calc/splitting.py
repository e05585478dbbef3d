"""Cutting an outline along lines."""

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon
from shapely.geometry.polygon import orient

from plots.calc.geodesy import WGS84, geodesic_area_perimeter
from plots.calc.plane import Plane
from plots.calc.units import acres_to_m2, m2_to_acres

REACH_M = 1.0
"""An end of a line that lies inside, this near the edge, is taken to reach it. Ours. [m]"""

LEAST_PIECE_M2 = acres_to_m2(0.01)
"""A smaller piece is a slip of the line: 0.01 acre. Ours. [m²]"""


class CannotSplit(ValueError):
    """Why not, as a sentence for the person who drew the line."""


def pieces_of(outline, lines):
    """The pieces into which lines cut an outline, and the parts that no line cuts.

    Pieces share the corners of the cut, so that between them is neither a gap nor an overlap. Where a line meets an
    edge the new corner is put on the geodesic between the edge's ends, along which acreage is measured (on a map it
    is a hair beside the straight line), so that the pieces' areas add up to the outline's, as far as they can be measured:
    a geodesic area is summed from the equator, and good to a square centimetre.

    Parameters
    ----------
    outline : shapely MultiPolygon
        Valid; longitude and latitude on WGS84. [degrees]
    lines : list of shapely LineString, shape (n,)
        They may cross each other, holes, and several parts. An end that lies inside, within `REACH_M` of the edge
        straight on, is taken to reach it; what then still ends inside cuts nothing. [degrees]

    Returns
    -------
    pieces : list of shapely Polygon
        At least two, the largest first.
    untouched : list of shapely Polygon
        The parts that stay whole, as they were.

    Raises
    ------
    CannotSplit
        No line cuts through, or a piece is smaller than `LEAST_PIECE_M2`.

    Examples
    --------
    >>> from shapely.geometry import box
    >>> square = MultiPolygon([box(-92, 38, -91.998, 38.002)])
    >>> pieces, untouched = pieces_of(square, [LineString([(-91.9985, 37.999), (-91.9985, 38.003)])])
    >>> (geodesic_area_perimeter(pieces)[0] / geodesic_area_perimeter(square)[0]).round(3)
    array([0.75, 0.25])
    """
    reaching = [_reaching(outline, line) for line in lines]
    pieces, untouched = [], []
    for part in outline.geoms:
        cut = _cut(part, reaching)
        if len(cut) > 1:
            pieces += cut
        else:
            untouched.append(part)
    if not pieces:
        raise CannotSplit(
            "The line does not cut through the plot; draw it from outside one edge to outside another."
        )
    areas_m2 = geodesic_area_perimeter(pieces)[0]
    if areas_m2.min() < LEAST_PIECE_M2:
        raise CannotSplit(
            f"One piece would have {m2_to_acres(areas_m2.min()):.4f} acre; at least "
            f"{m2_to_acres(LEAST_PIECE_M2):.2f} acre is accepted. Move the line, or draw it once across."
        )
    order = sorted(range(len(pieces)), key=lambda each: (-areas_m2[each], pieces[each].bounds))
    return [pieces[each] for each in order], untouched


def joined(pieces):
    """Pieces of one outline as one MultiPolygon; the cut between those that lie beside each other is gone.

    Parameters
    ----------
    pieces : list of shapely Polygon
        As `pieces_of` gives them. [degrees]
    """
    whole = shapely.union_all(pieces)
    return MultiPolygon([orient(part) for part in shapely.get_parts(whole)])


def _reaching(outline, line):
    """The line, made longer by `REACH_M` at an end that lies inside and would then cross the edge."""
    plane = Plane.about(outline)
    points = shapely.get_coordinates(line)
    along = shapely.get_coordinates(plane.to_metres(line))
    ends = []
    for end, inner in ((0, 1), (-1, -2)):
        step = along[end] - along[inner]
        beyond = along[end] + step / np.hypot(*step) * REACH_M
        longer = plane.to_degrees(LineString([along[end], beyond]))
        is_short = outline.covers(shapely.Point(points[end])) and longer.intersects(outline.boundary)
        ends.append(shapely.get_coordinates(longer)[1:] if is_short else np.empty((0, 2)))
    return LineString(np.vstack([ends[0], points, ends[1]]))


def _cut(part, lines):
    """The pieces of one polygon; one or none where nothing cuts it."""
    lines = [line for line in lines if line.intersects(part)]
    if not lines:
        return []
    edges = shapely.union_all([part.boundary, *lines])
    faces = [face for face in shapely.polygonize([edges]).geoms if part.covers(face.representative_point())]
    if len(faces) < 2:
        return []
    moved = _onto_geodesics(part, faces)
    return [orient(piece) for piece in moved]


def _onto_geodesics(part, faces):
    """The faces with each corner that is new on an edge of the part put onto the geodesic between the edge's ends."""
    rings = shapely.get_rings(part)
    corners, ring_of = shapely.get_coordinates(rings, return_index=True)
    is_edge = ring_of[1:] == ring_of[:-1]
    begins, ends = corners[:-1][is_edge], corners[1:][is_edge]
    edges = shapely.linestrings(np.stack([begins, ends], axis=1))
    old = set(map(tuple, corners))
    new = [point for point in set(map(tuple, shapely.get_coordinates(faces))) if point not in old]
    if not new:
        return faces
    points = shapely.points(new)
    nearest, distances = shapely.STRtree(edges).query_nearest(points, return_distance=True, all_matches=False)
    on_edge = distances < _ON_EDGE_DEGREES
    which, edge = nearest[0][on_edge], nearest[1][on_edge]
    azimuths, _, lengths = WGS84.inv(*begins[edge].T, *ends[edge].T)
    placed = np.array(new)[which]
    share = np.hypot(*(placed - begins[edge]).T) / np.hypot(*(ends[edge] - begins[edge]).T)
    lon, lat, _ = WGS84.fwd(*begins[edge].T, azimuths, lengths * share)
    moves = {new[i]: (x, y) for i, x, y in zip(which, lon, lat, strict=True)}

    def move(coordinates):
        return np.array([moves.get(tuple(each), tuple(each)) for each in coordinates])

    return [shapely.transform(face, move) for face in faces]


_ON_EDGE_DEGREES = 1e-11  # a micrometre: how far rounding leaves a crossing beside its edge
