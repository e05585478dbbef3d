"""What changed from one outline to another: ground kept, gained and lost."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from plots.calc.geodesy import geodesic_area_perimeter

SPECK_M2 = 0.1
"""A part of less is what rounding leaves between two outlines: counted in the figures, but not drawn. Ours. [m²]"""

_GRID_DEGREES = 1e-11  # a micrometre; corners are moved to it where an overlay fails at full precision


@dataclass(frozen=True)
class Change:
    """What `change_between` finds.

    Attributes
    ----------
    kept, gained, lost : shapely MultiPolygon
        Longitude and latitude on WGS84; parts of less than `SPECK_M2` are left out. [degrees]
    before_m2, after_m2, kept_m2, gained_m2, lost_m2 : float
        Geodesic, specks counted; none is negative. kept + lost = before and kept + gained = after. [m²]
    """

    kept: MultiPolygon
    gained: MultiPolygon
    lost: MultiPolygon
    before_m2: float
    after_m2: float
    kept_m2: float
    gained_m2: float
    lost_m2: float

    @property
    def net_m2(self):
        """After less before. [m²]"""
        return self.after_m2 - self.before_m2

    @cached_property
    def is_same_ground(self):
        """Nothing but specks was gained or lost."""
        return self.gained.is_empty and self.lost.is_empty


def change_between(before, after):
    """The ground that two outlines share, and what only one of them has.

    What is kept is measured; gained and lost are what it leaves of the two outlines, so that the figures add up
    exactly. Measured one by one they would not: where edges cross, the crossing is that of lines which are straight
    on a map, up to some millimetres beside the geodesics that an acreage is measured along.

    Parameters
    ----------
    before, after : shapely Polygon or MultiPolygon
        Valid; longitude and latitude on WGS84. [degrees]

    Returns
    -------
    Change

    Raises
    ------
    ValueError
        An outline that is empty or is no polygon.

    References
    ----------
    By definition; areas as in `plots.calc.geodesy`.

    Examples
    --------
    >>> from shapely.geometry import box
    >>> change = change_between(box(-92, 38, -91.999, 38.001), box(-91.9995, 38, -91.9985, 38.001))
    >>> [round(each) for each in (change.kept_m2, change.gained_m2, change.lost_m2)]
    [4875, 4875, 4875]
    """
    for outline in (before, after):
        if not isinstance(outline, (Polygon, MultiPolygon)) or outline.is_empty:
            raise ValueError(f"an outline is {outline!r}; a polygon or multipolygon with ground is accepted")
    kept = overlaid(shapely.intersection, before, after)
    gained = overlaid(shapely.difference, after, before)
    lost = overlaid(shapely.difference, before, after)
    before_m2, after_m2, kept_m2 = geodesic_area_perimeter([before, after, kept])[0].tolist()
    if gained.is_empty or lost.is_empty:
        kept_m2 = np.inf  # all of the smaller one
    kept_m2 = min(kept_m2, before_m2, after_m2)
    return Change(
        *map(_without_specks, (kept, gained, lost)),
        before_m2,
        after_m2,
        kept_m2,
        gained_m2=after_m2 - kept_m2,
        lost_m2=before_m2 - kept_m2,
    )


def overlaid(operation, one, other):
    """Ground of shapely.intersection or shapely.difference, as a MultiPolygon, whatever the corners do to it.

    Points and lines along a common edge are no ground.

    Parameters
    ----------
    operation : function
    one, other : shapely Polygon or MultiPolygon
        [degrees]
    """
    try:
        found = operation(one, other)
    except shapely.GEOSException:
        found = operation(shapely.make_valid(one), shapely.make_valid(other), grid_size=_GRID_DEGREES)
    return MultiPolygon([part for part in shapely.get_parts(found) if isinstance(part, Polygon)])


def _without_specks(ground):
    if ground.is_empty:
        return ground
    parts = list(ground.geoms)
    areas_m2 = geodesic_area_perimeter(parts)[0]
    return MultiPolygon([part for part, area_m2 in zip(parts, areas_m2, strict=True) if area_m2 >= SPECK_M2])
