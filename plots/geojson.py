"""Boundaries as GeoJSON (RFC 7946), in and out."""

import json
from itertools import repeat

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon, shape
from shapely.geometry.polygon import orient

from config.errors import Refused
from plots.calc.afar import decimals_for, pixel_degrees, simplified

MEDIA_TYPE = "application/geo+json"
DECIMALS = 7  # a centimetre on the ground, which no plot's edge is known to
# A map of many plots is looked at from afar: up to 1.1 m off is below a pixel there, and up to 4.4 m where there
# are more than MANY. [degrees]
SIMPLIFIED_TO, SIMPLIFIED_TO_WHEN_MANY, MANY = 0.00001, 0.00004, 500
DECIMALS_FROM_AFAR = 5
NEAR_ZOOM = 17  # a pixel is about a metre here: from this zoom on every corner is drawn
_OFF_PX, _PLACED_PX = 0.5, 0.25  # neither can be seen
_MAX_VERTICES = 200_000
_MAX_LINE_VERTICES = 10_000
# What shapely raises at coordinates that are none: also numbers beyond any float, and nesting without end.
UNREADABLE = (
    ValueError,
    TypeError,
    AttributeError,
    KeyError,
    IndexError,
    OverflowError,
    RecursionError,
    shapely.GEOSException,
)
_ACCEPTED = "a GeoJSON Polygon or MultiPolygon in longitude and latitude is accepted"


def collection_text(drawn, properties, ids=None, members=None):
    """The text of a FeatureCollection. Texts are put together: a property may have thousands of plots.

    Parameters
    ----------
    drawn : iterable of str or None
        Geometries as `as_stored` or `from_afar` write them; None is a feature without geometry.
    properties : iterable of str
        JSON objects, as `compact` writes them.
    ids : iterable of int, optional
    members : dict, optional
        Further members of the collection itself, such as links.
    """
    heads = (f'"id":{key},' for key in ids) if ids is not None else repeat("")
    features = (
        f'{{"type":"Feature",{head}"geometry":{geometry or "null"},"properties":{facts}}}'
        for head, geometry, facts in zip(heads, drawn, properties, strict=ids is not None)
    )
    further = f",{compact(members)[1:-1]}" if members else ""
    return f'{{"type":"FeatureCollection"{further},"features":[{",".join(features)}]}}'


def compact(value):
    """JSON without spaces."""
    return json.dumps(value, separators=(",", ":"))


def as_stored(outlines):
    """Every corner of the MultiPolygons, to 7 decimals; None stays None."""
    return _rounded_text(np.array(outlines, dtype=object), DECIMALS)


def from_afar(outlines):
    """MultiPolygons with fewer corners and decimals, for a map that shows all of them; None stays None."""
    tolerance = SIMPLIFIED_TO_WHEN_MANY if len(outlines) > MANY else SIMPLIFIED_TO
    return _rounded_text(simplified(outlines, tolerance), DECIMALS_FROM_AFAR)


def at_zoom(outlines, zoom):
    """MultiPolygons as they look at a zoom, every corner of them from NEAR_ZOOM on; None stays None."""
    if zoom >= NEAR_ZOOM:
        return as_stored(outlines)
    step = pixel_degrees(zoom)
    return _rounded_text(simplified(outlines, _OFF_PX * step), decimals_for(_PLACED_PX * step))


def _rounded_text(outlines, decimals):
    """GeoJSON geometries as text, written by GEOS: several times faster than by way of Python lists."""
    rounded = shapely.transform(outlines, lambda points: np.round(points, decimals))
    if decimals < DECIMALS:  # what is thinner than the last decimal would become a line
        is_flat = (shapely.area(rounded) == 0) & (shapely.area(outlines) > 0)
        rounded[is_flat] = shapely.transform(outlines[is_flat], lambda points: np.round(points, DECIMALS))
    return shapely.to_geojson(rounded).tolist()


def outline_from(value):
    """A valid MultiPolygon from a GeoJSON geometry or Feature, as text or as a dict.

    Raises
    ------
    Refused
        Not GeoJSON, not an outline, out of range, or crossing itself.
    """
    return checked_outline(drawn_from(value))


def drawn_from(value):
    """The same before it is checked: whatever polygon or polygons are drawn, crossing themselves or not.

    Raises
    ------
    Refused
        Not GeoJSON, or not an outline.
    """
    geometry = _geometry_in(value)
    try:
        return shape(geometry)
    except UNREADABLE as error:
        raise Refused(f"The boundary's coordinates are not those of an outline; {_ACCEPTED}.") from error


def lines_from(value):
    """The lines of a GeoJSON LineString or MultiLineString, or of a Feature of one, without repeated corners.

    Raises
    ------
    Refused
        Not GeoJSON, no line, out of range, or a line without length.
    """
    accepted = "a GeoJSON LineString or MultiLineString in longitude and latitude is accepted"
    if isinstance(value, dict) and value.get("type") == "Feature":
        value = value.get("geometry")
    kind = value.get("type") if isinstance(value, dict) else value
    if kind not in ("LineString", "MultiLineString"):
        raise Refused(f"The line is {told(kind)}; {accepted}.")
    try:
        drawn = shapely.force_2d(shape(value))
        lines = [shapely.remove_repeated_points(line) for line in shapely.get_parts(drawn)]
    except UNREADABLE as error:
        raise Refused(f"The coordinates are not those of a line; {accepted}.") from error
    corners = shapely.get_num_coordinates(drawn)
    if corners > _MAX_LINE_VERTICES:
        raise Refused(f"The line has {corners:,} corners; at most {_MAX_LINE_VERTICES:,} are accepted.")
    _check_range(shapely.get_coordinates(drawn), "The line")
    if not lines or any(line.length == 0 for line in lines):
        raise Refused("The line has no length; two places or more are accepted.")
    return lines


def checked_outline(drawn):
    """The shapely geometry as a valid 2D MultiPolygon with rings turned as RFC 7946 says, or Refused."""
    if not isinstance(drawn, (Polygon, MultiPolygon)):
        raise Refused(f"The boundary is a {getattr(drawn, 'geom_type', type(drawn).__name__)}; {_ACCEPTED}.")
    if drawn.is_empty:
        raise Refused("The boundary is empty; an outline with at least three corners is accepted.")
    vertices = shapely.get_num_coordinates(drawn)
    if vertices > _MAX_VERTICES:
        raise Refused(f"The boundary has {vertices:,} corners; at most {_MAX_VERTICES:,} are accepted.")
    drawn = shapely.force_2d(drawn)
    _check_range(shapely.get_coordinates(drawn))
    if not drawn.is_valid:
        raise Refused(
            f"The boundary is not a clean outline ({_where_wrong(drawn)}); draw it without crossings."
        )
    parts = drawn.geoms if isinstance(drawn, MultiPolygon) else [drawn]
    return MultiPolygon([orient(part) for part in parts])


def told(value):
    """What was sent, short enough for a sentence. Lists and objects are not written out: they may be nested deeply."""
    return {list: "a list", dict: "an object"}.get(type(value)) or repr(str(value)[:40])


def _geometry_in(value):
    if isinstance(value, (str, bytes)):
        try:
            value = json.loads(value)
        except (ValueError, RecursionError) as error:
            raise Refused(f"The boundary is not GeoJSON; {_ACCEPTED}.") from error
    if isinstance(value, dict) and value.get("type") == "Feature":
        value = value.get("geometry")
    if not isinstance(value, dict) or value.get("type") not in ("Polygon", "MultiPolygon"):
        kind = value.get("type") if isinstance(value, dict) else value
        raise Refused(f"The boundary is {told(kind)}; {_ACCEPTED}.")
    return value


def _check_range(lon_lat, what="The boundary"):
    good = _in_range(lon_lat)
    if not good.all():
        lon, lat = lon_lat[~good][0]
        swap = (
            " With the two exchanged it fits; are they swapped?" if _in_range(lon_lat[:, ::-1]).all() else ""
        )
        raise Refused(
            f"{what} has a corner at longitude {lon:.7g}, latitude {lat:.7g}; longitude from -180 to 180 "
            f"and latitude from -90 to 90 are accepted.{swap}"
        )


def _in_range(lon_lat):
    return np.isfinite(lon_lat).all(axis=1) & (np.abs(lon_lat) <= (180, 90)).all(axis=1)


def _where_wrong(drawn):
    """Shapely's 'Self-intersection[-92.001 38.002]' in words."""
    reason, _, place = shapely.is_valid_reason(drawn).partition("[")
    lon, _, lat = place.rstrip("]").partition(" ")
    return f"{reason.lower()} at longitude {lon[:12]}, latitude {lat[:12]}" if lat else reason.lower()
