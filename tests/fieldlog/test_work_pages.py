"""The pages of work: what a person sees and presses, and what a refusal leaves standing."""

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone

from fieldlog.models import Proposal, Reading, Visit, WorkItem, WorkReport
from fieldlog.services.rules import consider
from fieldlog.services.work import add_work

FIGURE = re.compile(r'<span class="fig[^"]*">([^<]*)</span>')
ADD = {"kind": "other", "title": "Mow the lane", "due_on": "2026-12-24"}


@pytest.fixture
def plot(make_plot):
    return make_plot("Heron Bench")


@pytest.fixture
def late(farm, owner, plot):
    due_on = timezone.localdate() - timedelta(days=3)
    said = {"title": "Pull the pigweed", "plot_id": plot.pk, "due_on": due_on, "lon": -92.0, "lat": 38.0}
    return add_work(property=farm, user=owner, said=said)[0]


@pytest.fixture
def see(client, farm, owner):
    client.force_login(owner)

    def ask(name, *args, **query):
        page = client.get(reverse(name, args=[farm.slug, *args]), query).content.decode()
        return FIGURE.sub(r"\1", page)

    return ask


@pytest.fixture
def post(client, farm, owner):
    client.force_login(owner)
    return lambda name, *args, **said: client.post(reverse(name, args=[farm.slug, *args]), said, follow=True)


@pytest.fixture
def proposal(plot, owner):
    at = timezone.now()
    visit = Visit.objects.create(plot=plot, visited_at=at, recorded_by=owner)
    values = {"species": {"id": None, "name": "Pigweed"}, "stage": "bloom", "height_in": 30}
    consider(Reading.objects.create(visit=visit, kind="weeds", values=values, taken_at=at, recorded_by=owner))
    return Proposal.objects.get()


class TestTheList:
    def test_overdue_stands_out_in_words_and_on_the_overview(self, see, late):
        page = see("work")
        assert "1 of 1 open item is overdue." in page
        assert "Overdue since" in page
        assert "1 item of work</a> is overdue" in see("overview")

    def test_its_filters_are_kept_and_say_when_nothing_is_like_that(self, see, late):
        assert "No work is like that." in see("work", kind="drill")
        assert "Pull the pigweed" in see("work", mine="1", plot=late.plot_id)

    def test_a_filter_that_there_is_not_is_said(self, client, farm, owner):
        client.force_login(owner)
        answer = client.get(reverse("work", args=[farm.slug]), {"kind": "fishing"})
        assert answer.status_code == 400
        assert "kind is &#x27;fishing&#x27;" in answer.content.decode()

    def test_what_has_no_place_is_pinned_inside_its_plot(self, see, farm, owner, plot, late):
        add_work(property=farm, user=owner, said={"title": "Mow", "plot_id": plot.pk})
        add_work(property=farm, user=owner, said={"title": "Anywhere"})
        page = see("work")
        pins = page.split('<script id="work-pins" type="application/json">')[1].split("</script>")[0]
        assert '"numbers": [1]' in pins
        assert '"numbers": [2]' in pins
        assert '"numbers": [3]' not in pins

    def test_by_plot_each_plot_has_its_heading(self, see, late):
        assert "<h3>Heron Bench</h3>" in see("work", sort="plot")

    def test_five_thousand_items_are_paged_by_few_queries(
        self, see, farm, owner, plot, django_assert_max_num_queries
    ):
        WorkItem.objects.bulk_create(
            WorkItem(property=farm, plot=plot, title=f"Item {n}", created_by=owner) for n in range(5000)
        )
        see("work")
        with django_assert_max_num_queries(12):
            page = see("work", page="7")
        assert "Page 7 of 100" in page
        assert page.count('class="work-row"') == 50

    def test_minutes_of_a_plot_are_said_and_unknown_ones_too(self, see, post, late, plot):
        assert "Nobody has said yet how long work on this plot took." in see("work", plot=plot.pk)
        post("work-item", late.pk, act="report", done_at="2026-11-20T16:05", minutes="45")
        assert "45 minutes were reported on this plot." in see("work", plot=plot.pk)
        assert "45 minutes of work were reported on this plot." in see("plot", plot.pk)


class TestWritingDown:
    def test_pressed_twice_it_is_one(self, post):
        id = uuid4()
        post("work-new", id=id, **ADD)
        page = post("work-new", id=id, **ADD)
        assert "Mow the lane” is on the list." in page.content.decode()
        assert WorkItem.objects.count() == 1

    def test_a_refusal_keeps_what_was_typed_and_says_it_at_the_field(self, post):
        answer = post("work-new", **ADD | {"starts_on": "2026-12-31", "how": "With care"})
        page = answer.content.decode()
        assert "2026-12-24 is before 2026-12-31, when it starts; a later day is accepted." in page
        assert "With care" in page
        assert 'href="#id_due_on"' in page

    def test_a_person_of_another_property_is_refused(self, post, stranger):
        page = post("work-new", **ADD | {"assigned_to_id": stranger.pk}).content.decode()
        assert "is not one of this property" in page
        assert not WorkItem.objects.exists()

    def test_a_change_keeps_what_it_said_and_who(self, see, post, late):
        post("work-edit", late.pk, kind="pull", title="Pull all of it", plot_id=late.plot_id)
        page = see("work-item", late.pk)
        assert "Pull all of it" in page
        assert "changed the kind of work, the words, the day" in page
        assert WorkItem.objects.get().lon == -92.0


class TestAnItem:
    def test_taken_reported_and_struck(self, see, post, client, farm, recorder, late):
        client.force_login(recorder)
        address = reverse("work-item", args=[farm.slug, late.pk])
        assert "It is yours." in client.post(address, {"act": "take"}, follow=True).content.decode()
        said = {
            "act": "report",
            "done_at": "2026-11-20T16:05",
            "minutes": "30",
            "is_finished": "on",
            "note": "All",
        }
        assert "Done." in client.post(address, said, follow=True).content.decode()
        report = WorkReport.objects.get()
        client.post(address, {"act": "strike", "report": report.pk})
        assert WorkItem.objects.get().state == "open"

    def test_minutes_that_are_no_number_are_refused_and_kept(self, post, late):
        page = post(
            "work-item", late.pk, act="report", done_at="2026-11-20T16:05", minutes="an hour"
        ).content.decode()
        assert "This is not a number of minutes; 0 to 10,000 or nothing is accepted." in page
        assert 'value="an hour"' in page
        assert not WorkReport.objects.exists()

    def test_dropped_without_a_reason_it_is_refused_with_one_sentence(self, post, late):
        assert "needs a reason" in post("work-item", late.pk, act="drop").content.decode()
        assert "It is dropped." in post("work-item", late.pk, act="drop", why="Rain did it").content.decode()

    def test_an_act_that_there_is_not_is_refused(self, post, late):
        assert "nothing that can be done with work" in post("work-item", late.pk, act="sell").content.decode()

    def test_who_records_drops_nothing_of_anothers(self, client, farm, recorder, late):
        client.force_login(recorder)
        address = reverse("work-item", args=[farm.slug, late.pk])
        assert client.post(address, {"act": "drop", "why": "No"}).status_code == 403


class TestProposalsPage:
    def test_it_says_reading_threshold_and_source(self, see, proposal):
        page = see("proposals")
        assert "Pigweed in bloom, 30 in tall" in page
        assert "Speak from this height on: 12 in" in page
        assert "Penn State Extension" in page
        assert "1 proposal</a> from what was read waits to be decided" in see("overview")
        assert "1 proposal to decide" in see("plot", proposal.plot_id)

    def test_accepted_it_leads_to_the_work(self, see, post, proposal):
        page = post("proposal-decide", proposal.pk, act="accept", due_on="2026-12-24").content.decode()
        assert "It is on the work list." in page
        assert str(WorkItem.objects.get().pk) in page

    def test_a_day_that_is_none_is_refused_and_what_was_typed_stays(self, post, proposal, recorder):
        said = {"act": "accept", "due_on": "soon", "who": recorder.pk}
        page = post("proposal-decide", proposal.pk, **said).content.decode()
        assert "“soon” is not a day" in page
        assert 'value="soon"' in page
        assert f'<option value="{recorder.pk}" selected>' in page
        assert not WorkItem.objects.exists()

    def test_no_day_that_has_passed_is_offered(self, see, proposal):
        today = timezone.localdate()
        for due_on, offered in ((today - timedelta(days=9), today), (today + timedelta(days=2),) * 2):
            Proposal.objects.update(due_on=due_on)
            assert f'id="due-{proposal.pk}" value="{offered}"' in see("proposals")

    def test_a_refused_dismissal_keeps_the_proposal(self, post, proposal):
        page = post("proposal-decide", proposal.pk, act="dismiss", why="").content.decode()
        assert "Dismissing needs a reason" in page
        assert Proposal.objects.get().state == "open"

    def test_a_noted_thought_stands_where_the_next_season_is_planned(self, see, post, proposal):
        Proposal.objects.update(work_kind="", sentence="More stem.")
        post("proposal-decide", proposal.pk, act="accept")
        page = see("plot", proposal.plot_id)
        assert "Noted for the next blend" in page
        assert "More stem." in page


class TestRulesPage:
    def test_an_owner_changes_a_threshold_and_a_wrong_one_is_kept_with_its_sentence(self, see, post):
        page = post("rule-edit", "thin_stand", least_pct="600", is_on="on").content.decode()
        assert "a number from 0 to 100 % is accepted" in page
        assert 'value="600"' in page
        post("rule-edit", "thin_stand", least_pct="60", is_on="on")
        assert "Of the live seed, expect at least: 60 %" in see("rules")

    def test_switched_off_it_says_so(self, see, post):
        post("rule-edit", "thin_stand")
        assert "Off</span>" in see("rules")
