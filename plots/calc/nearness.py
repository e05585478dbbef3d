"""How far extents of plots lie from each other, over the ellipsoid and past the 180th meridian."""

import math

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from plots.calc.geodesy import WGS84

_EARTH_M = 6_371_000.0  # for finding neighbours only; distances are geodesic
_CANDIDATES = 8  # plots are small beside the distances in question, so the nearest is among these
_CELL_M = 2_000.0  # plots in one cell count as one when a file's main group is looked for


def away_m(extents, rest):
    """How far each extent lies from the nearest of the rest.

    Parameters
    ----------
    extents : array_like, shape (n, 4)
        West, south, east, north on WGS84, of plots that do not cross the 180th meridian. [degrees]
    rest : array_like, shape (m, 4)
        The same; looked at are the eight with the nearest middles.

    Returns
    -------
    ndarray, shape (n,)
        Geodesic [m]; 0 where the extents meet, infinite where the rest is empty or a latitude lies beyond a pole.

    Examples
    --------
    >>> away_m([(-92, 38, -91.99, 38.01)], [(-91.98, 38, -91.97, 38.01)]).round()
    array([878.])
    >>> away_m([(-92, 38, -91.99, 38.01)], [])
    array([inf])
    """
    ours, theirs = _rows(extents), _rows(rest)
    found = np.full(len(ours), np.inf)
    known = np.flatnonzero(np.abs(ours[:, [1, 3]]).max(axis=1, initial=0) <= 90)
    if not len(theirs) or not known.size:
        return found
    count = min(_CANDIDATES, len(theirs))
    _, nearest = cKDTree(_middles_m(theirs)).query(_middles_m(ours[known]), k=count)
    pairs = np.repeat(ours[known], count, axis=0), theirs[nearest.reshape(-1)]
    found[known] = between_m(*pairs).reshape(-1, count).min(axis=1)
    return found


def main_group(extents, within_m):
    """Which extents belong to the largest group of those that lie within a distance of each other, in a chain.

    Parameters
    ----------
    extents : array_like, shape (n, 4)
        As in `away_m`.
    within_m : float
        Between middles, to about 2 km; well above that. [m]

    Returns
    -------
    ndarray of bool, shape (n,)
        Of groups of one size, the one that comes first.

    Examples
    --------
    >>> here, there = (-92, 38, -91.99, 38.01), (-80, 38, -79.99, 38.01)
    >>> main_group([here, there, here], 20_000)
    array([ True, False,  True])
    """
    rows = _rows(extents)
    if not len(rows):
        return np.zeros(0, dtype=bool)
    cells, first, cell_of = np.unique(
        np.floor(_middles_m(rows) / _CELL_M), axis=0, return_index=True, return_inverse=True
    )
    pairs = cKDTree(cells * _CELL_M).query_pairs(within_m, output_type="ndarray")
    links = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(cells), len(cells)))
    _, group_of_cell = connected_components(links, directed=False)
    group = group_of_cell[cell_of.reshape(-1)]
    sizes = np.bincount(group)
    begins = np.full(len(sizes), len(rows))
    np.minimum.at(begins, group_of_cell, first)
    largest = min(range(len(sizes)), key=lambda each: (-sizes[each], begins[each]))
    return group == largest


def box_around(extent, distance_m):
    """An extent in degrees that reaches about a distance beyond another on every side; all longitudes near a pole.

    Parameters
    ----------
    extent : tuple of float
        West, south, east, north. [degrees]
    distance_m : float
        [m]

    Returns
    -------
    tuple of float
        Not cut off at the 180th meridian. [degrees]
    """
    west, south, east, north = extent
    up = math.degrees(distance_m / _EARTH_M)
    south, north = max(-90.0, south - up), min(90.0, north + up)
    narrowest = math.cos(math.radians(max(abs(south), abs(north))))
    aside = 180.0 if narrowest * 180 <= up else up / narrowest
    return (west - aside, south, east + aside, north)


def between_m(ours, theirs):
    """Distances between extents, row by row.

    Parameters
    ----------
    ours, theirs : array_like, shape (n, 4)
        West, south, east, north on WGS84. [degrees]

    Returns
    -------
    ndarray, shape (n,)
        Geodesic [m], to a thousandth; 0 where they meet.
    """
    (w1, s1, e1, n1), (w2, s2, e2, n2) = _rows(ours).T, _rows(theirs).T
    eastwards, westwards = (w2 - e1) % 360, (w1 - e2) % 360  # the gaps, either way round
    over_lon = ((w2 - w1) % 360 <= e1 - w1) | ((w1 - w2) % 360 <= e2 - w2)
    lon1 = np.where(over_lon, 0.0, np.where(eastwards <= westwards, e1, w1))
    lon2 = np.where(over_lon, 0.0, np.where(eastwards <= westwards, w2, e2))
    low, high = np.maximum(s1, s2), np.minimum(n1, n2)
    shared = np.where(np.abs(low) > np.abs(high), low, high)  # meridians lie closer towards the pole
    lat1 = np.where(n1 < s2, n1, np.where(s1 > n2, s1, shared))
    lat2 = np.where(n1 < s2, s2, np.where(s1 > n2, n2, lat1))
    return WGS84.inv(lon1, lat1, lon2, lat2)[2]


def _rows(extents):
    return np.asarray(extents, dtype=float).reshape(-1, 4)


def _middles_m(rows):
    """Where the extents' middles lie in space, which knows neither poles nor a 180th meridian."""
    lon, lat = np.radians((rows[:, 0] + rows[:, 2]) / 2), np.radians((rows[:, 1] + rows[:, 3]) / 2)
    east, north, up = np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)
    return _EARTH_M * np.column_stack([east, north, up])
