"""Small boundary files for the tests, made where they are used so that what is odd about each can be seen.

Most are made of BOX: 0.001° of longitude by 0.001° of latitude near Ames, Iowa.
"""

import json
import struct
import zipfile
from itertools import accumulate

import pytest

from plots.calc.geodesy import geodesic_acres

WEST, SOUTH, SIDE = -93.62, 42.03, 0.001
BOX_ACRES = 2.2729146864  # geographiclib 2.1 (C. F. F. Karney), Geodesic.WGS84.Polygon()
WGS84_PRJ = (
    'GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],'
    'PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]'
)


def box(x=0.0, y=0.0, width=1.0, height=1.0):
    """A closed ring, counter-clockwise; all in sides of BOX from its south-west corner."""
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)]
    return [[round(WEST + SIDE * right, 9), round(SOUTH + SIDE * up, 9)] for right, up in corners]


def geojson(*geometries, **members):
    """A FeatureCollection of geometries, or of whole features."""
    features = [
        item
        if item and item.get("type") == "Feature"
        else {"type": "Feature", "properties": {}, "geometry": item}
        for item in geometries
    ]
    return json.dumps({"type": "FeatureCollection", "features": features} | members)


def polygon(*rings):
    return {"type": "Polygon", "coordinates": list(rings)}


def feature(geometry, **properties):
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def kml(*placemarks):
    return f'<kml xmlns="http://www.opengis.net/kml/2.2"><Document>{"".join(placemarks)}</Document></kml>'


def kml_ring(ring):
    return (
        f"<LinearRing><coordinates>{' '.join(f'{lon},{lat}' for lon, lat in ring)}</coordinates></LinearRing>"
    )


def kml_polygon(outer, *inner):
    holes = "".join(f"<innerBoundaryIs>{kml_ring(ring)}</innerBoundaryIs>" for ring in inner)
    return f"<Polygon><outerBoundaryIs>{kml_ring(outer)}</outerBoundaryIs>{holes}</Polygon>"


def gpx(*tracks):
    """Tracks, each a list of segments of (longitude, latitude)."""
    body = "".join(
        "<trk><name>walk</name>"
        + "".join(
            "<trkseg>" + "".join(f'<trkpt lat="{lat}" lon="{lon}"/>' for lon, lat in segment) + "</trkseg>"
            for segment in segments
        )
        + "</trk>"
        for segments in tracks
    )
    return f'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1">{body}</gpx>'


def shp(*records, kind=5):
    """The bytes of a .shp: each record a list of rings, or None for a null shape."""
    body = b""
    for number, rings in enumerate(records, start=1):
        content = struct.pack("<i", 0)
        if rings is not None:
            points = [point for ring in rings for point in ring]
            firsts = [0, *accumulate(map(len, rings[:-1]))]
            xs, ys = zip(*points, strict=True)
            content = struct.pack("<i4d2i", kind, min(xs), min(ys), max(xs), max(ys), len(rings), len(points))
            content += struct.pack(f"<{len(firsts)}i", *firsts)
            content += b"".join(struct.pack("<2d", *point) for point in points)
        body += struct.pack(">2i", number, len(content) // 2) + content
    head = struct.pack(">i20xi", 9994, (100 + len(body)) // 2) + struct.pack("<2i", 1000, kind)
    return head + bytes(64) + body


def zipped(path, members):
    """A zip of names and what they hold."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return path


def clockwise(ring):
    """As a shapefile draws an outer ring."""
    return ring[::-1]


def acres(reading_):
    return float(geodesic_acres([outline.geometry for outline in reading_.outlines]).sum())


def boxes(count):
    """So many BOXes, to the precision with which they differ from each other."""
    return pytest.approx(count * BOX_ACRES, rel=1e-4)


def left_out(reading_):
    return [(item.what, item.why) for item in reading_.left_out]
