"""Looking at a walk, and making a boundary of it."""

import json
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from plots.calc.geodesy import geodesic_acres
from plots.formats.reading import read
from plots.models import Boundary, Plot, Walk
from plots.services.boundaries import set_boundary
from plots.services.walks import accept_walk, receive_walk, set_walk_aside
from tests.walking import as_sent, fixes_at, square_walk, way_along, way_round

STARTED_AT = datetime(2026, 11, 3, 14, 5, tzinfo=UTC)
SQUARE_M = [(0, 0), (90, 0), (90, 90), (0, 90)]


@pytest.fixture
def walked(farm, recorder):
    """walked(**changes) -> a walk that waits"""

    def walked(**changes):
        sent = {
            "property": farm,
            "user": recorder,
            "walk_id": uuid4(),
            "fixes": square_walk(),
            "started_at": STARTED_AT,
            "sent_at": STARTED_AT,
        }
        return receive_walk(**sent | changes)[0]

    return walked


@pytest.fixture
def desk(client, farm, manager):
    """The manager's browser: get(walk, **query), post(walk, **fields)."""
    client.force_login(manager)

    class Desk:
        def get(self, walk, **query):
            return client.get(reverse("walk-review", args=[farm.slug, walk.pk]), query)

        def post(self, walk, **fields):
            return client.post(reverse("walk-review", args=[farm.slug, walk.pk]), {"act": "accept"} | fields)

    return Desk()


def test_acres_stand_with_their_margin_and_what_was_done(desk, walked):
    page = desk.get(walked()).text
    assert "2.00&nbsp;ac</span> ±&nbsp;" in page
    assert "points were used." in page
    assert "Geolocation" in page  # the source of the accuracy


def test_other_limits_are_looked_at_and_not_stored(desk, walked):
    fixes = fixes_at(way_round(SQUARE_M), accuracy_m=12)
    walk = walked(fixes=as_sent(fixes))
    assert "No outline comes of this walk" in desk.get(walk).text
    page = desk.get(walk, worst="15.0", tolerance="3.0")
    assert page.context["figures"]["acres"] == pytest.approx(2, rel=0.02)
    walk.refresh_from_db()
    assert walk.worst_accuracy_m == 10


@pytest.mark.parametrize(
    "query", [{"worst": "x"}, {"tolerance": "-1"}, {"plot": "999999"}, {"plot": "9" * 30}]
)
def test_limits_and_plots_that_cannot_be_chosen_are_told_and_the_walk_shown_as_it_came(desk, walked, query):
    page = desk.get(walked(), **query)
    assert page.status_code == 200
    assert "Select a valid choice" in page.text
    assert page.context["looked"].worst_accuracy_m == 10


def test_saved_as_a_new_plot(desk, walked, farm):
    answer = desk.post(walked(new_name="Creek"), plot="new", new_name="Creek bottom", why="cleared")
    plot = Plot.objects.get(name="Creek bottom")
    assert answer.url == reverse("plot", args=[farm.slug, plot.pk])
    assert (plot.boundary.how, plot.boundary.why) == ("walked", "cleared")


def test_saved_by_the_limits_that_were_looked_at(desk, walked, make_plot):
    plot = make_plot()
    walk = walked(plot=plot)
    desk.post(walk, plot=plot.pk, worst="5.0", tolerance="5.0", replaces=plot.boundary_id)
    walk.refresh_from_db()
    assert (walk.state, walk.worst_accuracy_m, walk.tolerance_m) == ("accepted", 5, 5)


def test_given_to_another_plot_than_was_named_while_walking(desk, walked, make_plot):
    plot = make_plot("Other")
    assert desk.post(walked(new_name="Creek"), plot=plot.pk, replaces=plot.boundary_id).status_code == 302
    plot.refresh_from_db()
    assert plot.boundary.how == Boundary.How.WALKED


def test_a_name_that_is_taken_is_told_and_what_was_typed_stays(desk, walked, make_plot):
    make_plot()
    page = desk.post(walked(), plot="new", new_name="North Bench", why="typed before")
    assert "North Bench" in page.text
    assert "Not saved" in page.text
    assert 'value="typed before"' in page.text


def test_a_boundary_that_changed_meanwhile_is_shown_before_it_is_replaced(desk, walked, make_plot, owner):
    plot = make_plot()
    seen = plot.boundary_id
    walk = walked(plot=plot)
    set_boundary(plot=plot, geometry=plot.boundary.geometry, user=owner, how=Boundary.How.DRAWN)
    page = desk.post(walk, plot=plot.pk, replaces=seen)
    assert "has changed the boundary" in page.text
    assert f'name="replaces" value="{plot.boundary_id}"' in page.text
    assert desk.post(walk, plot=plot.pk, replaces=plot.boundary_id).status_code == 302


def test_a_walk_far_away_is_questioned_until_somebody_is_sure(desk, walked, make_plot):
    make_plot(lon=-95.0)
    walk = walked()
    page = desk.post(walk, plot="new", new_name="Creek")
    assert "from the nearest other plot" in page.text
    assert desk.post(walk, plot="new", new_name="Creek", is_sure="on").status_code == 302


def test_ground_that_another_plot_has_is_said(desk, walked, make_plot):
    make_plot()
    page = desk.get(walked())
    assert [each["plot"] for each in page.context["looked"].overlaps] == ["North Bench"]


def test_set_aside_and_taken_up_again(desk, walked, farm, client):
    walk = walked()
    assert desk.post(walk, act="aside").url == reverse("walks", args=[farm.slug])
    assert "A new plot" not in client.get(reverse("walks", args=[farm.slug])).text
    assert "set aside" in client.get(reverse("walks", args=[farm.slug]), {"aside": 1}).text
    desk.post(walk, act="up")
    walk.refresh_from_db()
    assert walk.state == Walk.State.WAITING


def test_who_records_sees_it_and_cannot_save(client, walked, farm, recorder):
    client.force_login(recorder)
    page = client.get(reverse("walk-review", args=[farm.slug, walked().pk])).text
    assert "somebody who may change plots" in page
    assert "Save as boundary" not in page


def test_a_phones_clock_that_is_off_is_said(desk, walked):
    off = datetime.now(UTC) + timedelta(hours=3, minutes=10)
    assert "clock was 3" in desk.get(walked(sent_at=off)).text
    assert "ahead when it was sent" in desk.get(walked(sent_at=off)).text
    assert "clock was" not in desk.get(walked(sent_at=datetime.now(UTC))).text


def test_the_map_has_every_fix_by_what_became_of_it(client, walked, farm, manager, make_plot):
    client.force_login(manager)
    fixes = fixes_at(way_round(SQUARE_M))
    fixes[[3, 5], 2] = 40
    plot = make_plot()
    make_plot("Beside", lon=-91.9989)
    walk = walked(fixes=as_sent(fixes), plot=plot)
    text = client.get(reverse("walk-track", args=[farm.slug, walk.pk])).text
    kinds = {each["properties"]["kind"]: each["geometry"] for each in json.loads(text)["features"]}
    assert set(kinds) == {"there", "now", "walked", "used", "worse"}
    assert len(kinds["worse"]["coordinates"]) == 2
    assert len(kinds["used"]["coordinates"]) == len(fixes) - 2


def test_a_walk_without_an_outline_is_drawn_too(client, walked, farm, manager):
    client.force_login(manager)
    walk = walked(fixes=as_sent(fixes_at(way_along([(0, 0), (100, 0), (100, 100)]))))
    features = client.get(reverse("walk-track", args=[farm.slug, walk.pk])).json()["features"]
    assert [each["properties"]["kind"] for each in features] == ["used"]


def test_gpx_has_every_point_a_segment_a_stretch(client, walked, farm, manager, tmp_path):
    client.force_login(manager)
    first = fixes_at(way_round(SQUARE_M)[:200])
    second = fixes_at(way_round(SQUARE_M)[200:], stretch=1, start_ms=400_000)
    walk = walked(fixes=[*as_sent(first), *as_sent(second)], new_name="Creek & Co")
    answer = client.get(reverse("walk-gpx", args=[farm.slug, walk.pk]))
    assert answer["Content-Disposition"].startswith('attachment; filename="walk-2026-11-03-')
    text = answer.content.decode()
    assert text.count("<trkpt") == len(walk.fixes)
    assert text.count("<trkseg>") == text.count("</trkseg>") == 2
    assert "<name>Creek &amp; Co, walked 2026-11-03</name>" in text
    assert "<time>2026-11-03T14:05:00.000Z</time>" in text
    (tmp_path / "walk.gpx").write_bytes(answer.content)
    [outline] = read(tmp_path / "walk.gpx").outlines  # our own reader takes it for the same loop
    assert geodesic_acres(outline.geometry) == pytest.approx(2, rel=0.02)


@pytest.mark.parametrize("route", ["walk-review", "walk-track"])
def test_a_walk_asks_no_more_on_a_large_property(client, walked, farm, manager, make_plot, route):
    client.force_login(manager)
    walk = walked(plot=make_plot())
    client.get(reverse("walks", args=[farm.slug]))  # the first request of a session asks for more
    counts = []
    for more in (5, 40):
        for number in range(more):
            make_plot(f"{more} {number}", lon=-92.01 - 0.001 * number)
        with CaptureQueriesContext(connection) as found:
            assert client.get(reverse(route, args=[farm.slug, walk.pk])).status_code == 200
        counts.append(len(found))
    assert counts[0] == counts[1] <= 15


def test_the_list_has_those_that_wait_first_and_asks_no_more_for_more(client, walked, farm, manager):
    client.force_login(manager)
    done = walked(new_name="Done", started_at=STARTED_AT + timedelta(days=2))
    accept_walk(walk=done, user=manager, new_name="Done")
    set_walk_aside(walk=walked(new_name="Aside"))
    counts = []
    for _ in range(2):
        for number in range(5):
            walked(new_name=f"Waiting {number}")
        with CaptureQueriesContext(connection) as found:
            page = client.get(reverse("walks", args=[farm.slug])).text
        counts.append(len(found))
    assert counts[0] == counts[1] <= 15
    assert page.index("Waiting 0") < page.index("Done")
    assert ">Aside<" not in page
    assert not any('"fixes"' in query["sql"] for query in found)
