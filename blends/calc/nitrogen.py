"""Nitrogen in the residue of a blend, and the part of it that the next crop may find.

How much becomes available hangs on soil, weather, tillage and the residue itself; published figures lie far
apart. So the fraction is an assumption that stands beside the answer and can be changed, the answer is a range,
and none of it is a fertiliser recommendation.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from plots.calc.described import DEFINITION, BadInput, Quantity, Source, described

LB_PER_SHORT_TON = 2000  # by definition

SANTA_CRUZ = Source(
    "Teaching Organic Farming and Gardening, unit 1.6, Selecting and Using Cover Crops",
    "University of California, Santa Cruz",
    address="https://pdfslide.us/documents/"
    "16-selecting-and-using-cover-crops-and-using-cover-crops-introduction-265-lecture.html",
    note="After Managing Cover Crops Profitably, 2nd edition; the address is a mirror of the document.",
)
NORTH_DAKOTA = Source(
    "Estimating cover crop biomass and N value",
    "NDSU Extension, carried by a trade paper",
    address="https://www.no-tillfarmer.com/articles/1532-estimating-cover-crop-biomass-and-n-value",
)
OTHER_EXTENSION = Source(
    "Extension figures for cover crops turned in or left on the surface",
    note="Read while the formulas were gathered; the title was not kept.",
)
PNW_636 = Source(
    "Estimating Plant-Available Nitrogen Release from Cover Crops (PNW 636)",
    "Oregon State University",
    "2012",
    "https://studylib.net/doc/18138507/estimating-plant-available-nitrogen-release-from-cover-crops",
    note="Its highlights were seen, not its body.",
)
TILTH = Source(
    "Estimating Plant-Available Nitrogen from Cover Crops, Tilth Producers Quarterly 22(4)",
    "Tilth Producers of Washington",
    "2012",
    "http://tilthproducers.org/quarterly/2012-22-4-estimating-plant-available-nitrogen-from-cover-crops/",
)
BLIND_TO_CN = "The fractions do not look at C:N: above about 30 the residue may take nitrogen from the next crop at first."
NO_RECOMMENDATION = "A rough range from published figures, not a fertiliser recommendation: test the soil."


@dataclass(frozen=True)
class Fraction:
    """A published part of the residue's nitrogen that the next crop finds.

    Attributes
    ----------
    key, label : str
    low, high : float
        [-]; the same where one figure is given.
    is_tilled : bool
    limits : str
        A sentence.
    source : Source
    """

    key: str
    label: str
    low: float
    high: float
    is_tilled: bool
    limits: str
    source: Source


FRACTIONS = (
    Fraction(
        "surface-santa-cruz",
        "Left on the surface, cool to warm climate",
        0.25,
        0.5,
        False,
        "A quarter in cool climates, half in warm ones.",
        SANTA_CRUZ,
    ),
    Fraction(
        "no-till-north-dakota",
        "No-till",
        1 / 5,
        1 / 5,
        False,
        "The author's own estimate, a rule of thumb in North Dakota.",
        NORTH_DAKOTA,
    ),
    Fraction(
        "surface-extension", "Left on the surface", 0.4, 0.4, False, "No limits stated.", OTHER_EXTENSION
    ),
    Fraction("tilled-santa-cruz", "Tilled in", 0.5, 0.5, True, "This season.", SANTA_CRUZ),
    Fraction(
        "tilled-north-dakota",
        "Tilled in",
        1 / 3,
        1 / 3,
        True,
        "From sugar beet trials of about 2005, for next year's crop.",
        NORTH_DAKOTA,
    ),
    Fraction("tilled-extension", "Tilled in", 0.5, 0.5, True, "No limits stated.", OTHER_EXTENSION),
)
LEAST_ON_SURFACE = min(each.low for each in FRACTIONS if not each.is_tilled)
MOST_ON_SURFACE = max(each.high for each in FRACTIONS if not each.is_tilled)


@described(
    title="Nitrogen in the residue",
    topic="nitrogen",
    inputs=[
        Quantity("dry_matter_lb_per_acre", "Dry matter", "lb/acre", least=0, example=2000),
        Quantity("nitrogen_pct", "Nitrogen", "%", least=0, most=100, example=4, help="Of the dry matter."),
    ],
    answer=Quantity("nitrogen_lb_per_acre", "Nitrogen", "lb/acre", decimals=0),
    formula="dry matter × nitrogen % ÷ 100",
    sources=[DEFINITION, NORTH_DAKOTA],
    notes=["Above ground: roots are not counted.", "Only a part of it reaches the next crop."],
)
def residue_nitrogen_lb_per_acre(dry_matter_lb_per_acre, nitrogen_pct):
    """All the nitrogen in top growth.

    Examples
    --------
    >>> residue_nitrogen_lb_per_acre([2000, 2000], [4, None])
    array([80., nan])
    """
    return dry_matter_lb_per_acre * nitrogen_pct / 100


class AvailableRange(NamedTuple):
    """Nitrogen for the next crop. [lb/acre]"""

    low_lb_per_acre: float
    high_lb_per_acre: float


@described(
    title="Nitrogen for the next crop, by a fraction",
    topic="nitrogen",
    inputs=[
        Quantity("total_nitrogen_lb_per_acre", "Nitrogen in the residue", "lb/acre", least=0, example=80),
        Quantity(
            "low_fraction",
            "Lowest available part",
            least=0,
            most=1,
            is_required=False,
            default=LEAST_ON_SURFACE,
            example=LEAST_ON_SURFACE,
            help="An assumption, of 1: 0.2 is a fifth, the least published for residue left on the surface.",
        ),
        Quantity(
            "high_fraction",
            "Highest available part",
            least=0,
            most=1,
            is_required=False,
            default=MOST_ON_SURFACE,
            example=MOST_ON_SURFACE,
            help="An assumption, of 1: 0.5 is half, the most published for residue left on the surface.",
        ),
    ],
    answers=[
        Quantity("low_lb_per_acre", "Available, lowest", "lb/acre", decimals=0),
        Quantity("high_lb_per_acre", "Available, highest", "lb/acre", decimals=0),
    ],
    formula="nitrogen in the residue × lowest and highest part",
    sources=[SANTA_CRUZ, NORTH_DAKOTA, OTHER_EXTENSION],
    notes=[
        "Left on the surface: half in warm and a quarter in cool climates (Santa Cruz), a fifth (North Dakota), 0.4 "
        "(another). Tilled in: half (Santa Cruz), a third (North Dakota), 0.5 (another).",
        BLIND_TO_CN,
        NO_RECOMMENDATION,
    ],
)
def available_nitrogen(
    total_nitrogen_lb_per_acre, low_fraction=LEAST_ON_SURFACE, high_fraction=MOST_ON_SURFACE
):
    """The part of the residue's nitrogen that the next crop may find, by published fractions.

    Examples
    --------
    >>> available_nitrogen([80, None]).low_lb_per_acre
    array([16., nan])
    >>> available_nitrogen([80, None]).high_lb_per_acre
    array([40., nan])
    """
    is_wrong = low_fraction > high_fraction
    if is_wrong.any():
        low, high = (
            np.broadcast_to(each, is_wrong.shape)[is_wrong][0] for each in (low_fraction, high_fraction)
        )
        raise BadInput(
            "low_fraction", f"Lowest available part is {low:g}; accepted is at most the highest, {high:g}"
        )
    return AvailableRange(
        total_nitrogen_lb_per_acre * low_fraction, total_nitrogen_lb_per_acre * high_fraction
    )


# PNW 636: from about nothing at 1.5 % nitrogen to about 35 lb from a short ton at 3.5 %.
NONE_AT_PCT = 1.5
MOST_AT_PCT = 3.5
MOST_LB_PER_SHORT_TON = 35.0
TIED_UP_AT_MOST_LB_PER_ACRE = 50.0  # by cereals below 1.5 %

PNW_636_LIMITS = (
    "Most applicable to winter covers before summer vegetables in western Oregon and Washington, say its authors. "
    "Most of it comes 4 to 6 weeks after the kill."
)
REMARKS = {
    "none": f"Under {NONE_AT_PCT} % nitrogen little or nothing is let go, and cereals can tie up as much as "
    f"{TIED_UP_AT_MOST_LB_PER_ACRE:g} lb/acre.",
    "within": "",
    "held": "Above 3.5 % nitrogen the published line ends: the figure is held at what 3.5 % gives.",
}


class PlantAvailable(NamedTuple):
    """Plant-available nitrogen, and what to say of it."""

    lb_per_acre: float
    lb_per_short_ton: float
    remark: str


@described(
    title="Nitrogen for the next crop, by its nitrogen content",
    topic="nitrogen",
    inputs=[
        Quantity("dry_matter_lb_per_acre", "Dry matter", "lb/acre", least=0, example=5000),
        Quantity("nitrogen_pct", "Nitrogen", "%", least=0, most=100, example=3, help="Of the dry matter."),
    ],
    answers=[
        Quantity("lb_per_acre", "Plant-available nitrogen", "lb/acre", decimals=0),
        Quantity("lb_per_short_ton", "From each short ton of dry matter", "lb/ton", decimals=1),
        Quantity("remark", "Remark", kind="text"),
    ],
    formula="17.5 × (nitrogen % − 1.5) lb from each short ton (2,000 lb) of dry matter, from 1.5 to 3.5 %",
    sources=[PNW_636],
    notes=[
        PNW_636_LIMITS,
        REMARKS["none"],
        REMARKS["held"],
        "A later edition has 25 to 40 lb a ton at 3 to 4 % nitrogen.",
        "A mixture of three parts cereal and one part legume comes out near zero.",
        NO_RECOMMENDATION,
    ],
)
def plant_available_nitrogen(dry_matter_lb_per_acre, nitrogen_pct):
    """Nitrogen that a killed cover crop lets go in a season, by a straight line on its nitrogen content.

    Examples
    --------
    >>> plant_available_nitrogen(2000, [1.0, 2.5, 3.5, 4.0, None]).lb_per_short_ton
    array([ 0. , 17.5, 35. , 35. ,  nan])
    >>> plant_available_nitrogen(5000, [3.0]).lb_per_acre
    array([65.625])
    """
    within = np.clip(nitrogen_pct, NONE_AT_PCT, MOST_AT_PCT)
    lb_per_short_ton = MOST_LB_PER_SHORT_TON * (within - NONE_AT_PCT) / (MOST_AT_PCT - NONE_AT_PCT)
    kinds = np.select([nitrogen_pct < NONE_AT_PCT, nitrogen_pct > MOST_AT_PCT], ["none", "held"], "within")
    remark = np.array([REMARKS[kind] for kind in kinds.flat]).reshape(kinds.shape)
    return PlantAvailable(
        dry_matter_lb_per_acre / LB_PER_SHORT_TON * lb_per_short_ton, lb_per_short_ton, remark
    )


@described(
    title="Price of a pound of available nitrogen",
    topic="nitrogen",
    inputs=[
        Quantity("usd_per_acre", "Cost of the cover crop", "USD/acre", least=0, example=138.45),
        Quantity("available_lb_per_acre", "Available nitrogen", "lb/acre", above=0, example=60),
    ],
    answer=Quantity("usd_per_lb", "Price", "USD/lb N", decimals=2),
    formula="cost ÷ available nitrogen",
    sources=[TILTH],
    notes=["Charges the nitrogen with all that the cover crop costs, whatever else it does."],
)
def usd_per_lb_available_nitrogen(usd_per_acre, available_lb_per_acre):
    """What a pound of nitrogen from a cover crop costs, to compare with fertiliser.

    Examples
    --------
    >>> usd_per_lb_available_nitrogen(138.45, [60, None]).round(2)
    array([2.31,  nan])
    """
    return usd_per_acre / available_lb_per_acre
