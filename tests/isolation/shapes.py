"""Outlines on their way in: measured, drawn as a new plot, split and merged."""

from tests.isolation import EDITORS, MEMBERS, Row
from tests.isolation.plots import RING

SQUARE = {"type": "Polygon", "coordinates": [RING]}
LINE = {"type": "LineString", "coordinates": [[0, 0], [1, 1]]}

ROWS = [
    Row("api-measure", "POST", MEMBERS, body={"geometry": SQUARE}),
    Row("api-plots", "POST", EDITORS, 201, body={"name": "South Bench", "geometry": SQUARE}),
    # Ids of boundaries are not known here: who may, is told that the plot has another one.
    Row("api-split", "POST", EDITORS, 409, body={"line": LINE, "replaces": 2**40}),
    Row("api-merge", "POST", EDITORS, 409, body={"others": [], "replaces": 2**40, "dry": True}),
    Row("plot-split", "GET", EDITORS),
    Row("plot-split", "POST", EDITORS),
    Row("plot-merge", "GET", EDITORS),
    Row("plot-merge", "POST", EDITORS),
]


def things(farm, owner):
    return {}
