"""Live seed and seeding rates as people ask for them: from a tag, a scale, a count or a wanted stand, in percent.

The arithmetic is that of `blends.calc.seed`.
"""

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from blends.calc import seed
from plots.calc.described import DEFINITION, PRACTICE, Quantity, Source, described
from plots.calc.units import FT2_PER_ACRE, KG_PER_LB, OZ_PER_LB

_GRAINS_PER_LB = 7000
_PER_LB = {"g": 1000 * KG_PER_LB, "oz": OZ_PER_LB, "grains": _GRAINS_PER_LB, "lb": 1}

TETRAZOLIUM = Source(
    "Germination and tetrazolium tests",
    "Oregon State University Seed Laboratory",
    "no year",
    "http://seedlab.oregonstate.edu/book/export/html/55",
    note="Tetrazolium finds what is alive, whatever its dormancy.",
)
COATED_CLOVER = Source(
    "Successful Food Plot Seeding Rates (Harper and Basinger)",
    "National Deer Association",
    "2018",
    "https://deerassociation.com/successful-food-plot-seeding-rates/",
)
COATED_CRIMSON = Source(
    "How much clover seed is enough?",
    "USDA NRCS, Jimmy Carter Plant Materials Center",
    "no year",
    "https://www.nrcs.usda.gov/wps/portal/nrcs/detail/plantmaterials/home/?cid=nrcseprd1409224",
)
FIELD_SURVIVAL = Source(
    "Plants wanted ÷ field survival",
    basis=PRACTICE,
    note="Common practice, no source. No table of survival was found: it comes from counts of your own.",
)

LIKE_WITH_LIKE = (
    "Use a PLS rate with a PLS price, or a bulk rate with a bulk price; mixed, dead seed counts twice."
)

LIVE_PCT = Quantity(
    "pure_live_pct", "Pure live seed", "%", above=0, most=100, example=88, help="Purity × viability ÷ 100."
)


class LiveSeed(NamedTuple):
    """Of a hundred pounds of bulk seed. [%]"""

    pure_live_pct: float
    germinating_now_pct: float


@described(
    title="Pure live seed",
    topic="seed",
    inputs=[
        seed.PURITY,
        seed.GERMINATION,
        seed.HARD,
        seed.DORMANT,
        Quantity(
            "tetrazolium_pct",
            "Tetrazolium result",
            "%",
            least=0,
            most=100,
            is_required=False,
            help="In place of germination + dormant, never added to them. Left out: no such test.",
        ),
    ],
    answers=[
        Quantity("pure_live_pct", "Pure live seed, all that is alive", "%", decimals=1),
        Quantity("germinating_now_pct", "Of it, what germinates now", "%", decimals=1),
    ],
    formula="purity × (germination + hard + dormant) ÷ 100, or purity × tetrazolium ÷ 100; now: purity × germination ÷ 100",
    sources=[seed.TEXAS_DOT, seed.ALLAMAKEE, seed.TEXAS_AM, seed.HARD_SEED, TETRAZOLIUM],
    notes=[
        seed.LIVE_BUT_LATE,
        seed.COATING,
        "A tetrazolium result counts all live seed, dormant or hard; what germinates now still needs a germination test.",
        "A tag for a mixture has a purity and a germination for each species: use each with its own.",
    ],
)
def pure_live_seed(purity_pct, germination_pct, hard_pct=0.0, dormant_pct=0.0, tetrazolium_pct=None):
    """How much of what is in the bag is live seed of the kind, in all and ready to germinate.

    Examples
    --------
    >>> alive = pure_live_seed(98, [85, None], hard_pct=5)
    >>> alive.pure_live_pct.round(1), alive.germinating_now_pct.round(1)
    (array([88.2,  nan]), array([83.3,  nan]))
    >>> round(float(pure_live_seed(98, 20, dormant_pct=60, tetrazolium_pct=90).pure_live_pct), 1)
    88.2
    """
    tested_pct = seed.viable_pct(germination_pct, hard_pct, dormant_pct)
    alive_pct = np.where(np.isnan(tetrazolium_pct), tested_pct, tetrazolium_pct)
    return LiveSeed(purity_pct * alive_pct / 100, purity_pct * germination_pct / 100)


@described(
    title="Bulk rate",
    topic="seed",
    inputs=[seed.PLS_RATE, LIVE_PCT],
    answer=seed.BULK_RATE,
    formula="PLS rate ÷ (pure live seed ÷ 100)",
    sources=[seed.TEXAS_DOT],
    notes=[seed.DRILLED_OR_BROADCAST, seed.COATING],
)
def bulk_rate(pls_lb_per_acre, pure_live_pct):
    """Pounds to put through the drill for a rate in pure live seed.

    Examples
    --------
    >>> bulk_rate(60, [80, None])
    array([75., nan])
    """
    return seed.bulk_lb_per_acre(pls_lb_per_acre, pure_live_pct / 100)


class Bag(NamedTuple):
    """What a bag holds and what that costs a pound."""

    pls_lb: float
    usd_per_bulk_lb: float
    usd_per_pls_lb: float


@described(
    title="Live seed in a bag, and its price",
    topic="seed",
    inputs=[
        Quantity("bag_lb", "Bag", "lb bulk", above=0, example=50),
        LIVE_PCT,
        Quantity(
            "bag_usd",
            "Price of the bag",
            "USD",
            least=0,
            is_required=False,
            example=60,
            help="Left out: pounds alone.",
        ),
    ],
    answers=[
        Quantity("pls_lb", "Pure live seed in the bag", "lb PLS"),
        replace(seed.BULK_PRICE, decimals=2),
        seed.PLS_PRICE,
    ],
    formula="bag × pure live seed ÷ 100; price ÷ pounds",
    sources=[seed.ALLAMAKEE, seed.PENN_STATE],
    notes=["Compare lots by the PLS pound.", LIKE_WITH_LIKE],
)
def bag_of_seed(bag_lb, pure_live_pct, bag_usd=None):
    """Pounds of live seed in a bag, and what a pound costs as weighed and alive.

    Examples
    --------
    >>> [round(float(each), 2) for each in bag_of_seed(50, 80, 60)]
    [40.0, 1.2, 1.5]
    >>> [round(float(each), 2) for each in bag_of_seed(50, 80)]
    [40.0, nan, nan]
    """
    fraction = pure_live_pct / 100
    usd_per_bulk_lb = bag_usd / bag_lb
    return Bag(seed.pls_lb(bag_lb, fraction), usd_per_bulk_lb, seed.usd_per_pls_lb(usd_per_bulk_lb, fraction))


@described(
    title="Seeds per pound from a counted sample",
    topic="seed",
    inputs=[
        Quantity("seeds", "Seeds counted", "seeds", least=0, is_whole=True, example=200),
        Quantity("sample_weight", "Weight of those seeds", "", above=0, example=5),
        Quantity(
            "weight_unit",
            "Weighed in",
            kind="choice",
            is_required=False,
            default="g",
            choices=(("g", "grams"), ("oz", "ounces"), ("grains", "grains"), ("lb", "pounds")),
        ),
    ],
    answer=replace(seed.SEEDS_PER_LB, decimals=0),
    formula="seeds × 453.59 ÷ g, × 16 ÷ oz, × 7,000 ÷ grains, or ÷ lb",
    sources=[seed.MONTANA, DEFINITION],
    notes=[
        "Count seeds of the lot that will be sown; lots of one variety differ.",
        "A scale's last digit matters.",
    ],
)
def seeds_per_lb_from_sample(seeds, sample_weight, weight_unit="g"):
    """Seeds per pound of the very lot in hand.

    Examples
    --------
    >>> round(float(seeds_per_lb_from_sample(200, 5)))
    18144
    >>> seeds_per_lb_from_sample([100, None], 0.8, "oz")
    array([2000.,   nan])
    """
    unit = np.asarray(weight_unit, dtype=object)
    per_lb = np.select([unit == name for name in _PER_LB], list(_PER_LB.values()), np.nan)
    return seed.seeds_per_lb_from_count(seeds, sample_weight / per_lb)


@described(
    title="Seeds per pound of coated seed",
    topic="seed",
    inputs=[
        replace(seed.SEEDS_PER_LB, name="bare_seeds_per_lb", label="Bare seeds per pound", example=149_760),
        Quantity("coating_pct", "Coating", "%", least=0, below=100, example=34, help="Of the coated weight."),
    ],
    answer=replace(seed.SEEDS_PER_LB, decimals=0),
    formula="bare seeds per pound × (1 − coating ÷ 100)",
    sources=[DEFINITION, COATED_CLOVER, COATED_CRIMSON],
    notes=[
        "Clover is often 34 to 50 % coating (Harper and Basinger, 2018); lots of crimson clover with a purity below "
        "50 % are sold (NRCS).",
        "Take the coating off once. Either bulk pounds × this figure × germination, or bulk pounds × purity × "
        "germination × bare seeds per pound: purity on the tag has the coating already.",
    ],
)
def coated_seeds_per_lb(bare_seeds_per_lb, coating_pct):
    """Seeds in a pound as weighed, coating and all.

    Examples
    --------
    >>> coated_seeds_per_lb(150_000, [40, None])
    array([90000.,    nan])
    """
    return bare_seeds_per_lb * (1 - coating_pct / 100)


class PlantRate(NamedTuple):
    """What has to be sown for a wanted stand."""

    live_seeds_per_sqft: float
    pls_lb_per_acre: float
    bulk_lb_per_acre: float


@described(
    title="Rate for a wanted stand",
    topic="seed",
    inputs=[
        Quantity("plants_per_sqft", "Plants wanted", "plants/ft²", least=0, example=20),
        seed.SEEDS_PER_LB,
        LIVE_PCT,
        Quantity(
            "field_survival_pct",
            "Field survival",
            "%",
            above=0,
            most=100,
            example=75,
            help="Plants that stand for each hundred live seeds.",
        ),
    ],
    answers=[
        Quantity("live_seeds_per_sqft", "Live seeds to sow", "seeds/ft²", decimals=1),
        Quantity("pls_lb_per_acre", "PLS rate", "lb PLS/acre"),
        seed.BULK_RATE,
    ],
    formula="plants per ft² ÷ field survival × 43,560 ÷ seeds per pound; ÷ pure live seed for bulk",
    sources=[seed.KENTUCKY, DEFINITION, FIELD_SURVIVAL],
    notes=["Field survival hangs on seedbed, depth and weather; the emergence calculator gives your own."],
)
def rate_for_plants(plants_per_sqft, seeds_per_lb, pure_live_pct, field_survival_pct):
    """Rate that leaves the wanted plants standing, when some live seeds never make one.

    Examples
    --------
    >>> [round(float(each), 1) for each in rate_for_plants(20, 14_000, 90, 80)]
    [25.0, 77.8, 86.4]
    >>> [round(float(each), 1) for each in rate_for_plants(20, 14_000, None, 80)]
    [25.0, 77.8, nan]
    """
    live_seeds = plants_per_sqft / (field_survival_pct / 100)
    pls = seed.lb_per_acre_for(live_seeds, seeds_per_lb)
    return PlantRate(live_seeds, pls, bulk_rate(pls, pure_live_pct))


@described(
    title="Seeds on an acre from a foot of row",
    topic="seed",
    inputs=[
        Quantity("seeds_per_ft", "Seeds in a foot of row", "seeds/ft", least=0, example=14),
        seed.ROW_SPACING,
    ],
    answer=Quantity("seeds_per_acre", "Seeds on an acre", "seeds/acre", decimals=0),
    formula="seeds per foot × 43,560 × 12 ÷ inches between rows",
    sources=[seed.IOWA],
    notes=["Count several feet, in several rows, and use the mean."],
)
def seeds_per_acre_in_rows(seeds_per_ft, row_spacing_in):
    """Seeds on an acre when each foot of row holds so many.

    Examples
    --------
    >>> seeds_per_acre_in_rows([5, None], 15)
    array([174240.,     nan])
    """
    return seeds_per_ft * FT2_PER_ACRE * seed.IN_PER_FT / row_spacing_in


class MixtureShares(NamedTuple):
    """Three ways to say how much of a mixture each species is, and what they add up to."""

    by_weight_pct: np.ndarray
    by_seed_count_pct: np.ndarray
    of_full_rate_pct: np.ndarray
    full_rates_pct: float
    seeds_per_sqft: float
    total_lb_per_acre: float


@described(
    title="Shares of a mixture",
    topic="seed",
    inputs=[
        seed.EACH_RATE,
        seed.EACH_SEEDS_PER_LB,
        replace(seed.FULL_RATE, is_list=True, example=[90, 18, 9]),
    ],
    answers=[
        Quantity("by_weight_pct", "Share by weight", "%", is_list=True, decimals=1),
        Quantity("by_seed_count_pct", "Share by seed count", "%", is_list=True, decimals=1),
        Quantity("of_full_rate_pct", "Part of its own full rate", "%", is_list=True, decimals=1),
        Quantity("full_rates_pct", "Sum of the parts of full rates", "%", decimals=0),
        Quantity("seeds_per_sqft", "Seeds on a square foot, all species", "seeds/ft²", decimals=1),
        Quantity("total_lb_per_acre", "Rate of the mixture", "lb/acre"),
    ],
    formula="rate ÷ sum of rates; rate × seeds per pound ÷ sum of these; rate ÷ full rate",
    sources=[seed.COLORADO, DEFINITION],
    notes=[
        "These are three different numbers: a fifth of the stand was 6 % of the pounds for one species of the Colorado "
        "mixture and 36 % for another.",
        "Parts of full rates that add up to about 100 % are a full stand; well over it is crowding.",
        seed.DRILLED_OR_BROADCAST,
    ],
)
def mixture_shares(lb_per_acre, seeds_per_lb, full_rate_lb_per_acre):
    """How much of a mixture each species is: by weight, by seed count, and of its own full rate.

    Examples
    --------
    >>> shares = mixture_shares([40, 6], [18_000, 150_000], [90, None])
    >>> shares.by_weight_pct.round(1), shares.by_seed_count_pct.round(1), shares.of_full_rate_pct.round(1)
    (array([87., 13.]), array([44.4, 55.6]), array([44.4,  nan]))
    >>> float(shares.full_rates_pct)
    nan
    """
    of_full_rate_pct = 100 * seed.share_of_full_rate(lb_per_acre, full_rate_lb_per_acre)
    return MixtureShares(
        100 * seed.share_by_weight(lb_per_acre),
        100 * seed.share_by_seed_count(lb_per_acre, seeds_per_lb),
        of_full_rate_pct,
        of_full_rate_pct.sum(axis=-1),
        seed.seeds_per_sqft(lb_per_acre, seeds_per_lb).sum(axis=-1),
        lb_per_acre.sum(axis=-1),
    )
