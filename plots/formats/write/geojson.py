"""GeoJSON (RFC 7946): WGS84, no `crs` member, coordinates with every digit they have.

The RFC advises seven decimals for most uses; they would move a corner by up to 6 mm and the acres in the seventh
digit, so that a file would not give back what was measured.
"""

import json

from plots.formats.write.rows import ring_positions


def write(selection):
    features = [feature(plot, plot.plot_id, plot.attributes) for plot in selection.plots]
    return text({"type": "FeatureCollection", "features": features})


def feature(plot, key, properties):
    """A Feature as a dict."""
    coordinates = [ring_positions(part) for part in plot.outline.geoms]
    geometry = {"type": "MultiPolygon", "coordinates": coordinates}
    return {"type": "Feature", "id": key, "geometry": geometry, "properties": properties}


def text(document):
    """The bytes of a JSON document."""
    compact = json.dumps(document, ensure_ascii=False, separators=(",", ":"), allow_nan=False, default=_day)
    return compact.encode()


def _day(value):
    return value.isoformat()
