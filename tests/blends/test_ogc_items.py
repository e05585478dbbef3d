"""Features of /ogc/: what they say, page by page, and which of them a bbox and a datetime choose."""

import re
from datetime import UTC, datetime
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely.geometry import box, shape

from fieldlog.models import Visit
from fieldlog.services.visits import record_visit
from plots.models import Boundary, Landmark, Plot
from plots.services.plots import archive_plot

PLOTS, PLANTINGS, VISITS, LANDMARKS = EVERY = [
    f"collections/tally-hollow-{kind}/items" for kind in ("plots", "plantings", "visits", "landmarks")
]


def names(answer):
    assert answer.status_code == 200, answer.content
    return [each["properties"]["plot"] for each in answer.json()["features"]]


def test_plots_come_with_acres_and_their_current_boundary(ask, ground):
    answer = ask(PLOTS)
    page = answer.json()
    assert answer["Content-Type"] == "application/geo+json"
    assert answer["Content-Crs"] == "<http://www.opengis.net/def/crs/OGC/1.3/CRS84>"
    assert (page["type"], page["numberMatched"], page["numberReturned"]) == ("FeatureCollection", 8, 8)
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", page["timeStamp"])
    assert [each["id"] for each in page["features"]] == [plot.pk for plot in ground]
    moved, third, unmapped = (page["features"][place] for place in (0, 2, -1))
    assert shape(moved["geometry"]).bounds == (-93, 39, -92.995, 39.005)
    assert len(third["geometry"]["coordinates"][0]) == 2
    assert third["properties"]["acres"] == pytest.approx(5)
    assert unmapped["geometry"] is None
    assert unmapped["properties"]["acres"] is None


def test_plantings_lie_where_the_plot_lay_when_it_was_planted(ask, ground):
    planted, _, _, planned, fallow = ask(PLANTINGS).json()["features"]
    assert shape(planted["geometry"]).bounds == pytest.approx((-92, 38, -91.995, 38.005))
    assert planted["properties"] == {
        "plot": "Plot 0",
        "plot_id": ground[0].pk,
        "season": "2024-cool",
        "blend": "Grain",
        "fallow": False,
        "method": "drilled",
        "state": "drilled",
        "planted_on": "2024-09-01",
        "planted_acres": 2.5,
    }
    assert shape(planned["geometry"]).bounds == pytest.approx((-91.97, 38, -91.965, 38.005))
    assert (planned["properties"]["state"], planned["properties"]["planted_acres"]) == ("planned", None)
    assert (fallow["properties"]["fallow"], fallow["properties"]["blend"]) == (True, None)
    assert (fallow["properties"]["method"], fallow["properties"]["state"]) == (None, None)


@pytest.mark.parametrize("address", EVERY)
def test_no_feature_says_what_anything_cost(ask, ground, address):
    assert not re.search("cost|usd|price", ask(address).text)


@pytest.mark.parametrize("address", EVERY)
def test_one_feature_is_the_one_of_the_page(ask, ground, address):
    for each in ask(address).json()["features"]:
        answer = ask(f"{address}/{each['id']}")
        one = answer.json()
        assert answer["Content-Type"] == "application/geo+json"
        assert {link["rel"] for link in one.pop("links")} >= {"self", "collection"}
        assert one == each


def test_archived_plot_leaves_but_what_was_planted_on_it_stays(ask, ground):
    for plot in (ground[1], ground[3]):
        archive_plot(plot=plot)
    assert names(ask(PLOTS)) == ["Plot 0", "Plot 2", "Plot 4", "Plot 5", "Plot 6", "Unmapped"]
    assert names(ask(PLANTINGS)) == ["Plot 0", "Plot 1", "Plot 2", "Plot 4"]
    assert ask(f"{PLOTS}/{ground[1].pk}").status_code == 404


@pytest.mark.parametrize("limit", [1, 3, 4, 7, 8, 20, 10_000])
def test_next_links_lead_through_every_feature_once(ask, client, ground, limit):
    query, seen, address = (
        {"limit": limit, "bbox": "-180,-90,180,90", "token": ask.secret},
        [],
        f"/ogc/{PLOTS}",
    )
    while address:
        page = client.get(address, query).json()
        query = None
        assert page["numberMatched"] == 8
        assert page["numberReturned"] == len(page["features"]) <= limit
        seen += [each["id"] for each in page["features"]]
        address = next((link["href"] for link in page["links"] if link["rel"] == "next"), None)
        assert address is None or address.startswith("http://testserver/ogc/")
    assert seen == [plot.pk for plot in ground]


def test_page_beyond_the_end_is_empty_and_leads_back(ask, ground):
    page = ask(PLOTS, offset=10**30, limit=5).json()
    assert (page["numberMatched"], page["numberReturned"]) == (8, 0)
    assert "next" not in {link["rel"] for link in page["links"]}


def test_limit_beyond_the_most_is_answered_with_the_most(ask, farm):
    Plot.objects.bulk_create(Plot(property=farm, name=f"P{number}") for number in range(1_001))
    page = ask(PLOTS, limit=5_000).json()
    assert (page["numberMatched"], page["numberReturned"]) == (1_001, 1_000)
    assert "next" in {link["rel"] for link in page["links"]}


@pytest.mark.parametrize(
    ("bbox", "expected"),
    [
        ("-92,38,-91.985,38.01", ["Plot 1"]),
        ("-91.985,38,-91.965,38.01", ["Plot 1", "Plot 2", "Plot 3"]),  # edges touch
        ("-91.979,38.001,0,-91.977,38.003,9", ["Plot 2"]),  # the edge of the hole
        ("-91.9785,38.0015,-91.9775,38.0025", []),  # within the hole
        ("-91.98,38,-91.98,38", ["Plot 2"]),
        ("179,0,-91.965,89", ["Plot 0", "Plot 1", "Plot 2", "Plot 3"]),  # across the 180th meridian
        ("-1e300,-1e300,1e300,1e300", [f"Plot {number}" for number in range(7)]),
    ],
)
def test_bbox_chooses_what_it_touches_and_what_lies_nowhere(ask, ground, bbox, expected):
    assert names(ask(PLOTS, bbox=bbox)) == [*expected, "Unmapped"]


def test_bbox_of_plantings_looks_where_they_were_planted(ask, ground):
    assert names(ask(PLANTINGS, bbox="-92,38,-91.985,38.01")) == ["Plot 0", "Plot 1"]
    assert names(ask(PLANTINGS, bbox="-93,39,-92,40")) == []


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    *(st.floats(least, most) for least, most in [(-92.02, -91.93), (37.99, 38.01)] * 2),
)
@pytest.mark.parametrize("address", EVERY)
def test_bbox_chooses_as_shapely_does(ask, ground, address, west, south, east, north):
    west, east, south, north = min(west, east), max(west, east), min(south, north), max(south, north)
    features = ask(address).json()["features"]
    expected = [
        each["id"]
        for each in features
        if each["geometry"] is None or shape(each["geometry"]).intersects(box(west, south, east, north))
    ]
    found = ask(address, bbox=f"{west:.16f},{south:.16f},{east:.16f},{north:.16f}").json()
    assert [each["id"] for each in found["features"]] == expected
    assert found["numberMatched"] == len(expected)


@pytest.mark.parametrize(
    ("datetime", "expected"),
    [
        ("2024-09-02T12:00:00Z", ["Plot 1"]),
        ("2024-09-02T00:00:00Z/..", ["Plot 1", "Plot 2"]),
        ("../2024-09-02T00:00:00Z", ["Plot 0", "Plot 1"]),
        ("2024-09-02/2024-09-02", ["Plot 1"]),
        ("2025-01-01T00:00:00Z/..", []),
        ("../..", ["Plot 0", "Plot 1", "Plot 2"]),
    ],
)
def test_datetime_chooses_by_the_day_of_planting_and_keeps_what_has_none(ask, ground, datetime, expected):
    assert names(ask(PLANTINGS, datetime=datetime)) == [*expected, "Plot 3", "Plot 4"]


def test_datetime_leaves_plots_which_have_no_day(ask, ground):
    assert len(names(ask(PLOTS, datetime="2024-09-02T00:00:00Z"))) == 8


@pytest.mark.parametrize(
    "query", [{"limit": "0"}, {"offset": "-1"}, {"bbox": "1,2,3"}, {"datetime": "soon"}, {"crs": "EPSG:3857"}]
)
def test_value_that_is_not_accepted_is_refused_with_a_sentence_about_it(ask, ground, query):
    answer = ask(PLOTS, **query)
    assert answer.status_code == 400
    assert next(iter(query)) in answer.json()["description"]


@pytest.mark.parametrize("address", [*EVERY, "collections", *(each.removesuffix("/items") for each in EVERY)])
def test_questions_to_the_database_do_not_grow_with_the_features(
    ask, ground, address, django_assert_max_num_queries
):
    ask(address)
    with django_assert_max_num_queries(6):  # a query a kind
        ask(address)


# --- visits and landmarks, which the app above registers


def test_visits_lie_inside_their_plot_and_say_who_was_there(ask, ground):
    first, _, unmapped = ask(VISITS).json()["features"]
    visit = Visit.objects.get(plot=ground[1])
    assert first["id"] == str(visit.pk)
    assert first["properties"] == {
        "plot": "Plot 1",
        "plot_id": ground[1].pk,
        "visited_at": "2024-09-02T16:05:00Z",
        "note": "Up.",
        "recorded_by": "owner",
    }
    assert first["geometry"]["type"] == "Point"
    assert ground[1].boundary.geometry.contains(shape(first["geometry"]))
    assert unmapped["geometry"] is None
    hollow = ask(VISITS).json()["features"][1]
    assert ground[2].boundary.geometry.contains(shape(hollow["geometry"]))
    assert hollow["properties"]["note"] is None


def test_visit_lies_in_the_boundary_that_held_when_it_was(ask, ground, owner):
    """The first plot lay at 92° west until it was moved to 93° on 1 May 2024."""
    before, after = ground[0].boundaries.order_by("pk")
    for boundary, day in (
        (before, datetime(2024, 1, 1, tzinfo=UTC)),
        (after, datetime(2024, 5, 1, tzinfo=UTC)),
    ):
        Boundary.objects.filter(pk=boundary.pk).update(created_at=day)
    Visit.objects.all().delete()
    for year, month in ((2023, 6), (2024, 3), (2024, 6)):
        record_visit(id=uuid4(), plot=ground[0], user=owner, visited_at=datetime(year, month, 1, tzinfo=UTC))
    found = sorted(ask(VISITS).json()["features"], key=lambda each: each["properties"]["visited_at"])
    # before there was any boundary, the one of today is the best guess
    assert [round(each["geometry"]["coordinates"][0]) for each in found] == [-93, -92, -93]
    west = ask(VISITS, bbox="-93.1,38.9,-92.9,39.1").json()
    assert [each["properties"]["visited_at"][:7] for each in west["features"]] == ["2023-06", "2024-06"]
    (extent,) = ask(VISITS.removesuffix("/items")).json()["extent"]["spatial"]["bbox"]
    assert all(box(*extent).covers(shape(each["geometry"])) for each in found)


def test_visits_to_an_archived_plot_stay(ask, ground):
    archive_plot(plot=ground[1])
    assert "Plot 1" in names(ask(VISITS))


@pytest.mark.parametrize(
    ("datetime", "expected"),
    [
        ("2024-09-02T16:05:00Z", ["Plot 1"]),
        ("2024-09-02T11:05:00-05:00", ["Plot 1"]),
        ("2024-09-02T16:05:01Z/..", ["Plot 2", "Unmapped"]),
        ("../2024-09-02T16:04:59Z", []),
        ("2024-09-02", ["Plot 1"]),
        ("2024-09-02/2024-09-20", ["Plot 1", "Plot 2"]),
        ("0001-01-01T00:00:00+14:00/9999-12-31T23:59:59-12:00", ["Plot 1", "Plot 2", "Unmapped"]),
    ],
)
def test_datetime_asks_for_the_moment_of_a_visit(ask, ground, datetime, expected):
    assert sorted(names(ask(VISITS, datetime=datetime))) == expected


def test_visits_have_a_temporal_extent_of_moments(ask, ground):
    (ends,) = ask(VISITS.removesuffix("/items")).json()["extent"]["temporal"]["interval"]
    assert ends == ["2024-09-02T16:05:00Z", "2024-09-25T16:05:00Z"]


def test_landmarks_are_points_lines_and_areas_until_they_are_archived(ask, ground):
    found = ask(LANDMARKS).json()["features"]
    assert [each["geometry"]["type"] for each in found] == ["Point", "LineString", "Polygon"]
    assert found[0]["properties"] == {"kind": "gate", "name": "East gate", "note": None}
    Landmark.objects.filter(kind="road").update(is_archived=True)
    assert len(ask(LANDMARKS).json()["features"]) == 2


@pytest.mark.parametrize("id", ["1", "not-a-uuid", "0" * 32, "9" * 40])
def test_visit_by_an_id_that_names_none_is_404(ask, ground, id):
    assert ask(f"{VISITS}/{id}").status_code == 404
