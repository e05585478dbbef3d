"""Machines, boxes, calibrations and the next blend's settings.

The name of this module comes before plots: it needs nothing that stands there.
"""

from decimal import Decimal

from blends.services.blends import save_blend
from blends.services.machines import record_calibration, save_machine
from tests.isolation import EDITORS, MEMBERS, RECORDERS, Row

DRILL = {"name": "Old drill", "kind": "drill", "openers": "12", "spacing_in": "7"}
CAUGHT = {"setting": "30", "course_ft": "150", "caught_g": ["40.5"]}
CAUGHT_PAGE = {"setting": "30", "course_ft": "150", "rows_per_catch": "1", "box": "main", "catch-0": "40",
               "calibrated_on": "2024-09-01"}  # fmt: skip
# What another person caught is struck by those who edit.
OTHERS = {"recorder": 403}

ROWS = [
    Row("machines", "GET", MEMBERS),
    Row("machine-new", "GET", EDITORS),
    Row("machine-new", "POST", EDITORS, 302, body=DRILL),
    Row("machine", "GET", MEMBERS, query="?blend={next_blend_id}"),
    Row("machine-edit", "GET", EDITORS),
    Row("machine-edit", "POST", EDITORS, 302, body=DRILL),
    Row("machine-boxes", "GET", EDITORS),
    Row("machine-boxes", "POST", EDITORS, 302),
    Row("calibrate", "GET", RECORDERS),
    Row("calibrate", "POST", RECORDERS, 302, body=CAUGHT_PAGE),
    Row("calibrate-figures", "POST", RECORDERS, body=CAUGHT_PAGE),
    Row("calibration", "POST", EDITORS, 302, body={"act": "strike"}, but=OTHERS),
    Row("api-machines", "GET", MEMBERS),
    Row("api-machines", "POST", EDITORS, 201, body=DRILL),
    Row("api-machine", "GET", MEMBERS),
    Row("api-machine", "PATCH", EDITORS, body={"note": "Greased."}),
    Row("api-machine-boxes", "GET", MEMBERS),
    Row("api-machine-boxes", "PUT", EDITORS, body=[]),
    Row("api-calibrations", "GET", MEMBERS),
    Row("api-calibrations", "POST", RECORDERS, 201, body=CAUGHT),
    Row("api-calibration", "GET", MEMBERS),
    Row("api-calibration", "PATCH", EDITORS, body={"is_struck": True}, but=OTHERS),
    Row("api-machine-settings", "GET", MEMBERS, query="?blend={next_blend_id}"),
]


def things(farm, owner):
    machine = save_machine(
        property=farm, user=owner, name="Drill", kind="drill", openers=10, spacing_in=Decimal("7.5")
    )
    caught = {"setting": Decimal(30), "caught_g": [40], "course_ft": Decimal(150)}
    row = record_calibration(machine=machine, user=owner, **caught)
    blend = save_blend(property=farm, user=owner, name="Next", kind="mixed", components=[])
    return {"machine_id": machine.pk, "calibration_id": row.pk, "next_blend_id": blend.pk}
