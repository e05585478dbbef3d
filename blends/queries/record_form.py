"""What the form of a planting record offers and is filled with: from the sheet, or from the record to correct."""

from decimal import Decimal

from blends.models import COUNTS, Box, Lot, Machine
from blends.queries.sheets import sheets


def seed_choices(planting, kept=()):
    """[(value, label)]: lots with seed on hand, those in `kept`, and what the blend has without its lot.

    Parameters
    ----------
    kept : iterable of RecordSeed
        Seed of a record to correct, which may be used up.
    """
    lots = {lot.pk: lot for lot in _lots(planting.season.property).filter(on_hand_lb__gt=0)}
    lots |= {seed.lot_id: seed.lot for seed in kept if seed.lot_id}
    blend = planting.blend
    if blend.is_bought:
        things = {("blend", blend.pk): str(blend)}
    else:
        things = {
            ("species", row.species_id): str(row.species)
            for row in blend.components.select_related("species")
        }
    for seed in kept:
        if not seed.lot_id:
            thing = ("species", seed.species_id) if seed.species_id else ("blend", seed.blend_id)
            things.setdefault(thing, str(seed.species or seed.blend))
    named = [(f"lot:{lot.pk}", f"{lot} ({lot.on_hand_lb.normalize():f} lb here)") for lot in lots.values()]
    unknown = [(f"{kind}:{pk}", f"{name}, lot not known") for (kind, pk), name in things.items()]
    return [("", "—"), *sorted(named, key=lambda choice: choice[1].casefold()), *unknown]


def machines_of(planting, kept=None):
    """The property's machines in use, and the one that a record has."""
    rows = list(Machine.objects.filter(property=planting.season.property, is_archived=False))
    if kept is not None and kept.machine_id and kept.machine_id not in {row.pk for row in rows}:
        rows.append(kept.machine)
    return rows


def from_sheet(planting):
    """(initial of the form, initial of the seed rows, whether there are two boxes) by the plot's sheet.

    Pounds are filled in for the first record of a plot alone; a second one is of a part that nobody knows.
    """
    sheet = next(iter(sheets(planting.season, [planting.plot_id])), None)
    is_first = not planting.records.filter(COUNTS).exists()
    if sheet is None:
        return {}, [], False
    initial = {"machine_id": sheet.machine and sheet.machine.pk}
    if is_first and sheet.acres is not None:
        initial["acres"] = Decimal(f"{sheet.acres:.2f}")
    for box in sheet.boxes:
        if box.last is not None and box.last.is_same:
            initial[f"setting_{box.box}"] = box.last.setting
    rows = [
        {
            "what": _what(seed),
            "box": seed.box,
            "loaded_lb": None
            if seed.lb is None or not is_first
            else Decimal(str(seed.lb)).quantize(Decimal("0.01")),
        }
        for seed in sheet.seeds
    ]
    return initial, rows, has_small_box(sheet.machine) or any(row["box"] == Box.SMALL for row in rows)


def from_record(record):
    """The same of a record to correct; pounds used are left out where they follow from the other two."""
    names = (
        "done_on", "acres", "is_by_meter", "started_at", "ended_at", "operator", "machine_id", "hours_start",
        "hours_end", "depth_in", "soil_temp_f", "soil_temp_depth_in", "weather", "note",
    )  # fmt: skip
    initial = {name: getattr(record, name) for name in names}
    initial["depths_checked_in"] = ", ".join(f"{depth:g}" for depth in record.depths_checked_in)
    initial |= {f"setting_{box}": record.settings.get(box, "") for box in Box.values}
    rows = [
        {
            "what": _what(seed),
            "loaded_lb": seed.loaded_lb,
            "left_lb": seed.left_lb,
            "used_lb": None if None not in (seed.loaded_lb, seed.left_lb) else seed.used_lb,
        }
        for seed in record.seeds.all()
    ]
    return initial, rows, has_small_box(record.machine) or Box.SMALL in record.settings


def has_small_box(machine):
    return machine is not None and machine.small_box_ft3 is not None


def _what(seed):
    lot = getattr(seed, "lot", None)
    if lot is not None:
        return f"lot:{lot.pk}"
    return f"species:{seed.species.pk}" if seed.species is not None else f"blend:{seed.blend.pk}"


def _lots(property):
    return Lot.objects.filter(property=property).select_related("species", "blend")
