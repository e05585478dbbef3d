"""KML of any age: polygons, closed lines and recorded tracks of placemarks.

Read here rather than by GDAL, which takes only the first of several rings in an inner boundary and turns a
picture laid over the ground into a polygon.
"""

import numpy as np

from plots.formats import crs as systems
from plots.formats.assemble import too_many_vertices
from plots.formats.attributes import quoted
from plots.formats.limits import MAX_VERTICES
from plots.formats.loops import gather_loop
from plots.formats.model import NotAnOutline
from plots.formats.source import Gathering, Source, label
from plots.formats.xmlfile import Dialect

_NOT_PLACEMARKS = {
    "GroundOverlay": ("Overlay", "a picture laid over the ground, not an outline"),
    "PhotoOverlay": ("Overlay", "a picture, not an outline"),
    "ScreenOverlay": ("Overlay", "a picture on the screen, not an outline"),
    "NetworkLink": ("Network link", "a link to another file; links are never followed"),
}
DIALECT = Dialect(
    roots=frozenset({"kml", "Document", "Folder", "Placemark"}),
    features=frozenset({"Placemark", *_NOT_PLACEMARKS}),
    kept=frozenset(
        {
            *("name", "description", "ExtendedData", "SchemaData", "SimpleData", "Data", "value"),
            *("MultiGeometry", "Polygon", "outerBoundaryIs", "innerBoundaryIs", "LinearRing", "LineString"),
            *("Point", "Model", "MultiTrack", "Track", "coord", "coordinates"),
        }
    ),
    points=frozenset({"coord"}),
)
_OTHERS = {"Point": "a point", "Model": "a 3-D model"}


def read(nodes, format="KML"):
    """What a KML file holds.

    Parameters
    ----------
    nodes : list of Node
        `Placemark`, overlay and `NetworkLink` elements.

    Returns
    -------
    Source
    """
    source = Source(format, crs=systems.WGS84, crs_is_fixed=True)
    placemarks = _Placemarks()
    numbers = {}
    for node in nodes:
        kind, why = _NOT_PLACEMARKS.get(node.tag, ("Placemark", None))
        numbers[kind] = numbers.get(kind, 0) + 1
        what = label(kind, numbers[kind], node.value("name"))
        if why:
            source.leave_out(what, why)
            continue
        gathered = Gathering()
        try:
            placemarks.gather(node, gathered)
        except NotAnOutline as error:
            source.leave_out(what, str(error))
            continue
        source.add(what, _attributes(node), gathered)
    return source


class _Placemarks:
    """Reads the geometry of placemarks and counts their vertices."""

    def __init__(self):
        self._vertices_left = MAX_VERTICES

    def gather(self, node, gathered):
        for child in node.children:
            if child.tag == "MultiGeometry":
                self.gather(child, gathered)
            elif child.tag == "Polygon":
                self._polygon(child, gathered)
            elif child.tag == "LinearRing":
                gathered.add([self._vertices(child, gathered)])
                gathered.mended("A ring that belongs to no polygon was taken as an outline.")
            elif child.tag == "LineString":
                self._line(child, gathered)
            elif child.tag in ("Track", "MultiTrack"):
                self._track(child, gathered)
            elif child.tag in _OTHERS:
                gathered.others.append(_OTHERS[child.tag])

    def _polygon(self, node, gathered):
        outer = [ring for boundary in node.all("outerBoundaryIs") for ring in boundary.all("LinearRing")]
        inner = [ring for boundary in node.all("innerBoundaryIs") for ring in boundary.all("LinearRing")]
        if not outer:
            gathered.failures.append("an empty geometry")
            return
        gathered.add([self._vertices(ring, gathered) for ring in (outer[0], *inner)])

    def _line(self, node, gathered):
        vertices = self._vertices(node, gathered)
        if len(vertices) > 3 and (vertices[0] == vertices[-1]).all():
            gathered.add([vertices])
            gathered.mended("A closed line was taken as an outline.")
        else:
            gathered.others.append("a line")

    def _track(self, node, gathered):
        tracks = node.all("Track") if node.tag == "MultiTrack" else [node]
        loop = gather_loop([np.array([_coord(coord) for coord in track.all("coord")]) for track in tracks])
        gathered.polygons.extend(loop.polygons)
        gathered.mended("A recorded track was taken as an outline.", *loop.notes)

    def _vertices(self, node, gathered):
        """(longitude, latitude) of a `coordinates` element."""
        positions = node.value("coordinates").split()
        if any(position.endswith(",") or position.startswith(",") for position in positions):
            positions = " ".join(positions).replace(" ,", ",").replace(", ", ",").split()
            gathered.mended("Blanks around the commas in the coordinates were ignored.")
        self._vertices_left -= len(positions)
        if self._vertices_left < 0:
            raise too_many_vertices()
        return np.array([_position(position) for position in positions]).reshape(-1, 2)


def _position(text):
    values = text.rstrip(",").split(",")
    try:
        if 2 <= len(values) <= 3:
            return float(values[0]), float(values[1])
    except ValueError:
        pass
    raise NotAnOutline(f"its coordinates cannot be read at {quoted(text)}; accepted is longitude,latitude")


def _coord(node):
    values = node.text.split()
    try:
        return float(values[0]), float(values[1])
    except (IndexError, ValueError):
        raise NotAnOutline(f"its track cannot be read at {quoted(node.text)}") from None


def _attributes(node):
    attributes = {key: node.value(key) for key in ("name", "description") if node.value(key)}
    for extended in node.all("ExtendedData"):
        for data in extended.all("Data"):
            attributes.setdefault(data.attributes.get("name", ""), data.value("value"))
        for schema in extended.all("SchemaData"):
            for data in schema.all("SimpleData"):
                attributes.setdefault(data.attributes.get("name", ""), data.text.strip())
    return attributes
