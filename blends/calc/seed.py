"""Pure live seed, seeding rates and what a mixture holds.

Pounds are either *PLS* (pure live seed) or *bulk* (as weighed, chaff and dead seed included):
bulk = PLS ÷ (purity × viability). A missing input makes that answer NaN: an unknown purity is not 100 %, an
unknown rate is not 0. Hard or dormant seed that is left out is none, since a tag must show it where there is any;
None says that the tag was not read.

People have a tag with percentages before them, for which `blends.calc.rates` is; what orders are made of takes
fractions.
"""

from dataclasses import replace

import numpy as np

from plots.calc.checks import refuse_where
from plots.calc.described import DEFINITION, Quantity, Source, described
from plots.calc.units import FT2_PER_ACRE

IN_PER_FT = 12
_SUM_DECIMALS = 6  # float noise must not lift percentages that add up to 100 above it

# --- what it rests on ---------------------------------------------------------------------------------------

TEXAS_DOT = Source(
    "Pure live seed",
    "Texas Department of Transportation",
    "no year",
    "https://www.txdot.gov/about/campaigns-outreach/bluebonnets-wildflowers/pure-live-seed.html",
)
PENN_STATE = Source(
    "Calculating the Price of Pure Live Seed",
    "Penn State Extension",
    "2023",
    "http://plantscience.psu.edu/research/centers/turf/extension/factsheets/calculating-seed-price",
    note="It rounds bulk pounds up to a whole pound before pricing, which moves its prices by 2 %; this does not.",
)
ALLAMAKEE = Source(
    "Calculate Seeding Rates in Pure Live Seed",
    "Allamakee Soil and Water Conservation District (Iowa)",
    "no year",
    "http://allamakeeswcd.org/calculate-seeding-rates-in-pure-live-seed/",
    note="It prints 45.9 lb of live seed where its own figures give 50.5.",
)
TEXAS_AM = Source(
    "Pure live seed as (germination + hard seed) × purity",
    "Texas A&M University",
    note="The title of the page was not kept.",
)
HARD_SEED = Source(
    "7 CFR 201.21, Hard seed or dormant seed",
    "US Code of Federal Regulations",
    "2020",
    "https://www.ecfr.gov/current/title-7/section-201.21",
    note="It is shown where there is any, apart from the germination.",
)
MONTANA = Source(
    "Calculating seeding rates",
    "Montana State University Extension, Roosevelt County",
    "no year",
    "http://msuextension.org/roosevelt/calcseedrates.html",
)
IOWA = Source(
    "Seeds per foot of row (Agron 212)",
    "Iowa State University",
    "no year",
    "http://agron-www.agron.iastate.edu/Courses/Agron212/Calculations/Seeds_row.htm",
)
KENTUCKY = Source(
    "Seeding rate and drill calibration for wheat",
    "University of Kentucky",
    "no year",
    "http://www.uky.edu/Ag/Wheat/seedrate.html",
    note="Headed 90 % germination, its table corrects for none; one cell prints 150 where its rule gives 152.5.",
)
COLORADO = Source(
    "Reclamation seed mixture and cultural practices",
    "Colorado Division of Reclamation, Mining and Safety",
    "no year",
    "https://dnrweblink.state.co.us/DRMSSearch/0/doc/493681/Page15.aspx",
)
MASSACHUSETTS = Source(
    "General Laws, chapter 128, section 86",
    "Commonwealth of Massachusetts",
    "no year",
    note="A tag shows the percentage by weight and the germination of each component.",
)
LIVE_BUT_LATE = "Hard and dormant seed is alive but may not come up in the first season."
COATING = (
    "A coating is inert matter on the tag, so purity has it already: do not take it off again. Coated clover is "
    "often 34 to 50 % coating (Harper and Basinger, 2018)."
)
DRILLED_OR_BROADCAST = (
    "A published rate is PLS or bulk, drilled or broadcast: find out which. There is no fixed factor between drilled "
    "and broadcast; seen are twice as much (Colorado) and one and a half to two times (cowpeas, Purdue)."
)

# --- what is shared by the inputs ---------------------------------------------------------------------------

PURITY = Quantity(
    "purity_pct", "Purity", "%", least=0, most=100, example=98, help="Pure seed by weight, on the tag."
)
GERMINATION = Quantity("germination_pct", "Germination", "%", least=0, most=100, example=85)
HARD = Quantity(
    "hard_pct",
    "Hard seed",
    "%",
    least=0,
    most=100,
    is_required=False,
    default=0.0,
    example=5,
    help="Left out: the tag shows none.",
)
DORMANT = replace(HARD, name="dormant_pct", label="Dormant seed", example=0)
LIVE_FRACTION = Quantity("pure_live_fraction", "Pure live fraction", above=0, most=1, example=0.88)
SEEDS_PER_LB = Quantity("seeds_per_lb", "Seeds per pound", "seeds/lb", above=0, example=18_000)
ROW_SPACING = Quantity("row_spacing_in", "Between rows", "in", above=0, example=7.5)
RATE = Quantity(
    "lb_per_acre",
    "Rate",
    "lb/acre",
    least=0,
    example=60,
    help="PLS pounds give live seeds, bulk pounds all seeds.",
)
PLS_RATE = Quantity("pls_lb_per_acre", "PLS rate", "lb PLS/acre", least=0, example=60)
BULK_RATE = Quantity("bulk_lb_per_acre", "Bulk rate", "lb bulk/acre", least=0)
BULK_PRICE = Quantity("usd_per_bulk_lb", "Price of a bulk pound", "USD/lb bulk", least=0, example=1.2)
PLS_PRICE = Quantity("usd_per_pls_lb", "Price of a PLS pound", "USD/lb PLS", decimals=2)
FULL_RATE = Quantity(
    "full_rate_lb_per_acre",
    "Full rate",
    "lb/acre",
    above=0,
    example=90,
    help="Sown alone, on the same basis: both PLS or both bulk, both drilled or both broadcast.",
)
EACH_RATE = replace(RATE, is_list=True, example=[40, 6, 2], help="All on one basis, PLS or bulk.")
EACH_SEEDS_PER_LB = replace(SEEDS_PER_LB, is_list=True, example=[18_000, 149_760, 34_000])


# --- pure live seed -----------------------------------------------------------------------------------------


@described(
    title="Pure live fraction",
    topic="seed",
    inputs=[PURITY, GERMINATION, HARD, DORMANT],
    answer=Quantity("pure_live_fraction", "Pure live fraction"),
    formula="purity × (germination + hard + dormant)",
    sources=[ALLAMAKEE, TEXAS_AM, HARD_SEED],
    notes=[LIVE_BUT_LATE, COATING],
    is_listed=False,
)
def pure_live_fraction(purity_pct, germination_pct, hard_pct=0.0, dormant_pct=0.0):
    """Share of the bulk weight that is seed of the kind and alive.

    Examples
    --------
    >>> pure_live_fraction([98.75, 85, None], [88, 60, 75], dormant_pct=[5, 0, 0]).round(4)
    array([0.9184, 0.51  ,    nan])
    >>> pure_live_fraction(90, 80, hard_pct=25)
    Traceback (most recent call last):
    plots.calc.described.BadInput: Germination + hard + dormant is 105 %; accepted is 0 to 100 %
    """
    return purity_pct / 100 * viable_pct(germination_pct, hard_pct, dormant_pct) / 100


@described(
    title="Bulk rate from a pure live fraction",
    topic="seed",
    inputs=[PLS_RATE, LIVE_FRACTION],
    answer=BULK_RATE,
    formula="PLS rate ÷ pure live fraction",
    sources=[TEXAS_DOT],
    is_listed=False,
)
def bulk_lb_per_acre(pls_lb_per_acre, pure_live_fraction):
    """Bulk seed that holds a PLS rate.

    Examples
    --------
    >>> bulk_lb_per_acre([10, 10, 0], [0.8, None, 0.8])
    array([12.5,  nan,  0. ])
    """
    return pls_lb_per_acre / pure_live_fraction


@described(
    title="PLS pounds in bulk pounds",
    topic="seed",
    inputs=[Quantity("bulk_lb", "Bulk seed", "lb bulk", least=0, example=50), LIVE_FRACTION],
    answer=Quantity("pls_lb", "Pure live seed", "lb PLS"),
    formula="bulk pounds × pure live fraction",
    sources=[ALLAMAKEE],
    is_listed=False,
)
def pls_lb(bulk_lb, pure_live_fraction):
    """PLS pounds in bulk pounds, of a bag or of an acre's seed.

    Examples
    --------
    >>> pls_lb([50, 50], [0.8, None])
    array([40., nan])
    """
    return bulk_lb * pure_live_fraction


@described(
    title="Price of a PLS pound",
    topic="seed",
    inputs=[BULK_PRICE, LIVE_FRACTION],
    answer=PLS_PRICE,
    formula="price of a bulk pound ÷ pure live fraction",
    sources=[PENN_STATE],
    is_listed=False,
)
def usd_per_pls_lb(usd_per_bulk_lb, pure_live_fraction):
    """Price of a pound of live seed, for comparing lots.

    Never bill with it: an order is priced by the pack, in `Decimal`.

    Examples
    --------
    >>> usd_per_pls_lb([1.95, None], 0.51).round(2)
    array([3.82,  nan])
    """
    return usd_per_bulk_lb / pure_live_fraction


# --- seeds on the ground ------------------------------------------------------------------------------------


@described(
    title="Seeds per pound from a weight in pounds",
    topic="seed",
    inputs=[
        Quantity("seeds", "Seeds counted", "seeds", least=0, example=100),
        Quantity("weight_lb", "Weight of the sample", "lb", above=0, example=0.05),
    ],
    answer=SEEDS_PER_LB,
    formula="seeds counted ÷ pounds",
    sources=[MONTANA],
    is_listed=False,
)
def seeds_per_lb_from_count(seeds, weight_lb):
    """Seeds per pound from a counted and weighed sample.

    Examples
    --------
    >>> seeds_per_lb_from_count([100, None], 0.05)
    array([2000.,   nan])
    """
    return seeds / weight_lb


@described(
    title="Seeds on a square foot",
    topic="seed",
    inputs=[RATE, SEEDS_PER_LB],
    answer=Quantity("seeds_per_sqft", "Seeds on a square foot", "seeds/ft²", decimals=1),
    formula="rate × seeds per pound ÷ 43,560",
    sources=[DEFINITION],
)
def seeds_per_sqft(lb_per_acre, seeds_per_lb):
    """Seeds on each square foot at a rate.

    Examples
    --------
    >>> seeds_per_sqft([43.56, None, 0], 14_000)
    array([14., nan,  0.])
    """
    return lb_per_acre * seeds_per_lb / FT2_PER_ACRE


@described(
    title="Rate for wanted seeds on a square foot",
    topic="seed",
    inputs=[
        Quantity("seeds_per_sqft", "Seeds on a square foot", "seeds/ft²", least=0, example=25),
        SEEDS_PER_LB,
    ],
    answer=Quantity("lb_per_acre", "Rate", "lb/acre"),
    formula="seeds per ft² × 43,560 ÷ seeds per pound",
    sources=[KENTUCKY, DEFINITION],
    notes=["Live seeds give PLS pounds: divide by pure live seed for bulk.", DRILLED_OR_BROADCAST],
)
def lb_per_acre_for(seeds_per_sqft, seeds_per_lb):
    """Rate that lands the wanted seeds on each square foot.

    Examples
    --------
    >>> lb_per_acre_for([14, None, 0], 14_000)
    array([43.56,   nan,  0.  ])
    """
    return seeds_per_sqft * FT2_PER_ACRE / seeds_per_lb


@described(
    title="Seeds in a foot of row",
    topic="seed",
    inputs=[
        Quantity("seeds_per_acre", "Seeds on an acre", "seeds/acre", least=0, example=1_000_000),
        ROW_SPACING,
    ],
    answer=Quantity("seeds_per_ft", "Seeds in a foot of row", "seeds/ft", decimals=2),
    formula="seeds per acre × inches between rows ÷ 12 ÷ 43,560",
    sources=[IOWA],
)
def seeds_per_foot_of_row(seeds_per_acre, row_spacing_in):
    """Seeds in each foot of a drilled row.

    Examples
    --------
    >>> seeds_per_foot_of_row([174_240, None], 15)
    array([ 5., nan])
    """
    return seeds_per_acre * row_spacing_in / IN_PER_FT / FT2_PER_ACRE


# --- mixtures -----------------------------------------------------------------------------------------------


@described(
    title="Share of the full rate",
    topic="seed",
    inputs=[RATE, FULL_RATE],
    answer=Quantity("share_of_full_rate", "Share of the full rate"),
    formula="rate ÷ full rate",
    sources=[COLORADO],
    is_listed=False,
)
def share_of_full_rate(lb_per_acre, full_rate_lb_per_acre):
    """Part of a species' full rate that a mixture holds. The shares of a full stand add up to about 1.

    Examples
    --------
    >>> share_of_full_rate([6.4, 1, 0], [32, None, 10])
    array([0.2, nan, 0. ])
    """
    return lb_per_acre / full_rate_lb_per_acre


@described(
    title="Share by weight",
    topic="seed",
    inputs=[EACH_RATE],
    answer=Quantity("share_by_weight", "Share by weight", is_list=True),
    formula="rate ÷ sum of the rates",
    sources=[DEFINITION],
    is_listed=False,
)
def share_by_weight(lb_per_acre):
    """Each species' part of a mixture's pounds.

    All are NaN where one rate is missing, since the total is then unknown, and where all are 0.

    Examples
    --------
    >>> share_by_weight([30, 10])
    array([0.75, 0.25])
    >>> share_by_weight([30, None])
    array([nan, nan])
    """
    return _share(lb_per_acre)


@described(
    title="Share by seed count",
    topic="seed",
    inputs=[EACH_RATE, EACH_SEEDS_PER_LB],
    answer=Quantity("share_by_seed_count", "Share by seed count", is_list=True),
    formula="rate × seeds per pound ÷ sum of these",
    sources=[DEFINITION],
    is_listed=False,
)
def share_by_seed_count(lb_per_acre, seeds_per_lb):
    """Each species' part of a mixture's seeds, which small seed dominates at few pounds.

    All are NaN where one input is missing, since the total is then unknown, and where all rates are 0.

    Examples
    --------
    >>> share_by_seed_count([30, 10], [1_000, 9_000])
    array([0.25, 0.75])
    >>> share_by_seed_count([30, 10], [1_000, None])
    array([nan, nan])
    """
    return _share(lb_per_acre * seeds_per_lb)


@described(
    title="PLS rates in seed bought mixed",
    topic="seed",
    inputs=[
        Quantity("total_bulk_lb_per_acre", "Bulk rate of the mixture", "lb bulk/acre", least=0, example=40),
        replace(PURITY, name="pure_seed_pct", label="Pure seed", is_list=True, example=[48, 30, 18]),
        replace(GERMINATION, is_list=True, example=[90, 85, 80]),
        replace(HARD, is_list=True, example=[0, 0, 10]),
        replace(DORMANT, is_list=True, example=[0, 0, 0]),
    ],
    answer=Quantity("pls_lb_per_acre", "PLS rate", "lb PLS/acre", is_list=True),
    formula="bulk rate × pure seed × (germination + hard + dormant), each species with its own",
    sources=[MASSACHUSETTS, ALLAMAKEE],
    notes=[
        "One purity for the whole bag does not exist. What the pure seed leaves up to 100 % is inert matter, other crop "
        "and weed seed.",
        COATING,
    ],
)
def mixture_pls_lb_per_acre(
    total_bulk_lb_per_acre, pure_seed_pct, germination_pct, hard_pct=0.0, dormant_pct=0.0
):
    """PLS rate of each species in a mixture with one tag, whose pure seed is by weight of the whole bag.

    Examples
    --------
    >>> mixture_pls_lb_per_acre(40, [50, 30, 15], [90, 80, None]).round(2)
    array([18. ,  9.6,  nan])
    """
    tag_sum = np.round(np.nansum(pure_seed_pct, axis=-1), _SUM_DECIMALS)
    refuse_where(
        tag_sum > 100,
        "pure_seed_pct",
        "Pure seed of all species is {0:g} %; accepted is 0 to 100 %",
        tag_sum,
    )
    each = pure_live_fraction(pure_seed_pct, germination_pct, hard_pct, dormant_pct)
    return total_bulk_lb_per_acre[..., np.newaxis] * each


def _share(amounts):
    total = amounts.sum(axis=-1, keepdims=True)
    return amounts / np.where(total > 0, total, np.nan)


def viable_pct(germination_pct, hard_pct, dormant_pct):
    """Germination + hard + dormant seed, refused over 100 %."""
    alive_pct = np.round(germination_pct + hard_pct + dormant_pct, _SUM_DECIMALS)
    refuse_where(
        alive_pct > 100,
        "germination_pct",
        "Germination + hard + dormant is {0:g} %; accepted is 0 to 100 %",
        alive_pct,
    )
    return alive_pct
