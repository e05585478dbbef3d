"""Walks by the API, as the phone sends them."""

from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from plots.models import Boundary, Walk
from plots.services.walks import MOST_FIXES
from tests.walking import as_sent, fixes_at, square_walk, way_round


@pytest.fixture
def put(client, farm, recorder):
    """put(walk_id=None, **changes) -> answer to the recorder's phone"""
    client.force_login(recorder)

    def put(walk_id=None, **changes):
        body = {
            "fixes": square_walk(),
            "started_at": "2026-11-03T14:05:00.250Z",
            "sent_at": "2026-11-03T15:00:00Z",
        }
        address = reverse("api-walk", args=[farm.slug, walk_id or uuid4()])
        return client.put(address, body | changes, content_type="application/json")

    return put


def test_the_answer_echoes_the_id_and_says_what_it_comes_to(put):
    walk_id = uuid4()
    answer = put(walk_id, new_name="Creek")
    assert answer.status_code == 201
    said = answer.json()
    assert (said["id"], said["state"], said["new_name"]) == (str(walk_id), "waiting", "Creek")
    comes_to = said["comes_to"]
    assert comes_to["margin_acres"] == pytest.approx(comes_to["perimeter_m"] * 4 / 4046.8564224)
    assert comes_to["geometry"]["type"] == "MultiPolygon"
    assert said["refused"] is None


def test_again_200_other_points_409(put):
    walk_id = uuid4()
    codes = [
        put(walk_id).status_code,
        put(walk_id, sent_at="2026-11-04T00:00:00Z").status_code,
        put(walk_id, fixes=square_walk(80)).status_code,
    ]
    assert codes == [201, 200, 409]
    assert Walk.objects.count() == 1


def test_somebody_elses_walk_is_answered_with_its_own_code(put, owner):
    answer = put(recorded_by=owner.pk)
    assert (answer.status_code, answer.json()["error"]["code"]) == (409, "other_person")


def test_a_walk_that_is_no_loop_is_taken_and_the_reason_said(put):
    said = put(fixes=square_walk()[:150]).json()
    assert said["comes_to"] is None
    assert "not a loop" in said["refused"]


def test_the_plot_of_another_property_is_not_there(put, make_plot, elsewhere):
    assert put(plot_id=make_plot(property=elsewhere).pk).status_code == 404


@pytest.mark.parametrize(
    "wrong",
    [
        {"started_at": "yesterday"},
        {"fixes": "x"},
        {"note": "n" * 301},
        {"new_name": "a\x00b"},
        {"plot_id": 2**63},
    ],
    ids=lambda value: next(iter(value)),
)
def test_what_cannot_be_used_is_400_with_a_sentence(put, wrong):
    answer = put(**wrong)
    assert answer.status_code == 400
    assert answer.json()["error"]["message"]


def test_the_largest_walk_fits(put):
    """20,000 points of every digit that a phone gives."""
    corners = [(0, 0), (90, 0), (90, 90), (0, 90)]
    fixes = as_sent(fixes_at(way_round(corners, step_m=0.018), accuracy_m=4.123456789))
    assert len(fixes) == MOST_FIXES
    said = put(fixes=fixes).json()
    assert said["comes_to"]["acres"] == pytest.approx(2.0, rel=0.02)


def test_accepted_it_names_the_boundary(client, put, farm, manager, make_plot):
    plot = make_plot()
    walk_id = put(plot_id=plot.pk).json()["id"]
    client.force_login(manager)
    address = reverse("api-walk-accept", args=[farm.slug, walk_id])
    body = {"replaces": plot.boundary_id, "worst_accuracy_m": 8, "tolerance_m": 1, "is_sure": True}
    said = client.post(address, body, content_type="application/json").json()
    plot.refresh_from_db()
    assert (said["state"], said["boundary_id"], said["plot"]) == ("accepted", plot.boundary_id, "North Bench")
    assert plot.boundary.how == Boundary.How.WALKED


def test_accepted_over_a_boundary_that_has_changed_it_is_told(client, put, farm, manager, make_plot):
    plot = make_plot()
    walk_id = put(plot_id=plot.pk).json()["id"]
    client.force_login(manager)
    address = reverse("api-walk-accept", args=[farm.slug, walk_id])
    answer = client.post(address, {"replaces": None, "is_sure": True}, content_type="application/json")
    assert (answer.status_code, answer.json()["error"]["code"]) == (409, "boundary_changed")


def test_set_aside_and_taken_up(client, put, farm, manager):
    walk_id = put().json()["id"]
    client.force_login(manager)
    address = reverse("api-walk-set-aside", args=[farm.slug, walk_id])
    states = [
        client.post(address, body, content_type="application/json").json()["state"]
        for body in ({}, {"is_set_aside": False})
    ]
    assert states == ["set_aside", "waiting"]


def test_the_list_asks_no_more_for_more_walks(client, put, farm):
    counts = []
    for more in (1, 5):
        for _ in range(more):
            put()
        with CaptureQueriesContext(connection) as found:
            listed = client.get(reverse("api-walks", args=[farm.slug])).json()["results"]
        counts.append(len(found))
    assert len(listed) == 6
    assert counts[0] == counts[1]
    assert not any('"fixes"' in query["sql"] for query in found)
