"""Landmarks: what lies where, as GeoJSON or typed; changed, set aside and brought back; for maps by what is in view."""

import json

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box, mapping

from config.errors import Refused
from plots.ground import MOST_ON_A_MAP
from plots.landmark_places import measures_of, place_from, places_typed
from plots.models import Landmark, Plot
from plots.services.boundaries import Questioned
from plots.services.landmarks import (
    add_landmark,
    archive_landmark,
    bring_back_landmark,
    change_landmark,
)

HERE = Point(-92.0, 38.0)
ROAD = LineString([(-92.0, 38.0), (-91.99, 38.0)])
GROUND = box(-92.0, 38.0, -91.999, 38.001)


@pytest.fixture
def add(farm, recorder):
    def add(kind="gate", geometry=HERE, **values):
        return add_landmark(property=farm, user=recorder, kind=kind, geometry=geometry, **values)

    return add


# --- shapes and kinds ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", Landmark.Kind)
@pytest.mark.parametrize("drawn", [HERE, ROAD, GROUND], ids=["point", "line", "area"])
def test_each_kind_takes_the_shapes_that_fit_it(kind, drawn):
    fitting = {
        "gate": ["Point"], "well": ["Point"], "camera": ["Point"], "road": ["LineString"],
        "power_line": ["LineString"], "keep_out": ["Polygon"], "other": ["Point", "LineString", "Polygon"],
    }  # fmt: skip
    if drawn.geom_type in fitting[kind]:
        assert place_from(mapping(drawn), kind).equals(drawn)
    else:
        with pytest.raises(Refused, match=f"The place is a {drawn.geom_type}; for “{kind.label}” "):
            place_from(mapping(drawn), kind)


@pytest.mark.parametrize(
    ("value", "kind", "said"),
    [
        ("nonsense", "gate", "The place is not GeoJSON; for “Gate” a Point in longitude and latitude is accepted."),
        ({"type": "Circle"}, "gate", "The place is 'Circle'"),
        (None, "gate", "The place is 'None'"),
        ({"type": ["Point"]}, "gate", "The place is"),
        ({"type": "Point"}, "gate", "coordinates are not those of a Point"),
        ({"type": "Point", "coordinates": ["a", "b"]}, "gate", "coordinates are not those of a Point"),
        ({"type": "Point", "coordinates": []}, "gate", "The place is empty"),
        ({"type": "Point", "coordinates": [38, -92]}, "gate", "longitude 38, latitude -92"),
        ({"type": "Point", "coordinates": [-192, 38]}, "gate", "longitude from -180 to 180"),
        ({"type": "LineString", "coordinates": [[-92, 38], [-92, 38]]}, "road", "begins and ends in one place"),
        ({"type": "LineString", "coordinates": [[i / 100, 0] for i in range(5001)]}, "road", "5,001 corners; at most 5,000"),
        ({"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [1, 0], [0, 1], [0, 0]]]}, "keep_out", "not a clean outline"),
    ],
)  # fmt: skip
def test_places_that_cannot_be_are_refused_with_what_is_accepted(value, kind, said):
    if said == "longitude 38, latitude -92":
        said = "latitude -92; longitude from"
    with pytest.raises(Refused) as refused:
        place_from(value, kind)
    assert said in refused.value.sentence


def test_heights_are_left_out():
    assert not place_from({"type": "Point", "coordinates": [-92, 38, 210]}, "gate").has_z


def test_a_line_of_one_degree_has_the_length_of_a_degree():
    """A degree of latitude at the equator is 110,574 m on WGS84 (NGA, "Length of a degree" tables, from memory)."""
    [(length_ft, acres), (none, inside), (nothing, no_acres)] = measures_of(
        [LineString([(0, 0), (0, 1)]), box(0, 0, 0.001, 0.001), HERE]
    )
    assert length_ft * 0.3048 == pytest.approx(110_574, abs=1)
    assert inside == pytest.approx(3.042, abs=0.001)
    assert (acres, none, nothing, no_acres) == (None, None, None, None)


# --- typed coordinates --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    ["38.5, -92.25", "38.5 -92.25", "  38.5;-92.25 ", "38.5 N, 92.25 W", "W 92.25, N 38.5", "38.5° −92.25°", "n38.5 w92.25"],
)  # fmt: skip
def test_places_are_read_as_people_type_them(text):
    assert places_typed(text) == [(-92.25, 38.5)]


@pytest.mark.parametrize(
    "text", ["38.5", "38.5, -92.25, 3", "38,5 92,25", "here", "38.5 N, 92 N", "W 92, 38", "1e2, 3"]
)
def test_what_is_no_place_is_said(text):
    with pytest.raises(
        ValueError, match=r"is no place; latitude and longitude in decimal degrees, such as 38\.0012"
    ):
        places_typed(text)


@given(st.floats(-90, 90), st.floats(-180, 180))
def test_places_that_are_written_are_read_back(lat, lon):
    assert places_typed(f"{lat:.7f}, {lon:.7f}") == [(round(lon, 7), round(lat, 7))]


# --- adding, changing, setting aside ------------------------------------------------------------------------------


def test_a_landmark_without_a_name_goes_by_its_kind(add):
    assert str(add()) == "Gate"
    assert str(add(name="  North   gate ")) == "North gate"


def test_a_landmark_adds_to_no_acres(add, make_plot):
    plot = make_plot(acres=2.0)
    add("keep_out", GROUND)
    assert Plot.objects.get(pk=plot.pk).mapped_acres == pytest.approx(2.0)


def test_a_landmark_far_from_every_plot_is_questioned(add, make_plot):
    make_plot()
    far = Point(-92.0, 39.0)
    with pytest.raises(Questioned, match=r"Gate would lie 111 km \(69 miles\) from the nearest plot"):
        add(geometry=far, is_sure=False)
    assert not Landmark.objects.exists()
    assert add(geometry=far, is_sure=True).geometry == far


def test_swapped_coordinates_are_asked_about(add, make_plot):
    make_plot(lon=30.0, lat=50.0)
    with pytest.raises(Questioned, match="are the two swapped"):
        add(geometry=Point(50.0, 30.0), is_sure=False)


def test_a_place_that_stays_is_not_questioned_again(add, make_plot, recorder):
    make_plot()
    landmark = add(geometry=Point(-92.0, 39.0))
    changed = change_landmark(
        landmark=landmark, user=recorder, is_sure=False, note="Locked.", geometry=landmark.geometry
    )
    assert changed.note == "Locked."


def test_a_change_keeps_what_was_said_before(add, owner):
    landmark = add(name="Gate one", note="Chain.")
    change_landmark(landmark=landmark, user=owner, name="North gate", geometry=Point(-92.001, 38))
    landmark.refresh_from_db()
    assert (landmark.name, landmark.west, landmark.note) == ("North gate", -92.001, "Chain.")
    [before] = landmark.earlier
    was = {"name": "Gate one", "geometry": {"type": "Point", "coordinates": [-92.0, 38.0]}}
    assert (before["by"], before["was"]) == (owner.shown_name, was)


def test_a_kind_that_does_not_fit_the_place_is_refused(add, recorder):
    landmark = add()
    with pytest.raises(Refused, match="for “Road” a LineString"):
        change_landmark(landmark=landmark, user=recorder, kind="road")
    changed = change_landmark(landmark=landmark, user=recorder, kind="road", geometry=ROAD)
    assert (changed.kind, changed.geometry) == ("road", ROAD)


def test_an_outline_that_is_sent_again_is_no_change(add, recorder):
    landmark = add("keep_out", GROUND)
    again = change_landmark(landmark=landmark, user=recorder, geometry=Polygon(GROUND.exterior))
    assert again.earlier == []
    assert isinstance(Landmark.objects.get().geometry, MultiPolygon)


def test_nothing_is_erased_by_setting_aside(add, owner):
    landmark = archive_landmark(landmark=add(), user=owner)
    assert landmark.is_archived
    assert not bring_back_landmark(landmark=landmark, user=owner).is_archived
    assert len(Landmark.objects.get().earlier) == 2


# --- pages --------------------------------------------------------------------------------------------------------


@pytest.fixture
def see(client, farm):
    def see(person, route, *args, query=""):
        client.force_login(person)
        response = client.get(reverse(route, args=[farm.slug, *args]) + query)
        assert response.status_code == 200
        return response

    return see


def test_the_map_gets_what_is_in_view(see, viewer, add, farm):
    near, far = add(note="<b>Chain</b>"), add(geometry=Point(-90, 38))
    archive_landmark(landmark=add(name="Old"), user=near.created_by)
    found = see(viewer, "landmarks-map", query="?bbox=-92.1,37.9,-91.9,38.1").json()
    [feature] = found["features"]
    assert (feature["id"], feature["geometry"]["coordinates"]) == (near.pk, [-92.0, 38.0])
    assert feature["properties"] == {
        "id": near.pk, "kind": "gate", "title": "Gate", "words": "Gate", "note": "<b>Chain</b>", "href": None,
    }  # fmt: skip
    assert (found["is_all"], found["left_out"]) == (False, 0)
    every = see(viewer, "landmarks-map", query="?bbox=-93,37,-89,39").json()
    assert ({f["id"] for f in every["features"]}, every["is_all"]) == ({near.pk, far.pk}, True)


def test_the_map_of_very_many_says_how_many_are_left_out(see, recorder, farm):
    rows = [
        Landmark(property=farm, kind="camera", geometry=Point(-92 + i / 1e5, 38), created_by=recorder,
                 west=-92 + i / 1e5, east=-92 + i / 1e5, south=38, north=38)
        for i in range(MOST_ON_A_MAP + 20)
    ]  # fmt: skip
    Landmark.objects.bulk_create(rows)
    found = see(recorder, "landmarks-map", query="?bbox=-93,37,-91,39").json()
    assert (len(found["features"]), found["left_out"], found["is_all"]) == (MOST_ON_A_MAP, 20, False)


def test_a_bbox_that_is_none_is_said(client, farm, viewer):
    client.force_login(viewer)
    answer = client.get(reverse("landmarks-map", args=[farm.slug]) + "?bbox=here")
    assert (answer.status_code, "west,south,east,north" in answer.content.decode()) == (400, True)


def test_the_list_asks_no_more_for_more_landmarks(see, viewer, add):
    add()
    see(viewer, "landmarks")  # signs in
    with CaptureQueriesContext(connection) as few:
        see(viewer, "landmarks")
    for _ in range(60):
        add("road", ROAD)
    with CaptureQueriesContext(connection) as many:
        see(viewer, "landmarks")
    assert len(many) == len(few) <= 15


def test_notes_are_shown_as_they_were_typed(see, viewer, add):
    add(note="<script>alert(1)</script>\nAsk at the house.")
    page = see(viewer, "landmarks").content.decode()
    assert "&lt;script&gt;alert(1)&lt;/script&gt;<br>Ask at the house." in page


@pytest.fixture
def post(client, farm, recorder):
    client.force_login(recorder)

    def post(route, *args, person=None, **body):
        if person is not None:
            client.force_login(person)
        return client.post(reverse(route, args=[farm.slug, *args]), body)

    return post


def test_a_place_can_be_typed_without_a_map(post):
    assert post("landmark-new", kind="gate", name="North gate", typed="38.0012, -92.0031").status_code == 302
    assert post("landmark-new", kind="road", typed="38, -92\n38.001, -92").status_code == 302
    assert post("landmark-new", kind="keep_out", typed="38, -92\n38.001, -92\n38, -92.001").status_code == 302
    assert (
        post("landmark-new", kind="other", drawn_as="line", typed="38, -92\n38.001, -92").status_code == 302
    )
    assert [each.geometry.geom_type for each in Landmark.objects.order_by("pk")] == [
        "Point", "LineString", "MultiPolygon", "LineString",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({"kind": "gate"}, "Where it lies is not said yet"),
        ({"kind": ""}, "Choose what it is."),
        (
            {"kind": "gate", "typed": "38, -92\n38, -91"},
            "2 places are typed; for a point one place is accepted",
        ),
        (
            {"kind": "keep_out", "typed": "38, -92"},
            "1 place is typed; for an area three places or more are accepted",
        ),
        ({"kind": "gate", "typed": "by the oak"}, "“by the oak” is no place"),
        ({"kind": "gate", "typed": "98, -92"}, "latitude from -90 to 90"),
        ({"kind": "road", "geometry": json.dumps(mapping(HERE))}, "for “Road” a LineString"),
    ],
)
def test_what_cannot_be_kept_is_said_and_stays_in_the_form(post, body, said):
    page = post("landmark-new", name="Kept name", **body)
    text = page.content.decode()
    assert page.status_code == 200
    assert said in text
    assert 'value="Kept name"' in text
    assert not Landmark.objects.exists()


def test_a_questioned_place_is_kept_once_the_person_is_sure(post, make_plot):
    make_plot()
    body = {"kind": "gate", "typed": "39, -92"}
    page = post("landmark-new", **body).content.decode()
    assert "Is that meant?" in page
    assert 'name="is_sure"' in page
    assert post("landmark-new", **body, is_sure="on").status_code == 302
    assert Landmark.objects.get().geometry == Point(-92, 39)


def test_who_records_changes_the_words_of_others_landmarks_and_no_more(post, farm, owner, recorder, see):
    landmark = add_landmark(property=farm, user=owner, kind="gate", geometry=HERE, name="Gate")
    page = see(recorder, "landmark-edit", landmark.pk).content.decode()
    assert 'name="typed"' not in page
    assert (
        post(
            "landmark-edit", landmark.pk, name="North gate", note="Chain.", kind="well", typed="1, 1"
        ).status_code
        == 302
    )
    landmark.refresh_from_db()
    assert (landmark.name, landmark.note, landmark.kind, landmark.geometry) == (
        "North gate",
        "Chain.",
        "gate",
        HERE,
    )
    assert post("landmark-edit", landmark.pk, act="archive").status_code == 403


def test_who_added_a_landmark_moves_it_and_sets_it_aside(post, add, see, recorder):
    landmark = add()
    assert post("landmark-edit", landmark.pk, kind="gate", typed="38.001, -92").status_code == 302
    assert post("landmark-edit", landmark.pk, act="archive").status_code == 302
    landmark.refresh_from_db()
    assert (landmark.geometry, landmark.is_archived) == (Point(-92, 38.001), True)
    page = see(recorder, "landmark-edit", landmark.pk).content.decode()
    assert "place was <q>38.000000, -92.000000</q>" in page
    assert "Bring it back" in page


def test_words_alone_leave_the_place(post, add):
    landmark = add()
    assert post("landmark-edit", landmark.pk, kind="gate", note="Chain.").status_code == 302
    landmark.refresh_from_db()
    assert (landmark.note, landmark.geometry) == ("Chain.", HERE)


# --- the API ------------------------------------------------------------------------------------------------------


@pytest.fixture
def ask(farm):
    def ask(person, method, path="", body=None, kind="application/geo+json"):
        client = Client()
        client.force_login(person)
        address = f"/api/v1/properties/{farm.slug}/landmarks/{path}"
        answer = client.generic(method, address, json.dumps(body), kind)
        return answer.status_code, answer.json()

    return ask


def feature(geometry, **properties):
    return {"type": "Feature", "geometry": mapping(geometry), "properties": properties}


def test_a_feature_is_stored_and_read_back(ask, recorder):
    status, stored = ask(recorder, "POST", body=feature(ROAD, kind="road", name="Creek road", note="Muddy."))
    assert status == 201
    assert stored["properties"]["length_ft"] == pytest.approx(2_881, abs=3)
    assert stored["properties"]["acres_inside"] is None
    assert ask(recorder, "GET", f"{stored['id']}/") == (200, stored)
    _, found = ask(recorder, "GET")
    assert found == {"type": "FeatureCollection", "features": [stored]}


def test_the_api_asks_whether_a_far_place_is_meant(ask, recorder, make_plot):
    make_plot()
    far = feature(Point(-92, 39), kind="well")
    status, answer = ask(recorder, "POST", body=far)
    assert (status, answer["error"]["code"]) == (409, "questioned")
    assert ask(recorder, "POST", body={**far, "is_sure": True})[0] == 201


def test_who_records_patches_words_and_not_the_place(ask, owner, recorder, farm):
    landmark = add_landmark(property=farm, user=owner, kind="gate", geometry=HERE)
    path = f"{landmark.pk}/"
    assert ask(recorder, "PATCH", path, {"properties": {"note": "Chain."}})[0] == 200
    assert ask(recorder, "PATCH", path, {"geometry": mapping(Point(-92, 38.1))})[0] == 403
    assert ask(recorder, "PATCH", path, {"properties": {"is_archived": True}})[0] == 403
    status, changed = ask(
        owner, "PATCH", path, {"geometry": mapping(Point(-92, 38.1)), "properties": {"kind": "well"}}
    )
    assert (status, changed["properties"]["kind"], changed["properties"]["note"]) == (200, "well", "Chain.")


def test_set_aside_ones_are_listed_apart(ask, owner, add):
    landmark = add()
    assert ask(owner, "PATCH", f"{landmark.pk}/", {"properties": {"is_archived": True}})[0] == 200
    assert ask(owner, "GET")[1]["features"] == []
    assert [f["id"] for f in ask(owner, "GET", "?archived=1")[1]["features"]] == [landmark.pk]


@pytest.mark.parametrize(
    "body",
    [
        None,
        [],
        3,
        {},
        {"geometry": None, "properties": {"kind": "gate"}},
        feature(HERE, kind="castle"),
        feature(HERE),
        {"geometry": {"type": "Point", "coordinates": [10**400, 38]}, "properties": {"kind": "gate"}},
        {"geometry": {"type": ["Point"], "coordinates": [-92, 38]}, "properties": {"kind": "gate"}},
    ],
)
def test_bodies_that_are_no_landmark_are_refused(ask, recorder, body):
    status, answer = ask(recorder, "POST", body=body)
    assert (status, answer["error"]["code"]) == (400, "refused")
