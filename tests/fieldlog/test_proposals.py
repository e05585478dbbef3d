"""Deciding on a proposal: once, by one person, and taken back again."""

import json
from datetime import date, timedelta
from threading import Barrier, Thread

import pytest
from django.db import connection
from django.utils import timezone

from config.errors import Conflict, Refused, SwardbookError
from fieldlog.models import Proposal, Reading, Visit, WorkItem
from fieldlog.queries.proposals import count_open, noted_thoughts, open_proposals
from fieldlog.services.proposals import accept_proposal, dismiss_proposal, undo_decision
from fieldlog.services.rules import consider
from fieldlog.services.work_reports import report_work

WEED = {"species": {"id": None, "name": "Pigweed"}, "stage": "bloom", "height_in": 30}


@pytest.fixture
def proposal(make_plot, owner):
    plot = make_plot("Heron Bench")
    at = timezone.now()
    visit = Visit.objects.create(plot=plot, visited_at=at, recorded_by=owner)
    reading = Reading.objects.create(
        visit=visit, kind="weeds", values=WEED, taken_at=at, recorded_by=owner, lon=-92.0, lat=38.0
    )
    consider(reading)
    return Proposal.objects.select_related("property", "reading").get()


@pytest.fixture
def thought(proposal):
    Proposal.objects.update(work_kind="", due_on=None, rule="heavy_use")
    return Proposal.objects.select_related("property", "reading").get()


class TestAccepting:
    def test_work_comes_of_it_with_place_day_and_how(self, proposal, owner, recorder):
        accepted = accept_proposal(proposal=proposal, user=owner, assigned_to_id=recorder.pk)
        item = WorkItem.objects.get()
        assert accepted.work_item == item
        assert (item.title, item.kind, item.due_on) == ("Pull Pigweed: Heron Bench", "pull", proposal.due_on)
        assert (item.lon, item.lat, item.assigned_to) == (-92.0, 38.0, recorder)
        assert item.how.startswith(proposal.sentence)
        assert "closed bag" in item.how
        assert "Gloves" in item.tools

    def test_another_day_goes_before_the_proposed_one(self, proposal, owner):
        accept_proposal(proposal=proposal, user=owner, due_on=date(2026, 12, 24))
        assert WorkItem.objects.get().due_on == date(2026, 12, 24)

    def test_pressed_twice_it_is_one_item(self, proposal, owner):
        accept_proposal(proposal=proposal, user=owner)
        accept_proposal(proposal=proposal, user=owner)
        assert WorkItem.objects.count() == 1

    def test_a_thought_is_noted_and_makes_no_work(self, thought, owner, farm):
        accept_proposal(proposal=thought, user=owner)
        assert not WorkItem.objects.exists()
        assert [each.pk for each in noted_thoughts(farm)] == [thought.pk]

    def test_a_person_of_another_property_is_refused_and_nothing_is_decided(self, proposal, owner, stranger):
        with pytest.raises(Refused):
            accept_proposal(proposal=proposal, user=owner, assigned_to_id=stranger.pk)
        assert (Proposal.objects.get().state, WorkItem.objects.count()) == ("open", 0)

    def test_what_somebody_else_decided_is_said_with_who(self, proposal, owner, manager):
        dismiss_proposal(proposal=proposal, user=manager, why="A good weed")
        with pytest.raises(Conflict, match="manager has dismissed this on"):
            accept_proposal(proposal=proposal, user=owner)

    def test_what_the_readings_no_longer_say_cannot_be_accepted(self, proposal, owner):
        reading = proposal.reading
        reading.struck_at, reading.struck_by = timezone.now(), owner
        reading.save()
        consider(reading)
        with pytest.raises(Conflict, match="no longer proposed"):
            accept_proposal(proposal=proposal, user=owner)


class TestDismissingAndTakingBack:
    def test_dismissing_needs_a_reason(self, proposal, owner):
        with pytest.raises(Refused, match="needs a reason"):
            dismiss_proposal(proposal=proposal, user=owner, why=" ")

    def test_taken_back_the_work_is_dropped_and_accepted_again_it_is_the_same(self, proposal, owner, farm):
        accept_proposal(proposal=proposal, user=owner)
        undo_decision(proposal=proposal, user=owner)
        assert (Proposal.objects.get().state, WorkItem.objects.get().state) == ("open", "dropped")
        assert count_open(farm) == 1
        accept_proposal(proposal=proposal, user=owner)
        assert (WorkItem.objects.count(), WorkItem.objects.get().state) == (1, "open")

    def test_once_somebody_worked_on_it_it_stays(self, proposal, owner):
        item = accept_proposal(proposal=proposal, user=owner).work_item
        report_work(
            id=proposal.reading.pk, item=item, user=owner, done_at=timezone.now(), said={"minutes": 5}
        )
        with pytest.raises(Conflict, match="worked on"):
            undo_decision(proposal=proposal, user=owner)

    def test_taken_back_after_its_reading_was_struck_it_is_gone(self, proposal, owner):
        dismiss_proposal(proposal=proposal, user=owner, why="A good weed")
        Reading.objects.update(struck_at=timezone.now(), struck_by=owner)
        assert undo_decision(proposal=proposal, user=owner).state == "gone"

    def test_taken_back_after_a_later_reading_says_otherwise_it_is_gone(self, make_plot, owner):
        plot, now = make_plot("South Bench"), timezone.now()

        def read(kind, at, values=None, **figures):
            visit = Visit.objects.create(plot=plot, visited_at=at, recorded_by=owner)
            told = [{"name": name, "value": value} for name, value in figures.items()]
            values = values or {}
            reading = Reading.objects.create(
                visit=visit, kind=kind, values=values, figures=told, taken_at=at, recorded_by=owner
            )
            consider(reading)

        read("temperature", now - timedelta(days=4), {"bare_f": 120})
        read("cover", now - timedelta(days=3), cover_pct=20)
        proposal = Proposal.objects.get(plot=plot)
        dismiss_proposal(proposal=proposal, user=owner, why="It was raining")
        read("cover", now - timedelta(days=1), cover_pct=80)
        assert undo_decision(proposal=proposal, user=owner).state == "gone"


def test_open_ones_say_their_rule_and_thresholds(proposal, farm):
    [told] = open_proposals(farm)
    assert told.title == "Pull weeds before they seed"
    assert "Speak from this height on: 12 in" in told.thresholds_told


@pytest.mark.skipif(connection.vendor != "postgresql", reason="two writers at once are PostgreSQL's")
@pytest.mark.django_db(transaction=True)
@pytest.mark.postgis
def test_of_two_who_decide_at_once_one_wins(proposal, owner, manager):
    start, said = Barrier(2), []

    def decide(user):
        start.wait()
        try:
            accept_proposal(proposal=proposal, user=user)
            said.append("accepted")
        except SwardbookError as error:
            said.append(error.code)
        finally:
            connection.close()

    threads = [Thread(target=decide, args=(user,)) for user in (owner, manager)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(said) == ["accepted", "conflict"]
    assert WorkItem.objects.count() == 1


class TestTheApi:
    @pytest.fixture
    def post(self, client, farm, manager):
        client.force_login(manager)

        def send(path, body=None, method="POST"):
            address = f"/api/v1/properties/{farm.slug}/{path}"
            return client.generic(method, address, json.dumps(body or {}), "application/json")

        return send

    def test_accept_undo_dismiss(self, post, proposal, recorder):
        accepted = post(f"proposals/{proposal.pk}/accept/", {"assigned_to_id": recorder.pk}).json()
        assert (accepted["state"], accepted["decided_by"]) == ("accepted", "manager")
        assert accepted["work_id"] == str(WorkItem.objects.get().pk)
        assert post(f"proposals/{proposal.pk}/undo/").json()["state"] == "open"
        dismissed = post(f"proposals/{proposal.pk}/dismiss/", {"why": "A good weed"}).json()
        assert (dismissed["state"], dismissed["why"]) == ("dismissed", "A good weed")
        assert post("proposals/", method="GET").json()["results"] == []
        assert post("proposals/?state=dismissed", method="GET").json()["count"] == 1
        assert post("proposals/?state=lost", method="GET").status_code == 400

    def test_a_rule_is_read_by_all_and_changed_by_the_owner(self, post, client, owner):
        told = post("rules/", method="GET").json()["results"]
        assert [each["key"] for each in told] == ["pull_weeds", "thin_stand", "heavy_use", "thin_cover"]
        body = {"thresholds": {"least_pct": 60}}
        assert post("rules/thin_stand/", body, "PUT").status_code == 403
        client.force_login(owner)
        assert post("rules/thin_stand/", body, "PUT").json()["thresholds"][0]["value"] == 60
        refused = post("rules/thin_stand/", {"thresholds": {"least_pct": 600}}, "PUT").json()["error"]
        assert list(refused["fields"]) == ["least_pct"]
        assert post("rules/no_such/", method="GET").status_code == 404
