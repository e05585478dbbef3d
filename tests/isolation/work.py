"""Work, and reports on it. It is changed by whoever wrote it down, here the owner, or by who may edit."""

from uuid import uuid4

from django.utils import timezone

from fieldlog.services.work import add_work
from fieldlog.services.work_reports import report_work
from tests.isolation import EDITORS, MEMBERS, RECORDERS, Row

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
]


def things(farm, owner):
    item, _ = add_work(property=farm, user=owner, said={"kind": "other", "title": "Mow the lane"})
    said = {"minutes": 20, "is_finished": False}
    report, _ = report_work(id=uuid4(), item=item, user=owner, done_at=timezone.now(), said=said)
    return {"work_id": item.pk, "report_id": report.pk}
