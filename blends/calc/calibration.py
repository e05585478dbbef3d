"""Setting a drill, a spreader and a sprayer: what was caught or used on a course, and what that is on an acre.

All of it is one rule: what went out ÷ the ground that it went on. A missing input makes an answer NaN. A catch of 0,
from a plugged opener or nozzle, is a catch and stays in the mean.
"""

from typing import NamedTuple

import numpy as np

from plots.calc.described import DEFINITION, PRACTICE, Quantity, Source, described
from plots.calc.units import FT2_PER_ACRE, KG_PER_LB, OZ_PER_LB

_IN_PER_FT = 12
_G_PER_LB = 1000 * KG_PER_LB
_FL_OZ_PER_GAL = 128
_FT_PER_MIN_PER_MPH = 88

# --- what it rests on ---------------------------------------------------------------------------------------

FARM_PRESS = Source(
    "Cover crop mixtures require properly calibrated grain drill",
    "Southeast Farm Press, from an extension field day",
    "no year",
    "http://southeastfarmpress.com/print/equipment/cover-crop-mixtures-require-properly-calibrated-grain-drill?page=2",
)
WHEEL_TURNS = Source(
    "How to Calibrate a Grain Drill, part 5",
    "Soil Health Labs",
    "no year",
    "https://soilhealthlabs.com/post/how-to-calibrate-a-grain-drill-getting-the-right-calculations-for-planting",
)
CAUGHT_GRAMS = Source(
    "Steps to calibrating a no-till drill (table credited to the University of Kentucky)",
    "No-Till Farmer",
    "no year",
    "https://www.no-tillfarmer.com/articles/10564-5-easy-steps-to-calibrating-your-no-till-drill",
)
SPREADER = Source(
    "Calibrating a broadcast spreader",
    "LSU AgCenter",
    "no year",
    "https://www.lsuagcenter.com/profiles/aiverson/articles/page1577117518190",
)
OUNCES = Source(
    "Ounces Equal Gallons: Sprayer Calibration",
    "LSU AgCenter",
    "no year",
    "https://www.lsuagcenter.com/topics/lawn_garden/commercial_horticulture/equipment/sprayers/"
    "ounces-equal-gallons-sprayer-calibration",
)
NOZZLE_FLOW = Source(
    "Calibration of Herbicide Applicators (WG013)",
    "University of Florida, IFAS Extension",
    "no year",
    "https://edis.ifas.ufl.edu/publication/wg013",
)
TREATED_LABEL = Source(
    "7 CFR 201.31a, Labeling treated seed",
    "US Code of Federal Regulations",
    "2020",
    "https://www.ecfr.gov/current/title-7/section-201.31a",
    note="The tag names the treatment and carries its warnings.",
)
SEVERAL_CATCHES = Source(
    "Several catches, and the spread between rows",
    basis=PRACTICE,
    note="Common practice, no source.",
)

TREATED_SEED = (
    "Treated seed: gloves on, follow the tag, keep it from children and animals, sweep up what spills. Never feed it, "
    "nor leave it lying."
)
MACHINERY = (
    "Engine off, machine blocked and lowered or on stands before a hand goes near an opener, chain or spinner. Keep "
    "others away while it runs."
)
LABEL_FIRST = (
    "The label and local rules come first: they give volume, nozzles, pressure, wind and what to wear. Calibrate with "
    "clean water."
)
ALL_OUTLETS = "Catch from several rows: the mean hides a plugged or worn one, the spread shows it."
LOADED_WHEEL = "Measure the wheel on the ground with seed in the box; a tire squats under load."

# --- what is shared by the inputs ---------------------------------------------------------------------------

_CAUGHT_G = Quantity(
    "caught_g",
    "Seed caught",
    "g",
    least=0,
    is_list=True,
    example=[38.5, 40.2, 39.1, 36.8],
    help="One weight for each catch, bag taken off.",
)
_COURSE = Quantity("course_ft", "Length of the course", "ft", above=0, example=150)
_ROW_SPACING = Quantity("row_spacing_in", "Between rows", "in", above=0, example=7.5)
_ROWS = Quantity(
    "rows_per_catch",
    "Rows in each catch",
    least=1,
    is_whole=True,
    is_required=False,
    default=1,
    example=1,
    help="Openers whose seed ran into one bag.",
)
_RATE = Quantity("lb_per_acre", "Rate wanted", "lb/acre", least=0, example=40)


class Catches(NamedTuple):
    """The mean of several catches and how far they lie apart."""

    mean: float
    lowest: float
    highest: float
    spread_pct: float


def _catch_answers(unit):
    return [
        Quantity("mean", "Rate, mean of the catches", unit, decimals=1),
        Quantity("lowest", "Lowest catch", unit, decimals=1),
        Quantity("highest", "Highest catch", unit, decimals=1),
        Quantity("spread_pct", "Highest less lowest, of the mean", "%", decimals=0),
    ]


# --- drill --------------------------------------------------------------------------------------------------


@described(
    title="Drill rate from caught seed",
    topic="drill",
    inputs=[_CAUGHT_G, _COURSE, _ROW_SPACING, _ROWS],
    answers=_catch_answers("lb/acre"),
    formula="g ÷ 453.59 × 43,560 ÷ (course ft × rows × inches between rows ÷ 12)",
    sources=[CAUGHT_GRAMS, WHEEL_TURNS, TREATED_LABEL, SEVERAL_CATCHES],
    notes=[
        ALL_OUTLETS,
        "These are pounds as weighed: bulk seed for a bulk rate.",
        "A mixture separates on the way; catch it from a box that has run for a while.",
    ],
    cautions=[TREATED_SEED, MACHINERY],
)
def drilled_rate(caught_g, course_ft, row_spacing_in, rows_per_catch=1):
    """What a drill sows, from the seed that its openers dropped over a course.

    Examples
    --------
    >>> rate = drilled_rate([38, 40, 42], 150, 7.5)
    >>> [round(float(each), 1) for each in rate]
    [41.0, 38.9, 43.0, 10.0]
    >>> float(drilled_rate([38, None], 150, 7.5).mean)
    nan
    """
    acres = course_ft * rows_per_catch * row_spacing_in / _IN_PER_FT / FT2_PER_ACRE
    return _catches(caught_g / _G_PER_LB, acres)


class Catch(NamedTuple):
    """Seed to look for in one bag, in two units."""

    catch_g: float
    catch_oz: float


@described(
    title="Seed to catch for a rate",
    topic="drill",
    inputs=[_RATE, _COURSE, _ROW_SPACING, _ROWS],
    answers=[
        Quantity("catch_g", "Seed to catch", "g", decimals=1),
        Quantity("catch_oz", "Seed to catch", "oz", decimals=2),
    ],
    formula="lb/acre × (course ft × rows × inches between rows ÷ 12) ÷ 43,560 × 453.59",
    sources=[CAUGHT_GRAMS, WHEEL_TURNS, TREATED_LABEL],
    notes=[
        "Over 150 ft one row catches 0.78 g for each lb/acre at 6 in, 0.91 at 7 in and 0.98 at 7.5 in.",
        "Set the drill by bulk pounds: a PLS rate ÷ pure live seed.",
    ],
    cautions=[TREATED_SEED, MACHINERY],
)
def seed_to_catch(lb_per_acre, course_ft, row_spacing_in, rows_per_catch=1):
    """What one catch has to weigh when the drill is set right.

    Examples
    --------
    >>> seed_to_catch([40, None], 150, 7.5).catch_g.round(1)
    array([39., nan])
    """
    acres = course_ft * rows_per_catch * row_spacing_in / _IN_PER_FT / FT2_PER_ACRE
    pounds = lb_per_acre * acres
    return Catch(pounds * _G_PER_LB, pounds * OZ_PER_LB)


class Course(NamedTuple):
    """Ground that was gone over."""

    course_ft: float
    area_sqft: float


@described(
    title="Course from wheel turns",
    topic="drill",
    inputs=[
        Quantity("circumference_ft", "Around the drive wheel", "ft", above=0, example=8),
        Quantity("turns", "Turns of the wheel", above=0, example=20),
        _ROW_SPACING,
        _ROWS,
        Quantity(
            "slip_pct",
            "Slip",
            "%",
            least=0,
            most=100,
            is_required=False,
            default=0.0,
            example=0,
            help="Ground gone over beyond the turns, for a wheel turned off the ground; 0 where it rolled.",
        ),
    ],
    answers=[
        Quantity("course_ft", "Length of the course", "ft", decimals=1),
        Quantity("area_sqft", "Ground of each catch", "ft²", decimals=1),
    ],
    formula="circumference × turns × (1 + slip ÷ 100); × rows × inches between rows ÷ 12",
    sources=[WHEEL_TURNS],
    notes=[
        LOADED_WHEEL,
        "Slip differs with soil and load: turn the wheel over a measured course once and compare.",
    ],
    cautions=[TREATED_SEED, MACHINERY],
)
def wheel_course(circumference_ft, turns, row_spacing_in, rows_per_catch=1, slip_pct=0.0):
    """Length and ground that turning the drive wheel stands for.

    Examples
    --------
    >>> [float(each) for each in wheel_course(8, 20, 7.5)]
    [160.0, 100.0]
    >>> [float(each) for each in wheel_course(8, 20, None)]
    [160.0, nan]
    """
    course_ft = circumference_ft * turns * (1 + slip_pct / 100)
    return Course(course_ft, course_ft * rows_per_catch * row_spacing_in / _IN_PER_FT)


@described(
    title="Length of a course for a part of an acre",
    topic="drill",
    inputs=[
        Quantity(
            "course_acres", "Ground to cover", "acres", above=0, example=0.05, help="A twentieth is 0.05."
        ),
        Quantity(
            "width_ft",
            "Width",
            "ft",
            above=0,
            example=15,
            help="Of a drill: openers × inches between rows ÷ 12; of a spreader: the effective swath.",
        ),
    ],
    answer=Quantity("course_ft", "Length of the course", "ft", decimals=1),
    formula="acres × 43,560 ÷ width",
    sources=[FARM_PRESS, DEFINITION],
    cautions=[MACHINERY],
)
def course_for_acres(course_acres, width_ft):
    """How far to drive so that a pass covers a chosen part of an acre.

    Examples
    --------
    >>> course_for_acres(0.05, [15, None])
    array([145.2,   nan])
    """
    return course_acres * FT2_PER_ACRE / width_ft


# --- spreader and fertiliser --------------------------------------------------------------------------------


@described(
    title="Spreader rate",
    topic="drill",
    inputs=[
        Quantity("used_lb", "Seed or fertiliser used", "lb", least=0, example=8.5),
        Quantity(
            "swath_ft",
            "Effective swath",
            "ft",
            above=0,
            example=20,
            help="Between passes, with their overlap; not as far as it throws.",
        ),
        Quantity("course_ft", "Length of the course", "ft", above=0, example=300),
    ],
    answer=Quantity("lb_per_acre", "Rate", "lb/acre", decimals=1),
    formula="lb used × 43,560 ÷ (effective swath × course)",
    sources=[SPREADER, DEFINITION],
    notes=[
        "The throw is wider than the swath: with it the rate comes out too low, and the field gets too much."
    ],
    cautions=[TREATED_SEED, MACHINERY],
)
def spread_rate(used_lb, swath_ft, course_ft):
    """What a broadcast spreader puts on, from what left the hopper over a course.

    Examples
    --------
    >>> spread_rate([10, None, 0], 20, 435.6)
    array([50., nan,  0.])
    """
    return used_lb * FT2_PER_ACRE / (swath_ft * course_ft)


@described(
    title="Fertiliser for an amount of nutrient",
    topic="drill",
    inputs=[
        Quantity("nutrient_lb", "Nutrient wanted", "lb", least=0, example=40),
        Quantity(
            "analysis_pct",
            "Analysis",
            "%",
            above=0,
            most=100,
            example=46,
            help="Of that nutrient in the product, as on the bag.",
        ),
    ],
    answer=Quantity("product_lb", "Product", "lb", decimals=1),
    formula="nutrient ÷ (analysis ÷ 100)",
    sources=[SPREADER],
    notes=[
        "The product is for the same ground as the nutrient, be it an acre or 1,000 ft².",
        "The bag's second and third figures are P₂O₅ and K₂O, not P and K.",
        "How much nutrient is a matter for the soil test.",
    ],
)
def fertiliser_lb(nutrient_lb, analysis_pct):
    """Pounds of product that hold the wanted pounds of a nutrient.

    Examples
    --------
    >>> fertiliser_lb([1, None], 20)
    array([ 5., nan])
    """
    return nutrient_lb / (analysis_pct / 100)


# --- sprayer ------------------------------------------------------------------------------------------------

_SPRAYED_SWATH = Quantity(
    "swath_in",
    "Width sprayed by what is caught",
    "in",
    above=0,
    example=20,
    help="One nozzle of a boom: the spacing. Two nozzles: twice that.",
)
_NOZZLES = (
    "Width, course and catch have to be of the same nozzles: one nozzle at 20 in needs 204 ft, two caught together "
    "(40 in) need 102 ft. Two nozzles caught over the course of one read twice the rate."
)


@described(
    title="Length of the 1/128-acre course",
    topic="drill",
    inputs=[_SPRAYED_SWATH],
    answer=Quantity("course_ft", "Length of the course", "ft", decimals=0),
    formula="43,560 ÷ 128 ÷ (width in ÷ 12)",
    sources=[OUNCES],
    notes=[
        "Fluid ounces caught in the time that it takes to drive this course are gallons per acre.",
        _NOZZLES,
    ],
    cautions=[LABEL_FIRST, MACHINERY],
)
def sprayer_course_ft(swath_in):
    """Course on which fluid ounces read as gallons per acre.

    Examples
    --------
    >>> sprayer_course_ft([20, 40, None]).round(1)
    array([204.2, 102.1,   nan])
    """
    return FT2_PER_ACRE / _FL_OZ_PER_GAL / (swath_in / _IN_PER_FT)


@described(
    title="Sprayer rate from what is caught",
    topic="drill",
    inputs=[
        Quantity(
            "caught_fl_oz",
            "Caught",
            "fl oz",
            least=0,
            is_list=True,
            example=[14, 14.5, 13.8],
            help="One for each nozzle or group of nozzles, in the time of the course.",
        ),
        _SPRAYED_SWATH,
        Quantity("course_ft", "Length of the course", "ft", above=0, example=204),
    ],
    answers=_catch_answers("gal/acre"),
    formula="fl oz ÷ 128 × 43,560 ÷ (course ft × width in ÷ 12)",
    sources=[OUNCES, DEFINITION, SEVERAL_CATCHES],
    notes=[
        _NOZZLES,
        "Time the drive over the course at spraying speed, then catch for that time at the same pressure.",
    ],
    cautions=[LABEL_FIRST, MACHINERY],
)
def sprayed_rate(caught_fl_oz, swath_in, course_ft):
    """Gallons an acre from fluid ounces caught, over a course of any length.

    Examples
    --------
    >>> rate = sprayed_rate([14, 14.6], 40, 102.1)
    >>> [round(float(each), 1) for each in rate]
    [14.3, 14.0, 14.6, 4.2]
    >>> float(sprayed_rate([14], None, 102).mean)
    nan
    """
    return _catches(caught_fl_oz / _FL_OZ_PER_GAL, course_ft * swath_in / _IN_PER_FT / FT2_PER_ACRE)


@described(
    title="Sprayer rate from nozzle flow",
    topic="drill",
    inputs=[
        Quantity(
            "gal_per_min",
            "Flow of one nozzle",
            "gal/min",
            least=0,
            example=0.2,
            help="Fluid ounces caught in a minute ÷ 128.",
        ),
        Quantity("speed_mph", "Speed", "mph", above=0, example=4),
        Quantity("spacing_in", "Between nozzles", "in", above=0, example=20),
    ],
    answer=Quantity("gal_per_acre", "Rate", "gal/acre", decimals=1),
    formula="5,940 × gal/min ÷ (mph × inches between nozzles)",
    sources=[NOZZLE_FLOW, DEFINITION],
    notes=[
        "Flow of one nozzle with the spacing, or flow of all with the whole width; never one with the other."
    ],
    cautions=[LABEL_FIRST, MACHINERY],
)
def sprayed_rate_from_flow(gal_per_min, speed_mph, spacing_in):
    """Gallons an acre from the flow of a nozzle and the speed.

    Examples
    --------
    >>> sprayed_rate_from_flow([0.2, None], 4, 20).round(2)
    array([14.85,   nan])
    """
    acres_per_min = speed_mph * _FT_PER_MIN_PER_MPH * spacing_in / _IN_PER_FT / FT2_PER_ACRE
    return gal_per_min / acres_per_min


def _catches(amounts, acres):
    """Rates of several catches, each from the same ground."""
    if not amounts.shape[-1]:
        amounts = np.full((*amounts.shape[:-1], 1), np.nan)
    rates = amounts / np.asarray(acres)[..., np.newaxis]
    mean, lowest, highest = rates.mean(axis=-1), rates.min(axis=-1), rates.max(axis=-1)
    spread_pct = 100 * (highest - lowest) / np.where(mean > 0, mean, np.nan)
    return Catches(mean, lowest, highest, spread_pct)
