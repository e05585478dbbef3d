"""Where map tiles lie: squares of 256 pixels in web Mercator, counted from the north-west (XYZ).

The scheme is OGC *Two Dimensional Tile Matrix Set and Tile Set Metadata* 2.0 (17-083r4, 2022), WebMercatorQuad: level
0 is one tile over the square of ±20,037,508.34 m; each level halves the tile. The projection is EPSG:3857, a sphere
of 6,378,137 m.
"""

import math

TILE_PIXELS = 256
RADIUS_M = 6_378_137.0
HALF_WORLD_M = math.pi * RADIUS_M
MOST_ZOOM = 22
FARTHEST_LATITUDE = 85.0511287798066  # where the square ends


def pixel_m(zoom):
    """Side of a pixel in the plane of the projection; on the ground it is shorter by the cosine of the latitude.

    Parameters
    ----------
    zoom : int

    Returns
    -------
    float
        [m of EPSG:3857]
    """
    return 2 * HALF_WORLD_M / TILE_PIXELS / 2**zoom


def zoom_for(ground_pixel_m, latitude):
    """The level whose pixels are nearest to those of a picture, by ratio.

    Parameters
    ----------
    ground_pixel_m : float
        Side of the picture's pixel on the ground; above 0. [m]
    latitude : float
        [degrees]

    Returns
    -------
    int
        0 to 22.

    Raises
    ------
    ValueError
        A pixel that is not above 0 or not finite.
    """
    if not (ground_pixel_m > 0 and math.isfinite(ground_pixel_m)):
        raise ValueError(f"The pixel is {ground_pixel_m!r} m; accepted is a length above 0.")
    in_plane_m = ground_pixel_m / math.cos(math.radians(latitude))
    return min(max(round(math.log2(pixel_m(0) / in_plane_m)), 0), MOST_ZOOM)


def tiles_over(bounds_m, zoom):
    """The tiles of a level that an extent touches.

    Parameters
    ----------
    bounds_m : (west, south, east, north)
        In EPSG:3857, of some width and height. [m]
    zoom : int

    Returns
    -------
    (int, int, int, int)
        First column, first row, last column, last row; within the level.
    """
    west, south, east, north = bounds_m
    side_m, last = TILE_PIXELS * pixel_m(zoom), 2**zoom - 1
    edges = (
        math.floor((west + HALF_WORLD_M) / side_m),
        math.floor((HALF_WORLD_M - north) / side_m),
        math.ceil((east + HALF_WORLD_M) / side_m) - 1,
        math.ceil((HALF_WORLD_M - south) / side_m) - 1,
    )
    return tuple(min(max(edge, 0), last) for edge in edges)


def corner_m(column, row, zoom):
    """(x, y) of a tile's north-west corner in EPSG:3857. [m]"""
    side_m = TILE_PIXELS * pixel_m(zoom)
    return column * side_m - HALF_WORLD_M, HALF_WORLD_M - row * side_m


def levels(bounds_m, nearest):
    """The levels that a picture is cut into, from the nearest to that where it is no larger than one tile.

    Parameters
    ----------
    bounds_m : (west, south, east, north)
        In EPSG:3857. [m]
    nearest : int
        Zoom of the first.

    Returns
    -------
    list of (int, (int, int, int, int))
        Zoom, and the tiles as `tiles_over` gives them; of the last zoom one to four.
    """
    west, south, east, north = bounds_m
    found = []
    for zoom in range(nearest, -1, -1):
        found.append((zoom, tiles_over(bounds_m, zoom)))
        if max(east - west, north - south) <= TILE_PIXELS * pixel_m(zoom):
            break
    return found


def count_of(tiles):
    """How many tiles (first column, first row, last column, last row) are."""
    left, top, right, bottom = tiles
    return (right - left + 1) * (bottom - top + 1)
