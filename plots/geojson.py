"""Boundaries as GeoJSON (RFC 7946), in and out."""

import json
from itertools import repeat

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon, shape
from shapely.geometry.polygon import orient

from config.errors import Refused

MEDIA_TYPE = "application/geo+json"
DECIMALS = 7  # a centimetre on the ground, which no plot's edge is known to
# A map of many plots is looked at from afar: up to 1.1 m off is below a pixel there, and up to 4.4 m where there
# are more than MANY. [degrees]
SIMPLIFIED_TO, SIMPLIFIED_TO_WHEN_MANY, MANY = 0.00001, 0.00004, 500
DECIMALS_FROM_AFAR = 5
_MAX_VERTICES = 200_000
_ACCEPTED = "a GeoJSON Polygon or MultiPolygon in longitude and latitude is accepted"


def collection_text(drawn, properties, ids=None):
    """The text of a FeatureCollection. Texts are put together: a property may have thousands of plots.

    Parameters
    ----------
    drawn : iterable of str or None
        Geometries as `as_stored` or `from_afar` write them; None is a feature without geometry.
    properties : iterable of str
        JSON objects, as `compact` writes them.
    ids : iterable of int, optional
    """
    heads = (f'"id":{key},' for key in ids) if ids is not None else repeat("")
    features = (
        f'{{"type":"Feature",{head}"geometry":{geometry or "null"},"properties":{facts}}}'
        for head, geometry, facts in zip(heads, drawn, properties, strict=ids is not None)
    )
    return f'{{"type":"FeatureCollection","features":[{",".join(features)}]}}'


def compact(value):
    """JSON without spaces."""
    return json.dumps(value, separators=(",", ":"))


def as_stored(outlines):
    """Every corner of the MultiPolygons, to 7 decimals; None stays None."""
    return _rounded_text(np.array(outlines, dtype=object), DECIMALS)


def from_afar(outlines):
    """MultiPolygons with fewer corners and decimals, for a map that shows all of them; None stays None."""
    parts, outline_of_part = shapely.get_parts(np.array(outlines, dtype=object), return_index=True)
    tolerance = SIMPLIFIED_TO_WHEN_MANY if len(outlines) > MANY else SIMPLIFIED_TO
    simple = shapely.simplify(parts, tolerance, preserve_topology=False)
    # What is smaller than the tolerance would vanish, and what it pinches would fall apart.
    is_one = (shapely.get_type_id(simple) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(simple)
    whole = np.full(len(outlines), None, dtype=object)
    shapely.multipolygons(np.where(is_one, simple, parts), indices=outline_of_part, out=whole)
    return _rounded_text(whole, DECIMALS_FROM_AFAR)


def _rounded_text(outlines, decimals):
    """GeoJSON geometries as text, written by GEOS: several times faster than by way of Python lists."""
    return shapely.to_geojson(shapely.transform(outlines, lambda points: np.round(points, decimals))).tolist()


def outline_from(value):
    """A valid MultiPolygon from a GeoJSON geometry or Feature, as text or as a dict.

    Raises
    ------
    Refused
        Not GeoJSON, not an outline, out of range, or crossing itself.
    """
    geometry = _geometry_in(value)
    try:
        drawn = shape(geometry)
    except (ValueError, TypeError, AttributeError, KeyError, IndexError, shapely.GEOSException) as error:
        raise Refused(f"The boundary's coordinates are not those of an outline; {_ACCEPTED}.") from error
    return checked_outline(drawn)


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
        raise Refused(f"The boundary is {str(kind)[:40]!r}; {_ACCEPTED}.")
    return value


def _check_range(lon_lat):
    good = np.isfinite(lon_lat).all(axis=1) & (np.abs(lon_lat) <= (180, 90)).all(axis=1)
    if not good.all():
        lon, lat = lon_lat[~good][0]
        raise Refused(
            f"The boundary has a corner at longitude {lon:.7g}, latitude {lat:.7g}; longitude from -180 to 180 "
            "and latitude from -90 to 90 are accepted."
        )


def _where_wrong(drawn):
    """Shapely's 'Self-intersection[-92.001 38.002]' in words."""
    reason, _, place = shapely.is_valid_reason(drawn).partition("[")
    lon, _, lat = place.rstrip("]").partition(" ")
    return f"{reason.lower()} at longitude {lon[:12]}, latitude {lat[:12]}" if lat else reason.lower()
