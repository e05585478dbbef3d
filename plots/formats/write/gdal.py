"""The two formats that GDAL writes: Shapefile and GeoPackage."""

import io
import sqlite3
import tempfile
import zipfile
from contextlib import closing
from datetime import date
from pathlib import Path

import numpy as np
import pyogrio.raw
import shapely

from plots.formats.write.rows import COLUMNS

_LAYER = "plots"  # a property's own name might be one that the format keeps for itself
_LONGEST_TEXT = 254  # bytes of one value in a Shapefile's table
_ZIP_EPOCH = (1980, 1, 1, 0, 0, 0)  # a zip has no earlier day; the day of writing is no fact about the plots
_EPOCH = "1980-01-01"
_SHAPEFILE_MEMBERS = (".shp", ".shx", ".dbf", ".prj", ".cpg")


def write_shapefile(selection):
    """A zip of a Shapefile: names of ten characters at most, text of 254 bytes at most."""
    with tempfile.TemporaryDirectory(prefix="writing-") as folder:
        path = Path(folder) / f"{_LAYER}.shp"
        _write(
            path,
            selection,
            names=[column.short for column in COLUMNS],
            text=_cut,
            driver="ESRI Shapefile",
            geometry_type="Polygon",
            encoding="UTF-8",
            layer_options={"DBF_DATE_LAST_UPDATE": _EPOCH},
        )
        file = io.BytesIO()
        with zipfile.ZipFile(file, "w") as archive:
            for member in (path.with_suffix(ending) for ending in _SHAPEFILE_MEMBERS):
                entry = zipfile.ZipInfo(member.name, _ZIP_EPOCH)
                archive.writestr(entry, member.read_bytes(), zipfile.ZIP_DEFLATED)
        return file.getvalue()


def write_geopackage(selection):
    """GeoPackage 1.2, which older readers know too."""
    with tempfile.TemporaryDirectory(prefix="writing-") as folder:
        path = Path(folder) / f"{_LAYER}.gpkg"
        _write(
            path,
            selection,
            names=[column.name for column in COLUMNS],
            text=str,
            driver="GPKG",
            layer=_LAYER,
            geometry_type="MultiPolygon",
            dataset_options={"VERSION": "1.2"},
            layer_options={"DESCRIPTION": selection.title, "GEOMETRY_NAME": "geometry"},
        )
        return _written_anew(path).read_bytes()


def _written_anew(path):
    """The same tables laid out afresh: how GDAL came to write them, and when, leaves its marks in a file."""
    clean = path.with_stem("clean")
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("UPDATE gpkg_contents SET last_change = ?", (f"{_EPOCH}T00:00:00.000Z",))
        connection.execute("VACUUM INTO ?", (str(clean),))
    return clean


def _write(path, selection, *, names, text, **how):
    rows = [plot.attributes for plot in selection.plots]
    values = [[row[column.name] for row in rows] for column in COLUMNS]
    missing = [np.array([value is None for value in column], dtype=bool) for column in values]
    data = [_array(column, each, text) for column, each in zip(COLUMNS, values, strict=True)]
    pyogrio.raw.write(
        path,
        shapely.to_wkb([plot.outline for plot in selection.plots]),
        data,
        names,
        field_mask=missing,
        crs="EPSG:4326",
        **how,
    )


def _array(column, values, text):
    if column.kind is str:
        return np.array([None if value is None else text(value) for value in values], dtype=object)
    if column.kind is date:
        return np.array(values, dtype="datetime64[D]")
    kind = np.int64 if column.kind is int else np.float64
    return np.array([0 if value is None else value for value in values], dtype=kind)


def _cut(value):
    """As much of a text as fits, no letter cut in two."""
    return value.encode()[:_LONGEST_TEXT].decode(errors="ignore")
