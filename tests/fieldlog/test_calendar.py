"""Work in a calendar: what icalendar reads of it, how it lies on the wire, and who reads nothing."""

import re
from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from icalendar import Calendar

from fieldlog.models import CalendarFeed, WorkItem
from fieldlog.services.feeds import end_feed, make_feed
from fieldlog.services.work import add_work, change_work, drop_work
from fieldlog.services.work_reports import report_work
from plots.models import Membership

WORDS = "Pull it; with the root, and \\ take heads off\nThen wash – ßeeds stick. " * 8


@pytest.fixture
def item(farm, owner, make_plot):
    said = {
        "kind": "pull",
        "title": "Pull pigweed, all; of it",
        "plot_id": make_plot("Heron Bench").pk,
        "lon": -92.001,
        "lat": 38.002,
        "due_on": date(2026, 12, 24),
        "how": WORDS.strip(),
        "tools": "Gloves",
        "assigned_to_id": owner.pk,
    }
    return add_work(property=farm, user=owner, said=said)[0]


@pytest.fixture
def read(client, farm, owner):
    """Asks for the owner's calendar."""
    _, secret = make_feed(property=farm, user=owner, only_mine=False)
    return lambda **headers: client.get(reverse("feed", args=[secret]), headers=headers)


def events(answer):
    return {str(each["SUMMARY"]): each for each in Calendar.from_ical(answer.content).walk("VEVENT")}


class TestWhatItSays:
    def test_an_item_is_an_event_of_a_whole_day(self, read, item):
        answer = read()
        assert answer["Content-Type"] == "text/calendar; charset=utf-8"
        event = events(answer)["Pull pigweed, all; of it"]
        assert event["UID"] == str(item.pk)
        assert (event["DTSTART"].dt, event["DTEND"].dt) == (date(2026, 12, 24), date(2026, 12, 25))
        assert event["DTSTART"].params["VALUE"] == "DATE"
        assert (event["GEO"].latitude, event["GEO"].longitude) == (38.002, -92.001)
        assert event["STATUS"] == "CONFIRMED"
        assert event["CATEGORIES"].to_ical() == b"Pull weeds"
        assert event["URL"].endswith(f"/p/tally-hollow/work/{item.pk}/")
        assert event["LOCATION"] == "Heron Bench"
        assert event["DESCRIPTION"].startswith(WORDS.strip())
        assert event["DTSTAMP"].dt.utcoffset() == timedelta(0)

    def test_what_no_calendar_can_read_is_left_out(self, read, farm, owner):
        title = "Mow\x01 the\x1f lane\r\nBEGIN:VALARM"
        add_work(property=farm, user=owner, said={"title": title, "due_on": date(2026, 9, 14)})
        answer = read()
        assert not re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", answer.content)
        assert list(events(answer)) == ["Mow  the  lane\nBEGIN:VALARM"]
        assert Calendar.from_ical(answer.content).walk("VALARM") == []

    def test_a_window_spans_its_days(self, read, farm, owner):
        said = {"title": "Drill", "starts_on": date(2026, 9, 1), "due_on": date(2026, 9, 14)}
        add_work(property=farm, user=owner, said=said)
        event = events(read())["Drill"]
        assert (event["DTSTART"].dt, event["DTEND"].dt) == (date(2026, 9, 1), date(2026, 9, 15))

    def test_work_without_a_day_is_in_no_calendar(self, read, farm, owner):
        add_work(property=farm, user=owner, said={"title": "Some day"})
        assert events(read()) == {}

    def test_a_change_raises_its_sequence_and_keeps_its_uid(self, read, item, owner):
        before = events(read())["Pull pigweed, all; of it"]
        change_work(item=item, user=owner, wanted={"due_on": date(2026, 12, 31)})
        after = events(read())["Pull pigweed, all; of it"]
        assert after["UID"] == before["UID"]
        assert (before["SEQUENCE"], after["SEQUENCE"]) == (0, 1)

    def test_what_was_dropped_is_cancelled_and_what_was_done_says_so(self, read, item, farm, owner):
        other, _ = add_work(property=farm, user=owner, said={"title": "Mow", "due_on": date(2026, 12, 1)})
        drop_work(item=item, user=owner, why="Rain did it")
        report_work(id=other.pk, item=other, user=owner, done_at=timezone.now(), said={})
        found = events(read())
        assert found["Pull pigweed, all; of it"]["STATUS"] == "CANCELLED"
        assert found["Done: Mow"]["STATUS"] == "CONFIRMED"

    def test_what_was_done_long_ago_is_left_out(self, read, item):
        WorkItem.objects.update(state="done", changed_at=timezone.now() - timedelta(days=90))
        assert events(read()) == {}

    def test_one_of_ones_own_leaves_out_what_another_has(self, client, item, farm, recorder):
        add_work(property=farm, user=recorder, said={"title": "Nobody’s", "due_on": date(2026, 12, 1)})
        _, secret = make_feed(property=farm, user=recorder, only_mine=True)
        assert list(events(client.get(reverse("feed", args=[secret])))) == ["Nobody’s"]


class TestOnTheWire:
    """RFC 5545, 3.1: lines of at most 75 octets, CRLF between them; 3.3.11: escaped text."""

    def test_lines_end_with_crlf_and_are_folded_between_characters(self, read, item):
        text = read().content
        assert text.endswith(b"\r\n")
        assert b"\n" not in text.replace(b"\r\n", b"")
        lines = text.split(b"\r\n")
        assert max(map(len, lines)) <= 75
        assert any(line.startswith(b" ") for line in lines)
        for line in lines:
            line.decode("utf-8")  # no character is cut in two

    def test_text_is_escaped(self, read, item):
        unfolded = re.sub(rb"\r\n ", b"", read().content).decode()
        assert "SUMMARY:Pull pigweed\\, all\\; of it\r\n" in unfolded
        assert "Pull it\\; with the root\\, and \\\\ take heads off\\nThen wash – ßeeds stick." in unfolded

    def test_it_has_what_a_calendar_must_have(self, read, item):
        calendar = Calendar.from_ical(read().content)
        assert (calendar["VERSION"], calendar["METHOD"]) == ("2.0", "PUBLISH")
        assert calendar["PRODID"].startswith("-//Swardbook//")
        assert calendar["X-WR-CALNAME"] == "Work at Tally Hollow"

    def test_the_same_work_is_the_same_text_and_costs_nothing_to_ask_again(self, read, item, owner):
        first = read()
        assert read().content == first.content
        assert read(if_none_match=first["ETag"]).status_code == 304
        change_work(item=item, user=owner, wanted={"title": "Pull all"})
        assert read(if_none_match=first["ETag"]).status_code == 200

    def test_no_cost_and_no_minutes_are_in_it(self, read, item, owner):
        report_work(
            id=item.pk,
            item=item,
            user=owner,
            done_at=timezone.now(),
            said={"minutes": 4321, "is_finished": False},
        )
        assert b"4321" not in read().content


class TestWhoReadsIt:
    def test_only_its_hash_is_stored(self, farm, owner):
        feed, secret = make_feed(property=farm, user=owner, only_mine=False)
        assert secret not in str(CalendarFeed.objects.values().get(pk=feed.pk))
        assert len(secret) >= 40

    def test_a_wrong_address_is_nothing(self, client, db):
        assert client.get(reverse("feed", args=["x" * 43])).status_code == 404
        assert client.get("/feeds/%00%ff.ics").status_code == 404

    def test_ended_it_reads_nothing_any_more(self, client, farm, owner, item):
        feed, secret = make_feed(property=farm, user=owner, only_mine=False)
        assert client.get(reverse("feed", args=[secret])).status_code == 200
        end_feed(property=farm, user=owner, feed_id=feed.pk)
        assert client.get(reverse("feed", args=[secret])).status_code == 404

    def test_it_ends_with_the_membership_and_with_the_account(self, read, owner, item):
        assert read().status_code == 200
        owner.is_active = False
        owner.save()
        assert read().status_code == 404
        owner.is_active = True
        owner.save()
        Membership.objects.filter(user=owner).delete()
        assert read().status_code == 404

    def test_nobody_ends_anothers(self, client, farm, owner, manager):
        feed, _ = make_feed(property=farm, user=owner, only_mine=False)
        client.force_login(manager)
        assert client.post(reverse("work-calendar", args=[farm.slug]), {"end": feed.pk}).status_code == 404
        assert CalendarFeed.objects.get().revoked_at is None

    def test_the_page_tells_the_address_once(self, client, farm, owner, item):
        client.force_login(owner)
        page = reverse("work-calendar", args=[farm.slug])
        answer = client.post(page, {"only_mine": "yes"})
        [address] = re.findall(r"http://testserver(/feeds/[\w-]+\.ics)", answer.content.decode())
        assert "no-store" in answer["Cache-Control"]
        assert list(events(client.get(address))) == ["Pull pigweed, all; of it"]
        assert "/feeds/" not in client.get(page).content.decode()

    def test_it_takes_the_same_queries_however_much_there_is(
        self, read, farm, owner, item, django_assert_max_num_queries
    ):
        read()
        WorkItem.objects.bulk_create(
            WorkItem(property=farm, title=f"Item {n}", created_by=owner, due_on=date(2026, 12, 1))
            for n in range(300)
        )
        with django_assert_max_num_queries(4):
            assert len(events(read())) == 301
