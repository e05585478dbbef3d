"""The kinds of file that plots can be taken along in."""

from collections.abc import Callable
from dataclasses import dataclass

from plots.formats.write import csv_wkt, fiboa, geojson, gpx, kml
from plots.formats.write.rows import Selection


@dataclass(frozen=True)
class FileKind:
    """One kind of file; `ending` follows the name of the file, `limits` is a line for the person who chooses."""

    key: str
    title: str
    ending: str
    media_type: str
    write: Callable[[Selection], bytes]
    limits: str

    def file_name(self, slug):
        """What the file of a property is called."""
        return f"{slug}-{'fiboa' if self.key.startswith('fiboa') else 'plots'}.{self.ending}"


def _shapefile(selection):
    from plots.formats.write import gdal  # a third of a second to load

    return gdal.write_shapefile(selection)


def _geopackage(selection):
    from plots.formats.write import gdal

    return gdal.write_geopackage(selection)


_ALL = [
    FileKind(
        "geojson",
        "GeoJSON",
        "geojson",
        "application/geo+json",
        geojson.write,
        "RFC 7946, for the web and any map program. Every digit is kept.",
    ),
    FileKind(
        "kml",
        "KML",
        "kml",
        "application/vnd.google-earth.kml+xml",
        kml.write,
        "For globes and phones. Every digit is kept; values are text.",
    ),
    FileKind(
        "gpx",
        "GPX",
        "gpx",
        "application/gpx+xml",
        gpx.write,
        "For GPS receivers: each plot a closed track. Holes are left out, and the track says so; most receivers "
        "show the name alone.",
    ),
    FileKind(
        "shapefile",
        "Shapefile",
        "zip",
        "application/zip",
        _shapefile,
        "Zipped, for older programs. Column names are cut to 10 characters, text to 254 bytes.",
    ),
    FileKind(
        "gpkg",
        "GeoPackage",
        "gpkg",
        "application/geopackage+sqlite3",
        _geopackage,
        "Version 1.2, for desktop map programs. Every digit is kept.",
    ),
    FileKind(
        "csv",
        "CSV with WKT",
        "csv",
        "text/csv; charset=utf-8",
        csv_wkt.write,
        "A table with the outline as text in its last column. Text that a spreadsheet would take for a formula "
        "gets a ' before it; a spreadsheet cuts cells of more than 32,767 characters.",
    ),
    FileKind(
        "fiboa-geojson",
        "fiboa GeoJSON",
        "json",
        "application/geo+json",
        fiboa.write_geojson,
        "The open standard for field boundaries, version 0.3.0, with how and when each boundary was made. Area in "
        "m² and perimeter in m beside acres and feet.",
    ),
    FileKind(
        "fiboa-parquet",
        "fiboa GeoParquet",
        "parquet",
        "application/vnd.apache.parquet",
        fiboa.write_geoparquet,
        "The same for data programs. The standard's own area and perimeter have 7 digits; acres and feet have all.",
    ),
]
KINDS = {kind.key: kind for kind in _ALL}
