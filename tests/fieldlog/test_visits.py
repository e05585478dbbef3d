"""Recording visits: by the services, by the API as a phone does it, and on the plot's page."""

import json
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.db.models.signals import post_init
from django.urls import reverse
from django.utils import timezone

from config.errors import Conflict, Refused
from fieldlog.models import Visit
from fieldlog.queries.visits import last_visits, latest_visits
from fieldlog.services.visits import LONGEST_NOTE, correct_visit, record_visit
from fieldlog.templatetags.visits import days_ago
from plots.services.plots import archive_plot
from tests.conftest import person

WHEN = datetime(2026, 4, 20, 16, 5, tzinfo=UTC)


@pytest.fixture
def plot(make_plot):
    return make_plot()


@pytest.fixture
def record(plot, recorder):
    """record(note="…") -> the stored visit; the plot, person and day can be said."""

    def record(**said):
        said = {"id": uuid4(), "plot": plot, "user": recorder, "visited_at": WHEN, "note": "Up."} | said
        return record_visit(**said)[0]

    return record


@pytest.fixture
def phone(client, recorder, farm):
    """phone(method, visit id, **body) -> the answer to the recorder."""
    client.force_login(recorder)

    def send(method, visit_id="", person=None, **body):
        if person:
            client.force_login(person)
        address = f"/api/v1/properties/{farm.slug}/visits/" + (f"{visit_id}/" if visit_id else "")
        if method == "GET":
            return client.get(address, body)
        return client.generic(method, address, json.dumps(body), "application/json")

    return send


def test_visit_is_kept_to_the_second_with_its_note(record, recorder):
    visit = record(visited_at=WHEN.replace(microsecond=123456), note="  Browsed.\n")
    visit.refresh_from_db()
    assert (visit.visited_at, visit.note, visit.recorded_by) == (WHEN, "Browsed.", recorder)


def test_the_same_visit_again_is_the_same_visit(record):
    visit = record()
    again, is_new = record_visit(
        id=visit.pk, plot=visit.plot, user=visit.recorded_by, visited_at=WHEN, note="Up."
    )
    assert (again.pk, is_new, Visit.objects.count()) == (visit.pk, False, 1)


@pytest.mark.parametrize(
    "other", [{"note": "Down."}, {"visited_at": WHEN + timedelta(minutes=1)}, {"plot": 1}, {"user": 1}]
)
def test_an_id_that_says_something_else_is_a_conflict(record, make_plot, owner, other):
    visit = record()
    if "plot" in other:
        other = {"plot": make_plot("Another", lon=-92.1)}
    if "user" in other:
        other = {"user": owner}
    with pytest.raises(Conflict, match=str(visit.pk)):
        record(id=visit.pk, **other)
    assert Visit.objects.get().note == "Up."


def test_two_sendings_at_once_record_one_visit(record, plot, recorder):
    """The other is stored between this one's look and its write."""
    id = uuid4()

    def other_is_stored(instance, **how):
        post_init.disconnect(other_is_stored, Visit)
        Visit.objects.create(id=id, plot=plot, recorded_by=recorder, visited_at=WHEN, note="Up.")

    post_init.connect(other_is_stored, Visit)
    visit, is_new = record_visit(id=id, plot=plot, user=recorder, visited_at=WHEN, note="Up.")
    assert (visit.pk, is_new, Visit.objects.count()) == (id, False, 1)


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"visited_at": datetime(1949, 12, 31, 23, 59, tzinfo=UTC)}, "1949-12-31 23:59; from 1950"),
        ({"note": "x" * (LONGEST_NOTE + 1)}, "5,001 characters; at most 5,000"),
        ({"note": "a\x00b"}, "NUL"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(record, said, sentence):
    with pytest.raises(Refused, match=sentence):
        record(**said)
    assert not Visit.objects.exists()


def test_a_clock_that_is_hours_ahead_is_believed_and_one_that_is_days_ahead_is_not(record):
    record(visited_at=timezone.now() + timedelta(hours=23))
    with pytest.raises(Refused, match="a day ahead"):
        record(visited_at=timezone.now() + timedelta(hours=25))


def test_correcting_keeps_what_was_written_first(record, manager):
    visit = record(note="Turnips up.")
    correct_visit(visit=visit, user=manager, visited_at=WHEN, note="Radishes up.")
    correct_visit(visit=visit, user=manager, visited_at=WHEN - timedelta(days=1), note="Radish up.")
    visit.refresh_from_db()
    assert (visit.note, visit.corrected_by) == ("Radish up.", manager)
    assert visit.first_said == {"visited_at": WHEN.isoformat(), "note": "Turnips up."}


def test_a_correction_that_changes_nothing_is_none(record, manager):
    visit = correct_visit(visit=record(), user=manager, visited_at=WHEN, note="Up. ")
    assert (visit.first_said, visit.corrected_at) == (None, None)


def test_a_phone_that_sends_a_corrected_visit_again_is_told_that_it_is_here(record, manager):
    visit = record()
    correct_visit(visit=visit, user=manager, visited_at=WHEN, note="Down.")
    again = record(id=visit.pk)
    assert (again.pk, again.note) == (visit.pk, "Down.")


def test_last_visits_names_the_latest_of_each_plot_in_one_query(
    record, plot, make_plot, farm, elsewhere, stranger, django_assert_num_queries
):
    second, never = make_plot("Second", lon=-92.1), make_plot("Never", lon=-92.2)
    far = make_plot("Far", property=elsewhere)
    record(plot=far, user=stranger)
    for days in (3, 1, 2):
        record(visited_at=WHEN - timedelta(days=days))
        record(plot=second, visited_at=WHEN - timedelta(days=days + 10))
    with django_assert_num_queries(1):
        found = last_visits(farm)
    assert found == {plot.pk: WHEN - timedelta(days=1), second.pk: WHEN - timedelta(days=11)}
    assert never.pk not in found


def test_a_page_shows_the_last_few_and_how_many_there_are(record, plot):
    assert latest_visits(plot) == {"visits": [], "visit_count": 0}
    for days in range(6):
        record(visited_at=WHEN - timedelta(days=days))
    found = latest_visits(plot)
    assert found["visit_count"] == 6
    assert [visit.visited_at for visit in found["visits"]] == [WHEN - timedelta(days=day) for day in range(4)]


@pytest.mark.parametrize(
    ("ago", "words"),
    [
        (timedelta(hours=-5), "today"),
        (timedelta(0), "today"),
        (timedelta(days=1), "yesterday"),
        (timedelta(days=12), "12 days ago"),
        (timedelta(days=1500), "1,500 days ago"),
    ],
)
def test_days_ago_in_words(ago, words):
    assert days_ago(timezone.now() - ago) == words


# --- as a phone sends them


def test_put_records_once_and_answers_the_same_again(phone, plot):
    id, said = uuid4(), {"plot_id": plot.pk, "visited_at": "2026-04-20T11:05:00-05:00", "note": "Up."}
    first, again = phone("PUT", id, **said), phone("PUT", id, **said)
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    assert first.json() | {"received_at": None} == {
        "id": str(id),
        "plot_id": plot.pk,
        "plot": "North Bench",
        "visited_at": "2026-04-20T16:05:00Z",
        "note": "Up.",
        "recorded_by": "recorder",
        "received_at": None,
        "corrected_at": None,
        "why_corrected": "",
        **dict.fromkeys(["said_at", "sent_at", "clock_ahead_s", "lon", "lat", "accuracy_m"]),
        "readings": [],
        "photos": [],
        "refused": [],
    }
    assert phone("GET", id).json() | {"refused": []} == first.json()
    other = phone("PUT", id, **said | {"note": "Down."})
    assert (other.status_code, other.json()["error"]["code"]) == (409, "conflict")


def test_put_on_an_archived_plot_is_not_lost(phone, plot):
    archive_plot(plot=plot)
    assert phone("PUT", uuid4(), plot_id=plot.pk, visited_at="2026-04-20T16:05Z").status_code == 201


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"visited_at": "yesterday"}, "visited_at"),
        ({"visited_at": "9999-12-31T23:59:59-12:00"}, "visited_at"),
        ({"visited_at": "0001-01-01T00:00:00+14:00"}, "visited_at"),
        ({"visited_at": None}, "visited_at"),
        ({"note": "x" * 5001}, "note"),
        ({"note": "a\x00"}, "note"),
        ({"note": ["a"]}, "note"),
        ({"plot_id": 10**30}, "plot_id"),
        ({"plot_id": "x"}, "plot_id"),
    ],
)
def test_put_refuses_by_the_field(phone, plot, said, field):
    answer = phone("PUT", uuid4(), **{"plot_id": plot.pk, "visited_at": "2026-04-20T16:05:00Z"} | said)
    assert answer.status_code == 400
    assert list(answer.json()["error"]["fields"]) == [field]


def test_another_propertys_plot_or_visit_is_not_reached(phone, record, make_plot, elsewhere, stranger):
    far = make_plot("Far", property=elsewhere)
    theirs = record(plot=far, user=stranger)
    said = {"visited_at": "2026-04-20T16:05:00Z"}
    assert phone("PUT", uuid4(), plot_id=far.pk, **said).status_code == 404
    assert phone("GET", theirs.pk).status_code == 404
    assert phone("PATCH", theirs.pk, note="Mine.").status_code == 404
    assert phone("GET", plot=far.pk).json()["results"] == []


def test_their_id_used_again_here_says_nothing_of_their_visit(
    phone, plot, record, make_plot, elsewhere, stranger
):
    theirs = record(plot=make_plot("Far", property=elsewhere), user=stranger, note="Secret.")
    answer = phone("PUT", theirs.pk, plot_id=plot.pk, visited_at="2026-04-20T16:05:00Z", note="Secret.")
    assert answer.status_code == 404
    assert "Far" not in answer.text
    assert "stranger" not in answer.text


def test_list_is_the_latest_first_and_chosen_by_plot_and_period(phone, record, plot, make_plot):
    second = make_plot("Second", lon=-92.1)
    for day in range(1, 5):
        record(visited_at=datetime(2026, 4, day, 12, tzinfo=UTC), note=f"North {day}")
        record(plot=second, visited_at=datetime(2026, 4, day, 18, tzinfo=UTC), note=f"Second {day}")

    def notes(**asked):
        return [each["note"] for each in phone("GET", **asked).json()["results"]]

    assert notes()[:3] == ["Second 4", "North 4", "Second 3"]
    assert notes(plot=plot.pk) == ["North 4", "North 3", "North 2", "North 1"]
    assert notes(since="2026-04-03", until="2026-04-03") == ["Second 3", "North 3"]
    assert notes(since="2026-04-04T12:00:01Z") == ["Second 4"]
    assert notes(until="2026-04-01T07:00:00-05:00") == ["North 1"]
    assert phone("GET", limit=2).json()["count"] == 8


@pytest.mark.parametrize("text", ["soon", "2026-02-30", "2026-04-20T25:00", "0001-01-01T00:00:00+14:00", ""])
def test_a_period_that_is_none_is_refused(phone, text):
    answer = phone("GET", since=text)
    assert answer.status_code == 400
    assert "2026-11-20" in answer.json()["error"]["message"]


def test_who_recorded_it_and_who_edits_may_correct_and_no_other(phone, record, recorder, manager, farm):
    visit = record()
    second = person("second", farm, "recorder")
    assert phone("PATCH", visit.pk, person=second, note="Mine.").status_code == 403
    assert phone("PATCH", visit.pk, person=recorder, note="Browsed.").json()["note"] == "Browsed."
    answer = phone("PATCH", visit.pk, person=manager, visited_at="2026-04-19T16:05:00Z").json()
    assert (answer["note"], answer["visited_at"]) == ("Browsed.", "2026-04-19T16:05:00Z")
    assert answer["corrected_at"]


# --- on the pages


@pytest.fixture
def browser(client, recorder):
    client.force_login(recorder)
    return client


def address(name, farm, *args):
    return reverse(name, args=[farm.slug, *args])


def test_a_visit_is_recorded_on_the_plots_page_once_however_often_it_is_sent(browser, farm, plot):
    page = browser.get(address("visit-new", farm, plot.pk))
    id = page.context["form"]["id"].value()
    said = {"id": id, "visited_at": "2026-04-20T16:05", "note": "Clover <b>thin</b>."}
    for _ in range(2):
        answer = browser.post(address("visit-new", farm, plot.pk), said, follow=True)
        assert answer.redirect_chain[-1][0] == address("plot", farm, plot.pk)
    assert Visit.objects.count() == 1
    assert "Clover &lt;b&gt;thin&lt;/b&gt;." in answer.text
    assert "20 Apr 2026" in answer.text


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"visited_at": ""}, "has no day and time"),
        ({"visited_at": "soon"}, "not a day and time"),
        ({"visited_at": "2090-01-01T10:00"}, "a day ahead"),
        ({"note": "x" * 5001}, "at most 5000"),
    ],
)
def test_a_visit_that_cannot_be_is_refused_and_what_was_typed_kept(browser, farm, plot, said, sentence):
    said = {"visited_at": "2026-04-20T16:05", "note": "Typed."} | said
    page = browser.post(address("visit-new", farm, plot.pk), said)
    assert sentence in page.text
    assert said["note"] in page.text
    assert not Visit.objects.exists()


def test_a_visit_is_corrected_and_its_seconds_are_no_correction(browser, farm, record):
    visit = record(visited_at=WHEN.replace(second=42))
    shown = browser.get(address("visit-edit", farm, visit.pk)).context["form"]
    said = {"visited_at": shown["visited_at"].value().strftime("%Y-%m-%dT%H:%M"), "note": "Up."}
    browser.post(address("visit-edit", farm, visit.pk), said)
    visit.refresh_from_db()
    assert (visit.corrected_at, visit.visited_at.second) == (None, 42)
    answer = browser.post(address("visit-edit", farm, visit.pk), said | {"note": "Down."}, follow=True)
    assert "Down." in answer.text
    assert "Corrected" in answer.text
    assert "Up." in browser.get(address("visit-edit", farm, visit.pk)).text


def test_only_recorders_are_offered_the_form_and_only_authors_a_correction(
    client, farm, plot, record, viewer, owner
):
    record(user=owner)
    new, edit = address("visit-new", farm, plot.pk), address("visit-edit", farm, Visit.objects.get().pk)

    def offered(person):
        client.force_login(person)
        page = client.get(address("plot", farm, plot.pk)).text
        return new in page, edit in page

    assert offered(viewer) == (False, False)
    assert offered(owner) == (True, True)


def test_all_visits_have_a_page_that_is_paged(browser, farm, plot, record, django_assert_max_num_queries):
    for days in range(60):
        record(visited_at=WHEN - timedelta(days=days), note=f"Walk {days}.")
    with django_assert_max_num_queries(12):
        page = browser.get(address("visits", farm, plot.pk))
    assert "Walk 49." in page.text
    assert "Walk 50." not in page.text
    assert "Walk 59." in browser.get(address("visits", farm, plot.pk), {"page": 2}).text
    assert "All <" in browser.get(address("plot", farm, plot.pk)).text
