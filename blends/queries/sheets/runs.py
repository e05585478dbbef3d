"""A day's run: plots one after the other, and what stays in the box from one to the next."""

from dataclasses import dataclass

from blends.calc.sheets import HUNDREDTHS, hundredths, stops
from blends.models import Machine
from blends.queries.sheets.boxes import filled_with


@dataclass(frozen=True, slots=True)
class RunStop:
    """A plot of a run, at one box.

    Attributes
    ----------
    sheet : Sheet
    lb : float
        What it takes through this box. [lb bulk]
    first_fill, last_fill : int
    left_lb : float
        What is still in the box when the plot is done. [lb bulk]
    """

    sheet: object
    lb: float
    first_fill: int
    last_fill: int
    left_lb: float


@dataclass(frozen=True, slots=True)
class RunBox:
    """One box over a run.

    Attributes
    ----------
    label : str
    seeds : tuple of SheetSeed
        Of the first plot; lots and rates are the same on all.
    parts_lb : tuple of float
        By seed, what the whole run takes. [lb bulk]
    lb : float
    full_lb : float
    fills : tuple of SheetFill
    stops : tuple of RunStop
    """

    label: str
    seeds: tuple
    parts_lb: tuple
    lb: float
    full_lb: float
    fills: tuple
    stops: tuple


@dataclass(frozen=True, slots=True)
class Run:
    """Plots that follow each other with the same seed of the same lots at the same rate, through one machine.

    Attributes
    ----------
    sheets : tuple of Sheet
    machine : Machine or None
    acres : float or None
    boxes : tuple of RunBox
        Empty where the plots are not filled as one, for the reason in `unknown`.
    unknown : str
    """

    sheets: tuple
    machine: Machine | None
    acres: float | None
    boxes: tuple
    unknown: str

    @property
    def blend(self):
        return self.sheets[0].blend


def runs(sheets):
    """The sheets in their order as runs; what is mixed for a plot is the same all through a run.

    Parameters
    ----------
    sheets : list of Sheet

    Returns
    -------
    list of Run
    """
    groups = []
    for sheet in sheets:
        key = _mix(sheet)
        if groups and groups[-1][0] == key:
            groups[-1][1].append(sheet)
        else:
            groups.append((key, [sheet]))
    return [_run(group) for _, group in groups]


def _mix(sheet):
    """What has to be alike for seed to go on from plot to plot. A rate is alike to four digits."""
    machine = sheet.machine and sheet.machine.pk
    return machine, sheet.planting.method, sheet.level_pct, tuple(_seed_key(seed) for seed in sheet.seeds)


def _seed_key(seed):
    rate = None if seed.lb_per_acre is None else f"{seed.lb_per_acre:.4g}"
    return str(type(seed.item)), seed.item.pk, seed.lot and seed.lot.pk, seed.box, rate


def _run(sheets):
    acres = [sheet.acres for sheet in sheets]
    boxes, unknown = [], ""
    for box in zip(*(sheet.boxes for sheet in sheets), strict=True):
        unknown = unknown or next((each.fills_unknown for each in box if each.fills is None), "")
        if not unknown:
            try:
                boxes.append(_box(sheets, box))
            except ValueError as error:
                unknown = f"Fills cannot be worked out: {error}."
    return Run(
        tuple(sheets),
        sheets[0].machine,
        None if None in acres else sum(acres),
        () if unknown else tuple(boxes),
        unknown,
    )


def _box(sheets, boxes):
    first = boxes[0]
    parts = [sum(hundredths(box.seeds[i].lb) for box in boxes) for i in range(len(first.seeds))]
    full = hundredths(first.full_lb)
    found = stops([hundredths(box.lb) for box in boxes], full)
    return RunBox(
        label=first.label,
        seeds=first.seeds,
        parts_lb=tuple(part / HUNDREDTHS for part in parts),
        lb=sum(parts) / HUNDREDTHS,
        full_lb=first.full_lb,
        fills=filled_with(parts, full),
        stops=tuple(
            RunStop(sheet, box.lb, stop.first_fill, stop.last_fill, stop.left / HUNDREDTHS)
            for sheet, box, stop in zip(sheets, boxes, found, strict=True)
        ),
    )
