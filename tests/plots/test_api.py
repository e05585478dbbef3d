"""The API of properties, plots, boundaries, imports and jobs."""

import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from shapely.geometry import MultiPolygon, box, shape

from plots.api.serializers import OutlineSerializer, OverlapSerializer
from plots.models import Boundary, BoundaryImport, Plot, Property
from plots.services import people
from plots.uploads import DEEPEST
from tests.plots.test_imports import geojson, square, wkt_csv

BASE = "/api/v1/properties/tally-hollow/"
RING = square(-92.5)


@pytest.fixture
def api(client, manager):
    client.force_login(manager)
    return client


def send(api, text, name="plots.geojson", **answers):
    return api.post(f"{BASE}imports/", {"file": SimpleUploadedFile(name, text.encode())} | answers)


def put_boundary(api, plot, body, content_type="application/json"):
    return api.put(f"{BASE}plots/{plot.pk}/boundary/", json.dumps(body), content_type=content_type)


def patch(api, address, body):
    return api.patch(BASE + address, json.dumps(body), content_type="application/json")


def test_a_property_made_by_the_api_is_owned_by_its_maker(api):
    made = api.post("/api/v1/properties/", {"name": "Second Farm"}, content_type="application/json")
    assert made.status_code == 201
    assert (made.json()["slug"], made.json()["role"]) == ("second-farm", "owner")


def test_properties_are_only_ones_own(api, elsewhere):
    assert [each["slug"] for each in api.get("/api/v1/properties/").json()["results"]] == ["tally-hollow"]


def test_plots_come_in_pages(api, make_plot):
    for name in "ABC":
        make_plot(name)
    page = api.get(f"{BASE}plots/?limit=2").json()
    assert (page["count"], [plot["name"] for plot in page["results"]]) == (3, ["A", "B"])


def test_no_page_is_larger_than_a_thousand_plots(api, farm):
    Plot.objects.bulk_create(Plot(property=farm, name=str(number)) for number in range(1001))
    assert len(api.get(f"{BASE}plots/?limit=5000").json()["results"]) == 1000


def test_an_unmeasured_plot_has_null_acres(api, make_plot):
    make_plot("No outline", acres=None)
    plot = api.get(f"{BASE}plots/").json()["results"][0]
    assert (plot["mapped_acres"], plot["area_m2"]) == (None, None)


def test_plots_are_found_by_name(api, make_plot):
    make_plot("North Bench")
    make_plot("Pond")
    found = api.get(f"{BASE}plots/?search=bench").json()["results"]
    assert [plot["name"] for plot in found] == ["North Bench"]


def test_a_plot_is_renamed_and_archived(api, make_plot):
    plot = make_plot()
    answer = patch(api, f"plots/{plot.pk}/", {"name": "South Bench", "is_archived": True})
    assert (answer.json()["name"], answer.json()["is_archived"]) == ("South Bench", True)
    plot.refresh_from_db()
    assert (plot.name, plot.is_archived) == ("South Bench", True)


def test_a_name_that_is_taken_is_refused_in_the_one_shape(api, make_plot):
    make_plot("Pond", lon=-91)
    answer = patch(api, f"plots/{make_plot().pk}/", {"name": "pond"})
    assert answer.status_code == 400
    assert answer.json()["error"]["code"] == "refused"
    assert "Another plot of this property has this name." in answer.json()["error"]["message"]


def test_boundaries_are_rfc_7946(api, make_plot):
    hole = MultiPolygon([box(-92, 38, -91.99, 38.01).difference(box(-91.998, 38.002, -91.997, 38.003))])
    make_plot(geometry=hole)
    answer = api.get(f"{BASE}boundaries/")
    feature = answer.json()["features"][0]
    assert answer["Content-Type"] == "application/geo+json"
    assert shape(feature["geometry"]).equals(hole)
    assert feature["properties"]["acres"] == pytest.approx(2.0)


def test_boundaries_are_written_to_seven_decimals(api, make_plot):
    make_plot(geometry=MultiPolygon([box(-92.123456789, 38, -92, 38.1)]))
    text = api.get(f"{BASE}boundaries/").content.decode()
    assert "-92.1234568" in text
    assert "-92.12345678" not in text


def test_boundaries_can_be_asked_for_by_plot(api, make_plot):
    make_plot("A")
    plot = make_plot("B")
    found = api.get(f"{BASE}boundaries/?plot={plot.pk}").json()["features"]
    assert [feature["id"] for feature in found] == [plot.pk]


def test_an_id_larger_than_any_finds_nothing(api, make_plot):
    make_plot()
    assert api.get(f"{BASE}boundaries/?plot={10**30}").json()["features"] == []


def test_geojson_can_be_asked_for_by_its_media_type(api, make_plot):
    make_plot()
    assert api.get(f"{BASE}boundaries/", headers={"Accept": "application/geo+json"}).status_code == 200


def test_an_error_is_plain_json_even_where_geojson_is_given(api, make_plot):
    answer = api.get(f"{BASE}boundaries/?plot=x")
    assert (answer.status_code, answer["Content-Type"]) == (400, "application/json")


def test_a_plot_without_boundary_has_none(api, make_plot):
    assert api.get(f"{BASE}plots/{make_plot(acres=None).pk}/boundary/").status_code == 404


@pytest.mark.parametrize(
    ("wrapped", "content_type"),
    [
        (lambda geometry: geometry, "application/json"),
        (lambda geometry: geometry, "application/geo+json"),
        (
            lambda geometry: {"type": "Feature", "geometry": geometry, "properties": {}},
            "application/geo+json",
        ),
        (lambda geometry: {"geometry": geometry, "how": "walked", "why": "GPS"}, "application/json"),
    ],
)
def test_a_boundary_is_put_as_geometry_feature_or_with_its_reason(api, make_plot, wrapped, content_type):
    plot = make_plot()
    body = wrapped({"type": "Polygon", "coordinates": [RING]})
    answer = put_boundary(api, plot, body, content_type)
    assert answer.status_code == 200
    assert answer.json()["properties"]["acres"] > 2
    assert plot.boundaries.count() == 2


def test_a_boundary_put_clockwise_comes_back_counter_clockwise(api, make_plot):
    answer = put_boundary(api, make_plot(), {"type": "Polygon", "coordinates": [RING[::-1]]})
    assert shape(answer.json()["geometry"]).geoms[0].exterior.is_ccw


@pytest.mark.parametrize(
    ("geometry", "said"),
    [
        ({"type": "Point", "coordinates": [-92, 38]}, "Polygon or MultiPolygon"),
        ({"type": "Polygon", "coordinates": []}, "empty"),
        ({"type": "Polygon", "coordinates": [[[-92, 38], [-91, 38]]]}, "coordinates"),
        ({"type": "Polygon", "coordinates": [[["a", 38], [1, 2], [3, 4], ["a", 38]]]}, "coordinates"),
        ({"type": "Polygon", "coordinates": [[[-92, 95], [-91, 95], [-91, 96], [-92, 95]]]}, "latitude 95"),
        (
            {"type": "Polygon", "coordinates": [[[-92, 38], [-91, 39], [-91, 38], [-92, 39], [-92, 38]]]},
            "crossing",
        ),
        (
            {"type": "Polygon", "coordinates": [[[-92, 38], [-92, 39], [-92, 40], [-92, 38]]]},
            "not a clean outline",
        ),
        ({"type": "Polygon", "coordinates": [RING, "hole"]}, "coordinates"),
        ({"type": "Polygon", "coordinates": [[[10**400, 38], [1, 2], [3, 4], [10**400, 38]]]}, "coordinates"),
        ({"type": ["Polygon"], "coordinates": [RING]}, "a list"),
        ([RING], "a list"),
        ({}, "None"),
        ("POLYGON((0 0))", "Polygon or MultiPolygon"),
    ],
)
def test_a_boundary_that_is_no_outline_is_refused_with_a_sentence(api, make_plot, geometry, said):
    plot = make_plot()
    answer = put_boundary(api, plot, {"geometry": geometry})
    assert answer.status_code == 400
    assert said in answer.json()["error"]["message"]
    assert plot.boundaries.count() == 1


@pytest.mark.parametrize("body", [r'{"\ud800": 1}', r'{"last_frost_on": "\udc00"}', r'{"name": "\uD83D"}'])
def test_json_with_half_a_character_is_refused(api, body):
    answer = api.patch(BASE, body, content_type="application/json")
    assert answer.status_code == 400
    assert "accepted is text of whole characters" in answer.json()["error"]["message"]


def test_json_with_an_escaped_pair_is_read(api):
    answer = api.patch(BASE, r'{"name": "\ud83c\udf3f"}', content_type="application/json")
    assert answer.json()["name"] == "\N{HERB}"


@pytest.mark.parametrize("depth", [DEEPEST, 470, 900, 100_000])  # what reads it recurses too, and sooner
def test_json_nested_without_end_is_refused(api, make_plot, depth):
    deep = f'{{"geometry":{{"type":"Polygon","coordinates":{"[" * depth}{"]" * depth}}}}}'
    answer = api.put(f"{BASE}plots/{make_plot().pk}/boundary/", deep, content_type="application/json")
    assert answer.status_code == 400
    assert "nested" in answer.json()["error"]["message"]


def test_json_nested_as_deep_as_is_accepted_is_read(api):
    deep = f'{{"unknown":{"[" * (DEEPEST - 1)}{"]" * (DEEPEST - 1)}}}'
    assert api.patch(BASE, deep, content_type="application/json").status_code == 200


@pytest.mark.parametrize("path", ["properties/", "soil-tests/", "plots/1/soil-tests/", "blends/", "walks/"])
def test_options_is_not_answered(api, path):
    """The schema tells what there is; a browsable description of its own would be a second one."""
    address = f"/api/v1/{path}" if path == "properties/" else BASE + path
    answer = api.options(address)
    assert (answer.status_code, answer.json()["error"]["code"]) == (405, "method_not_allowed")


def test_a_body_beyond_the_limit_is_refused(api, make_plot, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000
    answer = put_boundary(api, make_plot(), {"geometry": None, "why": "x" * 2_000})
    assert answer.status_code == 400
    assert "larger than" in answer.json()["error"]["message"]


def test_an_import_is_sent_accepted_and_measured(api, django_capture_on_commit_callbacks):
    row = send(api, geojson(("North Bench", square()), ("Pond", square(-91.99)))).json()
    assert [(each["name"], each["parts"], each["holes"]) for each in row["outlines"]] == [
        ("North Bench", 1, 0),
        ("Pond", 1, 0),
    ]
    with django_capture_on_commit_callbacks(execute=True):
        job = api.post(f"{BASE}imports/{row['id']}/accept/")
    assert job.status_code == 202
    assert api.get(f"{BASE}jobs/{job.json()['id']}/").json()["state"] == "done"
    acres = [plot["mapped_acres"] for plot in api.get(f"{BASE}plots/").json()["results"]]
    assert acres == pytest.approx([each["acres"] for each in row["outlines"]])


def test_outlines_have_the_shape_that_the_schema_describes(api, make_plot):
    make_plot("Old Oak", lon=-92.0005)
    outline = send(api, geojson(("A", square()))).json()["outlines"][0]
    assert set(outline) == set(OutlineSerializer().fields)
    assert set(outline["overlaps"][0]) == set(OverlapSerializer().fields)


def test_accepting_twice_gives_the_same_job(api):
    row = send(api, geojson(("A", square()))).json()
    first, second = (api.post(f"{BASE}imports/{row['id']}/accept/").json()["id"] for _ in range(2))
    assert first == second
    assert Plot.objects.count() == 1


def test_a_missing_answer_is_given_by_patch(api):
    ring = "POLYGON((500000 4200000, 500100 4200000, 500100 4200100, 500000 4200100, 500000 4200000))"
    row = send(api, wkt_csv(("A", ring)), "plots.csv").json()
    assert (row["state"], row["report"]["needs"]) == ("asking", "crs")
    answered = patch(api, f"imports/{row['id']}/", {"crs": "EPSG:26915"}).json()
    assert (answered["state"], len(answered["outlines"])) == ("preview", 1)


def test_an_answer_can_come_with_the_file(api):
    ring = "POLYGON((500000 4200000, 500100 4200000, 500100 4200100, 500000 4200100, 500000 4200000))"
    assert send(api, wkt_csv(("A", ring)), "plots.csv", crs="EPSG:26915").json()["state"] == "preview"


def test_a_file_that_cannot_be_used_is_answered_with_its_sentence(api):
    answer = send(api, "no map", "plots.kml")
    assert answer.status_code == 400
    assert answer.json()["error"]["message"] == BoundaryImport.objects.get().report["sentence"]


def test_what_cannot_be_accepted_is_named_by_its_position(api, make_plot):
    make_plot("Pond", lon=-91)
    row = send(api, geojson(("Pond", square()))).json()
    answer = api.post(f"{BASE}imports/{row['id']}/accept/")
    assert list(answer.json()["error"]["fields"]) == ["1.name"]


def test_a_discarded_import_is_gone(api):
    row = send(api, geojson(("A", square()))).json()
    assert api.delete(f"{BASE}imports/{row['id']}/").status_code == 204
    assert api.get(f"{BASE}imports/{row['id']}/").status_code == 404


def test_a_token_signs_in_without_a_session(manager, make_plot):
    make_plot()
    _, secret = people.make_api_token(user=manager, name="Script")
    answer = Client().get(f"{BASE}plots/", headers={"Authorization": f"Bearer {secret}"})
    assert answer.json()["count"] == 1


@pytest.mark.parametrize("header", ["Bearer wrong", "Bearer ", "Basic b3duZXI6eA=="])
def test_anything_but_a_living_token_is_401(db, header):
    answer = Client().get("/api/v1/properties/", headers={"Authorization": header})
    assert answer.status_code == 401
    assert answer.json()["error"]["message"]


def test_a_session_needs_the_csrf_token_to_write(manager, farm):
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(manager)
    answer = strict.post("/api/v1/properties/", {"name": "X"}, content_type="application/json")
    assert answer.status_code == 403
    assert Property.objects.count() == 1


def test_an_earlier_boundary_stays_in_the_history(api, make_plot):
    plot = make_plot()
    before = plot.boundary_id
    put_boundary(api, plot, {"type": "Polygon", "coordinates": [RING]})
    assert Boundary.objects.filter(pk=before, plot=plot).exists()
    assert Plot.objects.get().boundary_id != before
