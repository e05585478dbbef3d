"""GPX 1.0 and 1.1: tracks and routes that come back to their start are outlines.

Read here rather than by GDAL, which gives lines and points but not the loops among them.
"""

import numpy as np

from plots.formats import crs as systems
from plots.formats.loops import gather_loop
from plots.formats.model import NotAnOutline
from plots.formats.source import Source, counted, label
from plots.formats.xmlfile import Dialect

_ATTRIBUTES = ("name", "desc", "cmt", "type", "number")
DIALECT = Dialect(
    roots=frozenset({"gpx"}),
    features=frozenset({"trk", "rte", "wpt"}),
    kept=frozenset({*_ATTRIBUTES, "trkseg", "trkpt", "rtept"}),
    points=frozenset({"trkpt", "rtept", "wpt"}),
)


def read(nodes):
    """What a GPX file holds.

    Parameters
    ----------
    nodes : list of Node
        `trk`, `rte` and `wpt` elements.

    Returns
    -------
    Source
    """
    source = Source("GPX", crs=systems.WGS84, crs_is_fixed=True)
    for tag, kind in (("trk", "Track"), ("rte", "Route")):
        for number, node in enumerate((node for node in nodes if node.tag == tag), start=1):
            _add(source, label(kind, number, node.value("name")), node)
    waypoints = sum(node.tag == "wpt" for node in nodes)
    if waypoints:
        why = "a point, not an outline" if waypoints == 1 else "points, not an outline"
        source.leave_out(counted(waypoints, "waypoint"), why)
    return source


def _add(source, what, node):
    try:
        segments = [
            np.array(
                [_position(number, point) for number, point in enumerate(stretch.all("trkpt", "rtept"), 1)]
            )
            for stretch in (node.all("trkseg") if node.tag == "trk" else [node])
        ]
        gathered = gather_loop(segments, is_route=node.tag == "rte")
    except NotAnOutline as error:
        source.leave_out(what, str(error))
        return
    attributes = {key: node.value(key) for key in _ATTRIBUTES if node.value(key)}
    source.add(what, attributes, gathered)


def _position(number, point):
    try:
        return float(point.attributes["lon"]), float(point.attributes["lat"])
    except (KeyError, ValueError):
        raise NotAnOutline(f"point {number} has no usable latitude and longitude") from None
