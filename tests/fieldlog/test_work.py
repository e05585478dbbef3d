"""The work list: once each however often it is sent, who may change it, and what was spent on it."""

import json
from datetime import date, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.utils import timezone

from config.errors import Conflict, Refused
from fieldlog.models import Phone, Photo, PhotoPoint, WorkItem, WorkReport
from fieldlog.queries.work import is_overdue, minutes_by_plot, work_known
from fieldlog.services.work import add_work, change_work, drop_work, reopen_work, take_work
from fieldlog.services.work_reports import report_work, strike_report

HASH = "ab" * 32


@pytest.fixture
def plot(make_plot):
    return make_plot("Heron Bench")


@pytest.fixture
def item(farm, owner, plot):
    said = {"kind": "pull", "title": "Pull the pigweed", "plot_id": plot.pk, "lon": -92.0, "lat": 38.0}
    return add_work(property=farm, user=owner, said=said)[0]


def report(item, user, id=None, **said):
    done_at = said.pop("done_at", timezone.now())
    sent_at = said.pop("sent_at", None)
    return report_work(id=id or uuid4(), item=item, user=user, done_at=done_at, sent_at=sent_at, said=said)


class TestWritingDown:
    def test_the_same_sent_twice_is_one(self, farm, owner):
        id, said = uuid4(), {"title": "Mow", "due_on": date(2026, 9, 1), "lon": 1.5, "lat": 2}
        first, is_new = add_work(property=farm, user=owner, said=said, id=id)
        again, is_new_again = add_work(property=farm, user=owner, said=said, id=id)
        assert (is_new, is_new_again, first.pk) == (True, False, again.pk)
        assert WorkItem.objects.count() == 1

    def test_it_is_the_same_after_somebody_changed_it_here(self, farm, owner, manager):
        id, said = uuid4(), {"title": "Mow", "due_on": date(2026, 9, 1), "lon": 1.5, "lat": 2}
        item, _ = add_work(property=farm, user=owner, said=said, id=id)
        change_work(item=item, user=manager, wanted={"title": "Mow twice", "due_on": None, "lon": 3.0})
        change_work(item=item, user=manager, wanted={"title": "Mow thrice", "assigned_to_id": owner.pk})
        again, is_new = add_work(property=farm, user=owner, said=said, id=id)
        assert (is_new, again.title) == (False, "Mow thrice")

    def test_another_thing_under_the_same_id_is_a_conflict(self, farm, owner):
        id = uuid4()
        add_work(property=farm, user=owner, said={"title": "Mow"}, id=id)
        with pytest.raises(Conflict, match="says something else"):
            add_work(property=farm, user=owner, said={"title": "Disk"}, id=id)

    def test_without_a_title_it_has_its_kinds_words(self, farm, owner):
        assert add_work(property=farm, user=owner, said={"kind": "recount"})[0].title == "Count again"

    @pytest.mark.parametrize(
        ("said", "field"),
        [
            ({"kind": "fishing"}, "kind"),
            ({"lon": 4.0}, "lon"),
            ({"lon": 400.0, "lat": 1}, "lon"),
            ({"starts_on": date(2026, 9, 2), "due_on": date(2026, 9, 1)}, "due_on"),
            ({"due_on": date(9999, 12, 31)}, "due_on"),
            ({"title": "x" * 121}, "title"),
            ({"how": "a\0b"}, "how"),
            ({"plot_id": 9_999_999}, "plot_id"),
            ({"assigned_to_id": 9_999_999}, "assigned_to_id"),
        ],
    )
    def test_what_cannot_be_is_refused_at_its_field(self, farm, owner, said, field):
        with pytest.raises(Refused) as refused:
            add_work(property=farm, user=owner, said={"title": "Mow"} | said)
        assert list(refused.value.fields) == [field]

    def test_a_plot_or_person_of_another_property_is_as_if_not_there(
        self, farm, owner, elsewhere, stranger, make_plot
    ):
        theirs = make_plot("Theirs", property=elsewhere)
        for said in ({"plot_id": theirs.pk}, {"assigned_to_id": stranger.pk}):
            with pytest.raises(Refused):
                add_work(property=farm, user=owner, said=said)


class TestChanging:
    def test_what_it_said_before_is_kept_with_who(self, item, manager):
        changed = change_work(item=item, user=manager, wanted={"title": "Pull all of it"})
        assert changed.earlier[0]["was"] == {"title": "Pull the pigweed"}
        assert changed.earlier[0]["by"] == manager.shown_name

    def test_dropping_needs_a_reason_and_reopening_takes_it_back(self, item, owner):
        with pytest.raises(Refused, match="needs a reason"):
            drop_work(item=item, user=owner, why="  ")
        dropped = drop_work(item=item, user=owner, why="Rain did it")
        assert (dropped.state, dropped.earlier[-1]["why"]) == ("dropped", "Rain did it")
        assert reopen_work(item=item, user=owner).state == "open"

    def test_work_that_is_done_is_not_dropped(self, item, owner):
        report(item, owner)
        with pytest.raises(Conflict, match="is done"):
            drop_work(item=item, user=owner, why="Twice")

    def test_what_nobody_has_is_taken_once(self, item, recorder, manager):
        assert take_work(item=item, user=recorder).assigned_to == recorder
        assert take_work(item=item, user=recorder).assigned_to == recorder
        with pytest.raises(Conflict, match="has “Pull the pigweed” already"):
            take_work(item=item, user=manager)


class TestReports:
    def test_several_add_up_and_the_last_one_finishes_it(self, item, recorder, plot):
        report(item, recorder, minutes=Decimal("45"), is_finished=False)
        assert WorkItem.objects.get().state == "open"
        report(item, recorder, minutes=Decimal("12.5"), note="All of it")
        assert WorkItem.objects.get().state == "done"
        assert minutes_by_plot(item.property) == {plot.pk: Decimal("57.5")}

    def test_minutes_that_nobody_said_are_not_nought(self, item, recorder):
        report(item, recorder)
        assert minutes_by_plot(item.property) == {}

    def test_sent_again_by_a_clock_that_is_a_day_off_it_is_one_and_put_right(self, item, recorder):
        id, off = uuid4(), timezone.now() + timedelta(days=1)
        done_at = off - timedelta(hours=2)
        first, _ = report(item, recorder, id, done_at=done_at, sent_at=off)
        again, is_new = report(item, recorder, id, done_at=done_at, sent_at=off + timedelta(seconds=40))
        assert (is_new, again.pk) == (False, first.pk)
        assert abs(first.done_at - (timezone.now() - timedelta(hours=2))) < timedelta(minutes=1)
        assert first.said_at == done_at.replace(microsecond=0)

    def test_another_report_under_the_same_id_is_a_conflict(self, item, recorder):
        id, now = uuid4(), timezone.now()
        report(item, recorder, id, done_at=now, minutes=5)
        with pytest.raises(Conflict, match="says something else"):
            report(item, recorder, id, done_at=now, minutes=6)

    def test_struck_it_counts_no_more_and_the_work_is_open_again(self, item, recorder):
        told, _ = report(item, recorder, minutes=30)
        strike_report(report=told, user=recorder)
        assert WorkItem.objects.get().state == "open"
        assert minutes_by_plot(item.property) == {}

    def test_of_two_that_finish_it_striking_one_leaves_it_done(self, item, recorder):
        told, _ = report(item, recorder)
        report(item, recorder, note="The rest")
        strike_report(report=told, user=recorder)
        assert WorkItem.objects.get().state == "done"

    @pytest.mark.parametrize("minutes", [-1, 10_001])
    def test_minutes_that_cannot_be_are_refused(self, item, recorder, minutes):
        with pytest.raises(Refused):
            report(item, recorder, minutes=minutes)

    def test_a_day_to_come_by_a_good_clock_is_refused(self, item, recorder):
        with pytest.raises(Refused, match="a day ahead of this server's clock"):
            report(item, recorder, done_at=timezone.now() + timedelta(days=3))


class TestTheApi:
    @pytest.fixture
    def put(self, client, farm, recorder):
        client.force_login(recorder)

        def send(path, body, method="PUT"):
            address = f"/api/v1/properties/{farm.slug}/{path}"
            return client.generic(method, address, json.dumps(body), "application/json")

        return send

    def test_a_report_keeps_good_pictures_and_refuses_bad_ones_alone(self, put, item):
        good = {
            "id": str(uuid4()),
            "sha256": HASH.upper(),
            "taken_at": "2026-11-01T10:00:00Z",
            "caption": "Done",
        }
        bad = [{"id": str(uuid4()), "sha256": "zz", "taken_at": "2026-11-01T10:00:00Z"}, {"id": "x"}, 5]
        body = {"item_id": str(item.pk), "done_at": "2026-11-01T10:00:00Z", "photos": [good, *bad]}
        id = uuid4()
        answer = put(f"work-reports/{id}/", body)
        assert answer.status_code == 201, answer.content
        told = answer.json()
        assert [(each["id"], each["sha256"], each["is_here"]) for each in told["photos"]] == [
            (good["id"], HASH, False)
        ]
        assert [(each["id"], each["what"]) for each in told["refused"]] == [
            (bad[0]["id"], "photo"),
            ("x", "photo"),
            ("", "photo"),
        ]
        assert all(each["sentence"] for each in told["refused"])
        assert told["item"]["state"] == "done"
        more = good | {"id": str(uuid4()), "sha256": "cd" * 32}
        again = put(f"work-reports/{id}/", body | {"photos": [good, more]})
        assert (again.status_code, len(again.json()["photos"])) == (200, 2)
        assert Photo.objects.filter(work_report_id=id).count() == 2

    def test_a_report_of_somebody_else_is_not_sent_as_ones_own(self, put, item, owner):
        body = {"item_id": str(item.pk), "done_at": "2026-11-01T10:00:00Z", "recorded_by": owner.pk}
        answer = put(f"work-reports/{uuid4()}/", body)
        assert (answer.status_code, answer.json()["error"]["code"]) == (409, "other_person")
        assert not WorkReport.objects.exists()

    def test_work_that_somebody_else_wrote_down_is_not_sent_as_ones_own(self, put, owner):
        answer = put(f"work/{uuid4()}/", {"title": "Mow", "recorded_by": owner.pk})
        assert (answer.status_code, answer.json()["error"]["code"]) == (409, "other_person")
        assert not WorkItem.objects.exists()

    def test_no_work_is_taken_from_a_phone_that_was_ended(self, put, recorder):
        phone = Phone.objects.create(
            user=recorder, phone_id=uuid4(), last_seen_at=timezone.now(), ended_at=timezone.now()
        )
        body = {"title": "Mow", "recorded_by": recorder.pk, "phone_id": str(phone.phone_id)}
        answer = put(f"work/{uuid4()}/", body)
        assert (answer.status_code, answer.json()["error"]["code"]) == (403, "phone_ended")
        assert not WorkItem.objects.exists()

    def test_a_picture_of_a_report_belongs_to_a_photo_point_of_the_property(self, put, item, owner):
        point = PhotoPoint.objects.create(plot=item.plot, name="Gate", created_by=owner)
        photos = [{"id": str(uuid4()), "sha256": HASH, "point_id": each} for each in (point.pk, point.pk + 1)]
        body = {"item_id": str(item.pk), "done_at": "2026-11-01T10:00:00Z", "photos": photos}
        told = put(f"work-reports/{uuid4()}/", body).json()
        assert [each["id"] for each in told["refused"]] == [photos[1]["id"]]
        assert Photo.objects.get().point == point

    def test_an_id_of_another_propertys_work_is_as_if_not_there(self, put, elsewhere, stranger):
        theirs, _ = add_work(property=elsewhere, user=stranger, said={"title": "Theirs"})
        assert put(f"work/{theirs.pk}/", {"title": "Mine"}).status_code == 404
        body = {"item_id": str(theirs.pk), "done_at": "2026-11-01T10:00:00Z"}
        assert put(f"work-reports/{uuid4()}/", body).status_code == 400

    def test_who_records_takes_what_nobody_has_and_changes_only_their_own(self, put, item, recorder):
        taken = put(f"work/{item.pk}/", {"assigned_to_id": recorder.pk}, "PATCH")
        assert (taken.status_code, taken.json()["assigned_to"]) == (200, recorder.shown_name)
        assert put(f"work/{item.pk}/", {"title": "Else"}, "PATCH").status_code == 403
        own = put("work/", {"title": "Mow"}, "POST").json()
        assert put(f"work/{own['id']}/", {"title": "Mow it"}, "PATCH").json()["title"] == "Mow it"

    def test_a_change_that_is_refused_in_part_changes_nothing(self, put, farm, recorder):
        own = put("work/", {"title": "Mow"}, "POST").json()
        assert put(f"work/{own['id']}/", {"title": "Else", "state": "dropped"}, "PATCH").status_code == 400
        assert WorkItem.objects.get(pk=own["id"]).title == "Mow"

    def test_the_list_filters_and_sorts(self, put, farm, owner, recorder, item, make_plot):
        alder = make_plot("Alder Creek")
        add_work(
            property=farm,
            user=owner,
            said={
                "title": "His",
                "assigned_to_id": owner.pk,
                "due_on": date(2026, 1, 1),
                "plot_id": alder.pk,
            },
        )
        titles = lambda query: [each["title"] for each in put(f"work/{query}", {}, "GET").json()["results"]]  # noqa: E731
        assert titles("") == ["His", "Pull the pigweed"]
        assert titles("?mine=1") == ["Pull the pigweed"]
        assert titles("?kind=pull") == ["Pull the pigweed"]
        assert titles("?sort=plot") == ["His", "Pull the pigweed"]
        assert titles("?state=done") == []
        assert titles(f"?plot={item.plot_id}") == ["Pull the pigweed"]
        assert put("work/?kind=fishing", {}, "GET").status_code == 400


class TestWhatThePhoneKnows:
    def test_ones_own_and_nobodys_go_before_the_others(self, farm, owner, recorder, item):
        yesterday = timezone.localdate() - timedelta(days=1)
        add_work(
            property=farm,
            user=owner,
            said={"title": "His", "assigned_to_id": owner.pk, "due_on": yesterday - timedelta(days=9)},
        )
        add_work(
            property=farm,
            user=owner,
            said={"title": "Mine", "assigned_to_id": recorder.pk, "due_on": yesterday},
        )
        known = work_known(farm, recorder)
        assert [(each["title"], each["is_mine"], each["is_overdue"]) for each in known] == [
            ("Mine", True, True),
            ("Pull the pigweed", False, False),
            ("His", False, True),
        ]
        assert json.dumps(known)

    def test_what_is_due_today_is_not_overdue(self, farm, owner):
        today, _ = add_work(property=farm, user=owner, said={"title": "x", "due_on": timezone.localdate()})
        assert not is_overdue(today)

    def test_it_stays_small_and_cheap(self, farm, owner, django_assert_max_num_queries):
        WorkItem.objects.bulk_create(
            WorkItem(property=farm, title=f"Item {n}", created_by=owner) for n in range(400)
        )
        with django_assert_max_num_queries(2):
            assert len(work_known(farm, owner)) == 150
