"""The record of boundaries, comparison, restoring, and overlaps by the API."""

import json

import pytest
from shapely.geometry import MultiPolygon, box, shape

from plots.models import Boundary
from plots.services.boundaries import set_boundary
from plots.services.people import make_api_token

STEP = 0.001
WEST = box(-92, 38, -92 + STEP, 38 + STEP)
GROWN = box(-92, 38, -92 + STEP * 1.5, 38 + STEP)
SLIVER = STEP * 0.005  # 0.44 m
EAST = box(-92 + STEP - SLIVER, 38, -92 + STEP * 2, 38 + STEP)


@pytest.fixture
def plot(make_plot, owner, manager):
    """North: drawn by the owner, then walked by the manager to within 2 m."""
    plot = make_plot("North", acres=None)
    set_boundary(plot=plot, geometry=WEST, user=owner, how="drawn", why="First look")
    set_boundary(
        plot=plot, geometry=GROWN, user=manager, how="walked", why="Cleared the edge", accuracy_m=2.0
    )
    return plot


@pytest.fixture
def call(client, farm, manager):
    _, secret = make_api_token(user=manager, name="Script")

    def call(method, address, body=None):
        return client.generic(
            method,
            f"/api/v1/properties/{farm.slug}/{address}",
            body if isinstance(body, str) else json.dumps(body),
            content_type="application/json",
            headers={"Authorization": f"Bearer {secret}"},
        )

    return call


def ids(plot):
    """Of the plot's boundaries, oldest first."""
    return list(plot.boundaries.order_by("pk").values_list("pk", flat=True))


def test_record_lists_who_when_how_why_and_the_margin(call, plot):
    rows = call("GET", f"plots/{plot.pk}/boundaries/").json()["results"]
    assert [(row["how"], row["why"], row["created_by"], row["is_current"]) for row in rows] == [
        ("walked", "Cleared the edge", "manager", True),
        ("drawn", "First look", "owner", False),
    ]
    assert rows[0]["margin_acres"] == pytest.approx(rows[0]["perimeter_m"] * 2.0 / 4046.8564224)
    assert (rows[1]["accuracy_m"], rows[1]["margin_acres"]) == (None, None)


def test_record_pages_and_reads_no_geometry(call, plot, owner, django_assert_max_num_queries):
    for _ in range(5):
        Boundary.objects.create(plot=plot, geometry=MultiPolygon([WEST]), how="drawn", created_by=owner)
    with django_assert_max_num_queries(8) as queries:
        answer = call("GET", f"plots/{plot.pk}/boundaries/?limit=3").json()
    assert (answer["count"], len(answer["results"])) == (7, 3)
    record = [
        each["sql"] for each in queries if "ORDER BY" in each["sql"] and "plots_boundary" in each["sql"]
    ]
    assert record
    assert not any("geometry" in sql for sql in record)


def test_one_boundary_is_a_feature(call, plot):
    first, _ = ids(plot)
    answer = call("GET", f"plots/{plot.pk}/boundaries/{first}/")
    assert answer["Content-Type"] == "application/geo+json"
    assert shape(answer.json()["geometry"]).equals(MultiPolygon([WEST]))
    assert answer.json()["properties"]["boundary_id"] == first


def test_comparison_has_the_ground_gained_and_lost_with_acres(call, plot):
    first, second = ids(plot)
    answer = call("GET", f"plots/{plot.pk}/boundaries/compare/?first={first}&second={second}").json()
    by_what = {feature["properties"]["what"]: feature for feature in answer["features"]}
    acres = {what: feature["properties"]["acres"] for what, feature in by_what.items()}
    assert (answer["first"], answer["second"]) == (first, second)
    assert acres["gained"] == pytest.approx(acres["first"] / 2, rel=1e-6)
    assert acres["lost"] == 0
    assert by_what["lost"]["geometry"] is None
    assert answer["net_acres"] == pytest.approx(acres["gained"] - acres["lost"], rel=1e-9)
    assert shape(by_what["gained"]["geometry"]).area == pytest.approx(STEP * STEP / 2)


def test_comparison_the_other_way_round_loses_it(call, plot):
    first, second = ids(plot)
    answer = call("GET", f"plots/{plot.pk}/boundaries/compare/?first={second}&second={first}").json()
    acres = {feature["properties"]["what"]: feature["properties"]["acres"] for feature in answer["features"]}
    assert acres["gained"] == 0
    assert answer["net_acres"] == pytest.approx(-acres["lost"])


@pytest.mark.parametrize(
    ("query", "status", "sentence"),
    [
        ("", 400, "the ids of two boundaries are accepted"),
        ("?first={first}", 400, "the ids of two boundaries are accepted"),
        ("?first=x&second={first}", 400, "the whole number that identifies a boundary is accepted"),
        ("?first={first}&second=999999", 404, "nothing here"),
        ("?first={first}&second={other}", 404, "nothing here"),
        ("?first={first}&second=99999999999999999999999", 404, "nothing here"),
    ],
)
def test_what_cannot_be_compared_is_said(call, plot, make_plot, query, status, sentence):
    other = make_plot("Other", lon=-93).boundary_id
    query = query.format(first=ids(plot)[0], other=other)
    answer = call("GET", f"plots/{plot.pk}/boundaries/compare/{query}")
    assert answer.status_code == status
    assert sentence in answer.json()["error"]["message"]


def test_a_boundary_of_another_plot_is_not_found(call, plot, make_plot):
    other = make_plot("Other", lon=-93).boundary_id
    assert call("GET", f"plots/{plot.pk}/boundaries/{other}/").status_code == 404
    assert call("POST", f"plots/{plot.pk}/boundaries/{other}/restore/", {}).status_code == 404


def test_restoring_makes_a_new_one_and_says_from_which(call, plot):
    first, second = ids(plot)
    answer = call(
        "POST", f"plots/{plot.pk}/boundaries/{first}/restore/", {"why": "Grew back", "replaces": second}
    )
    assert answer.status_code == 201
    made = answer.json()
    assert (made["restored_from"], made["why"], made["is_current"], made["how"]) == (
        first,
        "Grew back",
        True,
        "drawn",
    )
    assert ids(plot) == [first, second, made["id"]]


def test_restoring_over_somebody_elses_change_is_a_conflict_with_theirs_beside_it(call, plot, owner):
    first, second = ids(plot)
    theirs = set_boundary(plot=plot, geometry=GROWN, user=owner, how="drawn")
    answer = call("POST", f"plots/{plot.pk}/boundaries/{first}/restore/", {"replaces": second})
    assert (answer.status_code, answer.json()["error"]["code"]) == (409, "boundary_changed")
    assert answer.json()["current"]["properties"]["boundary_id"] == theirs.pk


def test_restoring_the_current_one_is_refused(call, plot):
    answer = call("POST", f"plots/{plot.pk}/boundaries/{ids(plot)[1]}/restore/", {})
    assert answer.status_code == 400
    assert "holds now already" in answer.json()["error"]["message"]


@pytest.fixture
def slivers(make_plot, owner):
    plots = make_plot("West", acres=None), make_plot("East", acres=None)
    for plot, outline in zip(plots, (WEST, EAST), strict=True):
        set_boundary(plot=plot, geometry=outline, user=owner, how="drawn")
    return plots


def test_overlaps_are_listed_with_ground_acres_and_widest_place(call, slivers):
    [feature] = call("GET", "overlaps/").json()["features"]
    facts = feature["properties"]
    assert {each["plot"] for each in facts["plots"]} == {"West", "East"}
    assert facts["older"] == slivers[0].pk
    assert facts["widest_ft"] == pytest.approx(0.44 / 0.3048, rel=0.02)
    assert facts["acres"] * 4046.8564224 == pytest.approx(facts["area_m2"])
    assert shape(feature["geometry"]).area == pytest.approx(
        SLIVER * STEP, rel=0.05
    )  # written to a centimetre


def test_no_overlap_is_an_empty_collection(call, plot):
    assert call("GET", "overlaps/").json() == {"type": "FeatureCollection", "features": []}


def test_mending_by_the_api_trims_and_says_what_it_did(call, slivers):
    answer = call("POST", "overlaps/mend/", {}).json()
    [done] = answer["mended"]
    assert (done["plot"], done["kept_by"], answer["left"]) == ("East", ["West"], [])
    assert done["boundary_id"] == Boundary.objects.get(current_of=slivers[1]).pk
    assert done["acres_given_up"] == pytest.approx(SLIVER / STEP * WEST.area / EAST.area * 2.4, rel=0.2)
    assert call("GET", "overlaps/").json()["features"] == []
    assert call("POST", "overlaps/mend/", {}).json() == {"mended": [], "left": []}


def test_mending_keeps_the_ground_where_it_is_asked_to(call, slivers):
    [feature] = call("GET", "overlaps/").json()["features"]
    keep = [{"overlap": feature["properties"]["id"], "plot": slivers[1].pk}]
    assert (
        call("POST", "overlaps/mend/", {"keep": keep, "narrow_ft": 2}).json()["mended"][0]["plot"] == "West"
    )


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        ({"narrow_ft": 0}, "a number of feet above 0, at most 30, is accepted"),
        ({"narrow_ft": "wide"}, "A valid number is required"),
        ({"keep": [{"overlap": 10**30, "plot": 1}]}, "keep.0.overlap"),
        ({"keep": [{"overlap": 12345, "plot": 1}]}, "look again at what there is"),
        ({"keep": 3}, 'Expected a list of items but got type "int"'),
    ],
)
def test_what_cannot_be_mended_is_said(call, slivers, body, sentence):
    answer = call("POST", "overlaps/mend/", body)
    assert answer.status_code == 400
    assert sentence in answer.json()["error"]["message"]


def test_overlaps_take_the_same_few_queries_for_any_number(
    call, make_plot, owner, slivers, django_assert_max_num_queries
):
    with django_assert_max_num_queries(6) as before:
        call("GET", "overlaps/")
    for number in range(3, 9):
        outline = box(-92 + STEP * (number - 1) - SLIVER, 38, -92 + STEP * number, 38 + STEP)
        set_boundary(plot=make_plot(f"P{number}", acres=None), geometry=outline, user=owner, how="drawn")
    with django_assert_max_num_queries(len(before)):
        assert len(call("GET", "overlaps/").json()["features"]) == 7
