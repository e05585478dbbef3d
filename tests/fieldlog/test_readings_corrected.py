"""Readings put right, struck and chosen between; a visit that was booked on the wrong plot."""

import json
from uuid import uuid4

import pytest
from django.utils import timezone

from config.errors import Conflict, Refused
from fieldlog.models import Reading
from fieldlog.queries.visit_log import conflicts_of, readings_shown
from fieldlog.services.protocols import change_protocol
from fieldlog.services.reading_versions import choose_reading, correct_reading, strike_reading
from fieldlog.services.said import SaidVisit
from fieldlog.services.taking_in import take_in
from fieldlog.services.visits import correct_visit
from tests.conftest import person


@pytest.fixture
def visit(make_plot, recorder):
    reading = {"id": uuid4(), "kind": "temperature", "values": {"surface_f": 110, "under_f": 70}}
    said = SaidVisit(
        id=uuid4(),
        plot=make_plot(),
        visited_at=timezone.now(),
        readings=(reading,),
        place={"lon": -92, "lat": 38},
    )
    [taken] = take_in(property=said.plot.property, user=recorder, visits=[said])
    return taken.visit


@pytest.fixture
def reading(visit):
    return visit.readings.get()


def correct(reading, user, surface_f, **how):
    values = {"surface_f": surface_f, "under_f": 70}
    how = {"id": uuid4(), "why": "Misread."} | how
    return correct_reading(reading=reading, user=user, said={"values": values}, **how)


def counting():
    return set(Reading.objects.filter(Reading.COUNTS).values_list("values__surface_f", flat=True))


def test_a_correction_takes_the_place_and_keeps_what_was_there(reading, manager):
    version, is_new = correct(reading, manager, 100)
    reading.refresh_from_db()
    assert is_new
    assert (reading.counts, reading.replaced_by_id, reading.values["surface_f"]) == (False, version.pk, 110)
    assert (version.replaces_id, version.why, version.recorded_by) == (reading.pk, "Misread.", manager)
    assert (version.figures[0]["value"], version.taken_at) == (30, reading.taken_at)


def test_a_correction_keeps_the_settings_of_the_day_it_was_read(reading, manager, owner):
    """What the protocol says since is of readings to come; what is corrected of the settings is one of them."""
    change_protocol(
        property=reading.visit.plot.property,
        user=owner,
        key="temperature",
        name="Temperature",
        instructions="",
        settings={"good_gap_f": 25},
    )
    version, _ = correct(reading, manager, 100)
    assert version.settings == {"good_gap_f": 40}
    said = {"values": {"surface_f": 99}, "settings": {"good_gap_f": 30}}
    again, _ = correct_reading(reading=version, user=manager, id=uuid4(), said=said, why="")
    assert again.settings == {"good_gap_f": 30}


def test_a_correction_sent_again_is_the_same(reading, manager):
    id = uuid4()
    correct(reading, manager, 100, id=id)
    assert correct(reading, manager, 100, id=id)[1] is False
    with pytest.raises(Conflict, match=str(id)):
        correct(reading, manager, 90, id=id)
    assert counting() == {100}


def test_two_devices_correcting_one_reading_keep_both_until_one_is_chosen(reading, recorder, manager, farm):
    first, _ = correct(reading, recorder, 100)
    second, _ = correct(reading, manager, 90)
    assert (counting(), second.rival_of_id) == ({100, 90}, first.pk)
    assert [each.pk for each in conflicts_of(farm)] == [second.pk]
    choose_reading(reading=first, user=manager)
    assert counting() == {100}
    assert not conflicts_of(farm).exists()
    second.refresh_from_db()
    assert second.replaced_by_id == first.pk


def test_a_correction_of_one_rival_leaves_the_other_its_rival(reading, recorder, manager, farm):
    first, _ = correct(reading, recorder, 100)
    second, _ = correct(reading, manager, 90)
    third, _ = correct(first, recorder, 101)
    assert counting() == {101, 90}
    second.refresh_from_db()
    assert second.rival_of_id == third.pk
    choose_reading(reading=second, user=manager)
    assert counting() == {90}


def test_a_second_device_that_says_the_same_asks_nobody(reading, recorder, manager, farm):
    correct(reading, recorder, 100)
    correct(reading, manager, 100)
    assert Reading.objects.filter(Reading.COUNTS).count() == 1
    assert not conflicts_of(farm).exists()


def test_of_three_rivals_one_is_struck_and_two_still_ask(reading, recorder, manager, farm):
    first, _ = correct(reading, recorder, 100)
    correct(reading, manager, 90)
    third, _ = correct(reading, manager, 80)
    strike_reading(reading=first, user=manager)
    assert (counting(), [each.pk for each in conflicts_of(farm)]) == ({90, 80}, [third.pk])


def test_the_page_shows_what_stands_with_the_versions_before(reading, visit, recorder, manager):
    correct(correct(reading, manager, 100)[0], manager, 95)
    [one] = readings_shown(visit)
    assert one.reading.values["surface_f"] == 95
    assert [each.reading.values["surface_f"] for each in one.earlier] == [110, 100]


def test_a_struck_reading_stays_and_is_taken_up_again(reading, manager):
    strike_reading(reading=reading, user=manager)
    reading.refresh_from_db()
    assert (reading.counts, reading.struck_by, counting()) == (False, manager, set())
    with pytest.raises(Conflict, match="struck"):
        correct(reading, manager, 100)
    strike_reading(reading=reading, user=manager, is_struck=False)
    assert counting() == {110}


def test_what_was_replaced_is_neither_struck_nor_chosen(reading, manager):
    correct(reading, manager, 100)
    for act in (strike_reading, choose_reading):
        with pytest.raises(Conflict):
            act(reading=reading, user=manager)


def test_a_correction_that_cannot_be_is_refused_and_changes_nothing(reading, manager):
    with pytest.raises(Refused, match="1100 °F; a number from -60 to 250"):
        correct(reading, manager, 1100)
    assert counting() == {110}


# --- a visit on the wrong plot


def test_a_visit_moves_with_a_reason_and_takes_its_readings_along(
    visit, reading, make_plot, manager, recorder
):
    right = make_plot("South Bench", lon=-92.1)
    with pytest.raises(Refused, match="without a reason"):
        correct_visit(visit=visit, user=manager, visited_at=visit.visited_at, note="", plot=right)
    correct_visit(
        visit=visit, user=manager, visited_at=visit.visited_at, note="", plot=right, why="Wrong plot."
    )
    visit.refresh_from_db()
    assert (visit.plot, visit.why_corrected, visit.first_said["plot"]) == (
        right,
        "Wrong plot.",
        "North Bench",
    )
    assert Reading.objects.get(visit__plot=right).pk == reading.pk


def test_a_phone_that_sends_a_moved_visit_again_is_told_that_it_is_here(visit, make_plot, manager, recorder):
    was = visit.plot
    said = SaidVisit(id=visit.pk, plot=was, visited_at=visit.visited_at, place={"lon": -92, "lat": 38})
    correct_visit(
        visit=visit,
        user=manager,
        visited_at=visit.visited_at,
        note="",
        plot=make_plot("South Bench", lon=-92.1),
        why="Wrong plot.",
    )
    [taken] = take_in(property=was.property, user=recorder, visits=[said])
    assert (taken.error, taken.is_new) == (None, False)


def test_a_visit_moves_to_no_other_property(visit, make_plot, elsewhere, manager):
    far = make_plot("Far", property=elsewhere)
    with pytest.raises(Refused, match="another property"):
        correct_visit(visit=visit, user=manager, visited_at=visit.visited_at, note="", plot=far, why="No.")


# --- by the API


@pytest.fixture
def api(client, farm):
    def ask(method, path, user, body=None):
        client.force_login(user)
        address = f"/api/v1/properties/{farm.slug}/{path}"
        return client.generic(method, address, json.dumps(body or {}), "application/json")

    return ask


def test_the_api_corrects_strikes_and_chooses(api, reading, recorder, manager):
    id, other = uuid4(), uuid4()
    body = {"replaces": str(reading.pk), "values": {"surface_f": 100}, "why": "Misread."}
    assert api("PUT", f"readings/{id}/", recorder, body).status_code == 201
    assert api("PUT", f"readings/{id}/", recorder, body).status_code == 200
    rival = api("PUT", f"readings/{other}/", manager, body | {"values": {"surface_f": 90}}).json()
    assert (rival["rival_of"], rival["counts"], rival["why"]) == (str(id), True, "Misread.")
    assert api("POST", f"readings/{other}/choose/", manager).json()["counts"]
    assert api("GET", f"readings/{id}/", manager).json()["replaced_by"] == str(other)
    assert api("POST", f"readings/{other}/strike/", manager).json()["counts"] is False
    assert api("POST", f"readings/{other}/strike/", manager, {"is_struck": False}).json()["counts"]


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"values": {"surface_f": "hot"}}, "values.surface_f"),
        ({"values": {"nonsense": 1}}, "values.nonsense"),
        ({"values": []}, "values"),
        ({"sure_of": ["nonsense"]}, "sure_of"),
        ({"why": "x" * 301}, "why"),
    ],
)
def test_the_api_refuses_by_the_field(api, reading, manager, said, field):
    body = {"replaces": str(reading.pk), "values": {"surface_f": 100}} | said
    answer = api("PUT", f"readings/{uuid4()}/", manager, body)
    assert answer.status_code == 400
    assert list(answer.json()["error"]["fields"]) == [field]


def test_somebody_else_who_records_corrects_nothing_and_a_stranger_finds_nothing(
    api, reading, farm, stranger
):
    body = {"replaces": str(reading.pk), "values": {"surface_f": 100}}
    second = person("second", farm, "recorder")
    assert api("PUT", f"readings/{uuid4()}/", second, body).status_code == 403
    assert api("POST", f"readings/{reading.pk}/strike/", second).status_code == 403
    assert api("PUT", f"readings/{uuid4()}/", stranger, body).status_code == 404
