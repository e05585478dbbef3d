"""Where a landmark lies: which shape fits which kind, as GeoJSON or as typed coordinates."""

import json
import re

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, shape

from config.errors import Refused
from plots.calc.geodesy import WGS84, geodesic_acres
from plots.calc.units import m_to_ft
from plots.geojson import UNREADABLE, checked_outline, told
from plots.models import Landmark

POINT, LINE, AREA = "point", "line", "area"
MOST_CORNERS = 5_000

SHAPES = {
    Landmark.Kind.GATE: (POINT,),
    Landmark.Kind.WELL: (POINT,),
    Landmark.Kind.ROAD: (LINE,),
    Landmark.Kind.POWER_LINE: (LINE,),
    Landmark.Kind.CAMERA: (POINT,),
    # A point or a line would not say how far to keep away.
    Landmark.Kind.KEEP_OUT: (AREA,),
    Landmark.Kind.OTHER: (POINT, LINE, AREA),
}
_SHAPE_OF_TYPE = {
    "Point": POINT,
    "LineString": LINE,
    "MultiLineString": LINE,
    "Polygon": AREA,
    "MultiPolygon": AREA,
}
_TYPES = {
    POINT: "a Point",
    LINE: "a LineString or MultiLineString",
    AREA: "a Polygon or MultiPolygon",
}
_LEAST_CORNERS = {POINT: 1, LINE: 2, AREA: 3}
_NUMBER = re.compile(r"([NSEW]?)([-+]?\d{1,3}(?:\.\d{1,15})?)°?([NSEW]?)", re.IGNORECASE)


def shape_of(geometry):
    """Whether a shapely geometry is a point, a line or an area."""
    return _SHAPE_OF_TYPE[geometry.geom_type]


def place_from(value, kind):
    """Where a landmark lies, from a GeoJSON geometry as a dict or as text.

    Parameters
    ----------
    value : dict or str
    kind : Landmark.Kind

    Returns
    -------
    shapely Point, LineString, MultiLineString or MultiPolygon
        Longitude and latitude on WGS84. [degrees]

    Raises
    ------
    Refused
        Not GeoJSON, a shape that does not fit the kind, out of range, empty, or an outline that crosses itself.
    """
    accepted = _accepted(kind)
    if isinstance(value, (str, bytes)):
        try:
            value = json.loads(value)
        except (ValueError, RecursionError) as error:
            raise Refused(f"The place is not GeoJSON; {accepted}.") from error
    type_name = value.get("type") if isinstance(value, dict) else value
    if not isinstance(type_name, str) or type_name not in _SHAPE_OF_TYPE:
        raise Refused(f"The place is {told(type_name)}; {accepted}.")
    try:
        drawn = shape(value)
    except UNREADABLE as error:
        raise Refused(f"The place's coordinates are not those of a {type_name}; {accepted}.") from error
    return checked_place(drawn, kind)


def checked_place(drawn, kind):
    """The shapely geometry in two dimensions, or Refused; see `place_from`."""
    if shape_of(drawn) not in SHAPES[kind]:
        raise Refused(f"The place is a {drawn.geom_type}; {_accepted(kind)}.")
    if drawn.is_empty:
        raise Refused(f"The place is empty; {_accepted(kind)}.")
    corners = int(shapely.get_num_coordinates(drawn))
    if corners > MOST_CORNERS:
        raise Refused(f"The place has {corners:,} corners; at most {MOST_CORNERS:,} are accepted.")
    drawn = shapely.force_2d(drawn)
    _check_range(shapely.get_coordinates(drawn))
    if shape_of(drawn) == AREA:
        return checked_outline(drawn)
    if shape_of(drawn) == LINE and not all(part.length for part in shapely.get_parts(drawn)):
        raise Refused("The line begins and ends in one place; a line through two places or more is accepted.")
    return drawn


def places_typed(text):
    """Coordinates as people type them, one place a line: latitude, then longitude.

    Parameters
    ----------
    text : str
        Decimal degrees. A letter N, S, E or W goes before or after a number; with letters the order is free.

    Returns
    -------
    list of (float, float)
        Longitude, latitude. [degrees]

    Raises
    ------
    ValueError
        A line that is no place.

    Examples
    --------
    >>> places_typed("38.0012, -92.0031")
    [(-92.0031, 38.0012)]
    >>> places_typed("92.0031 W, 38.0012 N")
    [(-92.0031, 38.0012)]
    """
    lines = [line.strip() for line in text.replace("\N{MINUS SIGN}", "-").splitlines()]
    return [_place(line) for line in lines if line]


def place_of_typed(text, shape_name, kind):
    """The landmark's place from typed coordinates; Refused as `place_from`, ValueError as `places_typed`."""
    places = places_typed(text)
    least = _LEAST_CORNERS[shape_name]
    if len(places) < least or (shape_name == POINT and len(places) > 1):
        wanted = {POINT: "one place is", LINE: "two places or more are", AREA: "three places or more are"}
        raise Refused(
            f"{len(places)} place{'s are' if len(places) != 1 else ' is'} typed; for a{'n' * (shape_name == AREA)} "
            f"{shape_name} {wanted[shape_name]} accepted, one a line."
        )
    made = {
        POINT: lambda: Point(places[0]),
        LINE: lambda: LineString(places),
        AREA: lambda: MultiPolygon([Polygon(places)]),
    }
    return checked_place(made[shape_name](), kind)


def measures_of(geometries):
    """(length_ft, acres) of each place: a length for lines, acres for areas, else None.

    Parameters
    ----------
    geometries : list of shapely geometry, shape (n,)

    Returns
    -------
    list of (float or None, float or None)
    """
    areas = [each if shape_of(each) == AREA else None for each in geometries]
    acres = geodesic_acres(areas) if areas else []
    return [
        (
            m_to_ft(WGS84.geometry_length(each)) if shape_of(each) == LINE else None,
            float(inside) if area is not None else None,
        )
        for each, area, inside in zip(geometries, areas, acres, strict=True)
    ]


def _accepted(kind):
    types = " or ".join(_TYPES[each] for each in SHAPES[kind])
    return f"for “{Landmark.Kind(kind).label}” {types} in longitude and latitude is accepted"


def _check_range(lon_lat):
    good = np.isfinite(lon_lat).all(axis=1) & (np.abs(lon_lat) <= (180, 90)).all(axis=1)
    if not good.all():
        lon, lat = lon_lat[~good][0]
        raise Refused(
            f"The place has a corner at longitude {lon:.7g}, latitude {lat:.7g}; longitude from -180 to 180 and "
            "latitude from -90 to 90 are accepted."
        )


def _place(line):
    words = re.sub(r"\s*([NSEW])\b", r"\1", re.sub(r"\b([NSEW])\s+", r"\1", line, flags=re.I), flags=re.I)
    found = [_NUMBER.fullmatch(word) for word in re.split(r"[,;\s]+", words) if word]
    if len(found) == 2 and all(found):
        values = [_signed(each) for each in found]
        axes = [_axis(each) for each in found]
        if axes in ([None, None], ["lat", "lon"], ["lat", None], [None, "lon"]):
            return values[1], values[0]
        if axes == ["lon", "lat"]:
            return values[0], values[1]
    raise ValueError(
        f"“{line[:60]}” is no place; latitude and longitude in decimal degrees, such as 38.0012, -92.0031, are accepted."
    )


def _axis(match):
    letter = (match[1] or match[3]).upper()
    return {"": None, "N": "lat", "S": "lat", "E": "lon", "W": "lon"}[letter]


def _signed(match):
    value = float(match[2])
    return -value if (match[1] or match[3]).upper() in ("S", "W") else value
