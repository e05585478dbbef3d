"""Tables with a column of WKT or EWKT, as spreadsheets and databases write them."""

import csv
import re

import numpy as np
import shapely

from plots.formats import crs as systems
from plots.formats.assemble import too_many_vertices
from plots.formats.attributes import quoted
from plots.formats.limits import MAX_DEPTH, MAX_FEATURES, MAX_FILE_BYTES, MAX_VERTICES
from plots.formats.model import UnusableFile
from plots.formats.source import Gathering, Source, counted, label
from plots.formats.text import decoded

_DELIMITERS = ",;\t|"
_WKT = re.compile(
    r"\s*(?:SRID\s*=\s*(\d{1,6})\s*;)?\s*"
    r"((?:MULTI)?(?:POLYGON|POINT|LINESTRING|SURFACE|CURVE)|CURVEPOLYGON|GEOMETRYCOLLECTION|LINEARRING|"
    r"CIRCULARSTRING|COMPOUNDCURVE|TRIANGLE|TIN|POLYHEDRALSURFACE)\b",
    re.IGNORECASE,
)
_GEOMETRY_NAMES = ("wkt", "ewkt", "geom", "geometry", "the_geom", "geom_wkt", "wkt_geom", "shape", "boundary")
_ROWS_LOOKED_AT = 50
_LONGEST_RECORD = 200  # lines; a longer one is a quote that was never closed
_BRACKETS = re.compile(r"[()]")
_GEOS_POSITION = re.compile(r"^\w*Exception: ")


def read(data):
    """What a table holds.

    Parameters
    ----------
    data : bytes

    Returns
    -------
    Source

    Raises
    ------
    UnusableFile
    """
    text, encoding = decoded(data)
    text = text.replace("\x00", "")
    lines = text.splitlines(keepends=True)
    first = next((number for number, line in enumerate(lines) if line.strip()), 0)
    delimiter = _delimiter(lines[first] if lines else "")
    csv.field_size_limit(MAX_FILE_BYTES)
    rows = list(_rows(lines[first:], delimiter))
    header = [name.strip() for name in rows[0][0]] if rows else []
    column = _geometry_column(header, [row for row, _ in rows[1:]])
    source = Source("CSV")
    if encoding == "windows-1252":
        source.notes.append("The text is not UTF-8; it was read as Windows-1252.")
    _Rows(source, header, column).read(rows[1:])
    return source


def _delimiter(header):
    outside_quotes = re.sub(r'"[^"]*"', "", header)
    return max(_DELIMITERS, key=outside_quotes.count)


def _rows(lines, delimiter):
    """(fields, is_whole) of each record. One whose quote is never closed ends with its first line.

    Without that, one bad quote would swallow the rows behind it.
    """
    start = 0
    while start < len(lines):
        reader = csv.reader(_lines_from(lines, start), delimiter=delimiter, strict=True)
        try:
            row, whole = next(reader), True
            taken = reader.line_num
        except csv.Error:
            row, whole, taken = _first_line(lines[start], delimiter)
        start += taken
        if any(field.strip() for field in row):
            yield row, whole


def _lines_from(lines, start):
    for number in range(start, min(start + _LONGEST_RECORD, len(lines))):
        yield lines[number]


def _first_line(line, delimiter):
    try:
        row = next(csv.reader([line], delimiter=delimiter))
    except csv.Error:
        row = [line]
    return row, line.count('"') % 2 == 0, 1


def _geometry_column(header, rows):
    looks = [0] * len(header)
    for row in rows[:_ROWS_LOOKED_AT]:
        for number, value in enumerate(row[: len(header)]):
            looks[number] += bool(_WKT.match(value[:100]))
    named = [number for number, name in enumerate(header) if name.casefold() in _GEOMETRY_NAMES]
    best = max(range(len(header)), key=lambda number: (looks[number], number in named), default=None)
    if best is None or not looks[best]:
        if not header:
            raise UnusableFile("The file is empty.")
        columns = ", ".join(quoted(name, 30) for name in header[:8])
        raise UnusableFile(
            f"The table has no WKT column, so there are no polygons in it (columns: {columns}); one column has to "
            "hold text such as POLYGON ((-93.1 42.0, …))."
        )
    return best


class _Rows:
    def __init__(self, source, header, column):
        self.source = source
        self.header = header
        self.column = column
        self.srid = None
        self.vertices_left = MAX_VERTICES
        self.name_column = next(
            (i for i, name in enumerate(header) if name.casefold() in ("name", "plot", "field")), None
        )

    def read(self, rows):
        if len(rows) > MAX_FEATURES:
            raise UnusableFile(f"The table holds {len(rows):,} rows; at most {MAX_FEATURES:,} can be read.")
        parsed = [self._parsed(number, row, whole) for number, (row, whole) in enumerate(rows, start=1)]
        srids = [srid for srid, *_ in parsed if srid]
        self._use_srid(srids)
        for srid, what, attributes, gathered in parsed:
            if srid and srid != self.srid or srids and not srid and gathered.polygons:
                self.source.leave_out(
                    what, f"its SRID ({srid or 'none'}) is not that of the other rows ({self.srid})"
                )
            else:
                self.source.add(what, attributes, gathered)

    def _parsed(self, number, row, whole):
        name = row[self.name_column] if self.name_column is not None and self.name_column < len(row) else None
        what = label("Row", number, name)
        attributes = {
            key: value
            for position, (key, value) in enumerate(zip(self.header, row, strict=False))
            if position != self.column
        }
        gathered, srid = Gathering(), None
        text = row[self.column] if self.column < len(row) else ""
        match = _WKT.match(text[:100])
        if not whole:
            gathered.failures.append("its text is cut off: a quotation mark is opened and not closed")
        elif not text.strip():
            gathered.failures.append("no geometry")
        elif not match:
            gathered.failures.append(f"{quoted(text, 40)} is not WKT")
        else:
            srid = int(match[1]) if match[1] and int(match[1]) else None
            self._geometry(text[match.start(2) :], gathered)
        return srid, what, attributes, gathered

    def _geometry(self, wkt, gathered):
        if wkt.count("(") > MAX_VERTICES:
            raise too_many_vertices()
        if _nests_deeply(wkt):
            raise UnusableFile(f"The WKT is nested more than {MAX_DEPTH} levels deep; real outlines are not.")
        self.vertices_left -= wkt.count(",")
        if self.vertices_left < 0:
            raise too_many_vertices()
        try:
            with np.errstate(invalid="ignore"):  # NaN is told by add_shape
                geometry = shapely.from_wkt(wkt)
        except (shapely.GEOSException, NotImplementedError, ValueError) as error:
            geometry = shapely.from_wkt(wkt, on_invalid="fix")
            if geometry is None:
                said = quoted(_GEOS_POSITION.sub("", str(error)), 80)
                gathered.failures.append(f"its WKT cannot be read: {said}")
                return
            gathered.mended("The ring was not closed; it is now.")
        gathered.add_shape(geometry)

    def _use_srid(self, srids):
        if not srids:
            self.source.crs = systems.WGS84
            self.source.notes.append("The WKT names no SRID; it was read as WGS84 longitude and latitude.")
            return
        self.srid = max(set(srids), key=srids.count)
        self.source.crs = systems.from_file(f"EPSG:{self.srid:04}")
        if self.source.crs is None:
            self.source.notes.append(f"SRID={self.srid} is no coordinate system that is known here.")
        elif self.source.crs != systems.WGS84:
            self.source.notes.append(
                f"The coordinates were transformed from {systems.words(self.source.crs)}, as the SRID in "
                f"{counted(len(srids), 'row')} says."
            )


def _nests_deeply(wkt):
    """GEOS reads a bracket within a bracket by recursion, to the end of the stack if it has to."""
    depth = 0
    for bracket in _BRACKETS.finditer(wkt):
        depth += 1 if bracket[0] == "(" else -1
        if depth > MAX_DEPTH:
            return True
    return False
