"""How much of the ground residue covers, how it wastes away, and for how long it does its work.

Cover grows with mass by one exponential, mass shrinks with time by another. Both are rough: coefficients and
decay differ by a factor of two among published sites, so what hangs on them is shown as a band.
"""

from typing import NamedTuple

import numpy as np

from plots.calc.described import PRACTICE, Quantity, Source, described
from plots.calc.units import lb_per_acre_to_kg_per_ha

DSSAT = Source(
    "Residue parameter file RESCH048.SDA and mulch cover equation, DSSAT cropping system model",
    "DSSAT Foundation",
    "2021",
    "https://github.com/DSSAT/dssat-csm-os",
    note="Coefficients of a model of the whole crop: expect wide scatter.",
)
GREGORY = Source(
    "Note on Gregory (1982) for several residue types, in the source of WEPP",
    "USDA ARS",
    "1993",
    "https://infosys.ars.usda.gov/svn/code/third_party/wepp/trunk/wepp.src/covcal.for",
)
SOIL_WATER_EFFECT = Source(
    "Simple formulation of the soil water effect on residue decomposition, Communications in Soil Science and "
    "Plant Analysis 41(3)",
    "Taylor & Francis",
    "2010",
    "https://pure.ug.edu.gh/en/publications/simple-formulation-of-the-soil-water-effect-on-residue-decomposit-3",
    note="The abstract was seen.",
)
CONSERVATION_COVER = 0.3
CONSERVATION = Source(
    "30 % of the ground covered after planting counts as conservation tillage",
    basis=PRACTICE,
    note="A mark, not a goal of its own.",
)

COVER_CM2_PER_G = {
    "generic": 37,
    "legume": 32,
    "cereal": 37,
    "grass": 40,
    "maize": 30,
    "sorghum": 30,
    "pearl millet": 30,
    "wheat": 45,
    "barley": 40,
    "rice": 40,
    "rye": 42,
    "soybean": 32,
    "cowpea": 32,
    "pea": 32,
    "faba bean": 32,
    "alfalfa": 32,
    "hairy vetch": 69,
}
"""Ground that a gram of residue covers, by kind of residue. [cm²/g] Source: `DSSAT`."""

HA_PER_KG_PER_CM2_PER_G = 1e-5

ROUGH_DECAY = (
    "One exponential misses the fast first weeks and the slow tail.",
    "Published for soil from dry to moist, in a greenhouse and a field. Residue on the surface wastes slower than "
    "buried residue; rainy days and humidity speed it, a thick mulch slows it.",
)
ROUGH_COVER = "Published field pairs of mass and cover scatter widely and do not follow one coefficient."


# --- what is shared by the inputs -------------------------------------------------------------------------------

_EACH_DRY_MATTER = Quantity(
    "dry_matter_lb_per_acre", "Dry matter", "lb/acre", least=0, is_list=True, example=[2000, 1000]
)
_COEFFICIENTS = Quantity(
    "cover_cm2_per_g",
    "Ground covered by a gram",
    "cm²/g",
    least=0,
    is_list=True,
    example=[42, 69],
    help="Rye 42, wheat 45, corn and sorghum 30, other grasses 40, legumes 32, hairy vetch 69; else 37.",
)
_DRY_MATTER = Quantity("dry_matter_lb_per_acre", "Dry matter", "lb/acre", least=0, example=6000)
_RATE = Quantity(
    "decay_rate_per_day",
    "Decay",
    "per day",
    above=0,
    example=0.013,
    help="0.009 to 0.013 for C:N above 30, 0.009 to 0.022 below 25.",
)
_DAYS = Quantity("days", "Time", "days", decimals=0)


# --- cover ------------------------------------------------------------------------------------------------------


@described(
    title="Ground covered by residue",
    topic="residue",
    inputs=[_EACH_DRY_MATTER, _COEFFICIENTS],
    answer=Quantity("cover_fraction", "Ground covered, of 1", decimals=2),
    formula="1 − exp(−sum of (coefficient × 0.00001 × dry matter in kg/ha))",
    sources=[DSSAT, GREGORY],
    notes=[
        "Several residues overlap: their coefficients × masses are added before the one exponential, never the covers.",
        ROUGH_COVER,
    ],
)
def residue_cover(dry_matter_lb_per_acre, cover_cm2_per_g):
    """Share of the ground that flat residue of several kinds covers.

    Examples
    --------
    >>> residue_cover([[1784, 892], [1784, None]], [42, 69]).round(3)
    array([0.783,   nan])
    >>> residue_cover([[0, 0]], [42, 69])
    array([0.])
    """
    return -np.expm1(-_cover_exponent(dry_matter_lb_per_acre, cover_cm2_per_g))


def _cover_exponent(dry_matter_lb_per_acre, cover_cm2_per_g):
    each = cover_cm2_per_g * HA_PER_KG_PER_CM2_PER_G * lb_per_acre_to_kg_per_ha(dry_matter_lb_per_acre)
    return each.sum(axis=-1)


# --- decay ------------------------------------------------------------------------------------------------------


class DecayBand(NamedTuple):
    """Least and greatest decay. [1/day]"""

    low: float
    high: float


LASTING_DECAY = DecayBand(0.009, 0.013)  # C:N above 30
DECAY = DecayBand(0.009, 0.022)  # C:N below 25, and whatever else
LASTING_DECAY_ABOVE_CN = 30.0


def decay_per_day(cn):
    """Published decay of residue by its C:N.

    Nothing was published from 25 to 30, and of residue with an unknown C:N nothing narrower can be said: both
    get the band of low C:N, which has the other one inside it.

    Parameters
    ----------
    cn : array_like
        C:N of the residue as a whole; a mixture is treated as one material. [-]

    Returns
    -------
    DecayBand
        low, high. [1/day] They spread with soil water, from dry to moist.

    References
    ----------
    `SOIL_WATER_EFFECT`: 0.009 to 0.013 for C:N above 30, 0.009 to 0.022 below 25.

    Examples
    --------
    >>> decay_per_day([37, 27, 17, None]).high
    array([0.013, 0.022, 0.022, 0.022])
    """
    is_lasting = np.asarray(cn, dtype=float) > LASTING_DECAY_ABOVE_CN
    return DecayBand(
        *(
            np.where(is_lasting, lasting, other)[()]
            for lasting, other in zip(LASTING_DECAY, DECAY, strict=True)
        )
    )


@described(
    title="Residue left after some days",
    topic="residue",
    inputs=[_DRY_MATTER, _RATE, Quantity("days", "Time since it was killed", "days", least=0, example=60)],
    answer=Quantity("left_lb_per_acre", "Dry matter left", "lb/acre", decimals=0),
    formula="dry matter × exp(−decay × days)",
    sources=[SOIL_WATER_EFFECT],
    notes=ROUGH_DECAY,
)
def residue_left_lb_per_acre(dry_matter_lb_per_acre, decay_rate_per_day, days):
    """Dry matter that is left of residue.

    Examples
    --------
    >>> residue_left_lb_per_acre(6000, [0.013, None], 60).round()
    array([2750.,   nan])
    """
    return dry_matter_lb_per_acre * np.exp(-decay_rate_per_day * days)


@described(
    title="Half life of residue",
    topic="residue",
    inputs=[_RATE],
    answer=_DAYS,
    formula="ln 2 ÷ decay",
    sources=[SOIL_WATER_EFFECT],
    notes=ROUGH_DECAY,
)
def half_life_days(decay_rate_per_day):
    """Days until half of the residue is gone.

    Examples
    --------
    >>> half_life_days([0.009, 0.022, None]).round(1)
    array([77. , 31.5,  nan])
    """
    return np.log(2) / decay_rate_per_day


@described(
    title="Days until a part of the residue is left",
    topic="residue",
    inputs=[
        Quantity(
            "left_fraction", "Part left, of 1", above=0, most=1, example=0.25, help="0.25 is a quarter."
        ),
        _RATE,
    ],
    answer=_DAYS,
    formula="−ln(part left) ÷ decay",
    sources=[SOIL_WATER_EFFECT],
    notes=ROUGH_DECAY,
)
def days_until_fraction(left_fraction, decay_rate_per_day):
    """Days until no more than a part of the residue is left.

    Examples
    --------
    >>> days_until_fraction([0.5, 1, None], 0.009).round(1)
    array([77.,  0., nan])
    """
    return _days_above(1.0, left_fraction, decay_rate_per_day)


# --- how long ---------------------------------------------------------------------------------------------------


@described(
    title="Days that residue keeps the ground covered",
    topic="residue",
    inputs=[
        _EACH_DRY_MATTER,
        _COEFFICIENTS,
        _RATE,
        Quantity(
            "cover_fraction",
            "Ground to keep covered, of 1",
            above=0,
            below=1,
            is_required=False,
            default=CONSERVATION_COVER,
            example=CONSERVATION_COVER,
            help="0.3 is 30 %, the mark of conservation tillage.",
        ),
    ],
    answer=_DAYS,
    formula="ln(S ÷ −ln(1 − cover)) ÷ decay, S = sum of (coefficient × 0.00001 × dry matter in kg/ha); 0 where the "
    "cover is never reached",
    sources=[DSSAT, GREGORY, SOIL_WATER_EFFECT, CONSERVATION],
    notes=["All the residue is given one decay.", *ROUGH_DECAY, ROUGH_COVER],
)
def days_above_cover(
    dry_matter_lb_per_acre, cover_cm2_per_g, decay_rate_per_day, cover_fraction=CONSERVATION_COVER
):
    """Days for which residue covers more than a share of the ground.

    Examples
    --------
    >>> days_above_cover([[2000, 1000], [200, 100], [2000, None]], [42, 69], 0.013).round()
    array([121.,   0.,  nan])
    """
    exponent = _cover_exponent(dry_matter_lb_per_acre, cover_cm2_per_g)
    return _days_above(exponent, -np.log1p(-cover_fraction), decay_rate_per_day)


@described(
    title="Days that residue weighs more than a mass",
    topic="residue",
    inputs=[
        _DRY_MATTER,
        Quantity("threshold_lb_per_acre", "Mass to stay above", "lb/acre", above=0, example=4461),
        _RATE,
    ],
    answer=_DAYS,
    formula="ln(dry matter ÷ mass) ÷ decay; 0 where it is never reached",
    sources=[SOIL_WATER_EFFECT],
    notes=ROUGH_DECAY,
)
def days_above_mass(dry_matter_lb_per_acre, threshold_lb_per_acre, decay_rate_per_day):
    """Days for which residue weighs more than a mass.

    Examples
    --------
    >>> days_above_mass([6000, 4000, None], 4461, 0.013).round()
    array([23.,  0., nan])
    """
    return _days_above(dry_matter_lb_per_acre, threshold_lb_per_acre, decay_rate_per_day)


def _days_above(start, threshold, decay_rate_per_day):
    with np.errstate(divide="ignore"):  # nothing at the start: ln 0, and no days
        return np.maximum(np.log(start / threshold), 0) / decay_rate_per_day
