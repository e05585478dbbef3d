"""Where coordinates lie: given, missing, contradicted, exchanged."""

import json

import numpy as np
import pytest
import shapely

from plots.formats import crs as systems
from plots.formats.crs import Placement
from tests.plots.formats.build import acres, box, boxes, geojson, polygon


@pytest.mark.parametrize("text", ["EPSG:26915", "epsg:26915", " 26915 ", "EPSG::26915"])
def test_system_is_asked_for_by_its_number(text):
    assert systems.asked_for(text).to_epsg() == 26915


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("UTM 15", "“UTM 15” is no coordinate system; give it as EPSG: and a number"),
        ("+proj=utm +zone=15", "is no coordinate system"),
        ("EPSG:99999", "EPSG:99999 is not a map or longitude/latitude system"),
        ("EPSG:5703", "EPSG:5703 is not a map"),  # heights
        ("EPSG:4978", "EPSG:4978 is not a map"),  # metres from the centre of the Earth
    ],
)
def test_what_is_no_system_of_a_map_is_refused(refusal, text, said):
    assert said in refusal("a.json", geojson(polygon(box())), crs=text).sentence


@pytest.mark.parametrize(
    "text",
    [
        "EPSG:4326",
        "urn:ogc:def:crs:EPSG::4326",
        "urn:ogc:def:crs:EPSG:9.9:4326",
        "OGC:CRS84",
        "urn:ogc:def:crs:OGC:1.3:CRS84",
    ],
)
def test_names_of_wgs84_are_known(text):
    assert systems.from_file(text) == systems.WGS84


@pytest.mark.parametrize(
    "text", [None, "", "WGS 84", "EPSG:999999", "+proj=longlat", "http://127.0.0.1:9/crs"]
)
def test_unknown_names_are_unknown(text):
    assert systems.from_file(text) is None


# US survey feet, by definition 1200/3937 m; a State Plane foot taken for a metre would be 10.8 times the ground.
@pytest.mark.parametrize(("code", "metres_per_unit"), [("EPSG:32119", 1.0), ("EPSG:2264", 1200 / 3937)])
def test_units_of_the_system_are_respected(reading, code, metres_per_unit):
    east, north, side = 609601.22 / metres_per_unit, 200000 / metres_per_unit, 200 / metres_per_unit
    ring = [
        [east, north],
        [east + side, north],
        [east + side, north + side],
        [east, north + side],
        [east, north],
    ]
    # 200 m squared; the scale of this projection here is within 2 parts in 10,000 of 1 (from memory).
    assert acres(reading("a.json", geojson(polygon(ring)), crs=code)) == pytest.approx(
        40_000 / 4046.8564224, rel=5e-4
    )


def test_given_system_goes_before_the_files(reading):
    crs = {"type": "name", "properties": {"name": "EPSG:4326"}}
    utm = [[448000, 4653000], [448100, 4653000], [448100, 4653100], [448000, 4653000]]
    assert reading("a.json", geojson(polygon(utm), crs=crs), crs="EPSG:26915").crs.startswith("EPSG:26915")


@pytest.mark.parametrize(
    "ring",
    [
        [[448000, 4653000], [448100, 4653000], [448100, 4653100]],
        [[-195, 10], [-194, 10], [-194, 11]],
        [[100, 97], [101, 97], [101, 98]],
        [[1e300, 1], [2, 1], [2, 2]],
    ],
)
def test_coordinates_off_the_globe_are_refused(refusal, ring):
    said = refusal("a.json", geojson(polygon(ring)))
    assert said.needs == "crs"
    assert "out of the range of EPSG:4326 WGS 84" in said.sentence


@pytest.mark.parametrize("code", ["EPSG:26915", "EPSG:2264", "EPSG:5070", "EPSG:27700"])
def test_degrees_taken_for_metres_are_refused(refusal, code):
    """They would land where the projection has its origin, far from where anyone uses it."""
    said = refusal("a.json", geojson(polygon(box())), crs=code)
    assert said.needs == "crs"
    assert f"out of the range of {code}" in said.sentence


@pytest.mark.parametrize(
    ("lon", "lat"),
    [(-85.6, 44.7), (-100.2, 46.8), (139.7, 35.7), (-70.9, -54.8)],
    ids=["Michigan", "Dakota", "Japan", "Tierra del Fuego"],
)
def test_exchanged_axes_are_noticed_and_put_right_on_request(reading, refusal, lon, lat):
    ring = [[lat, lon], [lat + 0.001, lon], [lat + 0.001, lon + 0.001], [lat, lon + 0.001]]
    said = refusal("a.json", json.dumps(polygon(ring)))
    assert said.needs == "axes"
    assert said.sentence.startswith("The axes look swapped")
    west, south, _, _ = reading("a.json", json.dumps(polygon(ring)), swap_axes=True).bounds
    assert (west, south) == pytest.approx((lon, lat))


def test_swap_that_does_not_fit_is_refused(refusal):
    assert "out of the range" in refusal("a.json", geojson(polygon(box())), swap_axes=True).sentence


@pytest.mark.parametrize("lat", [78.2, 69.6])
def test_far_north_is_no_mistake_where_the_exchange_would_be_worse(reading, lat):
    ring = [[-93.0, lat], [-92.999, lat], [-92.999, lat + 0.001]]
    assert len(reading("a.json", geojson(polygon(ring))).outlines) == 1


def test_ring_across_the_180th_meridian_is_refused(refusal):
    ring = [[179.999, -17], [-179.999, -17], [-179.999, -16.999], [179.999, -16.999]]
    assert "crosses the 180th meridian in one piece" in refusal("a.json", geojson(polygon(ring))).sentence


def test_country_is_refused_for_its_size(refusal):
    ring = [[-100, 40], [-98, 40], [-98, 42], [-100, 42]]
    assert (
        "far larger than any property (at most 1,000,000 acres"
        in refusal("a.json", geojson(polygon(ring))).sentence
    )


@pytest.mark.parametrize(("code", "is_rough"), [(26915, False), (4326, False), (4267, True)])
def test_rough_change_of_datum_is_said(code, is_rough):
    placement = Placement(systems.asked_for(str(code)))
    note = placement.accuracy_note(np.array([[-93.6, 42.0], [-93.5, 42.1]]))
    assert (note is not None) == is_rough
    if is_rough:
        assert "EPSG:4267 NAD27 may shift the plots by about" in note


def test_system_of_a_wkt_is_looked_up_in_the_register():
    crs = systems.from_file(systems.asked_for("26915").to_wkt("WKT1_ESRI"))
    assert systems.words(crs) == "EPSG:26915 NAD83 / UTM zone 15N"
    assert crs.area_of_use is not None


def test_heights_of_a_compound_system_are_ignored():
    compound = "EPSG:5498"  # NAD83 with heights above the NAVD88 datum
    assert systems.asked_for(compound).to_epsg() == 4269


def test_transformation_keeps_rings_closed():
    ring = np.array([[448000.0, 4653000.0], [448100, 4653000], [448100, 4653100], [448000, 4653000]])
    placed = Placement(systems.asked_for("26915")).to_lon_lat(ring)
    assert shapely.LinearRing(placed).is_closed
    assert (placed[0] == placed[-1]).all()


def test_reading_in_degrees_changes_no_coordinate(reading):
    found = reading("a.json", geojson(polygon(box())))
    assert found.bounds == (-93.62, 42.03, -93.619, 42.031)
    assert acres(found) == boxes(1)
