"""GeoJSON (RFC 7946), also one feature a line, bare geometries, and the `crs` member of the 2008 draft.

Read here rather than by GDAL, which fails on an unclosed ring and on bytes that are not UTF-8.
"""

import json

import numpy as np

from plots.formats import crs as systems
from plots.formats.assemble import too_many_vertices
from plots.formats.attributes import quoted
from plots.formats.limits import MAX_DEPTH, MAX_FEATURES, MAX_VERTICES
from plots.formats.model import NotAnOutline, UnusableFile
from plots.formats.source import Gathering, Source, label
from plots.formats.text import decoded

_OTHERS = {
    "Point": "a point",
    "MultiPoint": "points",
    "LineString": "a line",
    "MultiLineString": "lines",
}
_GEOMETRIES = {*_OTHERS, "Polygon", "MultiPolygon", "GeometryCollection"}
_LONGEST_INTEGER = 18  # digits; longer ones are read as floats, which Python does in linear time
_TOO_DEEP = f"The GeoJSON is nested more than {MAX_DEPTH} levels deep; collections within collections are not read further."


def read(data):
    """What a GeoJSON text holds.

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
    if text.count("[") > 2 * MAX_VERTICES:  # each vertex opens one; parsing more would only fill memory
        raise too_many_vertices()
    documents, by_line = _parsed(text)
    source = Source("GeoJSON lines" if by_line else "GeoJSON", crs=systems.WGS84)
    if encoding == "windows-1252":
        source.notes.append("The text is not UTF-8; it was read as Windows-1252.")
    if not by_line:
        _use_crs_member(documents[0], source)
    number = 0
    for document in documents:
        for feature in _features(document, 0):
            number += 1
            if number > MAX_FEATURES:
                raise UnusableFile(
                    f"The file holds more than {MAX_FEATURES:,} features; at most that many can be read."
                )
            _add(source, number, feature)
    return source


def _parsed(text):
    """The JSON documents in a text: one, or one a line."""
    try:
        return [_loads(text)], False
    except json.JSONDecodeError as error:
        lines = [line.strip("\x1e \t\r") for line in text.splitlines()]
        lines = [line for line in lines if line]
        if len(lines) > 1 and error.lineno > 1 or text.startswith("\x1e"):
            try:
                return [_loads(line) for line in lines], True
            except json.JSONDecodeError:
                pass
        raise UnusableFile(
            f"The file is not valid JSON: {error.msg} at line {error.lineno}, column {error.colno}."
        ) from None


def _loads(text):
    try:
        return json.loads(text, parse_int=_integer)
    except RecursionError:
        raise UnusableFile(_TOO_DEEP) from None


def _integer(digits):
    return int(digits) if len(digits) <= _LONGEST_INTEGER else float(digits)


def _use_crs_member(document, source):
    if not isinstance(document, dict) or "crs" not in document:
        return
    member = document["crs"]
    properties = member.get("properties") if isinstance(member, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    source.crs = systems.from_file(name) if isinstance(name, str) else None
    if source.crs is None:
        source.notes.append("The file's “crs” member names no coordinate system that is known here.")
    elif source.crs != systems.WGS84:
        source.notes.append(
            f"The coordinates were transformed from {systems.words(source.crs)}, which the file's “crs” member "
            "states; today's GeoJSON is always longitude and latitude."
        )


def _features(item, depth):
    """Features and bare geometries, however they are wrapped."""
    if depth > MAX_DEPTH:
        raise UnusableFile(_TOO_DEEP)
    kind = item.get("type") if isinstance(item, dict) else None
    if isinstance(item, list) and depth == 0:
        inner = item
    elif kind == "FeatureCollection":
        inner = item.get("features")
    elif kind == "Feature":
        yield item
        return
    elif isinstance(kind, str) and kind in _GEOMETRIES:
        yield {"geometry": item}
        return
    else:
        raise UnusableFile(_what_else(item, kind))
    if not isinstance(inner, list):
        raise UnusableFile("The GeoJSON has no list of features.")
    for member in inner:
        if depth and not isinstance(member, dict) or not isinstance(member, dict | list):
            yield {"geometry": None}
        else:
            yield from _features(member, depth + 1)


def _what_else(item, kind):
    if kind == "Topology":
        return "The file is TopoJSON, which is not read; save it as GeoJSON."
    if isinstance(item, dict) and ("rings" in item or "geometryType" in item):
        return "The file is another program's JSON, not GeoJSON; save it as GeoJSON."
    if isinstance(kind, str):
        return f"The file is JSON but not GeoJSON: its type is {quoted(kind)}; accepted are features and geometries."
    return "The file is JSON but not GeoJSON: it has no “type”."


def _add(source, number, feature):
    properties = feature.get("properties")
    attributes = dict(properties) if isinstance(properties, dict) else {}
    if "id" in feature:
        attributes.setdefault("id", feature["id"])
    name = attributes.get("name")
    what = label("Feature", number, name if isinstance(name, str) else None)
    gathered = Gathering()
    try:
        _gather(feature.get("geometry"), gathered, 0)
    except NotAnOutline as error:
        source.leave_out(what, str(error))
        return
    source.add(what, attributes, gathered)


def _gather(geometry, gathered, depth):
    if depth > MAX_DEPTH:
        raise UnusableFile(_TOO_DEEP)
    if geometry is None:
        gathered.failures.append("no geometry")
        return
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if kind == "GeometryCollection":
        for member in _list(geometry.get("geometries")):
            _gather(member, gathered, depth + 1)
    elif kind == "Polygon":
        gathered.add([_positions(ring) for ring in _list(geometry.get("coordinates"))])
    elif kind == "MultiPolygon":
        parts = _list(geometry.get("coordinates"))
        for part in parts:
            gathered.add([_positions(ring) for ring in _list(part)])
        if not parts:
            gathered.failures.append("an empty geometry")
    elif isinstance(kind, str) and kind in _OTHERS:
        gathered.others.append(_OTHERS[kind])
    else:
        raise NotAnOutline("its geometry is of no type that GeoJSON has")


def _positions(ring):
    """A ring's (x, y) as an array; heights and measures are dropped."""
    for position in _list(ring):
        if not isinstance(position, list) or len(position) < 2:
            raise NotAnOutline("its coordinates are not lists of positions")
        for value in position[:2]:
            if isinstance(value, str):
                raise NotAnOutline(f"its coordinates are text ({quoted(value)}), not numbers")
            if isinstance(value, bool) or not isinstance(value, int | float):
                raise NotAnOutline("its coordinates are not numbers")
    return np.array([position[:2] for position in ring], dtype=float).reshape(-1, 2)


def _list(value):
    if not isinstance(value, list):
        raise NotAnOutline("its coordinates are not lists of positions")
    return value
