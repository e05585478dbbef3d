"""Coordinate systems that the numbers in a file could be in. A person picks; nothing here decides."""

import math

from pyproj import Transformer
from pyproj.aoi import AreaOfInterest
from pyproj.database import query_crs_info
from pyproj.exceptions import ProjError

_DEGREES = [
    ("EPSG:4326", "WGS 84 longitude and latitude (GPS)"),
    ("EPSG:4269", "NAD83 longitude and latitude"),
]
# The zones of the lower 48 states, and the two systems that national maps of them are kept in.
_ZONES = [
    (f"EPSG:{26900 + zone}", f"NAD83 / UTM zone {zone}N ({186 - 6 * zone}° to {180 - 6 * zone}° W)")
    for zone in range(10, 20)
]
_NATIONAL = [("EPSG:5070", "NAD83 / Conus Albers"), ("EPSG:3857", "WGS 84 / Pseudo-Mercator (web maps)")]
_NEAR_KM = 50.0
_KM_PER_DEGREE = 111.0  # of latitude
_NAMED = ("NAD83 / ", "WGS 84 / UTM zone", "WGS 84 / Pseudo-Mercator", "NAD27 / UTM zone")
_ODD = "BLM"


def likely_systems(extent, near=None):
    """Systems that fit the numbers, as a short list to pick from.

    Parameters
    ----------
    extent : (west, south, east, north)
        Of the file, in its own unknown units.
    near : (lon, lat), optional
        Where the property lies. [degrees]

    Returns
    -------
    list of (str, str)
        Code such as 'EPSG:26915' and words. With `near`, systems that put the file within 50 km of it; where
        there are none, or without `near`, those in general use in the lower 48 states. Empty when no number
        of the file is finite.
    """
    west, south, east, north = extent
    if not all(map(math.isfinite, extent)):
        return []
    if west >= -180 and east <= 180 and south >= -90 and north <= 90:
        return list(_DEGREES)
    middle = (west + east) / 2, (south + north) / 2
    fitting = _around(middle, near) if near else []
    return fitting or _ZONES + _NATIONAL


def _around(middle, near):
    lon, lat = near
    found = query_crs_info(
        auth_name="EPSG",
        pj_types="PROJECTED_CRS",
        area_of_interest=AreaOfInterest(lon, lat, lon, lat),
        contains=True,
    )
    return [
        (f"EPSG:{info.code}", info.name)
        for info in sorted(found, key=lambda info: (info.name.startswith("NAD27"), info.name))
        if info.name.startswith(_NAMED) and _ODD not in info.name and _puts_near(info.code, middle, near)
    ]


def _puts_near(code, middle, near):
    try:
        lon, lat = Transformer.from_crs(f"EPSG:{code}", "EPSG:4326", always_xy=True).transform(*middle)
    except ProjError:
        return False
    north_km = (lat - near[1]) * _KM_PER_DEGREE
    east_km = (lon - near[0]) * _KM_PER_DEGREE * math.cos(math.radians(near[1]))
    return math.hypot(north_km, east_km) <= _NEAR_KM
