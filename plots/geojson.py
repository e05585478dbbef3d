"""Boundaries as GeoJSON (RFC 7946), in and out."""

import json

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon, shape
from shapely.geometry.polygon import orient

from config.errors import Refused

MEDIA_TYPE = "application/geo+json"
DECIMALS = 7  # a centimetre on the ground, which no plot's edge is known to
_MAX_VERTICES = 200_000
_ACCEPTED = "a GeoJSON Polygon or MultiPolygon in longitude and latitude is accepted"


def feature_collection(geometries, properties, ids=None):
    """A FeatureCollection dict of MultiPolygons (None: a feature without geometry) and their properties."""
    ids = [None] * len(properties) if ids is None else ids
    features = [
        {"type": "Feature", **({} if key is None else {"id": key}), "geometry": drawn, "properties": facts}
        for key, drawn, facts in zip(ids, geometry_dicts(geometries), properties, strict=True)
    ]
    return {"type": "FeatureCollection", "features": features}


def geometry_dicts(geometries):
    """GeoJSON geometry dicts of shapely MultiPolygons, rounded to 7 decimals; None stays None.

    All coordinates are rounded and listed at once: a property may have thousands of plots.
    """
    present = [geometry for geometry in geometries if geometry is not None]
    if not present:
        return [None] * len(geometries)
    _, coordinates, (ring_ends, part_ends, ends) = shapely.to_ragged_array(present, include_z=False)
    points = np.round(coordinates, DECIMALS).tolist()
    multipolygons = iter(_cut(_cut(_cut(points, ring_ends), part_ends), ends))
    return [
        None if geometry is None else {"type": "MultiPolygon", "coordinates": next(multipolygons)}
        for geometry in geometries
    ]


def _cut(items, ends):
    return [items[first:last] for first, last in zip(ends[:-1], ends[1:], strict=True)]


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
