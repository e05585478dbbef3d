"""What goes into one box: its pounds, what a cubic foot weighs, fills, and what to catch."""

import numpy as np

from blends.calc.density import mix_lb_per_ft3
from blends.calc.sheets import HUNDREDTHS, fills, full_fill, hundredths
from blends.models import Machine
from blends.queries.next_blend import box_label
from blends.queries.sheets.shapes import SheetBox, SheetFill


def mixed_densities(boxes):
    """Weight of a cubic foot of each mix, worked out for all at once.

    Parameters
    ----------
    boxes : list of list of SheetSeed

    Returns
    -------
    list of float or None
        None where that of a component is not known, or its rate. [lb/ft³]
    """
    if not boxes:
        return []
    most = max(len(seeds) for seeds in boxes)
    pounds, densities = np.zeros((len(boxes), most)), np.ones((len(boxes), most))
    for row, seeds in enumerate(boxes):
        for column, seed in enumerate(seeds):
            pounds[row, column] = np.nan if seed.lb_per_acre is None else seed.lb_per_acre
            densities[row, column] = np.nan if seed.lb_per_ft3 is None else seed.lb_per_ft3
    return [None if np.isnan(each) else float(each) for each in mix_lb_per_ft3(pounds, densities)]


def filled_with(parts, full):
    """The fills of a box as SheetFill. `parts` are hundredths of a pound of each seed, `full` of what a fill holds.

    Raises
    ------
    ValueError
        They cannot be worked out.
    """
    return tuple(
        SheetFill(
            fill.first,
            fill.last,
            tuple(part / HUNDREDTHS for part in fill.parts),
            fill.total / HUNDREDTHS,
            fill.is_part,
        )
        for fill in fills(parts, full)
    )


def filled_box(*, machine, box, seeds, lb_per_acre, lb_per_ft3, weighed, catch_g, last, fitted, level_pct):
    """A SheetBox with its fills."""
    parts = [None if seed.lb is None else hundredths(seed.lb) for seed in seeds]
    volume_ft3 = None if machine is None else machine.box_ft3(box)
    full = full_fill(volume_ft3, lb_per_ft3, level_pct / 100)
    found, unknown = _fills(parts, full, machine, volume_ft3, seeds)
    rows = machine.openers if machine is not None and machine.kind == Machine.Kind.DRILL else None
    return SheetBox(
        box=box,
        label="Seed" if machine is None else box_label(machine, box),
        seeds=seeds,
        lb=None if None in parts else sum(parts) / HUNDREDTHS,
        lb_per_acre=lb_per_acre,
        lb_per_ft3=lb_per_ft3,
        weighed=weighed,
        volume_ft3=volume_ft3,
        full_lb=None if full is None else full / HUNDREDTHS,
        fills=found,
        fills_unknown=unknown,
        course_ft=float(machine.course_ft) if machine is not None and machine.course_ft else None,
        catch_g=catch_g,
        catch_row_g=catch_g / rows if catch_g is not None and rows else None,
        last=last,
        fitted=fitted,
    )


def _fills(parts, full, machine, volume_ft3, seeds):
    """(fills or None, why there are none)."""
    if machine is None:
        return None, "No machine is chosen."
    if volume_ft3 is None:
        return None, f"How much the box of {machine} holds is not known."
    if full is None:
        unknown = [seed.name for seed in seeds if seed.lb_per_ft3 is None]
        names = ", ".join(dict.fromkeys(unknown))
        if not names:
            return None, "A rate is not known."
        return (
            None,
            f"The weight of a bushel is not known of {names}: weigh a bucket of the mix as you calibrate.",
        )
    if None in parts:
        return None, "The pounds are not known."
    try:
        return filled_with(parts, full), ""
    except ValueError as error:
        return None, f"Fills cannot be worked out: {error}."
