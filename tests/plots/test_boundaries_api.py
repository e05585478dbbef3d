"""Measuring, drawing and replacing boundaries by the API, by two people too."""

import json

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from shapely.geometry import MultiPolygon, box, shape

from plots.calc.geodesy import geodesic_area_perimeter
from plots.models import Boundary, Plot
from plots.services.boundaries import BoundaryChanged, set_boundary
from tests.scenery import lay_out

BASE = "/api/v1/properties/tally-hollow/"
HERE = box(-92, 38, -91.998, 38.002)
BOW_TIE = {
    "type": "Polygon",
    "coordinates": [[[-92, 38], [-91.998, 38.002], [-91.998, 38], [-92, 38.002], [-92, 38]]],
}


@pytest.fixture
def api(client, manager):
    client.force_login(manager)

    def send(method, address, body=None):
        return client.generic(method, f"{BASE}{address}", json.dumps(body), "application/json")

    return send


def geometry(drawn):
    return json.loads(json.dumps(drawn.__geo_interface__))


# measuring


def test_an_outline_is_measured_and_nothing_is_stored(api, farm):
    with_hole = MultiPolygon([HERE.difference(box(-91.9995, 38.0005, -91.999, 38.001))])
    found = api("POST", "measure/", {"geometry": geometry(with_hole)}).json()
    area_m2, perimeter_m = geodesic_area_perimeter(with_hole)
    assert found["acres"] == pytest.approx(area_m2 / 4046.8564224, rel=1e-12)
    assert (found["area_m2"], found["perimeter_m"]) == pytest.approx((area_m2, perimeter_m))
    assert found["perimeter_ft"] == pytest.approx(perimeter_m / 0.3048)
    assert (found["parts"], found["holes"]) == (1, 1)
    assert (found["problems"], found["overlaps"], found["doubts"]) == ([], [], [])
    assert not Plot.objects.exists()
    assert not Boundary.objects.exists()


@pytest.mark.parametrize(
    ("drawn", "said"),
    [
        (BOW_TIE, "self-intersection at longitude -91.999, latitude 38.001"),
        ({"type": "MultiPolygon", "coordinates": []}, "is empty"),
        ({"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 99], [0, 0]]]}, "latitude 99"),
        (
            {"type": "Polygon", "coordinates": [[[-92, 38], [-91, 38], [-92, 38], [-92, 38]]]},
            "not a clean outline",
        ),
    ],
)
def test_what_is_wrong_is_a_problem_and_no_figure(api, farm, drawn, said):
    found = api("POST", "measure/", {"geometry": drawn}).json()
    assert said in found["problems"][0]
    figures = ("acres", "area_m2", "perimeter_ft", "perimeter_m", "parts", "holes")
    assert {found[name] for name in figures} == {None}


@pytest.mark.parametrize("drawn", [None, 7, {"type": "Point", "coordinates": [0, 0]}, {"type": "Polygon"}])
def test_what_is_no_outline_is_refused(api, farm, drawn):
    answer = api("POST", "measure/", {"geometry": drawn})
    assert (answer.status_code, answer.json()["error"]["code"]) == (400, "refused")


def test_shared_ground_is_told_but_not_that_of_the_plot_itself(api, make_plot):
    own = make_plot("Own", geometry=MultiPolygon([HERE]))
    small = make_plot("Small", geometry=MultiPolygon([box(-92, 38, -91.9999, 38.0001)]))
    make_plot("Beside", geometry=MultiPolygon([box(-91.998, 38, -91.997, 38.002)]))
    found = api("POST", "measure/", {"geometry": geometry(HERE), "plot": own.pk}).json()["overlaps"]
    assert [(each["plot_id"], each["plot"]) for each in found] == [(small.pk, "Small")]
    m2, _ = geodesic_area_perimeter(small.boundary.geometry)
    assert found[0]["acres"] == pytest.approx(m2 / 4046.8564224)
    both = api("POST", "measure/", {"geometry": geometry(HERE)}).json()["overlaps"]
    assert [each["plot"] for each in both] == ["Own", "Small"]


def test_a_far_outline_is_doubted_and_measured(api, make_plot):
    make_plot(lon=-80.0)
    found = api("POST", "measure/", {"geometry": geometry(HERE)}).json()
    assert found["acres"] > 0
    assert found["doubts"][0].startswith("The new plot would lie")


def test_another_propertys_plot_is_no_plot_to_measure_for(api, make_plot, elsewhere):
    theirs = make_plot(property=elsewhere)
    answer = api("POST", "measure/", {"geometry": geometry(HERE), "plot": theirs.pk})
    assert answer.status_code == 400
    assert answer.json()["error"]["fields"]["plot"] == [f"There is no plot {theirs.pk} on Tally Hollow."]


# neighbours


def test_boundaries_in_view_come_with_every_corner_and_without_one_plot(api, make_plot):
    own = make_plot("Own")
    beside = make_plot("Beside", lon=-91.999)
    make_plot("Far", lon=-91.9)
    found = api("GET", f"boundaries/?bbox=-92,38,-91.998,38.001&but={own.pk}").json()["features"]
    assert [each["id"] for each in found] == [beside.pk]
    assert shape(found[0]["geometry"]).equals_exact(beside.boundary.geometry, 1e-7)
    assert found[0]["properties"]["boundary_id"] == beside.boundary_id


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("bbox=1,2,3", "'1,2,3'; west,south,east,north in degrees"),
        ("bbox=a,b,c,d", "west,south,east,north in degrees"),
        ("bbox=nan,1,2,3", "west,south,east,north in degrees"),
        ("bbox=2,0,1,1", "west comes before east"),
        ("bbox=0,2,1,1", "south before north"),
        ("but=x", "but is 'x'"),
    ],
)
def test_a_box_that_is_none_is_refused(api, farm, query, said):
    answer = api("GET", f"boundaries/?{query}")
    assert answer.status_code == 400
    assert said in answer.json()["error"]["message"]


def test_too_many_in_one_box_are_refused_and_not_cut_off(api, make_plot, monkeypatch):
    monkeypatch.setattr("plots.api.outlines.MOST_IN_A_BOX", 2)
    for number in range(3):
        make_plot(f"Plot {number}")
    answer = api("GET", "boundaries/?bbox=-93,37,-91,39")
    assert answer.status_code == 400
    assert "More than 2 plots lie there; ask for a smaller bbox" in answer.json()["error"]["message"]
    assert len(api("GET", "boundaries/").json()["features"]) == 3


# two people


def test_a_boundary_that_somebody_changed_meanwhile_is_not_replaced(api, make_plot, owner):
    owner.first_name, owner.last_name = "Fen", "Wheatley"  # nobody
    owner.save()
    plot = make_plot()
    seen = api("GET", f"plots/{plot.pk}/boundary/").json()["properties"]["boundary_id"]
    theirs = set_boundary(plot=plot, geometry=HERE, user=owner, how="walked")
    mine = {"geometry": geometry(box(-92, 38, -91.997, 38.002)), "replaces": seen}

    answer = api("PUT", f"plots/{plot.pk}/boundary/", mine)
    assert (answer.status_code, answer.json()["error"]["code"]) == (409, "boundary_changed")
    assert answer.json()["error"]["message"].startswith(
        "Fen Wheatley has changed the boundary of North Bench"
    )
    current = answer.json()["current"]
    assert shape(current["geometry"]).equals(theirs.geometry)
    assert current["properties"] == {
        "id": plot.pk,
        "name": "North Bench",
        "acres": pytest.approx(theirs.acres),
        "boundary_id": theirs.pk,
        "how": "walked",
        "who": "Fen Wheatley",
        "at": theirs.created_at.isoformat(),
    }
    assert plot.boundaries.count() == 2

    answer = api("PUT", f"plots/{plot.pk}/boundary/", mine | {"replaces": theirs.pk})
    assert answer.status_code == 200
    assert plot.boundaries.count() == 3  # both stay in the record
    assert Plot.objects.get().boundary_id == answer.json()["properties"]["boundary_id"]


def test_a_first_boundary_replaces_none(api, make_plot):
    plot = make_plot(acres=None)
    mine = {"geometry": geometry(HERE), "replaces": None}
    assert api("PUT", f"plots/{plot.pk}/boundary/", mine).status_code == 200
    assert api("PUT", f"plots/{plot.pk}/boundary/", mine).status_code == 409


@pytest.mark.parametrize("replaces", [0, -1, "x", 10**30])
def test_an_id_that_cannot_be_is_refused(api, make_plot, replaces):
    sent = {"geometry": geometry(HERE), "replaces": replaces}
    answer = api("PUT", f"plots/{make_plot().pk}/boundary/", sent)
    assert answer.status_code == 400
    assert "replaces" in answer.json()["error"]["fields"]


def test_of_two_who_save_at_once_one_is_told(farm, owner, manager, make_plot, at_once):
    plot = make_plot()
    seen = plot.boundary_id

    def save(user, east):
        return lambda: set_boundary(
            plot=Plot.objects.get(pk=plot.pk),
            geometry=box(-92, 38, east, 38.001),
            user=user,
            how="drawn",
            replaces=seen,
        )

    outcomes = at_once(save(owner, -91.998), save(manager, -91.997))
    assert (
        sorted(type(each) for each in outcomes)
        if False
        else {type(each) for each in outcomes}
        == {
            Boundary,
            BoundaryChanged,
        }
    )
    [stored] = [each for each in outcomes if isinstance(each, Boundary)]
    assert Plot.objects.get(pk=plot.pk).boundary_id == stored.pk


# questioned


def test_a_far_boundary_is_stored_only_when_it_is_meant(api, make_plot):
    make_plot("There", lon=-80.0)
    plot = make_plot()
    sent = {"geometry": geometry(HERE)}
    answer = api("PUT", f"plots/{plot.pk}/boundary/", sent)
    assert (answer.status_code, answer.json()["error"]["code"]) == (409, "questioned")
    assert "Is that meant?" in answer.json()["error"]["message"]
    assert plot.boundaries.count() == 1
    assert api("PUT", f"plots/{plot.pk}/boundary/", sent | {"is_sure": True}).status_code == 200


# a new plot


def test_a_plot_is_made_with_its_boundary(api, farm, manager):
    sent = {"name": " Creek   Bottom ", "geometry": geometry(HERE), "why": "Cleared in March"}
    answer = api("POST", "plots/", sent)
    assert answer.status_code == 201
    plot = Plot.objects.select_related("boundary").get()
    assert (plot.name, plot.property) == ("Creek Bottom", farm)
    assert (plot.boundary.how, plot.boundary.why, plot.boundary.created_by) == (
        "drawn",
        "Cleared in March",
        manager,
    )
    assert plot.boundary.is_compared
    made = answer.json()
    assert (made["id"], made["name"], made["boundary_id"]) == (plot.pk, "Creek Bottom", plot.boundary_id)
    assert made["mapped_acres"] == pytest.approx(plot.boundary.acres)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("north bench", "There is a plot “North Bench”; give another name."),
        ("Gone", "An archived plot is called “Gone”; give another name, or bring that plot back."),
        ("", "name"),
        ("x" * 81, "80"),
    ],
)
def test_a_name_that_cannot_be_given_is_refused_at_its_field(api, make_plot, name, said):
    make_plot()
    gone = make_plot("Gone")
    gone.is_archived = True
    gone.save()
    answer = api("POST", "plots/", {"name": name, "geometry": geometry(HERE)})
    assert answer.status_code == 400
    error = answer.json()["error"]
    assert "name" in error["fields"]
    assert said in error["message"]
    assert Plot.objects.count() == 2


def test_a_new_plot_far_off_leaves_nothing_behind_until_it_is_meant(api, make_plot):
    make_plot(lon=-80.0)
    sent = {"name": "Creek", "geometry": geometry(HERE)}
    answer = api("POST", "plots/", sent)
    assert (answer.status_code, answer.json()["error"]["code"]) == (409, "questioned")
    assert Plot.objects.count() == 1
    assert api("POST", "plots/", sent | {"is_sure": True}).status_code == 201


def test_a_new_plot_with_a_crossed_outline_leaves_nothing_behind(api, farm):
    assert api("POST", "plots/", {"name": "Creek", "geometry": BOW_TIE}).status_code == 400
    assert not Plot.objects.exists()


# what it costs


@pytest.mark.parametrize("act", ["measure", "put", "neighbours"])
def test_one_plot_of_5000_costs_what_one_of_ten_does(api, farm, act):
    def queries(plot):
        drawn = geometry(plot.boundary.geometry)
        box_of = ",".join(map(str, plot.boundary.geometry.bounds))
        calls = {
            "measure": ("POST", "measure/", {"geometry": drawn, "plot": plot.pk}),
            "put": ("PUT", f"plots/{plot.pk}/boundary/", {"geometry": drawn}),
            "neighbours": ("GET", f"boundaries/?bbox={box_of}&but={plot.pk}", None),
        }
        with CaptureQueriesContext(connection) as asked:
            answer = api(*calls[act])
        assert answer.status_code == 200
        return len(asked)

    few = lay_out(farm, 10, columns=71)
    before = queries(few[5])
    lay_out(farm, 4_990, first=10, columns=71)
    assert queries(few[5]) == before
