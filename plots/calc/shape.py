"""Parts and holes of outlines."""

import numpy as np
import shapely


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
