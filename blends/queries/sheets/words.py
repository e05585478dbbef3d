"""What a sheet's figures come to in sentences, the same on a page, on paper and anywhere else."""

from blends.models import Machine
from blends.queries.judgement.words import day, listed
from plots.calc.units import KG_PER_LB, OZ_PER_LB

_G_PER_OZ = 1000 * KG_PER_LB / OZ_PER_LB


def figure(value, places=0):
    """A number with thousands separators; a dash where it is not known."""
    return "–" if value is None else f"{value:,.{places}f}"


def plain(value, places=2):
    """A number without zeros at its end."""
    text = f"{value:,.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def acres_text(sheet):
    return "acres not known" if sheet.acres is None else f"{sheet.acres:,.2f} ac"


def machine_text(sheet):
    return "no machine chosen" if sheet.machine is None else str(sheet.machine)


def holds_text(box, level_pct):
    """What the box holds and how often it is filled."""
    if box.fills is None:
        return f"Fills are not known. {box.fills_unknown}"
    full = "level full" if level_pct == 100 else f"filled to {plain(level_pct)} %"
    rests = f"weighed {day(box.weighed.calibrated_on)}" if box.weighed else "worked out from its seed"
    times = f"{box.fill_count} fill{'s'[: box.fill_count != 1]}" if box.fills else "nothing to fill"
    return (
        f"{times}; {full} it holds {figure(box.full_lb, 1)} lb: {plain(box.volume_ft3)} ft³ of {figure(box.lb_per_ft3, 1)} lb/ft³, "
        f"{rests}."
    )


def last_text(box):
    """The setting that it had last; empty without one."""
    last = box.last
    if last is None:
        return ""
    gear = f", {last.gear}" if last.gear else ""
    what = f", {last.what}" if last.what and not last.is_same else ", this blend" if last.is_same else ""
    how = "calibrated" if last.is_calibrated else "as planted"
    gave = f", gave {figure(last.lb_per_acre, 1)} lb/ac" if last.lb_per_acre is not None else ""
    return f"Last setting {last.setting}{gear}: {how} {day(last.on)}{what}{gave}."


def fitted_text(box):
    """The setting worked out for this rate, with how sure it is; empty without calibrations."""
    fitted = box.fitted
    if fitted is None:
        return ""
    if fitted.setting is None:
        return f"No setting can be worked out. {fitted.basis}"
    band = "" if fitted.low is None else f" ({figure(fitted.low, 1)} to {figure(fitted.high, 1)})"
    return f"Worked out for this rate: {figure(fitted.setting, 1)}{band}. {fitted.basis}"


def catch_text(machine, box):
    """What to catch over the machine's course; empty where that is not known."""
    if box.catch_g is None:
        return ""
    course = f"over {plain(box.course_ft, 1)} ft"
    if machine.kind == Machine.Kind.SPREADER or box.catch_row_g is None:
        return f"To catch {course}: {figure(box.catch_g, 0)} g ({figure(box.catch_g / _G_PER_OZ, 1)} oz) from the whole swath."
    return (
        f"To catch {course}: {figure(box.catch_row_g, 1)} g ({figure(box.catch_row_g / _G_PER_OZ, 2)} oz) a row, "
        f"{figure(box.catch_g, 0)} g from all {machine.openers}."
    )


def depth_texts(sheet):
    """One sentence for each pass, and one on seed whose depth is not known."""
    what = "Depth" if sheet.is_drilled else "Cover"
    if len(sheet.depths) == 1:
        [depth] = sheet.depths
        found = [f"{what}: {_inches(depth)} suits all seed whose depth is known."]
        if not sheet.depth_unknown:
            found = [f"{what}: {_inches(depth)} suits all."]
    else:
        found = [
            f"{what}, pass {number}: {_inches(depth)} for {listed(depth.species)}."
            for number, depth in enumerate(sheet.depths, start=1)
        ]
        found += _boxes_of_several_passes(sheet)
    if sheet.depth_unknown:
        found.append(f"The depth of {listed(sheet.depth_unknown)} is not known.")
    return found


def _boxes_of_several_passes(sheet):
    """A box whose seed wants several depths: what is worked out for it is for all of it at once."""
    if not sheet.is_drilled:
        return []
    passes = {one.pk: number for number, depth in enumerate(sheet.depths) for one in depth.species}
    labels = [box.label for box in sheet.boxes if _is_of_several_passes(box, passes)]
    if not labels:
        return []
    return [
        f"{listed(labels)}: seed of several passes, and one pass sows a box at one depth. Fills, setting and catch are for all "
        "of it at once. Choose one depth, or weigh and set each pass by itself."
    ]


def _is_of_several_passes(box, passes):
    if any(seed.species is None for seed in box.seeds):  # a bought mix, which cannot be taken apart
        return True
    return len({passes[seed.species.pk] for seed in box.seeds if seed.species.pk in passes}) > 1


def soil_temp_text(sheet):
    if sheet.soil_temp_f is None:
        return ""
    return f"Soil not below {plain(sheet.soil_temp_f, 1)} °F, for {listed(sheet.soil_temp_of)}."


def inoculant_text(row):
    pounds = "" if row.lb is None else f" {figure(row.lb, 2)} lb of"
    said = f"Inoculate{pounds} {listed(row.species)} ({row.group}): "
    if row.lot is None:
        return f"{said}{row.trouble[0].lower()}{row.trouble[1:]}"
    number = f"lot {row.lot.lot_number}" if row.lot.lot_number else "in stock"
    good = f", good until {day(row.lot.expires_on)}" if row.lot.expires_on else ", its date is not known"
    where = f", kept at {row.lot.kept_at}" if row.lot.kept_at else ""
    enough = (
        "" if row.lot.treats_lb is None else f"; all of it treats {plain(row.lot.treats_lb, 1)} lb of seed"
    )
    return f"{said}{number}{good}{where}{enough}."


def _inches(depth):
    low, high = plain(depth.low_in, 3), plain(depth.high_in, 3)
    return f"{low} in" if low == high else f"{low} to {high} in"
