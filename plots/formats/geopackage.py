"""GeoPackage. SQLite looks at it first, under a clock and without running anything the file brings along:
only real tables are read, never views, which may never end or call functions."""

import shutil
import sqlite3
import time
from contextlib import closing
from urllib.parse import quote

from plots.formats import crs as systems
from plots.formats import gdal
from plots.formats.assemble import nothing_usable
from plots.formats.attributes import clean_text, quoted
from plots.formats.layers import chosen_layer
from plots.formats.limits import MAX_FEATURES
from plots.formats.model import UnusableFile
from plots.formats.source import Gathering, Source, counted, label

# OGC 12-128r19, "GeoPackage Encoding Standard" 1.4: tables of clause 1.1, geometry types of annex G,
# binary header of clause 2.1.3.
_POLYGONS = {"POLYGON", "MULTIPOLYGON", "SURFACE", "MULTISURFACE", "CURVEPOLYGON"}
_ANY = {"GEOMETRY", "GEOMETRYCOLLECTION"}
_OTHERS = {
    "POINT": "points, not outlines",
    "MULTIPOINT": "points, not outlines",
    "LINESTRING": "lines, not outlines",
    "MULTILINESTRING": "lines, not outlines",
}
_ENVELOPE_BYTES = {0: 0, 1: 32, 2: 48, 3: 48, 4: 64}
_CURVES = set(range(8, 13))  # CircularString to MultiSurface, after taking off Z and M
_NO_SYSTEM = ("-1", "0")
_MOST_LAYERS = 200
_SECONDS = 4
_STEPS = 10_000  # of SQLite's machine between two looks at the clock


def read(path, folder, layer=None):
    """What a GeoPackage holds.

    Parameters
    ----------
    path : Path
    folder : Path
        For a copy, so that nothing is written beside the original.
    layer : str, optional

    Returns
    -------
    Source

    Raises
    ------
    UnusableFile
    """
    copy = shutil.copyfile(path, folder / "layer.gpkg")
    source = Source("GeoPackage")
    try:
        with closing(_opened(copy)) as connection:
            survey = _Survey(connection)
            counts = survey.polygon_layers(source)
            if not counts:
                raise nothing_usable(source)
            source.layers = list(counts)
            source.layer = chosen_layer(counts, layer)
            curved = survey.curved(source.layer)
            has_system = survey.has_system(source.layer)
    except (sqlite3.Error, UnicodeError):  # SQLite quotes damaged bytes in its messages
        raise UnusableFile("The GeoPackage is damaged, or looking through it takes too long.") from None
    _read_layer(copy, source, curved, has_system)
    return source


def _opened(path):
    connection = sqlite3.connect(f"file:{quote(str(path))}?mode=ro&immutable=1", uri=True)
    stop = time.monotonic() + _SECONDS
    connection.set_progress_handler(lambda: time.monotonic() > stop, _STEPS)
    connection.text_factory = lambda data: data.decode("utf-8", errors="replace")
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute("PRAGMA cell_size_check = ON")
    return connection


class _Survey:
    def __init__(self, connection):
        self._connection = connection
        objects = connection.execute("SELECT name, type, sql FROM sqlite_master").fetchall()
        self._tables = {
            name.casefold()
            for name, kind, sql in objects
            if kind == "table" and not (sql or "").lstrip().upper().startswith("CREATE VIRTUAL")
        }
        views = [name for name, kind, _ in objects if kind == "view"]
        if any(name.casefold().startswith("gpkg_") for name in views):
            raise UnusableFile("The GeoPackage has a view in place of one of its own tables; it is not read.")
        if not {"gpkg_contents", "gpkg_geometry_columns"} <= self._tables:
            raise UnusableFile("The file is an SQLite database but not a GeoPackage.")

    def polygon_layers(self, source):
        """Features in each layer that can hold polygons; what the others are goes to `left_out`."""
        contents = self._connection.execute(
            "SELECT table_name, data_type FROM gpkg_contents LIMIT ?", (_MOST_LAYERS + 1,)
        ).fetchall()
        if len(contents) > _MOST_LAYERS:
            raise UnusableFile(
                f"The GeoPackage lists more than {_MOST_LAYERS} layers; at most that many are read."
            )
        counts = {}
        for name, data_type in contents:
            name = str(name)
            what = f"Layer {quoted(name)}"
            kind = self._geometry(name)[1] if data_type == "features" else None
            if clean_text(name) != name:
                source.leave_out(what, "its name holds characters that cannot be shown; rename it")
            elif name.casefold() not in self._tables:
                source.leave_out(what, "a view or a missing table; views are not run, save it as a table")
            elif kind is None:
                source.leave_out(what, "a table without outlines")
            elif kind in _POLYGONS | _ANY:
                counts[name] = self._count(name)
            else:
                source.leave_out(
                    f"{what} ({counted(self._count(name), 'feature')})",
                    _OTHERS.get(kind, "curves, not outlines"),
                )
        return counts

    def curved(self, layer):
        """Ids of the features with curved edges."""
        column = self._geometry(layer)[0]
        rows = self._connection.execute(
            f"SELECT rowid, {_name(column)} FROM {_name(layer)} LIMIT ?",  # noqa: S608 - quoted below
            (MAX_FEATURES + 1,),
        )
        return {rowid for rowid, blob in rows if isinstance(blob, bytes) and _is_curved(blob)}

    def has_system(self, layer):
        return str(self._geometry(layer)[2]) not in _NO_SYSTEM

    def _count(self, table):
        rows = self._connection.execute(f"SELECT count(*) FROM {_name(table)}")  # noqa: S608 - quoted below
        return rows.fetchone()[0]

    def _geometry(self, table):
        """Column, type and system of a layer's geometry; three times None when it has none."""
        row = self._connection.execute(
            "SELECT column_name, geometry_type_name, srs_id FROM gpkg_geometry_columns WHERE lower(table_name) = lower(?)",
            (table,),
        ).fetchone()
        return (str(row[0]), str(row[1]).upper(), row[2]) if row else (None, None, None)


def _read_layer(path, source, curved, has_system):
    crs, features = gdal.rows(path, driver="GPKG", layer=source.layer)
    source.crs = systems.from_file(crs) if has_system else None
    for fid, geometry, attributes, notes in features:
        name = next((value for key, value in attributes.items() if key.casefold() == "name"), None)
        what = label("Feature", fid, name)
        if fid in curved:  # GDAL would put straight edges in their place without a word
            source.leave_out(what, "a curved outline; save it with straight edges")
            continue
        gathered = Gathering()
        gathered.add_shape(geometry)
        gathered.mended(*notes)
        source.add(what, attributes, gathered)


def _is_curved(blob):
    if len(blob) < 8:
        return False
    start = 8 + _ENVELOPE_BYTES.get(blob[3] >> 1 & 0b111, 0)
    order = "little" if blob[start : start + 1] == b"\x01" else "big"
    return int.from_bytes(blob[start + 1 : start + 5], order) % 1000 in _CURVES


def _name(identifier):
    return '"' + identifier.replace('"', '""') + '"'
