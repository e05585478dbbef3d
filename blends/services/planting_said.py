"""What a person says of a planting, read into a record and checked; the seed is read by seed_used.py."""

from decimal import Decimal, InvalidOperation

from blends.models import Box, Machine, PlantingRecord
from blends.services.field_entries import check_columns, check_day, fill
from config.errors import refuse

SAID = (
    "done_on", "started_at", "ended_at", "acres", "is_by_meter", "operator", "hours_start", "hours_end", "settings",
    "depth_in", "depths_checked_in", "soil_temp_f", "soil_temp_depth_in", "weather", "note",
)  # fmt: skip
"""Columns that a person says, besides the machine and the seed."""

MOST_DEPTHS = 40
DEEPEST_IN = 12
LONGEST_SETTING = 20


def record_from(planting, user, said):
    """A record, not saved, of what was said.

    Raises
    ------
    Refused
        With the column in `fields`.
    """
    check_day(said.get("done_on"), "done_on", "it was planted")
    record = fill(PlantingRecord(planting=planting, created_by=user), said, SAID)
    record.acres = _acres(said.get("acres"))
    record.settings = _settings(record.settings)
    record.depths_checked_in = _depths(record.depths_checked_in)
    record.machine = _machine(planting.season.property_id, said.get("machine_id"))
    check_columns(record)
    _check_order(record)
    return record


def _check_order(record):
    if record.started_at and record.ended_at and record.ended_at < record.started_at:
        refuse(
            "ended_at",
            f"It ended at {record.ended_at:%H:%M} and started at {record.started_at:%H:%M}; accepted is an end after "
            "the start. What went past midnight is two records.",
        )
    hours = record.hours_start, record.hours_end
    if None not in hours and hours[1] < hours[0]:
        refuse(
            "hours_end",
            f"The hour meter reads {hours[1]} at the end and {hours[0]} at the start; accepted is an end that is not "
            "below the start.",
        )


def _acres(value):
    try:
        acres = Decimal(str(value)).quantize(Decimal("0.001"))
    except InvalidOperation:
        acres = Decimal(0)
    if not acres > 0:
        said = "not given" if value is None else f"“{value}”"
        refuse("acres", f"Acres planted are {said}; accepted is a number above 0.")
    return acres


def _machine(property_id, machine_id):
    if machine_id is None:
        return None
    machine = Machine.objects.filter(property=property_id, pk=machine_id).first()
    if machine is None:
        refuse("machine_id", f"Machine {machine_id} is not a machine of this property.")
    return machine


def _settings(given):
    """{"main": "42"}: settings by box; empty ones are left out."""
    if not isinstance(given, dict) or set(given) - set(Box.values):
        refuse("settings", f"Settings are given by box; accepted boxes are {' and '.join(Box.values)}.")
    found = {box: str(given[box]).strip() for box in Box.values if given.get(box) not in (None, "")}
    for text in found.values():
        if len(text) > LONGEST_SETTING or "\x00" in text:
            refuse(
                "settings",
                f"The setting “{text[:40]}” is too long; at most {LONGEST_SETTING} letters are accepted.",
            )
    return {box: text for box, text in found.items() if text}


def _depths(given):
    if not isinstance(given, list) or len(given) > MOST_DEPTHS:
        refuse(
            "depths_checked_in",
            f"Depths found are a list; accepted are at most {MOST_DEPTHS} depths in inches.",
        )
    found = []
    for value in given:
        try:
            depth_in = float(value)
        except (TypeError, ValueError):
            depth_in = -1.0
        if not 0 <= depth_in <= DEEPEST_IN:
            refuse(
                "depths_checked_in",
                f"A depth is {value}; accepted is a number from 0 (on the ground) to {DEEPEST_IN} in.",
            )
        found.append(round(depth_in, 2))
    return found
