"""One outline of several, with narrow gaps between them closed if that is wanted."""

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.polygon import orient

from plots.calc.geodesy import WGS84

GAP_M = 1.0
"""A gap that is nowhere wider can be closed: two people's idea of one edge. Ours. [m]"""

_OVER_M = 0.01  # a filled gap reaches this far into the outlines, so that no hair is left between
_HAIR_M = 1e-5  # what is thinner arises from rounding


def merged(outlines):
    """The ground of all outlines together; where they share ground it counts once.

    Parameters
    ----------
    outlines : list of shapely MultiPolygon
        Valid; longitude and latitude on WGS84. [degrees]

    Returns
    -------
    shapely MultiPolygon
        Of several parts where the outlines do not touch along an edge.

    Examples
    --------
    >>> from shapely.geometry import box
    >>> left, right = (MultiPolygon([box(w, 38, w + 0.001, 38.001)]) for w in (-92, -91.999))
    >>> len(merged([left, right]).geoms)
    1
    """
    whole = shapely.union_all(outlines)
    return MultiPolygon([orient(part) for part in shapely.get_parts(whole) if isinstance(part, Polygon)])


def gaps_between(outlines):
    """The ground between outlines that lies in gaps no wider than `GAP_M`.

    Parameters
    ----------
    outlines : list of shapely MultiPolygon
        As for `merged`. [degrees]

    Returns
    -------
    list of shapely Polygon
        Each reaches a centimetre into the outlines, so that merging it with them leaves no hair; outside it ends where
        the gap does.

    Examples
    --------
    >>> from shapely.geometry import box
    >>> left, right = (MultiPolygon([box(w, 38, w + 0.001, 38.001)]) for w in (-92, -91.998995))
    >>> [gap] = gaps_between([left, right])
    >>> len(merged([left, right]).geoms), len(merged([left, right, gap]).geoms)
    (2, 1)
    """
    to_metres, to_degrees = _stretched(outlines)
    flat = [shapely.transform(outline, to_metres) for outline in outlines]
    ground = shapely.union_all(flat)
    # Grown by half the gap and shrunk again, ground keeps its straight edges and loses what is narrow between them.
    closed = ground.buffer(GAP_M / 2, join_style="mitre").buffer(-GAP_M / 2, join_style="mitre")
    gaps = [gap for gap in shapely.get_parts(closed.difference(ground)) if isinstance(gap, Polygon)]
    between = [
        gap
        for gap in gaps
        if 2 * gap.area > _HAIR_M * gap.length and np.sum(shapely.distance(flat, gap) <= _HAIR_M) >= 2
    ]
    reaching = [gap.buffer(_OVER_M, join_style="mitre").intersection(ground.union(gap)) for gap in between]
    polygons = [part for part in shapely.get_parts(reaching) if isinstance(part, Polygon)]
    return [shapely.transform(polygon, to_degrees) for polygon in polygons]


def _stretched(outlines):
    """Ways from degrees to about metres and back that keep every straight line straight, on a map too: between edges
    that lie in one line no gap may arise."""
    west, south, east, north = shapely.total_bounds(outlines)
    lon, lat = (west + east) / 2, (south + north) / 2
    step = 1e-3
    _, _, [east_m, north_m] = WGS84.inv([lon, lon], [lat, lat], [lon + step, lon], [lat, lat + step])
    middle, scale = np.array([lon, lat]), np.array([east_m, north_m]) / step
    return (lambda points: (points - middle) * scale), (lambda points: points / scale + middle)
