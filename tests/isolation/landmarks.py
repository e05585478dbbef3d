"""Landmarks and soil tests. Who records may add; what another person entered, here the owner, editors change.

The name and the note of a landmark may be changed by whoever records.
"""

from datetime import date
from decimal import Decimal

from shapely.geometry import Point

from plots.models import Plot
from plots.services.landmarks import add_landmark
from plots.services.soil import record_soil_test
from tests.isolation import EDITORS, MEMBERS, RECORDERS, Row

GATE = {
    "type": "Feature",
    "geometry": {"type": "Point", "coordinates": [-92, 38]},
    "properties": {"kind": "gate"},
}
TEST = {"sampled_on": "2026-03-12", "depth_bottom_in": "6", "ph": "6.2"}

ROWS = [
    Row("landmarks", "GET", MEMBERS),
    Row("landmarks-map", "GET", MEMBERS, query="?bbox=-93,37,-91,39"),
    Row("landmark-new", "GET", RECORDERS),
    Row("landmark-new", "POST", RECORDERS, 302, body={"kind": "gate", "typed": "38, -92"}),
    Row("landmark-edit", "GET", RECORDERS),
    Row("landmark-edit", "POST", EDITORS, 302, body={"act": "archive"}),
    Row("api-landmarks", "GET", MEMBERS),
    Row("api-landmarks", "POST", RECORDERS, 201, body=GATE),
    Row("api-landmark", "GET", MEMBERS),
    Row("api-landmark", "PATCH", EDITORS, body={"properties": {"is_archived": True}}),
    Row("soil-tests", "GET", MEMBERS),
    Row("soil-file", "GET", MEMBERS),
    Row("soil-new", "GET", RECORDERS),
    Row("soil-new", "POST", RECORDERS, 302, body={**TEST, "depth_top_in": "0", "reported_in": "ppm"}),
    Row("soil-edit", "GET", EDITORS),
    Row("soil-edit", "POST", EDITORS, 302, body={"act": "strike"}),
    Row("soil-report", "GET", RECORDERS),
    Row("soil-report", "POST", RECORDERS),
    Row("api-soil-tests", "GET", MEMBERS, query="?plot={plot_id}"),
    Row("api-plot-soil-tests", "GET", MEMBERS),
    Row("api-plot-soil-tests", "POST", RECORDERS, 201, body=TEST),
    Row("api-soil-test", "GET", MEMBERS),
    Row("api-soil-test", "PATCH", EDITORS, body={"ph": "6.4"}),
]


def things(farm, owner):
    plot = Plot.objects.create(property=farm, name="Sampled")
    landmark = add_landmark(property=farm, user=owner, kind="gate", geometry=Point(-92, 38))
    test = record_soil_test(
        plot=plot, user=owner, sampled_on=date(2026, 3, 12), depth_bottom_in=6, ph=Decimal("6.2")
    )
    return {"landmark_id": landmark.pk, "test_id": test.pk}
