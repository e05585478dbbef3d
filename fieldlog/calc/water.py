"""Water that the soil holds, judged by feel, and what evaporation and a mulch do to it."""

from typing import NamedTuple

import numpy as np

from plots.calc.checks import refuse_where
from plots.calc.described import WORKED_OUT, Quantity, Source, described

FULL, EMPTY = 100, 0

TEXTURES = {
    "coarse": ("Fine sand, loamy fine sand", 0.6, 1.2),
    "sandy_loam": ("Sandy loam, fine sandy loam", 1.3, 1.7),
    "loam": ("Sandy clay loam, loam, silt loam", 1.5, 2.1),
    "clay": ("Clay, clay loam, silty clay loam", 1.6, 2.4),
}
"""Label, and available water from low to high in in/ft, as the agency's cards for the feel of soil have them."""

FEELS = {
    "dry": ("Dry: grains or clods fall apart, no stain on the fingers", 0, 25),
    "slightly_moist": ("Slightly moist: a weak ball, no water stain on the fingers", 25, 50),
    "moist": ("Moist: a ball with finger marks, a light stain; clay ribbons, loam weakly", 50, 75),
    "wet": ("Wet: a ball, a wet coat on the fingers; loam and clay ribbon easily", 75, 100),
    "field_capacity": ("Field capacity: free water shows for a moment on squeezing", 100, 100),
}
"""Label, and how much of the available water is still there, in %."""

HELD = {
    "sand": ("Sand", 0.5, 1.0),
    "sandy_loam": ("Sandy loam", 1.0, 1.5),
    "silt_or_clay_loam": ("Silt or clay loam", 1.5, 2.0),
    "clay": ("Clay", 2.0, 2.5),
}
"""Label, and available water from low to high in in/ft, as the University of California has them."""

FEEL_LOAM = Source(
    "Soil moisture by feel: sandy clay loam, loam, silt loam",
    "USDA NRCS Wyoming",
    "no year",
    "https://www.nrcs.usda.gov/wps/portal/nrcs/detail/wy/soils/?cid=nrcs142p2_026831",
)
FEEL_CLAY = Source(
    "Soil moisture appearance of clay, clay loam, and silty clay loam soils",
    "USDA NRCS Wyoming",
    "no year",
    "http://www.nrcs.usda.gov/wps/portal/nrcs/detail/wy/technical/?cid=nrcs142p2_026828",
)
FEEL_CHART = Source(
    "Guidelines for estimating soil moisture conditions",
    "publisher not shown; the same chart with coarse soil and sandy loam",
    "no year",
    "https://docest.com/doc/692126/guidelines-for-estimating-soil-moisture-conditions",
)
FEEL_MONTANA = Source(
    "Estimating soil moisture by feel and appearance",
    "USDA NRCS Montana",
    "no year",
    "http://www.nrcs.usda.gov/wps/portal/nrcs/detail/mt/newsroom/factsheets/?cid=nrcs144p2_056492",
)
CALIFORNIA = Source(
    "Soil texture and available water",
    "University of California ANR",
    "no year",
    "https://class.ucanr.edu/node/112737",
)
_FAO_56 = ("FAO", "1998", "https://www.fao.org/3/x0490e/x0490e00.htm")
FAO_MULCH = Source(
    "Crop evapotranspiration, Irrigation and Drainage Paper 56, chapter 11",
    *_FAO_56,
    basis=WORKED_OUT,
    note="Seen as a quotation, not on the page: 5 % for each 10 % of the surface under organic mulch. That "
    "chapter 10 gives the same rule for the evaporation alone is from memory.",
)
FAO_EVAPORABLE = Source(
    "Crop evapotranspiration, Irrigation and Drainage Paper 56, equation 73",
    *_FAO_56,
    note="Seen as a quotation, not on the page.",
)


class Feel(NamedTuple):
    """What the feel of a soil says of its water, each from low to high."""

    available_low_pct: float
    available_high_pct: float
    depletion_low_in_per_ft: float
    depletion_high_in_per_ft: float


class HeldWater(NamedTuple):
    """Available water in a depth of soil, from low to high."""

    water_low_in: float
    water_high_in: float


def _choices(table):
    return tuple((key, label) for key, (label, *_) in table.items())


def _band(table, key):
    """Low and high of a choice; NaN where nothing is chosen."""
    return (np.nan, np.nan) if key is None else table[key][1:]


@described(
    title="Soil moisture by feel",
    topic="soil",
    inputs=[
        Quantity("texture", "Texture", kind="choice", choices=_choices(TEXTURES), example="loam"),
        Quantity(
            "feel", "Feel, squeezed hard", kind="choice", choices=_choices(FEELS), example="slightly_moist"
        ),
    ],
    answers=[
        Quantity("available_low_pct", "Available water left, at least", "%", decimals=0),
        Quantity("available_high_pct", "Available water left, at most", "%", decimals=0),
        Quantity("depletion_low_in_per_ft", "Short of full, at least", "in/ft", decimals=1),
        Quantity("depletion_high_in_per_ft", "Short of full, at most", "in/ft", decimals=1),
    ],
    formula="least water held × (1 − most left) to most water held × (1 − least left)",
    sources=[FEEL_LOAM, FEEL_CLAY, FEEL_CHART, FEEL_MONTANA],
    notes=[
        "The bands are wide because the textures are: available water is 0.6–1.2 in/ft in fine sand, 1.3–1.7 in "
        "sandy loam, 1.5–2.1 in loam, 1.6–2.4 in clay loam and clay.",
        "With practice the feel comes within about 5 % (NRCS Montana).",
        "Squeeze several samples, one from each foot of the roots' depth, at three places or more.",
    ],
)
def moisture_by_feel(texture, feel):
    """Water left in a soil, and how far it is from full, from its texture and its feel in the hand.

    Examples
    --------
    >>> short = moisture_by_feel("loam", "slightly_moist")
    >>> short.available_low_pct, short.available_high_pct
    (25, 50)
    >>> short.depletion_low_in_per_ft, round(short.depletion_high_in_per_ft, 3)
    (0.75, 1.575)
    >>> moisture_by_feel("loam", None).depletion_low_in_per_ft
    nan
    """
    held_low, held_high = _band(TEXTURES, texture)
    left_low, left_high = _band(FEELS, feel)
    return Feel(
        left_low,
        left_high,
        held_low * (1 - left_high / FULL),
        held_high * (1 - left_low / FULL),
    )


@described(
    title="Water short of full",
    topic="soil",
    inputs=[
        Quantity("awc_in_per_ft", "Available water that the soil can hold", "in/ft", above=0, example=1.8),
        Quantity("available_pct", "Part of it still there", "%", least=EMPTY, most=FULL, example=50),
    ],
    answer=Quantity("depletion_in_per_ft", "Short of full", "in/ft", decimals=2),
    formula="available water held × (1 − part left ÷ 100)",
    sources=[FEEL_LOAM],
    notes=["Rain or irrigation of this much fills each foot; more runs through."],
)
def depletion_in_per_ft(awc_in_per_ft, available_pct):
    """Water that a foot of soil lacks to be full.

    Examples
    --------
    >>> depletion_in_per_ft([2.1, None], 50)
    array([1.05,  nan])
    """
    return awc_in_per_ft * (1 - available_pct / FULL)


@described(
    title="Available water in a depth of soil",
    topic="soil",
    inputs=[
        Quantity("awc_in_per_ft", "Available water that the soil can hold", "in/ft", above=0, example=1.5),
        Quantity("depth_ft", "Depth of roots or soil", "ft", least=0, example=4),
    ],
    answer=Quantity("water_in", "Available water when full", "in", decimals=1),
    formula="available water in each foot × feet",
    sources=[CALIFORNIA],
    notes=["Roots stop at a hardpan, rock or water table; count no deeper."],
)
def available_water_in(awc_in_per_ft, depth_ft):
    """Water that a depth of soil holds for plants when it is full.

    Examples
    --------
    >>> available_water_in([0.5, 1.0, None], 4)
    array([ 2.,  4., nan])
    """
    return awc_in_per_ft * depth_ft


@described(
    title="Available water by texture",
    topic="soil",
    inputs=[
        Quantity("texture", "Texture", kind="choice", choices=_choices(HELD), example="sandy_loam"),
        Quantity("depth_ft", "Depth of roots or soil", "ft", least=0, example=3),
    ],
    answers=[
        Quantity("water_low_in", "Available water when full, at least", "in", decimals=1),
        Quantity("water_high_in", "Available water when full, at most", "in", decimals=1),
    ],
    formula="available water in each foot × feet; in/ft: sand 0.5–1.0, sandy loam 1.0–1.5, silt or clay loam "
    "1.5–2.0, clay 2.0–2.5",
    sources=[CALIFORNIA],
    notes=["The NRCS cards for the feel of soil have other bands, such as 1.6–2.4 in/ft for clay."],
)
def available_water_by_texture(texture, depth_ft):
    """Water that a depth of soil of a texture holds for plants when it is full.

    Examples
    --------
    >>> [float(inches) for inches in available_water_by_texture("sand", 4)]
    [2.0, 4.0]
    >>> float(available_water_by_texture("sand", None).water_low_in)
    nan
    """
    low, high = _band(HELD, texture)
    return HeldWater(available_water_in(low, depth_ft), available_water_in(high, depth_ft))


@described(
    title="Evaporation saved by a mulch",
    topic="soil",
    inputs=[Quantity("cover_pct", "Ground under mulch", "%", least=0, most=100, example=60)],
    answer=Quantity("cut_pct", "Less evaporation from the soil", "%", decimals=0),
    formula="half of the cover",
    sources=[FAO_MULCH],
    notes=[
        "So the most that a mulch saves by this rule is 50 %.",
        "Once, and of the evaporation from the soil only: what plants transpire is not less.",
        "A dry surface loses nothing with or without mulch, and mulch catches small rains.",
    ],
)
def mulch_evaporation_cut_pct(cover_pct):
    """Share of the evaporation from bare soil that an organic mulch saves.

    Examples
    --------
    >>> mulch_evaporation_cut_pct([50, 100, None])
    array([25., 50., nan])
    """
    return cover_pct / 2


@described(
    title="Water that can evaporate from the surface layer",
    topic="soil",
    inputs=[
        Quantity(
            "field_capacity_pct", "Water at field capacity", "% of volume", least=0, most=100, example=23
        ),
        Quantity("wilting_point_pct", "Water at wilting point", "% of volume", least=0, most=100, example=10),
        Quantity(
            "layer_m",
            "Layer that dries by evaporation",
            "m",
            above=0,
            most=1,
            example=0.1,
            help="0.10 to 0.15 m.",
        ),
        Quantity("cover_pct", "Ground under mulch", "%", least=0, most=100, example=60, help="0 is bare."),
    ],
    answer=Quantity("water_mm", "Water that can evaporate", "mm", decimals=1),
    formula="1000 × (field capacity − wilting point ÷ 2) × layer, × (1 − cover ÷ 2)",
    sources=[FAO_EVAPORABLE, FAO_MULCH],
    notes=[
        "From a full surface layer, until it is as dry as air makes it.",
        "The mulch counts once: with it here, do not lower the evaporation for it again.",
    ],
)
def evaporable_water_mm(field_capacity_pct, wilting_point_pct, layer_m, cover_pct):
    """Water that evaporation can take from the surface layer after a good wetting.

    Examples
    --------
    >>> evaporable_water_mm(23, 10, 0.1, [60, 0, None]).round(2)
    array([12.6, 18. ,  nan])
    """
    refuse_where(
        wilting_point_pct >= field_capacity_pct,
        "wilting_point_pct",
        "Water at wilting point is {0:g} %; accepted is below field capacity, {1:g} %",
        wilting_point_pct,
        field_capacity_pct,
    )
    bare_mm = 1000 * (field_capacity_pct - wilting_point_pct / 2) / 100 * layer_m
    return bare_mm * (1 - mulch_evaporation_cut_pct(cover_pct) / 100)
