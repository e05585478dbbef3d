"""Zipped shapefiles. The records are checked here before GDAL, which reads a damaged file without a word."""

import mmap
import re
import struct
from pathlib import Path

from plots.formats import crs as systems
from plots.formats import gdal
from plots.formats.assemble import nothing_usable, too_many_vertices
from plots.formats.attributes import quoted
from plots.formats.layers import chosen_layer
from plots.formats.limits import MAX_FEATURES, MAX_VERTICES
from plots.formats.model import UnusableFile
from plots.formats.source import Gathering, Source, counted, label
from plots.formats.text import decoded

# Shape types and layout: "ESRI Shapefile Technical Description", July 1998.
_MAGIC = 9994
_NULL = 0
_POLYGONS = (5, 15, 25)
_OTHERS = {
    0: "no shapes",
    1: "points, not outlines",
    3: "lines, not outlines",
    8: "points, not outlines",
    11: "points, not outlines",
    13: "lines, not outlines",
    18: "points, not outlines",
    21: "points, not outlines",
    23: "lines, not outlines",
    28: "points, not outlines",
    31: "surfaces in space (MultiPatch), not outlines",
}
_LONGEST_PRJ = 10_000  # bytes; ordinary ones have 150 to 1,000
_LANGUAGES = {0x02: "cp850", 0x03: "cp1252", 0x57: "cp1252", 0x01: "cp437", 0xC8: "cp1250", 0xC9: "cp1251"}


def read(archive, folder, layer=None):
    """What the shapefiles in an archive hold.

    Parameters
    ----------
    archive : Archive
    folder : Path
        For the unpacked files.
    layer : str, optional

    Returns
    -------
    Source

    Raises
    ------
    UnusableFile
    """
    source = Source("Shapefile")
    paths, shapes, counts = {}, {}, {}
    for number, shape in enumerate(archive.shapes()):
        inside = folder / str(number)
        inside.mkdir()
        path = archive.unpack_shape(shape, inside)
        kind, count = survey(path)
        if kind not in _POLYGONS:
            source.leave_out(
                f"Layer {quoted(shape.name)} ({counted(count, 'record')})", _OTHERS.get(kind, "no outlines")
            )
            continue
        paths[shape.name], shapes[shape.name], counts[shape.name] = path, shape, count
    if not counts:
        raise nothing_usable(source)
    source.layers = list(counts)
    source.layer = chosen_layer(counts, layer)
    _say_what_is_missing(shapes[source.layer], source)
    _read_layer(paths[source.layer], source)
    return source


def survey(path):
    """The shape type and number of records, after a look at every record's sizes.

    Raises
    ------
    UnusableFile
        Not a shapefile, damaged, cut off, or too large.
    """
    with path.open("rb") as file:
        if path.stat().st_size < 100:
            raise UnusableFile("The shapefile is damaged: its .shp is shorter than the header.")
        with mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as data:
            return _survey(data)


def _survey(data):
    magic, words = struct.unpack_from(">i20xi", data, 0)
    kind = struct.unpack_from("<i", data, 32)[0]
    if magic != _MAGIC:
        raise UnusableFile("The .shp in the archive is not a shapefile: it does not begin as one.")
    end = 2 * words
    if end > len(data):
        raise UnusableFile(
            f"The shapefile is damaged: it should be {end:,} bytes long, but only {len(data):,} are there."
        )
    offset, records, vertices = 100, 0, 0
    while offset < end:
        records += 1
        if records > MAX_FEATURES:
            raise UnusableFile(
                f"The shapefile holds more than {MAX_FEATURES:,} records; at most that many can be read."
            )
        try:
            size = 2 * struct.unpack_from(">4xi", data, offset)[0]
            record_kind = struct.unpack_from("<i", data, offset + 8)[0]
            points = _points(data, offset + 8, size) if record_kind in _POLYGONS else 0
        except struct.error:
            size, record_kind, points = -1, None, 0
        offset += 8 + size
        if size < 4 or offset > end or record_kind not in (kind, _NULL) or points is None:
            raise UnusableFile(f"The shapefile is damaged: record {records} does not fit into it.")
        vertices += points
        if vertices > MAX_VERTICES:
            raise too_many_vertices()
    return kind, records


def _points(data, start, size):
    """How many vertices a polygon record has; None when its sizes contradict each other."""
    parts, points = struct.unpack_from("<36x2i", data, start)
    if parts < 0 or points < 0 or 44 + 4 * parts + 16 * points > size:
        return None
    if parts == 0:
        return 0 if points == 0 else None
    firsts = struct.unpack_from(f"<{parts}i", data, start + 44)
    rising = all(before < after for before, after in zip(firsts, (*firsts[1:], points), strict=True))
    return points if rising and firsts[0] == 0 else None


def _say_what_is_missing(shape, source):
    if ".shx" not in shape.members:
        source.notes.append("The index (.shx) is missing from the archive; it was rebuilt.")
    if ".dbf" not in shape.members:
        source.notes.append(
            "The attribute table (.dbf) is missing from the archive, so the plots have no names."
        )


def _read_layer(path, source):
    source.crs = _system(path.with_suffix(".prj"), source)
    table = path.with_suffix(".dbf")
    encoding = _encoding(table, path.with_suffix(".cpg")) if table.exists() else None
    _, features = gdal.rows(path, driver="ESRI Shapefile", encoding=encoding)
    for fid, geometry, attributes, notes in features:
        gathered = Gathering()
        gathered.add_shape(geometry)
        gathered.mended(*notes)
        name = next((value for key, value in attributes.items() if key.casefold() == "name"), None)
        source.add(label("Record", fid + 1, name), attributes, gathered)


def _system(projection, source):
    """The system that the .prj names. It is kept from GDAL, which stumbles over a damaged one."""
    if not projection.exists():
        return None
    with projection.open("rb") as file:
        text = file.read(_LONGEST_PRJ + 1)
    projection.unlink()
    crs = systems.from_file(decoded(text)[0]) if len(text) <= _LONGEST_PRJ else None
    if crs is None:
        source.notes.append("The .prj names no coordinate system that is known here.")
    return crs


def _encoding(table, code_page):
    """How the table's text is written: by the .cpg, else by its language byte, else by how it looks."""
    if code_page.exists():
        named = _named_encoding(code_page)
        if named:
            return named
    data = table.read_bytes()
    language = _LANGUAGES.get(data[29]) if len(data) > 32 else None
    if language:
        return language
    header_size = int.from_bytes(data[8:10], "little")
    try:
        data[header_size:].decode("utf-8")
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8"


def _named_encoding(code_page: Path):
    with code_page.open("rb") as file:
        name = file.read(40).decode("ascii", errors="replace").strip().lower()
    number = re.fullmatch(r"(?:cp|ansi |windows-)?(125\d|437|850|874|932|936|949|950)", name)
    if number:
        return f"cp{number[1]}"
    match = re.fullmatch(r"(?:iso[- ]?)?8859[-_]?([1-9]|1[013456])", name)
    if match:
        return f"iso8859-{match[1]}"
    return "utf-8" if name in ("utf-8", "utf8", "65001") else None
