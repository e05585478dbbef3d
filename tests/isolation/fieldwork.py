"""Planting records and terminations. They are corrected by whoever made them, here the owner, or by who may edit."""

from datetime import date
from decimal import Decimal
from uuid import uuid4

from blends.models import Planting
from blends.services.blends import save_blend
from blends.services.planting_records import record_planting
from blends.services.seasons import assign, open_season
from blends.services.terminations import record_termination
from plots.models import Plot
from tests.isolation import EDITORS, MEMBERS, RECORDERS, Row

PLANTED = {"done_on": "2025-09-02", "acres": "1.5", "seed-TOTAL_FORMS": "0", "seed-INITIAL_FORMS": "0"}
NO_PRODUCTS = {"product-TOTAL_FORMS": "0", "product-INITIAL_FORMS": "0"}

ROWS = [
    Row("api-planting-records", "GET", MEMBERS),
    Row("api-planting-record", "GET", MEMBERS),
    Row("api-planting-record", "PUT", RECORDERS, 400),
    Row("api-planting-record", "PATCH", EDITORS, body={"weather": "Calm"}),
    Row("api-planting-record-strike", "POST", EDITORS, body={"reason": "Entered twice."}),
    Row("api-terminations", "GET", MEMBERS),
    Row("api-termination", "GET", MEMBERS),
    Row("api-termination", "PUT", RECORDERS, 400),
    Row("api-termination", "PATCH", EDITORS, body={"weather": "Calm"}),
    Row("api-termination-strike", "POST", EDITORS, body={"reason": "Entered twice."}),
    Row("api-termination-follow-up", "POST", RECORDERS, body={"done_on": "2026-05-20"}),
    Row("sown", "GET", MEMBERS),
    Row("record-new", "GET", RECORDERS),
    Row("record-new", "POST", RECORDERS, 302, body=PLANTED),
    Row("record", "GET", MEMBERS),
    Row("record", "POST", EDITORS, 302, body={"act": "strike", "reason": "Entered twice."}),
    Row("record-correct", "GET", EDITORS),
    Row("record-correct", "POST", EDITORS, 302, body=PLANTED),
    Row("terminate", "GET", RECORDERS),
    Row("terminate", "POST", RECORDERS, 200, body={"method": "burned"}),
    Row("termination", "GET", MEMBERS),
    Row("termination", "POST", EDITORS, 302, body={"act": "strike", "reason": "Entered twice."}),
    Row("termination-correct", "GET", EDITORS),
    Row(
        "termination-correct",
        "POST",
        EDITORS,
        302,
        body={"method": "mowed", "done_on": "2026-05-04", **NO_PRODUCTS},
    ),
    Row("api-restrictions", "GET", MEMBERS),
    Row("api-sown", "GET", MEMBERS),
]


def things(farm, owner):
    season = open_season(property=farm, year=2025, kind="cool")
    plot = Plot.objects.create(property=farm, name="Drilled")
    blend = save_blend(property=farm, user=owner, name="Drilled grain", kind="mixed", components=[])
    assign(season=season, user=owner, assignments=[{"plot_id": plot.pk, "blend_id": blend.pk}])
    planting = Planting.objects.get(season=season, plot=plot)
    said = {"done_on": date(2025, 9, 1), "acres": Decimal(1)}
    record, _ = record_planting(id=uuid4(), planting=planting, user=owner, said=said, seeds=[])
    # the stand was ended, so that one record alone could not be struck
    rest = {"done_on": date(2025, 9, 3), "acres": Decimal(1)}
    record_planting(id=uuid4(), planting=planting, user=owner, said=rest, seeds=[])
    ended = {"method": "crimped", "done_on": date(2026, 5, 4), "follow_up": "Look whether it died"}
    termination, _ = record_termination(id=uuid4(), planting=planting, user=owner, said=ended)
    return {"record_id": record.pk, "termination_id": termination.pk}
