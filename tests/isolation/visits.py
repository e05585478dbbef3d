"""Visits. A visit is corrected by whoever recorded it, here the owner, or by who may edit."""

from uuid import uuid4

from django.utils import timezone

from fieldlog.services.visits import record_visit
from plots.models import Plot
from tests.isolation import EDITORS, MEMBERS, RECORDERS, Row

ROWS = [
    Row("visits", "GET", MEMBERS),
    Row("visit-new", "GET", RECORDERS),
    Row("visit-new", "POST", RECORDERS, 302, body={"visited_at": "2026-11-20T16:05", "note": "Browsed."}),
    Row("visit-edit", "GET", EDITORS),
    Row("visit-edit", "POST", EDITORS, 302, body={"visited_at": "2026-11-20T16:05", "note": "Grazed."}),
    Row("api-visits", "GET", MEMBERS, query="?plot={plot_id}"),
    Row("api-visit", "GET", MEMBERS),
    Row("api-visit", "PUT", RECORDERS, 400),
    Row("api-visit", "PATCH", EDITORS, body={"note": "Grazed."}),
]


def things(farm, owner):
    plot = Plot.objects.create(property=farm, name="Visited")
    visit, _ = record_visit(id=uuid4(), plot=plot, user=owner, visited_at=timezone.now(), note="Up.")
    return {"visit_id": visit.pk}
