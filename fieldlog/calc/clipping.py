"""Dry matter of a stand from what was clipped inside frames.

A frame with nothing in it is a zero and counts; a frame that was not weighed is missing and leaves the answer
unknown.
"""

from typing import NamedTuple

import numpy as np

from fieldlog.calc.repeats import repeats
from plots.calc.checks import refuse_where
from plots.calc.described import COMMON_PRACTICE, DEFINITION, MEMORY, Quantity, Source, described
from plots.calc.units import FT2_PER_ACRE, M2_PER_HA, g_per_ft2_to_lb_per_acre

G_PER_KG = 1000
LB_PER_ACRE_PER_G_PER_FT2 = g_per_ft2_to_lb_per_acre(1)
"""96.033: a gram on each square foot, in lb/acre."""

_IN_PER_FT = 12

MAINE = Source(
    "Planning a Grazing System, Lesson 1, Appendix E",
    "University of Maine Cooperative Extension",
    "no year",
    "https://extension.umaine.edu/livestock/pasture-course/lesson-1/appendix-e/",
)
FIELD_DAY = Source(
    "Estimating cover crop biomass and N value",
    "NDSU Extension, carried by a trade magazine",
    "no year",
    "https://www.no-tillfarmer.com/articles/1532-estimating-cover-crop-biomass-and-n-value",
    note="It calls a gram on a square foot about 98 lb/acre; by definition it is 96.03.",
)
ANSWER_SHEET = Source(
    "Grazing Management Calculations, answer sheet",
    "publisher not shown",
    "no year",
    "https://paperzz.com/doc/8863033/",
)
MONTANA = Source(
    "Determining forage yield, activity sheet",
    "Montana State University Extension",
    "2001",
    "http://www.animalrangeextension.montana.edu/lol/module-4a/4-yield.htm",
    note="A hoop of 8 ft of cable is about 30 inches across.",
)
FRAME_SIZES = Source(
    "National Range and Pasture Handbook",
    "USDA NRCS",
    "1997",
    basis=MEMORY,
    note="Its frames: 0.96 ft² is grams × 100, 1.92 is × 50, 2.4 is × 40, 4.8 is × 20, 9.6 is × 10.",
)

FEW_FRAMES = "One frame says nothing of the spread; three or more in places picked blind say something."
ZEROS_COUNT = "A frame with nothing in it is 0 g and stays in; leaving it out makes the stand look heavier."

_frame_ft2 = Quantity(
    "frame_ft2", "Ground inside one frame", "ft²", above=0, example=1.92, help="The same for every frame."
)
_error = Quantity(
    "standard_error_lb_per_acre",
    "Standard error between frames",
    "lb/acre",
    decimals=0,
    help="About two times in three the true mean lies within one of it.",
)
_frames = Quantity("frames", "Frames", is_whole=True, decimals=0)


class FramesLb(NamedTuple):
    """Dry matter of a stand in lb/acre, with the spread between frames."""

    dry_lb_per_acre: float
    spread_lb_per_acre: float
    standard_error_lb_per_acre: float
    frames: float


class FramesKg(NamedTuple):
    """Dry matter of a stand in kg/ha, with the spread between frames."""

    dry_kg_per_ha: float
    spread_kg_per_ha: float
    standard_error_kg_per_ha: float
    frames: float


_LB_ANSWERS = [
    Quantity("dry_lb_per_acre", "Dry matter", "lb/acre", decimals=0),
    Quantity("spread_lb_per_acre", "Standard deviation between frames", "lb/acre", decimals=0),
    _error,
    _frames,
]


@described(
    title="Dry matter of a sample",
    topic="browse",
    inputs=[
        Quantity("wet_g", "Fresh, with bag", "g", above=0, example=180, help="Any one unit for all three."),
        Quantity("dry_g", "Dried, with bag", "g", least=0, example=60),
        Quantity("tare_g", "Empty bag", "g", least=0, example=20, help="0 where the scale was set to zero."),
    ],
    answer=Quantity("dry_matter_pct", "Dry matter", "%", decimals=1),
    formula="(dried − bag) ÷ (fresh − bag) × 100",
    sources=[MAINE],
    notes=[
        "The bag comes off both weights.",
        "This is on the fresh weight; moisture of soil is on the dry weight.",
        "A part of the sample stands for all of it only if the whole was mixed well.",
        "Dry until two weighings agree.",
    ],
    cautions=[
        "Dry plants catch fire. In a microwave keep a cup of water beside them, dry a minute at a time towards the "
        "end and stay with it."
    ],
)
def dry_matter_pct(wet_g, dry_g, tare_g):
    """Share of the fresh weight that is dry matter, the bag taken off both times.

    Examples
    --------
    >>> dry_matter_pct([9, None], 3, 1)
    array([25., nan])
    >>> dry_matter_pct(90, 95, 10)
    Traceback (most recent call last):
    plots.calc.described.BadInput: Dried, with bag is 95 g; accepted is at most the fresh weight of 90 g
    """
    refuse_where(
        wet_g <= tare_g,
        "wet_g",
        "Fresh, with bag is {0:g} g; accepted is above the bag's {1:g} g",
        wet_g,
        tare_g,
    )
    refuse_where(
        dry_g < tare_g,
        "dry_g",
        "Dried, with bag is {0:g} g; accepted is the empty bag's {1:g} g or more",
        dry_g,
        tare_g,
    )
    refuse_where(
        dry_g > wet_g,
        "dry_g",
        "Dried, with bag is {0:g} g; accepted is at most the fresh weight of {1:g} g",
        dry_g,
        wet_g,
    )
    return 100 * (dry_g - tare_g) / (wet_g - tare_g)


@described(
    title="Dry matter per acre from dried frames",
    topic="browse",
    inputs=[
        Quantity("dry_g", "Dry weight in the frame", "g", least=0, is_list=True, example=[42, 0, 36]),
        _frame_ft2,
    ],
    answers=_LB_ANSWERS,
    formula="mean dry grams × 96.033 ÷ frame ft²",
    sources=[FIELD_DAY, FRAME_SIZES],
    notes=[ZEROS_COUNT, FEW_FRAMES, "Weights are without bag. Roots and what is below the cut do not count."],
)
def dry_lb_per_acre(dry_g, frame_ft2):
    """Dry matter of a stand: the mean of the frames, scaled once.

    Examples
    --------
    >>> stand = dry_lb_per_acre([20, 30, 10], 1.92)
    >>> round(stand.dry_lb_per_acre), round(stand.standard_error_lb_per_acre)
    (1000, 289)
    >>> float(dry_lb_per_acre([20, None], 1.92).dry_lb_per_acre)
    nan
    """
    return FramesLb(*_scaled(dry_g, LB_PER_ACRE_PER_G_PER_FT2 / frame_ft2))


@described(
    title="Dry matter per acre from fresh frames",
    topic="browse",
    inputs=[
        Quantity("fresh_g", "Fresh weight in the frame", "g", least=0, is_list=True, example=[210, 180, 0]),
        Quantity("dry_matter_pct", "Dry matter", "%", above=0, most=100, example=20),
        _frame_ft2,
    ],
    answers=_LB_ANSWERS,
    formula="mean fresh grams × dry matter ÷ 100 × 96.033 ÷ frame ft²",
    sources=[MAINE],
    notes=[
        ZEROS_COUNT,
        FEW_FRAMES,
        "The spread is that between frames; how well one sample gives the dry matter of all is not in it.",
    ],
)
def dry_lb_per_acre_from_fresh(fresh_g, dry_matter_pct, frame_ft2):
    """Dry matter of a stand from fresh weights and the dry matter of a mixed sample.

    Examples
    --------
    >>> round(dry_lb_per_acre_from_fresh([210, 180, 0], 20, 1.92).dry_lb_per_acre)
    1300
    >>> float(dry_lb_per_acre_from_fresh([210], None, 1.92).dry_lb_per_acre)
    nan
    """
    return FramesLb(*_scaled(fresh_g, dry_matter_pct / 100 * LB_PER_ACRE_PER_G_PER_FT2 / frame_ft2))


@described(
    title="Dry matter per acre from pounds clipped",
    topic="browse",
    inputs=[
        Quantity("fresh_lb", "Fresh weight of all that was clipped", "lb", least=0, example=2.07),
        Quantity("dry_matter_pct", "Dry matter", "%", above=0, most=100, example=25),
        Quantity("area_ft2", "Ground clipped, all frames together", "ft²", above=0, example=9),
    ],
    answer=Quantity("dry_lb_per_acre", "Dry matter", "lb/acre", decimals=0),
    formula="fresh lb × dry matter ÷ 100 × 43,560 ÷ area ft²",
    sources=[MAINE],
    notes=["One weighing of everything hides how far the frames differ."],
)
def dry_lb_per_acre_from_pounds(fresh_lb, dry_matter_pct, area_ft2):
    """Dry matter of a stand from pounds clipped on a measured piece of ground.

    Examples
    --------
    >>> dry_lb_per_acre_from_pounds([2.07, None], 25, 9).round(1)
    array([2504.7,    nan])
    """
    return fresh_lb * dry_matter_pct / 100 * FT2_PER_ACRE / area_ft2


@described(
    title="Dry matter per hectare from dried frames",
    topic="browse",
    inputs=[
        Quantity(
            "dry_g", "Dry weight in the frame", "g", least=0, is_list=True, example=[42, 45, 36, 39, 38]
        ),
        Quantity("frame_m2", "Ground inside one frame", "m²", above=0, example=0.25),
    ],
    answers=[
        Quantity("dry_kg_per_ha", "Dry matter", "kg/ha", decimals=0),
        Quantity("spread_kg_per_ha", "Standard deviation between frames", "kg/ha", decimals=0),
        Quantity("standard_error_kg_per_ha", "Standard error between frames", "kg/ha", decimals=0),
        _frames,
    ],
    formula="mean dry grams × 10 ÷ frame m²",
    sources=[ANSWER_SHEET],
    notes=[ZEROS_COUNT, FEW_FRAMES],
)
def dry_kg_per_ha(dry_g, frame_m2):
    """Dry matter of a stand in metric units: the mean of the frames, scaled once.

    Examples
    --------
    >>> float(dry_kg_per_ha([42, 45, 36, 39, 38], 0.25).dry_kg_per_ha)
    1600.0
    >>> float(dry_kg_per_ha([42, 45], None).dry_kg_per_ha)
    nan
    """
    return FramesKg(*_scaled(dry_g, M2_PER_HA / G_PER_KG / frame_m2))


@described(
    title="Ground inside a hoop, by its length around",
    topic="browse",
    inputs=[Quantity("circumference_ft", "Length around, inside", "ft", above=0, example=8)],
    answer=Quantity("area_ft2", "Ground inside", "ft²", decimals=2),
    formula="length² ÷ (4 × π)",
    sources=[DEFINITION, MONTANA],
    notes=["A hoop that is not round holds less ground than this."],
)
def hoop_ft2_from_circumference(circumference_ft):
    """Ground inside a round hoop of cable or pipe.

    Examples
    --------
    >>> hoop_ft2_from_circumference([8, None]).round(3)
    array([5.093,   nan])
    """
    return circumference_ft**2 / (4 * np.pi)


@described(
    title="Ground inside a hoop, by its width",
    topic="browse",
    inputs=[Quantity("diameter_in", "Inside diameter", "in", above=0, example=30)],
    answer=Quantity("area_ft2", "Ground inside", "ft²", decimals=2),
    formula="π × (diameter ÷ 12)² ÷ 4",
    sources=[DEFINITION, MONTANA],
    notes=["A hoop that is not round holds less ground than this."],
)
def hoop_ft2_from_diameter(diameter_in):
    """Ground inside a round hoop measured across.

    Examples
    --------
    >>> hoop_ft2_from_diameter([30, None]).round(3)
    array([4.909,   nan])
    """
    return np.pi * (diameter_in / _IN_PER_FT) ** 2 / 4


@described(
    title="Dry matter on the whole plot",
    topic="browse",
    inputs=[
        Quantity("dry_lb_per_acre", "Dry matter", "lb/acre", least=0, example=2500),
        Quantity("area_acres", "Plot", "acres", least=0, example=1.5),
    ],
    answer=Quantity("dry_lb", "Dry matter on the plot", "lb", decimals=0),
    formula="lb/acre × acres",
    sources=[DEFINITION, COMMON_PRACTICE],
    notes=["Frames in one corner stand for that corner, not for the plot (common practice)."],
)
def dry_lb_on_plot(dry_lb_per_acre, area_acres):
    """Dry matter standing on a plot.

    Examples
    --------
    >>> dry_lb_on_plot([2500, None], 1.5)
    array([3750.,   nan])
    """
    return dry_lb_per_acre * area_acres


def _scaled(grams, factor):
    """Mean, spread and standard error of the frames times the factor, and their number."""
    of_frames = repeats(grams)
    return (
        of_frames.mean * factor,
        of_frames.spread * factor,
        of_frames.error * factor,
        np.where(np.isnan(of_frames.mean * factor), np.nan, of_frames.count),
    )
