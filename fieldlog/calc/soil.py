"""Infiltration, bulk density and the water in a soil sample.

Water in soil is on the *dry* weight; moisture of plants (`clipping`) is on the fresh weight.
"""

from typing import NamedTuple

import numpy as np

from plots.calc.checks import refuse_where
from plots.calc.described import COMMON_PRACTICE, DEFINITION, MEMORY, Quantity, Source, described
from plots.calc.units import M_PER_IN

MINERAL_G_PER_CM3 = 2.65
"""Density of mineral grains, as the porosity of mineral soil is usually reckoned; from memory."""

_CM_PER_IN = 100 * M_PER_IN
_MM_PER_IN = 1000 * M_PER_IN
_MM_PER_CM = 10
_MIN_PER_H = 60

KIT = Source(
    "Soil Quality Test Kit Guide, infiltration",
    "USDA NRCS",
    "2001 (from memory)",
    "https://symbiosis.co.nz/natures-teaching/soil-health/water-infiltration-test/",
    note="Its steps were read on this page, which carries them: 444 mL as one inch in a 6-inch ring, then a second "
    "inch. A ring of 6.00 in inside needs 463.3 mL; 444 mL fits 5.87 in, so measure the inside.",
)
CIMMYT = Source(
    "Estimating available soil moisture",
    "CIMMYT Wheat Doctor",
    "no year",
    "http://wheatdoctor.org/estimating-available-soil-moisture",
)
GRAINS = Source("Mineral grains weigh 2.65 g/cm³", basis=MEMORY)

RING_NOTES = [
    "The first inch wets dry soil; pour a second, which is the usual reading (the latter from memory).",
    "Saturated, frozen or cracked soil gives no reading that means anything.",
    "One ring is one spot; several spots of a plot often differ by several times (common practice).",
]

_diameter = Quantity(
    "inside_diameter_in",
    "Inside diameter of the ring",
    "in",
    above=0,
    example=5.87,
    help="Measured, not the size it is sold by.",
)
_gravimetric = Quantity(
    "gravimetric_pct",
    "Water by weight",
    "% of dry weight",
    least=0,
    example=20,
    help="Can be above 100 in peat.",
)
_bulk_density = Quantity("bulk_density_g_per_cm3", "Bulk density", "g/cm³", above=0, most=2.65, example=1.3)


class RingReading(NamedTuple):
    """Water that went in through a ring."""

    depth_in: float
    rate_in_per_h: float


class Core(NamedTuple):
    """Bulk density of a core and the pores that it leaves."""

    bulk_density_g_per_cm3: float
    porosity_pct: float


class WaterDepth(NamedTuple):
    """Water in a layer as a depth, twice."""

    water_mm: float
    water_in: float


@described(
    title="Infiltration through a ring",
    topic="soil",
    inputs=[
        Quantity("volume_ml", "Water poured", "mL", least=0, example=444),
        _diameter,
        Quantity("minutes", "Until it had gone in", "min", above=0, example=12),
    ],
    answers=[
        Quantity("depth_in", "Depth of water", "in", decimals=2),
        Quantity("rate_in_per_h", "Infiltration", "in/h", decimals=1),
    ],
    formula="mL ÷ (π × (2.54 × diameter)² ÷ 4) ÷ 2.54 = inches; × 60 ÷ minutes",
    sources=[KIT, DEFINITION],
    notes=RING_NOTES,
)
def ring_infiltration(volume_ml, inside_diameter_in, minutes):
    """Depth of the water poured into a ring of the measured diameter, and how fast it went in.

    Examples
    --------
    >>> reading = ring_infiltration(444, 6, 12)
    >>> round(float(reading.depth_in), 3), round(float(reading.rate_in_per_h), 2)
    (0.958, 4.79)
    >>> float(ring_infiltration(444, None, 12).depth_in)
    nan
    """
    depth_in = volume_ml / ring_volume_ml(1, inside_diameter_in)
    return RingReading(depth_in, infiltration_in_per_h(depth_in, minutes))


@described(
    title="Infiltration from inches and minutes",
    topic="soil",
    inputs=[
        Quantity("depth_in", "Water that went in", "in", least=0, example=1),
        Quantity("minutes", "Minutes", "min", above=0, example=6),
    ],
    answer=Quantity("rate_in_per_h", "Infiltration", "in/h", decimals=1),
    formula="60 × inches ÷ minutes",
    sources=[DEFINITION],
    notes=RING_NOTES,
)
def infiltration_in_per_h(depth_in, minutes):
    """Infiltration rate from a depth of water and the time that it took.

    Examples
    --------
    >>> infiltration_in_per_h([1, None], 6)
    array([10., nan])
    """
    return _MIN_PER_H * depth_in / minutes


@described(
    title="Water to pour into a ring",
    topic="soil",
    inputs=[Quantity("depth_in", "Depth wanted", "in", least=0, example=1), _diameter],
    answer=Quantity("volume_ml", "Water to pour", "mL", decimals=0),
    formula="2.54 × inches × π × (2.54 × diameter)² ÷ 4",
    sources=[DEFINITION, KIT],
    notes=RING_NOTES,
)
def ring_volume_ml(depth_in, inside_diameter_in):
    """Water that stands so deep in a ring.

    Examples
    --------
    >>> ring_volume_ml(1, [6, 5.87, None]).round(1)
    array([463.3, 443.5,   nan])
    """
    area_cm2 = np.pi * (inside_diameter_in * _CM_PER_IN) ** 2 / 4
    return depth_in * _CM_PER_IN * area_cm2


@described(
    title="Bulk density of a core",
    topic="soil",
    inputs=[
        Quantity("dry_g", "Dried soil, with tin", "g", least=0, example=420),
        Quantity("tare_g", "Empty tin", "g", least=0, example=30),
        Quantity("inside_diameter_cm", "Inside diameter of the core", "cm", above=0, example=7.3),
        Quantity("length_cm", "Length of the core", "cm", above=0, example=7.3),
    ],
    answers=[
        Quantity("bulk_density_g_per_cm3", "Bulk density", "g/cm³", decimals=2),
        Quantity("porosity_pct", "Pores", "% of volume", decimals=0),
    ],
    formula="dry g ÷ (π × diameter² ÷ 4 × length); pores = (1 − bulk density ÷ 2.65) × 100",
    sources=[DEFINITION, GRAINS],
    notes=[
        "Dry at 105 °C until two weighings agree.",
        "Stones weigh more than soil; a core with many says little.",
        "Below 0 % pores the core cannot be: look at the weights and the measures again.",
    ],
)
def bulk_density(dry_g, tare_g, inside_diameter_cm, length_cm):
    """Dry weight of soil for its volume in the ground, and the share of pores.

    Examples
    --------
    >>> core = bulk_density(420, 30, 7.3, 7.3)
    >>> round(float(core.bulk_density_g_per_cm3), 3), round(float(core.porosity_pct), 1)
    (1.276, 51.8)
    >>> float(bulk_density(420, 30, 7.3, None).porosity_pct)
    nan
    """
    refuse_where(
        dry_g < tare_g,
        "dry_g",
        "Dried soil, with tin is {0:g} g; accepted is the tin's {1:g} g or more",
        dry_g,
        tare_g,
    )
    density = (dry_g - tare_g) / (np.pi * inside_diameter_cm**2 / 4 * length_cm)
    return Core(density, 100 * (1 - density / MINERAL_G_PER_CM3))


@described(
    title="Pores of a soil",
    topic="soil",
    inputs=[_bulk_density],
    answer=Quantity("porosity_pct", "Pores", "% of volume", decimals=0),
    formula="(1 − bulk density ÷ 2.65) × 100",
    sources=[GRAINS],
    notes=["For mineral soil; soil rich in organic matter has lighter grains and fewer pores than this."],
)
def porosity_pct(bulk_density_g_per_cm3):
    """Share of a soil's volume that is pores.

    Examples
    --------
    >>> porosity_pct([1.325, 2.65, None])
    array([50.,  0., nan])
    """
    return 100 * (1 - bulk_density_g_per_cm3 / MINERAL_G_PER_CM3)


@described(
    title="Water in soil, by weight",
    topic="soil",
    inputs=[
        Quantity("wet_g", "Wet soil, with tin", "g", least=0, example=150),
        Quantity("dry_g", "Dried soil, with tin", "g", least=0, example=130),
        Quantity("tare_g", "Empty tin", "g", least=0, example=30),
    ],
    answer=Quantity("gravimetric_pct", "Water by weight", "% of dry weight", decimals=1),
    formula="(wet − dried) ÷ (dried − tin) × 100",
    sources=[DEFINITION, COMMON_PRACTICE],
    notes=["On the dry weight, unlike the dry matter of plants.", "Dry at 105 °C until two weighings agree."],
)
def gravimetric_pct(wet_g, dry_g, tare_g):
    """Water for each hundred parts of dry soil.

    Examples
    --------
    >>> gravimetric_pct([150, None], 130, 30)
    array([20., nan])
    """
    refuse_where(
        dry_g <= tare_g,
        "dry_g",
        "Dried soil, with tin is {0:g} g; accepted is above the tin's {1:g} g",
        dry_g,
        tare_g,
    )
    refuse_where(
        wet_g < dry_g,
        "wet_g",
        "Wet soil, with tin is {0:g} g; accepted is the dried {1:g} g or more",
        wet_g,
        dry_g,
    )
    return 100 * (wet_g - dry_g) / (dry_g - tare_g)


@described(
    title="Water in soil, by volume",
    topic="soil",
    inputs=[_gravimetric, _bulk_density],
    answer=Quantity("volumetric_pct", "Water by volume", "% of volume", decimals=1),
    formula="water by weight × bulk density",
    sources=[CIMMYT],
    notes=["More water than pores cannot be; then the bulk density is not that of the sample."],
)
def volumetric_pct(gravimetric_pct, bulk_density_g_per_cm3):
    """Share of the soil's volume that is water.

    Examples
    --------
    >>> volumetric_pct([20, None], 1.2)
    array([24., nan])
    >>> volumetric_pct(90, 1.2)
    Traceback (most recent call last):
    plots.calc.described.BadInput: Water by weight is 90 %, by volume 108 %; accepted is at most 100 % by volume
    """
    volumetric = gravimetric_pct * bulk_density_g_per_cm3
    refuse_where(
        volumetric > 100,
        "gravimetric_pct",
        "Water by weight is {0:g} %, by volume {1:g} %; accepted is at most 100 % by volume",
        gravimetric_pct,
        volumetric,
    )
    return volumetric


@described(
    title="Depth of water in a layer",
    topic="soil",
    inputs=[
        Quantity("volumetric_pct", "Water by volume", "% of volume", least=0, most=100, example=24),
        Quantity("soil_depth_cm", "Thickness of the layer", "cm", least=0, example=50),
    ],
    answers=[
        Quantity("water_mm", "Water in the layer", "mm", decimals=0),
        Quantity("water_in", "Water in the layer", "in", decimals=2),
    ],
    formula="water by volume ÷ 100 × thickness",
    sources=[CIMMYT],
    notes=["All the water, not only what roots can take."],
)
def water_depth(volumetric_pct, soil_depth_cm):
    """Water in a layer of soil as the depth that it would stand.

    Examples
    --------
    >>> water_depth(24, [50, None]).water_mm
    array([120.,  nan])
    """
    water_mm = volumetric_pct / 100 * soil_depth_cm * _MM_PER_CM
    return WaterDepth(water_mm, water_mm / _MM_PER_IN)
