"""The field log on a phone: its page as the server gives it, and what it is told of a property."""

import uuid
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from fieldlog.kinds import KINDS
from fieldlog.models import PhotoPoint, Protocol, Reading, Visit


@pytest.fixture
def ask(client, farm):
    """ask(user) -> the answer with what a phone is told"""

    def ask(user):
        client.force_login(user)
        return client.get(reverse("field-facts", args=[farm.slug]))

    return ask


@pytest.fixture
def make_visit(recorder):
    def make(plot, days_ago=0, note="", **reading):
        at = timezone.now() - timedelta(days=days_ago)
        visit = Visit.objects.create(plot=plot, visited_at=at, note=note, recorded_by=recorder)
        if reading:
            Reading.objects.create(visit=visit, taken_at=at, recorded_by=recorder, **reading)
        return visit

    return make


def test_the_page_is_the_same_text_as_the_one_a_phone_keeps(client, farm, recorder):
    shell = client.get(reverse("field-shell")).text
    client.force_login(recorder)
    answer = client.get(reverse("field", args=[farm.slug]))
    assert answer.text == shell
    assert "csrftoken" in answer.cookies
    assert farm.name not in shell


def test_a_phone_is_told_who_is_there_and_what_can_be_read(ask, recorder, farm, make_plot):
    plot = make_plot("Heron Bench")
    answer = ask(recorder)
    assert answer["Cache-Control"] == "private, no-store"
    said = answer.json()
    assert (said["user"], said["property"]) == ({"id": recorder.pk, "name": "recorder"}, farm.name)
    assert said["may_record"] is True
    assert list(said["kinds"]) == list(KINDS)
    assert [(each["id"], each["properties"]["name"]) for each in said["plots"]["features"]] == [
        (plot.pk, "Heron Bench")
    ]


def test_a_bound_of_nought_reaches_the_phone(ask, recorder):
    """Without it a phone would offer a minus sign for plants that are counted."""
    steps = {each["name"]: each for each in ask(recorder).json()["kinds"]["stand"]["steps"]}
    assert steps["plants"]["least"] == 0


def test_who_only_looks_is_told_so(ask, viewer):
    assert ask(viewer).json()["may_record"] is False


def test_the_last_three_visits_of_a_plot_are_told_the_latest_first(ask, recorder, make_plot, make_visit):
    plot, other = make_plot("North"), make_plot("South", lon=-91.9)
    for days_ago in (5, 1, 9, 3):
        make_visit(plot, days_ago, note=f"{days_ago} days")
    make_visit(other, note="here")
    visits = ask(recorder).json()["visits"]
    assert [each["note"] for each in visits[str(plot.pk)]] == ["1 days", "3 days", "5 days"]
    assert [each["note"] for each in visits[str(other.pk)]] == ["here"]


def test_a_reading_is_told_in_words_and_one_that_was_replaced_is_not(ask, recorder, make_plot, make_visit):
    figures = [
        {"name": "mulch_gap_f", "label": "Gap", "value": 40.0, "error": 3.0, "unit": "°F"},
        {"name": "leaf_gap_f", "label": "Leaf", "value": None},
    ]
    visit = make_visit(make_plot(), kind="temperature", figures=figures)
    first = visit.readings.get()
    second = Reading.objects.create(
        visit=visit, taken_at=first.taken_at, recorded_by=recorder, kind="temperature", replaces=first
    )
    Reading.objects.filter(pk=first.pk).update(replaced_by=second)
    [told] = ask(recorder).json()["visits"][str(visit.plot_id)]
    assert told["readings"] == [{"kind": "Temperature", "told": "nothing that can be reckoned"}]
    Reading.objects.filter(pk=second.pk).update(figures=figures)
    [told] = ask(recorder).json()["visits"][str(visit.plot_id)]
    assert told["readings"] == [{"kind": "Temperature", "told": "Gap: 40 ± 3 °F"}]


def test_protocols_are_this_propertys_and_due_where_it_is_time(ask, owner, recorder, farm, make_plot):
    plot, other = make_plot("North"), make_plot("South", lon=-91.9)
    protocol = Protocol.objects.create(
        property=farm,
        key="soil",
        kind="soil",
        name="Soil in spring",
        every_days=30,
        on_all_plots=False,
        changed_by=owner,
    )
    protocol.plots.add(plot)
    Protocol.objects.create(
        property=farm, key="rain", kind="rain", name="Rain", is_on=False, changed_by=owner
    )
    said = ask(recorder).json()
    by_key = {each["key"]: each for each in said["protocols"]}
    assert (by_key["soil"]["name"], by_key["soil"]["plots"]) == ("Soil in spring", [plot.pk])
    assert "rain" not in by_key
    assert said["due"] == {str(plot.pk): ["soil"]}
    assert str(other.pk) not in said["due"]


def test_weeds_that_were_read_here_can_be_tapped_the_most_frequent_first(
    ask, recorder, make_plot, make_visit
):
    plot = make_plot()
    for name in ("Pigweed", "Marestail", "Marestail"):
        make_visit(plot, kind="weeds", values={"species": {"id": None, "name": name}})
    make_visit(plot, kind="weeds", values={"height_in": 4})
    weeds = ask(recorder).json()["weeds"]
    assert weeds[:2] == ["Marestail", "Pigweed"]
    assert "Johnsongrass" in weeds
    assert len(weeds) == len(set(weeds))


def test_photo_points_in_use_are_told(ask, owner, recorder, make_plot):
    plot = make_plot()
    point = PhotoPoint.objects.create(
        plot=plot, name="Gate", lon=-92.0, lat=38.0, bearing_deg=90, created_by=owner
    )
    PhotoPoint.objects.create(plot=plot, name="Old", is_archived=True, created_by=owner)
    [told] = ask(recorder).json()["photo_points"]
    assert (told["id"], told["name"], told["bearing_deg"]) == (point.pk, "Gate", 90)


def test_nothing_of_another_property_is_told(ask, stranger, recorder, elsewhere, make_plot, make_visit):
    plot = make_plot("Beyond", property=elsewhere)
    make_visit(plot, note="secret", kind="weeds", values={"species": {"id": None, "name": "Hogweed"}})
    text = ask(recorder).text
    assert "Beyond" not in text
    assert "secret" not in text
    assert "Hogweed" not in text


def test_more_plots_and_visits_take_no_more_queries(ask, recorder, make_plot, make_visit):
    def count():
        with CaptureQueriesContext(connection) as asked:
            ask(recorder)
        return len(asked)

    make_visit(make_plot("A"), kind="soil")
    ask(recorder)
    few = count()
    for i in range(8):
        plot = make_plot(f"B{i}", lon=-91 + i / 10)
        make_visit(plot, kind="soil")
        make_visit(plot, 2, kind=f"k{uuid.uuid4().hex[:4]}")
    assert count() == few
