"""From vertices to polygons, without judging their shape: that is for repair.py."""

import numpy as np
from shapely.geometry import Polygon

from plots.formats.model import NotAnOutline

NOT_FINITE = "it has a coordinate that is not a finite number"


def ring(vertices):
    """A closed ring of (x, y) and whether it had to be closed.

    Parameters
    ----------
    vertices : array_like, shape (n, 2)

    Returns
    -------
    ring : ndarray, shape (m, 2)
    was_open : bool

    Raises
    ------
    NotAnOutline
        Fewer than three distinct points, or a coordinate that is not a finite number.
    """
    vertices = np.asarray(vertices, dtype=float).reshape(-1, 2)
    if not len(vertices):
        raise NotAnOutline("an empty geometry")
    if not np.isfinite(vertices).all():
        raise NotAnOutline(NOT_FINITE)
    if len(np.unique(vertices, axis=0)) < 3:
        raise NotAnOutline("it has fewer than three distinct points")
    was_open = bool((vertices[0] != vertices[-1]).any())
    return (np.vstack([vertices, vertices[:1]]) if was_open else vertices), was_open


def polygon(rings):
    """A polygon of an outer ring and holes, with sentences about rings that were closed or dropped.

    Returns
    -------
    polygon : shapely Polygon
        May be invalid.
    notes : list of str

    Raises
    ------
    NotAnOutline
        The outer ring is no ring.
    """
    if not len(rings):
        raise NotAnOutline("an empty geometry")
    shell, was_open = ring(rings[0])
    holes, notes = [], []
    for vertices in rings[1:]:
        try:
            hole, hole_was_open = ring(vertices)
        except NotAnOutline as error:
            notes.append(f"A hole was left out: {error}.")
            continue
        was_open |= hole_was_open
        holes.append(hole)
    if was_open:
        notes.insert(0, "The ring was not closed; it is now.")
    return Polygon(shell, holes), notes
