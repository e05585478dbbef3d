"""A flat map of one place in metres, for widths and distances that degrees do not have."""

import numpy as np
import shapely
from pyproj import Transformer


class Plane:
    """Azimuthal equidistant on WGS84 about one place: distances from it are true, and within 10 km of it all are
    to a millionth.

    Parameters
    ----------
    lon, lat : float
        The middle. [degrees]

    Examples
    --------
    >>> from shapely.geometry import LineString
    >>> plane = Plane(-92, 38)
    >>> round(plane.to_metres(LineString([(-92, 38), (-92, 38.001)])).length, 1)
    111.0
    """

    def __init__(self, lon, lat):
        system = f"+proj=aeqd +lat_0={lat!r} +lon_0={lon!r} +datum=WGS84 +units=m"
        self._there = Transformer.from_crs("OGC:CRS84", system, always_xy=True).transform
        self._back = Transformer.from_crs(system, "OGC:CRS84", always_xy=True).transform

    @classmethod
    def about(cls, geometry):
        """The plane about the middle of a geometry's extent."""
        west, south, east, north = geometry.bounds
        return cls((west + east) / 2, (south + north) / 2)

    def to_metres(self, geometry):
        """A geometry, or an array of them, from longitude and latitude [degrees] to east and north [m]."""
        return shapely.transform(geometry, lambda points: _applied(self._there, points))

    def to_degrees(self, geometry):
        """The way back."""
        return shapely.transform(geometry, lambda points: _applied(self._back, points))


def _applied(transform, points):
    return np.column_stack(transform(points[:, 0], points[:, 1]))
