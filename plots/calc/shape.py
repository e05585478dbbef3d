"""Parts, holes and width of outlines."""

import numpy as np
import shapely

from plots.calc.plane import Plane

_LEAST_WIDE_M = 1e-4  # a hundredth of what the width is told to


def part_and_hole_counts(geometries):
    """How many parts each outline has, and how many holes in all of them.

    Parameters
    ----------
    geometries : list of shapely MultiPolygon, shape (n,)

    Returns
    -------
    parts, holes : list of int, shape (n,)
        0 for an empty outline.

    Examples
    --------
    >>> from shapely.geometry import MultiPolygon, box
    >>> part_and_hole_counts([MultiPolygon([box(0, 0, 1, 1), box(2, 0, 3, 1)]), MultiPolygon()])
    ([2, 0], [0, 0])
    """
    outlines = np.array(geometries, dtype=object)
    parts, outline_of_part = shapely.get_parts(outlines, return_index=True)
    holes = np.bincount(
        outline_of_part, weights=shapely.get_num_interior_rings(parts), minlength=len(outlines)
    )
    return shapely.get_num_geometries(outlines).tolist(), holes.astype(int).tolist()


def width_m(outline):
    """How wide an outline is at its widest: the diameter of the largest circle inside. A sliver has little.

    Parameters
    ----------
    outline : shapely Polygon or MultiPolygon
        Longitude and latitude on WGS84; not empty. [degrees]

    Returns
    -------
    float
        [m], to a hundredth of itself or a centimetre.

    Examples
    --------
    >>> from shapely.geometry import box
    >>> round(width_m(box(-92, 38, -91.99, 38.0001)), 1)
    11.1
    """
    flat = Plane.about(outline).to_metres(outline)
    widest = 0.0
    for part in shapely.get_parts(flat):
        if part.area <= np.pi * (_LEAST_WIDE_M / 2) ** 2:
            continue  # no circle worth a search, and GEOS refuses what has hardly a corner
        # the circle's middle to the nearest edge; GEOS searches to the tolerance
        tolerance = max(0.005, 0.005 * 2 * part.area / part.length)
        widest = max(widest, 2 * shapely.maximum_inscribed_circle(part, tolerance=tolerance).length)
    return float(widest)
