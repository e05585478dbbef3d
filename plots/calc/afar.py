"""Outlines with fewer corners, for maps that look at many of them from afar.

Neighbours that share an edge keep sharing it: what is common to both is simplified once. An outline never vanishes
and never loses all its ground, however small it is.
"""

from math import ceil, cos, log10, radians

import numpy as np
import shapely

_TILE_PX = 256
_WORLD_DEGREES = 360.0
# Corners closer than this are one: programs that write the same edge round it differently. A tenth of a millimetre.
_SAME_CORNER_DECIMALS = 9
# Simplifying together takes corners away by the triangle that they make, and alone by their distance from the line:
# with the triangle of a square this much wider the two leave about as many corners.
_TRIANGLE_TO_DISTANCE = 2.0


def pixel_degrees(zoom):
    """Degrees of longitude in one pixel of a web map.

    Parameters
    ----------
    zoom : float
        0 shows the world in one tile of 256 pixels; one more halves what a pixel shows.

    Returns
    -------
    float
        [degrees]

    References
    ----------
    By definition of the Web Mercator tiles: OGC Two Dimensional Tile Matrix Set, 17-083r4 (2022), annex D.1,
    WebMercatorQuad; from memory.

    Examples
    --------
    >>> pixel_degrees(0)
    1.40625
    """
    return _WORLD_DEGREES / (_TILE_PX * 2**zoom)


def decimals_for(step_degrees):
    """Decimals of a degree that place a corner at least as finely as `step_degrees`."""
    return max(0, ceil(-log10(step_degrees)))


def extent_px(west, south, east, north, zoom):
    """How large extents are on a web map, the larger of width and height.

    Parameters
    ----------
    west, south, east, north : array_like, shape (n,)
        [degrees]
    zoom : float

    Returns
    -------
    ndarray, shape (n,)
        [pixels]; NaN where a bound is NaN.
    """
    west, south, east, north = (np.asarray(bound, dtype=float) for bound in (west, south, east, north))
    tall = (north - south) / np.cos(np.radians((south + north) / 2))  # Mercator stretches as it widens
    return np.maximum(east - west, tall) / pixel_degrees(zoom)


def simplified(outlines, off_degrees):
    """MultiPolygons with fewer corners, about `off_degrees` of longitude from where they were at most.

    Parameters
    ----------
    outlines : array_like of shapely MultiPolygon or None, shape (n,)
        Valid, in longitude and latitude.
    off_degrees : float
        [degrees]; above zero.

    Returns
    -------
    ndarray of shapely MultiPolygon or None, shape (n,)
        Valid, of as many parts as before, except that parts and holes much smaller than the step may go from
        outlines of several, and fingers much narrower than the step from outlines that share an edge. None stays None, and what is empty stays empty.

    Raises
    ------
    ValueError
        A step that is not above zero.

    References
    ----------
    Alone by Douglas and Peucker, *Cartographica* 10 (1973), together by Visvalingam and Whyatt, *The Cartographic
    Journal* 30 (1993), as carried out by GEOS.

    Notes
    -----
    What two outlines share is found by corners that both have. Where one has a corner in the middle of the other's
    straight edge, and where outlines overlap without a common edge, each is simplified alone, and the gap or overlap
    between them changes by up to the step.
    """
    if not off_degrees > 0:
        raise ValueError(f"off_degrees is {off_degrees!r}; above zero is accepted.")
    whole = np.array(outlines, dtype=object)
    there = np.flatnonzero(~(shapely.is_missing(whole) | shapely.is_empty(whole)))
    if not len(there):
        return whole
    # Latitude is stretched as the map does it, so that a step is as long upwards as sideways.
    south, north = shapely.total_bounds(whole[there])[[1, 3]]
    stretch = np.array([1.0, 1 / cos(radians(min(abs(south + north) / 2, 89.0)))])
    flat = shapely.transform(whole[there], lambda at: np.round(at, _SAME_CORNER_DECIMALS) * stretch)
    shares = _shares_an_edge(flat)
    drawn = np.empty(len(there), dtype=object)
    drawn[~shares] = _each_alone(flat[~shares], off_degrees)
    drawn[shares] = _together(flat[shares], off_degrees)
    whole[there] = shapely.transform(drawn, lambda at: at / stretch)
    return whole


def _shares_an_edge(outlines):
    """Which outlines have a piece of edge, from corner to corner, in common with another one."""
    rings, of_polygon = shapely.get_rings(shapely.get_parts(outlines), return_index=True)
    of_outline = np.repeat(np.arange(len(outlines)), shapely.get_num_geometries(outlines))[of_polygon]
    corners, of_ring = shapely.get_coordinates(rings, return_index=True)
    goes_on = of_ring[1:] == of_ring[:-1]
    a, b = corners[:-1][goes_on], corners[1:][goes_on]
    # The middle of a piece is the same in both directions.
    middles = ((a + b) / 2).view(complex).ravel()
    owner = of_outline[of_ring[1:][goes_on]]
    _, same, count = np.unique(middles, return_inverse=True, return_counts=True)
    shares = np.zeros(len(outlines), dtype=bool)
    shares[owner[count[same] > 1]] = True
    return shares


def _each_alone(outlines, off_degrees):
    parts, of_outline = shapely.get_parts(outlines, return_index=True)
    simple = shapely.simplify(parts, off_degrees, preserve_topology=False)
    # What is smaller than the step would vanish, and what it pinches would fall apart.
    is_one = (shapely.get_type_id(simple) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(simple)
    simple[~is_one] = shapely.simplify(parts[~is_one], off_degrees, preserve_topology=True)
    return _outlines_of(simple, of_outline, len(outlines))


def _together(outlines, off_degrees):
    if not len(outlines):
        return outlines
    simple = shapely.coverage_simplify(outlines, _TRIANGLE_TO_DISTANCE * off_degrees)
    parts, of_outline = shapely.get_parts(simple, return_index=True)
    simple = _outlines_of(parts, of_outline, len(outlines))
    good = shapely.is_valid(simple) & ~shapely.is_empty(simple)
    return (
        simple if good.all() else outlines
    )  # an edge is the same on both sides only if both are treated alike


def _outlines_of(parts, of_outline, count):
    whole = np.full(count, None, dtype=object)
    shapely.multipolygons(parts, indices=of_outline, out=whole)
    return whole
