import json

import pytest

from plots.formats import UnusableFile
from tests.plots.formats.build import acres, box, boxes, feature, geojson, left_out, polygon

POINT = {"type": "Point", "coordinates": [-93.62, 42.03]}
LINE = {"type": "LineString", "coordinates": box()[:2]}


@pytest.mark.parametrize(
    ("document", "count"),
    [
        (polygon(box()), 1),
        (feature(polygon(box())), 1),
        ({"type": "MultiPolygon", "coordinates": [[box()], [box(2)]]}, 2),
        ({"type": "GeometryCollection", "geometries": [polygon(box()), polygon(box(2))]}, 2),
        ([feature(polygon(box())), polygon(box(2))], 2),
        ({"type": "FeatureCollection", "features": [json.loads(geojson(polygon(box())))]}, 1),
    ],
    ids=["geometry", "feature", "multipolygon", "collection", "list", "nested"],
)
def test_any_wrapping_is_opened(reading, document, count):
    assert acres(reading("a.json", json.dumps(document))) == boxes(count)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
def test_text_is_read_in_any_encoding(reading, encoding):
    text = json.dumps(feature(polygon(box()), name="Prés du Élan"), ensure_ascii=False)
    assert reading("a.geojson", text.encode(encoding)).outlines[0].name == "Prés du Élan"


@pytest.mark.parametrize("separator", ["\n", "\r\n", "\n\x1e"])
def test_one_feature_a_line_is_read(reading, separator):
    lines = [json.dumps(feature(polygon(box(2 * number)))) for number in range(3)]
    found = reading("a.geojsonl", separator.join(lines))
    assert (found.format, acres(found)) == ("GeoJSON lines", boxes(3))


def test_heights_and_measures_are_dropped(reading):
    assert acres(reading("a.json", json.dumps(polygon([[*xy, 310.5, 7.0] for xy in box()])))) == boxes(1)


def test_what_is_no_polygon_is_left_out_with_its_kind(reading):
    both = {"type": "GeometryCollection", "geometries": [polygon(box(2)), POINT]}
    empty = {"type": "Polygon", "coordinates": []}
    found = reading("a.json", geojson(polygon(box()), POINT, LINE, None, empty, both))
    assert left_out(found) == [
        ("Feature 2", "a point, not an outline"),
        ("Feature 3", "a line, not an outline"),
        ("Feature 4", "no geometry"),
        ("Feature 5", "an empty geometry"),
        ("Feature 6", "a point beside the outline"),
    ]
    assert acres(found) == boxes(2)


def test_2008_crs_member_is_used_and_said(reading):
    utm = [[448000, 4653000], [448100, 4653000], [448100, 4653100], [448000, 4653100], [448000, 4653000]]
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::26915"}}
    found = reading("a.json", geojson(polygon(utm), crs=crs))
    assert found.crs == "EPSG:26915 NAD83 / UTM zone 15N"
    assert "“crs” member" in found.notes[0]
    # One hectare of grid; the scale there is 0.9996 and a little (UTM, by definition), squared.
    assert acres(found) == pytest.approx(2.4711 / 0.9996**2, rel=1e-4)


@pytest.mark.parametrize("crs", [None, {"type": "link", "properties": {"href": "http://127.0.0.1:9/crs"}}])
def test_unusable_crs_member_asks_for_the_system(refusal, crs):
    assert refusal("a.json", geojson(polygon(box()), crs=crs)).needs == "crs"


def test_unclosed_ring_is_closed_and_said(reading):
    found = reading("a.json", json.dumps(polygon(box()[:-1])))
    assert acres(found) == boxes(1)
    assert found.outlines[0].repaired
    assert found.outlines[0].notes == ["The ring was not closed; it is now."]


def test_hole_of_two_points_is_left_out_and_said(reading):
    found = reading("a.json", json.dumps(polygon(box(), box(0.2, 0.2, 0.1, 0.1)[:2])))
    assert acres(found) == boxes(1)
    assert found.outlines[0].notes == ["A hole was left out: it has fewer than three distinct points."]


def test_bad_part_leaves_the_good_one(reading):
    parts = {"type": "MultiPolygon", "coordinates": [[box()], [box(2)[:2]]]}
    found = reading("a.json", json.dumps(parts))
    assert acres(found) == boxes(1)
    assert found.outlines[0].notes == ["A part was left out: it has fewer than three distinct points."]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('{"type":"FeatureCollection","features":[]}', "holds nothing to draw"),
        ('{"type":"Topology","objects":{}}', "TopoJSON"),
        ('{"rings":[[[0,0],[0,1],[1,1]]]}', "another program's JSON"),
        ('{"a": 1}', "no “type”"),
        ('{"type":"Curve"}', "its type is “Curve”"),
        ('{"type":"FeatureCollection"}', "no list of features"),
        ('{"type":"Polygon", // hand made\n"coordinates":[]}', "line 1, column 20"),
        ('{"type":"Polygon","coordinates":[[[', "line 1, column"),
        (
            '{"type":"Polygon","coordinates":[[["1","2"],["3","4"]]]}',
            "its coordinates are text (“1”), not numbers",
        ),
        ('{"type":"Polygon","coordinates":[[1,2,3]]}', "not lists of positions"),
        ('{"type":"Polygon","coordinates":7}', "not lists of positions"),
        ('{"type":"Polygon","coordinates":[[[true,1],[0,1],[1,1]]]}', "are not numbers"),
        ('{"type":"Polygon","coordinates":[[[NaN,1],[0,1],[1,1]]]}', "not a finite number"),
        ('{"type":"Polygon","coordinates":[[[-1e400,1],[0,1],[1,1]]]}', "not a finite number"),
        ('{"type":"Polygon","coordinates":[[[' + "9" * 5000 + ",1],[0,1],[1,1]]]}", "not a finite number"),
        (
            '{"type":"Polygon","coordinates":' + "[" * 10_000 + "]" * 10_000 + "}",
            "nested more than 20 levels",
        ),
        ('{"type":"GeometryCollection","geometries":[' * 200 + "]}" * 200, "nested more than 20 levels"),
    ],
)
def test_refusal_names_what_is_wrong(refusal, text, said):
    assert said in refusal("a.geojson", text).sentence


def test_not_a_number_among_the_attributes_is_no_reason_to_refuse(reading):
    text = geojson(feature(polygon(box()), name="a", ph=float("nan")))
    assert reading("a.json", text).outlines[0].attributes == {"name": "a", "ph": None}


def test_too_many_vertices_are_refused_before_they_are_parsed(refusal):
    assert (
        "200,000 vertices"
        in refusal("a.json", '{"type":"Polygon","coordinates":[[' + "[0,0]," * 400_001).sentence
    )


def test_too_many_features_are_refused(reading):
    with pytest.raises(UnusableFile, match="20,000 features"):
        reading("a.json", geojson(*[None] * 20_001))
