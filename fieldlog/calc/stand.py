"""Plants that came up, from counts along rows or inside a hoop."""

from typing import NamedTuple

import numpy as np

from blends.calc.seed import seeds_per_sqft
from fieldlog.calc.clipping import hoop_ft2_from_diameter
from fieldlog.calc.repeats import repeats
from plots.calc.described import DEFINITION, WORKED_OUT, Quantity, Source, described
from plots.calc.units import FT2_PER_ACRE

_IN_PER_FT = 12

TENNESSEE = Source(
    "Checking corn populations",
    "University of Tennessee",
    "2011",
    "https://news.utcrops.com/2011/04/checking-corn-populations",
)
OHIO = Source(
    "Wheat stand evaluation (method credited to Penn State)",
    "Ohio State University Extension, Wayne County",
    "2019",
    "https://wayne.osu.edu/news/wheat-stand-evaluation",
)
PENN_STATE = Source(
    "Planting considerations and stand assessments",
    "Penn State Extension, carried by a farm-news site",
    "no year",
    "https://m.farms.com/news/planting-considerations-and-stand-assessments-180879.aspx",
)
PURDUE = Source(
    "Hoop method for soybean stands",
    "Purdue University, carried by a trade magazine",
    "2010",
    "https://www.farmprogress.com/story-get-out-the-hulahoop-to-check-soybean-stands-9-37992",
    note="Its factors take π as 3.14 and are 0.05 % high.",
)

WHEAT_STAND = (
    "For wheat 20 to 30 plants/ft² are adequate; below 12 to 14 consider replanting (Penn State, by way of Ohio "
    "State). Other crops and mixtures have their own figures."
)
FIVE_COUNTS = "Five counts or more, in places picked blind. One count says nothing of the spread."
NO_PLANT_COUNTS = "A place without a plant is a count of 0 and stays in."


class Stand(NamedTuple):
    """A counted stand, the mean of its counts with their standard errors."""

    plants_per_sqft: float
    error_per_sqft: float
    plants_per_acre: float
    error_per_acre: float
    counts: float


class Emergence(NamedTuple):
    """What came up of the seed sown: of the live seed, and of all the seed."""

    of_live_seed_pct: float
    of_bulk_seed_pct: float
    live_seeds_per_sqft: float
    remark: str


class RowLength(NamedTuple):
    """A length of row, twice."""

    row_ft: float
    row_in: float


_STAND_ANSWERS = [
    Quantity("plants_per_sqft", "Plants on a square foot", "plants/ft²", decimals=1),
    Quantity("error_per_sqft", "Standard error between counts", "plants/ft²", decimals=1),
    Quantity("plants_per_acre", "Plants on an acre", "plants/acre", decimals=0),
    Quantity("error_per_acre", "Standard error between counts", "plants/acre", decimals=0),
    Quantity("counts", "Counts", is_whole=True, decimals=0),
]
_row_spacing = Quantity("row_spacing_in", "Between rows", "in", above=0, example=7.5)


@described(
    title="Length of row on a thousandth of an acre",
    topic="stand",
    inputs=[_row_spacing],
    answers=[
        Quantity("row_ft", "Length of one row", "ft", decimals=2),
        Quantity("row_in", "Length of one row", "in", decimals=0),
    ],
    formula="43.56 ÷ (inches between rows ÷ 12)",
    sources=[TENNESSEE, DEFINITION],
    notes=["Plants counted on this length × 1,000 are plants on an acre."],
)
def thousandth_acre_row(row_spacing_in):
    """Length of one row that holds a thousandth of an acre.

    Examples
    --------
    >>> thousandth_acre_row([30, None]).row_ft.round(3)
    array([17.424,    nan])
    """
    row_ft = FT2_PER_ACRE / 1000 / (row_spacing_in / _IN_PER_FT)
    return RowLength(row_ft, row_ft * _IN_PER_FT)


@described(
    title="Stand from counts along a row",
    topic="stand",
    inputs=[
        Quantity("plants", "Plants counted", least=0, is_list=True, example=[40, 36, 44, 31, 38]),
        Quantity("row_ft", "Row looked at, each time", "ft", above=0, example=3),
        _row_spacing,
    ],
    answers=_STAND_ANSWERS,
    formula="mean plants ÷ row ft × 12 ÷ inches between rows; × 43,560 for an acre",
    sources=[OHIO, PENN_STATE],
    notes=[WHEAT_STAND, FIVE_COUNTS, NO_PLANT_COUNTS],
)
def stand_from_rows(plants, row_ft, row_spacing_in):
    """Plants on a square foot and an acre from counts along rows of one spacing.

    Examples
    --------
    >>> stand = stand_from_rows([40], 3, 7)
    >>> round(float(stand.plants_per_sqft), 2), float(stand.error_per_sqft)
    (22.86, nan)
    >>> float(stand_from_rows([40, None], 3, 7).plants_per_sqft)
    nan
    """
    return _stand(plants, row_ft * row_spacing_in / _IN_PER_FT)


@described(
    title="Stand from counts inside a frame",
    topic="stand",
    inputs=[
        Quantity("plants", "Plants counted", least=0, is_list=True, example=[18, 22, 15, 19, 21]),
        Quantity("frame_ft2", "Ground inside the frame", "ft²", above=0, example=1),
    ],
    answers=_STAND_ANSWERS,
    formula="mean plants ÷ frame ft²; × 43,560 for an acre",
    sources=[DEFINITION],
    notes=[WHEAT_STAND, FIVE_COUNTS, NO_PLANT_COUNTS],
)
def stand_from_frames(plants, frame_ft2):
    """Plants on a square foot and an acre from counts inside a frame of any shape.

    Examples
    --------
    >>> stand = stand_from_frames([18, 22, 20], 2)
    >>> float(stand.plants_per_sqft), round(float(stand.error_per_sqft), 3)
    (10.0, 0.577)
    >>> float(stand_from_frames([18], None).plants_per_acre)
    nan
    """
    return _stand(plants, frame_ft2)


@described(
    title="Stand from counts inside a hoop",
    topic="stand",
    inputs=[
        Quantity("plants", "Plants counted", least=0, is_list=True, example=[18, 22, 15, 19, 21]),
        Quantity("hoop_diameter_in", "Inside diameter of the hoop", "in", above=0, example=30),
    ],
    answers=_STAND_ANSWERS,
    formula="mean plants ÷ (π × (diameter ÷ 12)² ÷ 4); × 43,560 for an acre",
    sources=[PURDUE],
    notes=[WHEAT_STAND, FIVE_COUNTS, NO_PLANT_COUNTS],
)
def stand_from_hoop(plants, hoop_diameter_in):
    """Plants on a square foot and an acre from counts inside a round hoop.

    Examples
    --------
    >>> round(stand_from_hoop([18], 30).plants_per_acre)
    159731
    >>> float(stand_from_hoop([18], None).plants_per_acre)
    nan
    """
    return _stand(plants, hoop_ft2_from_diameter(hoop_diameter_in))


@described(
    title="Emergence",
    topic="stand",
    inputs=[
        Quantity("plants_per_sqft", "Plants counted", "plants/ft²", least=0, example=22),
        Quantity("bulk_lb_per_acre", "Seed sown, as weighed", "lb bulk/acre", above=0, example=90),
        Quantity("seeds_per_lb", "Seeds per pound", "seeds/lb", above=0, example=14_000),
        Quantity("pure_live_pct", "Pure live seed", "%", above=0, most=100, example=88),
    ],
    answers=[
        Quantity("of_live_seed_pct", "Came up, of the live seed", "%", decimals=0),
        Quantity("of_bulk_seed_pct", "Came up, of all seed", "%", decimals=0),
        Quantity("live_seeds_per_sqft", "Live seed sown", "seeds/ft²", decimals=1),
        Quantity("remark", "Remark", kind="text"),
    ],
    formula="plants/ft² ÷ (lb/acre × seeds/lb × pure live seed ÷ 100 ÷ 43,560) × 100",
    sources=[Source("By definition", basis=WORKED_OUT, note="From seeds sown and plants counted.")],
    notes=[
        "Of live seed and of all seed are different figures; say which.",
        "Above 100 % is kept: volunteers and hard seed of an earlier year come up uncounted.",
        "In a mixture count and reckon each species for itself.",
    ],
)
def emergence(plants_per_sqft, bulk_lb_per_acre, seeds_per_lb, pure_live_pct):
    """Plants that stand for each hundred live seeds sown, and for each hundred seeds of any kind.

    Examples
    --------
    >>> came_up = emergence(22, 90, 14_000, 88)
    >>> round(came_up.of_live_seed_pct), round(came_up.of_bulk_seed_pct)
    (86, 76)
    >>> float(emergence(22, 90, 14_000, None).of_live_seed_pct)
    nan
    """
    seeds = seeds_per_sqft(bulk_lb_per_acre, seeds_per_lb)
    live_seeds = seeds * pure_live_pct / 100
    of_live_pct = 100 * plants_per_sqft / live_seeds
    remark = np.select(
        [np.isnan(of_live_pct), of_live_pct > 100],
        [
            "not known",
            "more plants than live seed sown: volunteers, older hard seed, or a count or rate is off",
        ],
        "no more plants than live seed sown",
    )
    return Emergence(of_live_pct, 100 * plants_per_sqft / seeds, live_seeds, remark)


@described(
    title="Emergence from live seeds",
    topic="stand",
    inputs=[
        Quantity("plants_per_sqft", "Plants counted", "plants/ft²", least=0, example=22),
        Quantity("live_seeds_per_sqft", "Live seed sown", "seeds/ft²", above=0, example=25.5),
    ],
    answer=Quantity("of_live_seed_pct", "Came up, of the live seed", "%", decimals=0),
    formula="plants/ft² ÷ live seeds/ft² × 100",
    sources=[DEFINITION],
    notes=["In a mixture count and reckon each species for itself."],
    is_listed=False,
)
def emergence_of_live_seed_pct(plants_per_sqft, live_seeds_per_sqft):
    """Plants that stand for each hundred live seeds, where these are known as such.

    Examples
    --------
    >>> emergence_of_live_seed_pct([22, None], 25).round(0)
    array([88., nan])
    """
    return 100 * plants_per_sqft / live_seeds_per_sqft


def _stand(plants, area_ft2):
    counted = repeats(plants)
    per_sqft, error = counted.mean / area_ft2, counted.error / area_ft2
    return Stand(
        per_sqft,
        error,
        per_sqft * FT2_PER_ACRE,
        error * FT2_PER_ACRE,
        np.where(np.isnan(per_sqft), np.nan, counted.count),
    )
