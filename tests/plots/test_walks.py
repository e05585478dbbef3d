"""Walks, from the phone to a boundary."""

import copy
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.http import Http404

from config.errors import Conflict, Refused
from plots.models import Boundary, Walk
from plots.services.boundaries import BoundaryChanged, Questioned, set_boundary
from plots.services.recorders import OtherPerson
from plots.services.walks import (
    MOST_FIXES,
    accept_walk,
    receive_walk,
    set_walk_aside,
    walked_of,
)
from tests.walking import DENT_M, as_sent, fixes_at, square_walk, way_along, way_round

STARTED_AT = datetime(2026, 11, 3, 14, 5, tzinfo=UTC)
FIXES = square_walk()
SQUARE_ACRES = 90 * 90 / 4046.8564224  # by definition


@pytest.fixture
def send(farm, recorder):
    """send(**changes) -> (walk, is_new)"""

    def send(**changes):
        sent = {
            "property": farm,
            "user": recorder,
            "walk_id": uuid4(),
            "fixes": copy.deepcopy(FIXES),
            "started_at": STARTED_AT,
            "sent_at": STARTED_AT + timedelta(minutes=30),
        }
        return receive_walk(**sent | changes)

    return send


@pytest.fixture
def walk(send):
    return send(new_name="Creek")[0]


def test_a_walk_is_stored_as_it_came(send, recorder):
    walk, is_new = send(new_name="  Creek   bottom ", note=" wet corner left out ")
    walk.refresh_from_db()
    assert is_new
    assert (walk.fixes, walk.started_at, walk.created_by) == (FIXES, STARTED_AT, recorder)
    assert (walk.new_name, walk.note, walk.state) == ("Creek bottom", "wet corner left out", "waiting")


def test_sent_again_it_is_the_same_walk(send):
    walk, _ = send()
    again, is_new = send(walk_id=walk.pk, sent_at=STARTED_AT + timedelta(hours=3))
    assert (again, is_new) == (walk, False)
    assert Walk.objects.count() == 1


def test_sent_again_after_it_became_a_boundary_it_is_still_the_same(send, walk, manager):
    accept_walk(walk=walk, user=manager, new_name="Creek", worst_accuracy_m=20, tolerance_m=4)
    assert send(walk_id=walk.pk, new_name="Creek")[1] is False


@pytest.mark.parametrize(
    "other",
    [{"fixes": FIXES[:-1]}, {"started_at": STARTED_AT + timedelta(seconds=1)}],
    ids=["fixes", "start"],
)
def test_an_id_with_other_points_is_a_conflict(send, other):
    walk, _ = send()
    with pytest.raises(Conflict, match="walk with other points"):
        send(walk_id=walk.pk, **other)
    assert Walk.objects.get().fixes == FIXES


def test_the_id_of_another_propertys_walk_is_nothing_here(send, elsewhere, stranger):
    walk, _ = send()
    with pytest.raises(Http404):
        send(walk_id=walk.pk, property=elsewhere, user=stranger)


def test_a_walk_of_somebody_else_is_not_taken_for_ones_own(send, manager):
    with pytest.raises(OtherPerson, match="sign in as the person who did"):
        send(recorded_by=manager.pk)
    assert not Walk.objects.exists()


def test_another_propertys_plot_is_refused(send, elsewhere, make_plot):
    with pytest.raises(Refused, match="another property"):
        send(plot=make_plot(property=elsewhere))


def changed(place, value):
    fixes = copy.deepcopy(FIXES)
    fixes[4][place] = value
    return fixes


@pytest.mark.parametrize(
    ("fixes", "sentence"),
    [
        ([], "The walk has no points"),
        (None, "The walk has no points"),
        ({"a": 1}, "The walk has no points"),
        ([FIXES[0]] * (MOST_FIXES + 1), "has 20,001 points; at most 20,000"),
        (changed(0, 180.5), "The longitude of point 5 is 180.5; accepted is -180 to 180"),
        (changed(1, -91), "The latitude of point 5 is -91"),
        (changed(2, 0), "The accuracy in metres of point 5 is 0;"),
        (changed(3, -1), "The milliseconds since the start of point 5 is -1"),
        (changed(4, 0.5), "Point 5 is of stretch 0.5 after stretch 0"),
        (changed(4, 1), "Point 6 is of stretch 0 after stretch 1"),
        (changed(0, "-92"), "Point 5 is ['-92'"),
        (changed(0, True), "Point 5 is [True"),
        (changed(0, None), "Point 5 is [None"),
        (changed(0, float("nan")), "Point 5 is [nan"),
        (changed(3, 10**400), "The milliseconds since the start of point 5 is 1000"),
        ([*FIXES[:4], FIXES[4][:4]], "Point 5 is ["),
        ([*FIXES[:4], "x"], "Point 5 is x"),
    ],
    ids=lambda value: value[:40] if isinstance(value, str) else "",
)
def test_fixes_that_cannot_be_used_are_refused_by_name_and_value(send, fixes, sentence):
    with pytest.raises(Refused) as refused:
        send(fixes=fixes)
    assert sentence in refused.value.sentence
    assert not Walk.objects.exists()


@pytest.mark.parametrize(
    ("limits", "sentence"),
    [
        ({"worst_accuracy_m": 0}, "The worst accuracy is 0 m; accepted is 0.1 to 200 m."),
        ({"worst_accuracy_m": float("nan")}, "The worst accuracy is nan m"),
        ({"tolerance_m": 51}, "The tolerance is 51 m; accepted is 0.1 to 50 m."),
    ],
)
def test_limits_out_of_range_are_refused(send, limits, sentence):
    with pytest.raises(Refused, match=sentence):
        send(**limits)


def test_other_limits_are_tried_without_being_stored(send):
    walk, _ = send(fixes=as_sent(fixes_at(way_round(DENT_M), accuracy_m=12)))
    with pytest.raises(Refused, match=r"No outline comes of this walk: 0 of 404 points are left"):
        walked_of(walk)
    assert walked_of(walk, worst_accuracy_m=15).acres > 2
    walk.refresh_from_db()
    assert walk.worst_accuracy_m == 10


def test_accepted_for_a_new_plot_it_is_its_boundary_with_accuracy(walk, manager):
    boundary = accept_walk(walk=walk, user=manager, new_name="Creek", why="First walk")
    assert (boundary.plot.name, boundary.how, boundary.created_by) == ("Creek", "walked", manager)
    assert boundary.acres == pytest.approx(SQUARE_ACRES, rel=0.02)
    assert boundary.accuracy_m == 4
    assert boundary.margin_acres == pytest.approx(boundary.perimeter_m * 4 / 4046.8564224)
    walk.refresh_from_db()
    assert (walk.state, walk.boundary, walk.plot) == ("accepted", boundary, boundary.plot)


def test_accepted_for_a_plot_its_earlier_boundary_stays(send, manager, make_plot):
    plot = make_plot()
    before = plot.boundary
    walk, _ = send(plot=plot, note="after clearing")
    accept_walk(walk=walk, user=manager, plot=plot, replaces=before.pk, worst_accuracy_m=20, tolerance_m=1)
    plot.refresh_from_db()
    assert plot.boundary.why == "after clearing"
    assert list(plot.boundaries.all()) == [plot.boundary, before]
    walk.refresh_from_db()
    assert (walk.worst_accuracy_m, walk.tolerance_m) == (20, 1)


def test_accepted_twice_it_is_one_boundary(walk, manager):
    accept_walk(walk=walk, user=manager, new_name="Creek")
    with pytest.raises(Conflict, match="become a boundary of Creek already"):
        accept_walk(walk=walk, user=manager, new_name="Creek too")
    assert Boundary.objects.count() == 1


def test_a_boundary_that_somebody_changed_meanwhile_is_not_replaced_unseen(send, manager, owner, make_plot):
    plot = make_plot()
    seen = plot.boundary_id
    set_boundary(plot=plot, geometry=plot.boundary.geometry, user=owner, how=Boundary.How.DRAWN)
    walk, _ = send(plot=plot)
    with pytest.raises(BoundaryChanged):
        accept_walk(walk=walk, user=manager, plot=plot, replaces=seen)
    walk.refresh_from_db()
    assert walk.state == "waiting"


def test_a_walk_far_from_the_property_is_questioned(walk, manager, make_plot):
    make_plot(lon=-95.0)
    with pytest.raises(Questioned, match="km"):
        accept_walk(walk=walk, user=manager, new_name="Creek", is_sure=False)
    assert accept_walk(walk=walk, user=manager, new_name="Creek", is_sure=True).pk


@pytest.mark.parametrize("name", ["", "North Bench"], ids=["none", "taken"])
def test_a_new_plot_wants_a_name_of_its_own(walk, manager, make_plot, name):
    make_plot()
    with pytest.raises(Refused):
        accept_walk(walk=walk, user=manager, new_name=name)
    walk.refresh_from_db()
    assert walk.state == "waiting"


def test_a_track_that_is_no_loop_is_kept_and_not_accepted(send, manager):
    walk, is_new = send(fixes=as_sent(fixes_at(way_along([(0, 0), (100, 0), (100, 100)]))))
    assert is_new
    with pytest.raises(Refused, match="not a loop"):
        accept_walk(walk=walk, user=manager, new_name="Creek")


def test_set_aside_and_taken_up_again(walk, manager):
    assert set_walk_aside(walk=walk).state == "set_aside"
    assert set_walk_aside(walk=walk, is_set_aside=False).state == "waiting"
    accept_walk(walk=walk, user=manager, new_name="Creek")
    with pytest.raises(Conflict):
        set_walk_aside(walk=walk)
