"""Writes the sample files beside this script: the same three plots in every format.

    pip install geographiclib
    python tests/plots/formats/make_files.py

The outlines come from a fixed seed. The acreage in `files/acres.csv` is by geographiclib (C. F. F. Karney), which
shares no code with the library under test.
"""

import csv
import json
import random
import tempfile
import zipfile
from pathlib import Path

import numpy as np
import pyogrio
import pyogrio.raw
import shapely
from geographiclib.geodesic import Geodesic
from pyproj import Transformer
from shapely.geometry import MultiPolygon, Polygon

FILES = Path(__file__).parent / "files"
M2_PER_ACRE = 4046.8564224
UTM = 26915
WHEN = (2026, 4, 1, 12, 0, 0)


def ring(chance, lon, lat, radius_m, vertices):
    """An uneven ring round a place, each vertex a geodesic away from it."""
    points = []
    for number in range(vertices):
        bearing = -360 * number / vertices
        there = Geodesic.WGS84.Direct(lat, lon, bearing, radius_m * chance.uniform(0.8, 1.15))
        points.append((round(there["lon2"], 7), round(there["lat2"], 7)))
    return [*points, points[0]]


def plots():
    chance = random.Random(2026)
    north = ring(chance, -93.6205, 42.0312, 52, 24)
    pond_field, pond = ring(chance, -93.6158, 42.0301, 95, 40), ring(chance, -93.6158, 42.0301, 21, 12)
    west, east = ring(chance, -93.6212, 42.0279, 38, 18), ring(chance, -93.6198, 42.0279, 44, 18)
    return {
        "North strip": MultiPolygon([Polygon(north)]),
        "Étang field": MultiPolygon([Polygon(pond_field, [pond])]),
        "Twin oaks": MultiPolygon([Polygon(west), Polygon(east)]),
    }


def acres(rings):
    total_m2 = 0.0
    for vertices in rings:
        polygon = Geodesic.WGS84.Polygon()
        for lon, lat in vertices[:-1]:
            polygon.AddPoint(lat, lon)
        total_m2 += abs(polygon.Compute()[2])
    return total_m2 / M2_PER_ACRE


def write_acres(named):
    with (FILES / "acres.csv").open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["name", "acres", "acres_with_holes_filled"])
        for name, plot in named.items():
            outer = acres([part.exterior.coords[:] for part in plot.geoms])
            holes = acres([hole.coords[:] for part in plot.geoms for hole in part.interiors])
            table.writerow([name, f"{outer - holes:.9f}", f"{outer:.9f}"])


def write_geojson(named):
    features = [
        {"type": "Feature", "properties": {"name": name}, "geometry": shapely.geometry.mapping(plot)}
        for name, plot in named.items()
    ]
    text = json.dumps({"type": "FeatureCollection", "features": features}, ensure_ascii=False)
    (FILES / "plots.geojson").write_text(text + "\n", encoding="utf-8")


def kml(named):
    def boundary(tag, vertices):
        text = " ".join(f"{lon:.7f},{lat:.7f},0" for lon, lat in vertices)
        return f"<{tag}><LinearRing><coordinates>{text}</coordinates></LinearRing></{tag}>"

    def polygon(part):
        inner = "".join(boundary("innerBoundaryIs", hole.coords) for hole in part.interiors)
        return f"<Polygon>{boundary('outerBoundaryIs', part.exterior.coords)}{inner}</Polygon>"

    placemarks = "".join(
        f"<Placemark><name>{name}</name><MultiGeometry>{''.join(map(polygon, plot.geoms))}</MultiGeometry></Placemark>"
        for name, plot in named.items()
    )
    head = '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
    return f"{head}<Folder><name>2026</name>{placemarks}</Folder></Document></kml>\n"


def write_gpx(named):
    """A track has no holes; the two parts are two rounds with the receiver stopped between them."""

    def segment(part):
        points = "".join(f'<trkpt lat="{lat:.7f}" lon="{lon:.7f}"/>' for lon, lat in part.exterior.coords)
        return f"<trkseg>{points}</trkseg>"

    tracks = "".join(
        f"<trk><name>{name}</name>{''.join(map(segment, plot.geoms))}</trk>" for name, plot in named.items()
    )
    head = '<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="make_files" xmlns="http://www.topografix.com/GPX/1/1">'
    (FILES / "plots.gpx").write_text(f"{head}{tracks}</gpx>\n", encoding="utf-8")


def write_csv(named):
    lines = ["plot;acres on paper;geom"]
    lines += [f'{name};999;"SRID=4326;{plot.wkt}"' for name, plot in named.items()]
    (FILES / "plots.csv").write_text("\r\n".join(lines) + "\r\n", encoding="cp1252")


def in_utm(named):
    forward = Transformer.from_crs(4326, UTM, always_xy=True)
    return shapely.transform(
        np.array(list(named.values())), lambda xy: np.column_stack(forward.transform(*xy.T))
    )


def write_layer(path, plots, names, **options):
    pyogrio.raw.write(
        str(path),
        geometry=shapely.to_wkb(plots),
        field_data=[np.array(names, dtype=object)],
        fields=["NAME"],
        crs=f"EPSG:{UTM}",
        **options,
    )


def write_shapefile(named):
    """In Windows-1252 without a .cpg, as older programs leave it."""
    with tempfile.TemporaryDirectory() as folder:
        options = {"driver": "ESRI Shapefile", "geometry_type": "MultiPolygon", "encoding": "cp1252"}
        write_layer(Path(folder) / "plots.shp", in_utm(named), list(named), **options)
        members = {
            f"My plots/plots{ending}": (Path(folder) / f"plots{ending}").read_bytes()
            for ending in (".shp", ".shx", ".dbf", ".prj")
        }
    write_zip("plots.zip", members)


def write_geopackage(named):
    path = FILES / "plots.gpkg"
    path.unlink(missing_ok=True)
    pyogrio.set_gdal_config_options(
        {"OGR_SQLITE_PRAGMA": "page_size=512", "OGR_CURRENT_DATE": "2026-04-01T12:00:00.000Z"}
    )
    options = {"driver": "GPKG", "layer_options": {"SPATIAL_INDEX": "NO"}}
    write_layer(path, in_utm(named), list(named), layer="plots", geometry_type="MultiPolygon", **options)
    centres = shapely.centroid(in_utm(named))
    write_layer(path, centres, list(named), layer="stands", geometry_type="Point", append=True, **options)


def write_zip(name, members):
    with zipfile.ZipFile(FILES / name, "w") as archive:
        for member, data in members.items():
            entry = zipfile.ZipInfo(member, WHEN)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, data)


def main():
    FILES.mkdir(exist_ok=True)
    named = plots()
    write_acres(named)
    write_geojson(named)
    (FILES / "plots.kml").write_text(kml(named), encoding="utf-8")
    write_zip("plots.kmz", {"doc.kml": kml(named).encode(), "files/icon.png": b"\x89PNG\r\n"})
    write_gpx(named)
    write_csv(named)
    write_shapefile(named)
    write_geopackage(named)


if __name__ == "__main__":
    main()
