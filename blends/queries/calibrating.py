"""Calibrations as the machine's page lists them, and what a catch says while it is typed."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from blends.calc.calibration import Catches, drilled_rate, spread_rate
from blends.models import Blend, Calibration, Machine, Species
from blends.queries.machines import counting_calibrations, fitted_setting
from blends.queries.next_blend import box_label, catch_over, density_in
from config.errors import Refused
from plots.calc.units import IN_PER_FT, KG_PER_LB

MUCH_SPREAD_PCT = 15
"""Catches further apart than this are worth a look at the openers. Common practice, no source."""
_G_PER_LB = 1000 * KG_PER_LB


@dataclass
class CalibrationRow:
    """One calibration with how far its catches lie apart. [lb/ac, %]"""

    calibration: Calibration
    of: str
    box_label: str
    lowest: float | None
    highest: float | None
    spread_pct: float | None
    is_mine: bool = False

    @property
    def is_spread(self):
        return self.spread_pct is not None and self.spread_pct > MUCH_SPREAD_PCT


def calibration_rows(machine):
    """Every calibration of the machine, struck ones too, the latest first; one query."""
    rows = machine.calibrations.select_related("blend", "species", "created_by")
    return [_row(machine, each) for each in rows]


def _row(machine, row):
    grams = [float(each) for each in row.caught_g]
    mean = sum(grams) / len(grams)
    is_alone = len(grams) < 2 or not mean
    lb_per_g = float(row.lb_per_acre) / mean if mean else 0.0
    return CalibrationRow(
        calibration=row,
        of=str(row.blend or row.species or "not noted"),
        box_label=box_label(machine, row.box),
        lowest=None if is_alone else min(grams) * lb_per_g,
        highest=None if is_alone else max(grams) * lb_per_g,
        spread_pct=None if is_alone else 100 * (max(grams) - min(grams)) / mean,
    )


@dataclass(frozen=True)
class Caught:
    """What a catch says so far; every figure is None until it can be told.

    Attributes
    ----------
    n : int
        Catches.
    mean, lowest, highest : float or None
        [lb/ac]
    spread_pct : float or None
    wanted : float or None
        [lb/ac]
    catch_g : float or None
        What one catch should weigh for it.
    off_pct : float or None
        How far the mean lies from what is wanted.
    next_setting : FittedSetting or None
        For what is wanted, this catch counted.
    lb_per_ft3 : float or None
    is_weighed : bool
    refused : str
        Why nothing can be worked out.
    """

    n: int
    mean: float | None = None
    lowest: float | None = None
    highest: float | None = None
    spread_pct: float | None = None
    wanted: float | None = None
    catch_g: float | None = None
    off_pct: float | None = None
    next_setting: object = None
    lb_per_ft3: float | None = None
    is_weighed: bool = False
    refused: str = ""

    @property
    def is_spread(self):
        return self.spread_pct is not None and self.spread_pct > MUCH_SPREAD_PCT


def what_was_caught(machine, typed, caught_g):
    """Caught, from the values of a form that could be read.

    Parameters
    ----------
    machine : Machine
        With its property.
    typed : dict
        `seed` ("blend:3"), `box`, `setting`, `gear`, `course_ft`, `rows_per_catch`, `wanted`, `lb_per_ft3`.
    caught_g : list of Decimal
    """
    course_ft, rows = typed.get("course_ft"), int(typed.get("rows_per_catch") or 1)
    wanted = typed.get("wanted") and float(typed["wanted"])
    blend, species = _seed(machine.property, typed.get("seed") or "")
    box = typed.get("box") or "main"
    weighed = typed.get("lb_per_ft3")
    lb_per_ft3 = float(weighed) if weighed else density_in(machine, box, blend=blend, species=species)
    row_g, whole_g = catch_over(machine, wanted, course_ft and float(course_ft))
    is_spreader = machine.kind == Machine.Kind.SPREADER
    one_g = whole_g if is_spreader else row_g and row_g * rows
    known = {"wanted": wanted, "catch_g": one_g, "lb_per_ft3": lb_per_ft3, "is_weighed": bool(weighed)}
    if not caught_g or not course_ft:
        return Caught(len(caught_g), **known)
    try:
        found = catches(machine, caught_g, course_ft, rows)
    except Refused as error:
        return Caught(len(caught_g), **known, refused=error.sentence)
    mean = float(found.mean)
    setting = typed.get("setting")
    draft = None
    if setting is not None and mean > 0:
        draft = Calibration(
            machine=machine, box=box, blend=blend, species=species, setting=setting, lb_per_acre=mean,
            gear=typed.get("gear") or "", lb_per_ft3=lb_per_ft3,
        )  # fmt: skip
    is_one = len(caught_g) < 2
    return Caught(
        n=len(caught_g),
        mean=mean,
        lowest=None if is_one else float(found.lowest),
        highest=None if is_one else float(found.highest),
        spread_pct=None if is_one or not mean else float(found.spread_pct),
        off_pct=100 * (mean / wanted - 1) if wanted else None,
        next_setting=_next(machine, draft, wanted, blend, species) if draft and wanted else None,
        **known,
    )


def _next(machine, draft, wanted, blend, species):
    return fitted_setting(
        machine,
        draft.box,
        wanted,
        draft.lb_per_ft3,
        draft.gear,
        blend=blend,
        species=species,
        calibrations=[draft, *counting_calibrations(machine)],
    )


def _seed(property, value):
    """(blend, species) of "blend:3" or "species:7"."""
    kind, _, pk = value.partition(":")
    if kind == "blend":
        return Blend.objects.filter(property=property, pk=pk).first(), None
    return None, Species.objects.filter(pk=pk).first() if kind == "species" else None


def catches(machine, caught_g, course_ft, rows_per_catch=1):
    """Mean, lowest and highest of the catches [lb/ac] and their spread [%], as `calibration.drilled_rate` gives them.

    Raises
    ------
    Refused
        The machine's spacing or swath is not known.
    """
    catch_width_ft(machine, rows_per_catch)
    grams, course_ft = [float(each) for each in caught_g], float(course_ft)
    if machine.kind == Machine.Kind.SPREADER:
        rates = spread_rate([each / _G_PER_LB for each in grams], float(machine.swath_ft), course_ft)
        mean = float(rates.mean())
        spread_pct = 100 * float(rates.max() - rates.min()) / mean if mean else float("nan")
        return Catches(mean, float(rates.min()), float(rates.max()), spread_pct)
    return drilled_rate(grams, course_ft, float(machine.spacing_in), int(rows_per_catch))


def catch_width_ft(machine, rows_per_catch):
    """Ground under one catch. [ft]

    Raises
    ------
    Refused
        The machine's spacing or swath is not known.
    """
    if machine.kind == Machine.Kind.SPREADER:
        if machine.swath_ft is None:
            raise Refused(
                f"The effective swath of {machine} is not known; enter it on the machine's page first."
            )
        return Decimal(machine.swath_ft)
    if machine.spacing_in is None:
        raise Refused(
            f"What is between the openers of {machine} is not known; enter it on the machine's page first."
        )
    return rounded(Decimal(machine.spacing_in) * int(rows_per_catch) / IN_PER_FT, 3)


def rounded(value, places):
    """A Decimal with so many places, halves up."""
    return Decimal(str(value)).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
