"""Work, and reports on it. It is changed by whoever wrote it down, here the owner, or by who may edit."""

from uuid import uuid4

from django.utils import timezone

from fieldlog.models import Proposal, Reading, Visit
from fieldlog.services.feeds import make_feed
from fieldlog.services.work import add_work
from fieldlog.services.work_reports import report_work
from plots.models import Plot
from tests.isolation import EDITORS, MEMBERS, OWNERS, PEOPLE, RECORDERS, Row

ROWS = [
    Row("api-work", "GET", MEMBERS, query="?plot={plot_id}"),
    Row("api-work", "POST", RECORDERS, 201, body={"title": "Mow the lane"}),
    Row("api-work-minutes", "GET", MEMBERS),
    Row("api-work-item", "GET", MEMBERS),
    Row(
        "api-work-item",
        "PUT",
        RECORDERS,
        409,
        body={"title": "Another thing"},
    ),
    Row("api-work-item", "PATCH", EDITORS, body={"title": "Mow both lanes"}),
    Row("api-work-report", "GET", MEMBERS),
    Row("api-work-report", "PUT", RECORDERS, 400),
    Row("api-work-report-strike", "POST", EDITORS),
    Row("work", "GET", MEMBERS),
    Row("work", "POST", EDITORS, 302),
    Row("work-new", "GET", RECORDERS),
    Row("work-new", "POST", RECORDERS, 302, body={"kind": "other", "title": "Mow the lane"}),
    Row("work-item", "GET", MEMBERS),
    Row("work-item", "POST", RECORDERS, 302, body={"act": "report", "done_at": "2026-11-20T16:05"}),
    Row("work-edit", "GET", EDITORS),
    Row("work-edit", "POST", EDITORS, 302, body={"kind": "other", "title": "Mow both lanes"}),
    Row("work-calendar", "GET", MEMBERS),
    Row("work-calendar", "POST", MEMBERS),
    Row("proposals", "GET", MEMBERS),
    Row("proposal-decide", "POST", EDITORS, 302, body={"act": "accept"}),
    Row("rules", "GET", MEMBERS),
    Row("rule-edit", "GET", OWNERS, is_shared=True),
    Row("rule-edit", "POST", OWNERS, 302, body={"is_on": "on"}, is_shared=True),
    Row("feed", "GET", PEOPLE),
    Row("api-proposals", "GET", MEMBERS),
    Row("api-proposal-accept", "POST", EDITORS),
    Row("api-proposal-dismiss", "POST", EDITORS, body={"why": "A good weed."}),
    Row("api-proposal-undo", "POST", EDITORS),
    Row("api-rules", "GET", MEMBERS),
    Row("api-rule", "GET", MEMBERS, is_shared=True),
    Row("api-rule", "PUT", OWNERS, body={"is_on": False}, is_shared=True),
]


def things(farm, owner):
    now = timezone.now()
    visit = Visit.objects.create(
        plot=Plot.objects.create(property=farm, name="Weedy"), visited_at=now, recorded_by=owner
    )
    reading = Reading.objects.create(visit=visit, kind="weeds", taken_at=now, recorded_by=owner)
    item, _ = add_work(property=farm, user=owner, said={"kind": "other", "title": "Mow the lane"})
    said = {"minutes": 20, "is_finished": False}
    report, _ = report_work(id=uuid4(), item=item, user=owner, done_at=timezone.now(), said=said)
    proposal = Proposal.objects.create(
        property=farm,
        plot=visit.plot,
        reading=reading,
        rule="pull_weeds",
        sentence="Pull it.",
        thresholds={"height_in": 12},
        work_kind="pull",
    )
    return {
        "work_id": item.pk,
        "report_id": report.pk,
        "proposal_id": proposal.pk,
        "rule_key": "pull_weeds",
        "token": make_feed(property=farm, user=owner, only_mine=False)[1],
    }
