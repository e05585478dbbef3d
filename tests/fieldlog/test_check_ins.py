"""Working alone: by the service and the API as a phone says it, and on the pages of the desk."""

import itertools
import json
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from config.errors import Refused
from fieldlog.models import CheckIn
from fieldlog.queries.check_ins import out_now, overdue_for
from fieldlog.services.check_ins import LONGEST, end_check_in, receive_check_in

HOUR = timedelta(hours=1)


@pytest.fixture
def began_at():
    return timezone.now().replace(microsecond=0) - HOUR


@pytest.fixture
def out(farm, recorder, began_at):
    """out(back_by=…) -> the check-in; person, times and the rest can be said."""

    def out(**said):
        said = {"property": farm, "user": recorder, "began_at": began_at, "back_by": began_at + HOUR} | said
        return receive_check_in(**{"id": uuid4()} | said)[0]

    return out


@pytest.fixture
def phone(client, recorder, farm):
    """phone(id, **body) -> the answer to the recorder, or to `person`."""

    def send(check_in_id, person=recorder, **body):
        client.force_login(person)
        address = f"/api/v1/properties/{farm.slug}/check-ins/{check_in_id}/"
        return client.put(address, json.dumps(body), "application/json")

    return send


def said(began_at, **more):
    return {"began_at": began_at.isoformat(), "back_by": (began_at + 2 * HOUR).isoformat()} | {
        name: value.isoformat() if hasattr(value, "isoformat") else value for name, value in more.items()
    }


def test_sent_twice_it_is_one_and_what_came_first_stays(phone, began_at, make_plot):
    plot, check_in_id = make_plot(), uuid4()
    body = said(began_at, plot_id=plot.pk, lon=-92.0, lat=38.0, accuracy_m=4.0, note="North gate")
    first, again = (
        phone(check_in_id, **body),
        phone(check_in_id, **body | {"note": "Elsewhere", "plot_id": None}),
    )
    assert (first.status_code, again.status_code) == (201, 200)
    stored = CheckIn.objects.get()
    assert (stored.plot, stored.note, stored.lon, stored.ended_at) == (plot, "North gate", -92.0, None)
    assert again.json()["id"] == str(check_in_id)


def test_in_whichever_order_requests_come_the_end_is_the_same(out, began_at):
    late, later = began_at + 2 * HOUR, began_at + 3 * HOUR
    ended_at = began_at + timedelta(minutes=50)
    sendings = [{}, {"back_by": late}, {"back_by": later}, {"back_by": later, "ended_at": ended_at}]
    for order in itertools.permutations(sendings):
        check_in_id = uuid4()
        for each in order:
            check_in = out(id=check_in_id, **each)
        assert (check_in.back_by, check_in.ended_at) == (later, ended_at)


def test_a_clock_that_is_a_day_ahead_is_put_right(phone, began_at):
    ahead = timedelta(days=1, minutes=3)
    body = said(began_at + ahead, sent_at=timezone.now() + ahead)
    assert phone(uuid4(), **body).status_code == 201
    assert abs(CheckIn.objects.get().began_at - began_at) <= timedelta(seconds=2)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"back_by": timedelta(0)}, "back_by"),
        ({"back_by": LONGEST + timedelta(seconds=1)}, "back_by"),
        ({"ended_at": -timedelta(seconds=1)}, "ended_at"),
        ({"began_at": timedelta(days=3), "back_by": timedelta(days=3, hours=1)}, "began_at"),
    ],
)
def test_moments_in_no_order_are_refused_at_their_field(out, began_at, wrong, field):
    with pytest.raises(Refused) as refused:
        out(**{name: began_at + after for name, after in wrong.items()})
    assert list(refused.value.fields) == [field]
    assert "accepted" in refused.value.sentence


def test_half_a_place_and_a_plot_of_others_are_refused(out, make_plot, elsewhere):
    for name, value in {"place": {"lon": -92.0}, "plot": make_plot("Theirs", property=elsewhere)}.items():
        with pytest.raises(Refused):
            out(**{name: value})


def test_nobody_speaks_for_another_or_reaches_another_property(
    phone, out, owner, began_at, elsewhere, stranger
):
    check_in = out()
    as_recorded = phone(uuid4(), person=owner, **said(began_at, recorded_by=check_in.user_id))
    on_theirs = phone(check_in.pk, person=owner, **said(began_at))
    assert [each.json()["error"]["code"] for each in (as_recorded, on_theirs)] == ["other_person"] * 2
    theirs = out(property=elsewhere, user=stranger)
    assert phone(theirs.pk, **said(began_at)).status_code == 404


def test_who_is_overdue_has_not_come_back_and_their_time_has_passed(out, farm, began_at):
    late = out()
    out(back_by=began_at + 3 * HOUR)
    out(ended_at=began_at + HOUR / 2)
    assert list(overdue_for(farm)) == [late]
    assert out_now(farm).count() == 2
    assert late.is_overdue


def test_at_the_desk_somebody_says_that_they_are_back_once(client, out, manager, recorder, farm):
    check_in = out()
    client.force_login(manager)
    page = client.get(reverse("safety", args=[farm.slug])).content.decode()
    assert "should be back" in page
    client.post(reverse("check-in-end", args=[farm.slug, check_in.pk]))
    first = CheckIn.objects.get()
    end_check_in(check_in=check_in, user=recorder)
    check_in.refresh_from_db()
    assert (check_in.ended_at, check_in.ended_by) == (first.ended_at, manager)
    assert "Nobody has said" in client.get(reverse("safety", args=[farm.slug])).content.decode()


def test_who_is_back_by_another_word_stays_back_when_the_phone_speaks_late(out, manager, began_at):
    check_in = out()
    end_check_in(check_in=check_in, user=manager)
    again = out(id=check_in.pk, back_by=began_at + 2 * HOUR)
    assert again.ended_by == manager
    assert not again.is_overdue


def test_the_page_asks_as_often_for_many_as_for_few(
    client, out, manager, farm, make_plot, django_assert_max_num_queries
):
    client.force_login(manager)
    plot = make_plot()
    for _ in range(30):
        out(plot=plot)
        out(plot=plot, ended_at=timezone.now())
    with django_assert_max_num_queries(12):
        assert client.get(reverse("safety", args=[farm.slug])).status_code == 200


def test_who_is_late_stands_on_the_plots_page_and_only_they(client, out, viewer, farm, began_at, make_plot):
    client.force_login(viewer)
    plot = make_plot("North Bench")
    overview = reverse("overview", args=[farm.slug])
    out(plot=plot, back_by=began_at + 2 * HOUR)
    assert "was to be back by" not in client.get(overview).content.decode()
    out(plot=plot)
    page = client.get(overview).content.decode()
    assert "recorder was to be back by" in page
    assert reverse("plot", args=[farm.slug, plot.pk]) in page
