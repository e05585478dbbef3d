"""Pure live seed, seeding rates and what a mixture holds.

Every function takes numbers or arrays that broadcast together and returns the broadcast shape; nothing is
changed in place. A missing input (NaN or None) makes that answer NaN: an unknown purity is not 100 %, an
unknown rate is not 0. A value that cannot be (a germination of 120 %) raises `ValueError` with the name, the
value and what is accepted.

Pounds are either *PLS* (pure live seed) or *bulk* (as weighed, chaff and dead seed included):
bulk = PLS ÷ (purity × viability).
"""

import numpy as np

from plots.calc.units import FT2_PER_ACRE

_IN_PER_FT = 12
_SUM_DECIMALS = 6  # float noise must not lift percentages that add up to 100 above it


def pure_live_fraction(purity_pct, germination_pct, hard_pct=0.0, dormant_pct=0.0):
    """Share of the bulk weight that is seed of the kind and alive: purity × (germination + hard + dormant).

    Hard and dormant seed is alive but may not come up in the first season; leave both out for the share that
    germinates now. Leaving one out means that the tag shows none, since a tag must show it where there is
    any; pass NaN where the tag was not read, and the answer is NaN. A coating counts as inert matter on the
    tag, so purity has it already.

    Parameters
    ----------
    purity_pct, germination_pct, hard_pct, dormant_pct : array_like
        As on the tag; each 0 to 100, the last three together at most 100. [%]

    Returns
    -------
    float or ndarray
        [-], 0 to 1; NaN where an input is missing.

    Raises
    ------
    ValueError
        A percentage outside 0 to 100, or germination + hard + dormant above 100.

    References
    ----------
    "Calculate Seeding Rates in Pure Live Seed", Allamakee Soil and Water Conservation District (Iowa).
    7 CFR 201.21 (2020): hard and dormant seed is shown if any is present, apart from the germination.

    Examples
    --------
    >>> pure_live_fraction([98.75, 85, None], [88, 60, 75], dormant_pct=[5, 0, 0]).round(4)
    array([0.9184, 0.51  ,    nan])
    >>> pure_live_fraction(90, 80, hard_pct=25)
    Traceback (most recent call last):
    ValueError: germination + hard + dormant is 105 %; accepted is 0 to 100 %
    """
    purity = _percent("purity", purity_pct)
    germination = _percent("germination", germination_pct)
    viable = germination + _percent("hard", hard_pct) + _percent("dormant", dormant_pct)
    viable = _percent("germination + hard + dormant", np.round(viable, _SUM_DECIMALS))
    return (purity / 100 * viable / 100)[()]


def bulk_lb_per_acre(pls_lb_per_acre, pure_live_fraction):
    """Bulk seed that holds a PLS rate: PLS ÷ pure live fraction.

    Parameters
    ----------
    pls_lb_per_acre : array_like
        0 or more. [lb PLS/acre]
    pure_live_fraction : array_like
        Above 0, at most 1. [-]

    Returns
    -------
    float or ndarray
        [lb bulk/acre]; NaN where an input is missing.

    Raises
    ------
    ValueError
        A negative rate; a fraction of 0 or above 1.

    References
    ----------
    "Pure live seed", Texas Department of Transportation.

    Examples
    --------
    >>> bulk_lb_per_acre([10, 10, 0], [0.8, None, 0.8])
    array([12.5,  nan,  0. ])
    """
    rate = _not_negative("PLS lb/acre", pls_lb_per_acre)
    return (rate / _live_fraction(pure_live_fraction))[()]


def pls_lb(bulk_lb, pure_live_fraction):
    """PLS pounds in bulk pounds, of a bag or of an acre's seed: bulk × pure live fraction.

    Parameters
    ----------
    bulk_lb : array_like
        0 or more. [lb bulk, or lb bulk/acre]
    pure_live_fraction : array_like
        Above 0, at most 1. [-]

    Returns
    -------
    float or ndarray
        [lb PLS, or lb PLS/acre]; NaN where an input is missing.

    Raises
    ------
    ValueError
        Negative pounds; a fraction of 0 or above 1.

    References
    ----------
    "Calculate Seeding Rates in Pure Live Seed", Allamakee Soil and Water Conservation District (Iowa).

    Examples
    --------
    >>> pls_lb([50, 50], [0.8, None])
    array([40., nan])
    """
    return (_not_negative("bulk lb", bulk_lb) * _live_fraction(pure_live_fraction))[()]


def usd_per_pls_lb(usd_per_bulk_lb, pure_live_fraction):
    """Price of a pound of live seed, for comparing lots: bulk price ÷ pure live fraction.

    Never bill with it: an order is priced by the pack, in `Decimal`.

    Parameters
    ----------
    usd_per_bulk_lb : array_like
        0 or more. [USD/lb bulk]
    pure_live_fraction : array_like
        Above 0, at most 1. [-]

    Returns
    -------
    float or ndarray
        [USD/lb PLS]; NaN where an input is missing.

    Raises
    ------
    ValueError
        A negative price; a fraction of 0 or above 1.

    References
    ----------
    "Calculating the Price of Pure Live Seed", Penn State Extension, 2023. The page rounds bulk pounds up to a
    whole pound before pricing; this does not.

    Examples
    --------
    >>> usd_per_pls_lb([1.95, None], 0.51).round(2)
    array([3.82,  nan])
    """
    price = _not_negative("USD per bulk lb", usd_per_bulk_lb)
    return (price / _live_fraction(pure_live_fraction))[()]


def seeds_per_lb_from_count(seeds, weight_lb):
    """Seeds per pound from a counted and weighed sample: count ÷ weight.

    Parameters
    ----------
    seeds : array_like
        Counted, 0 or more. [seeds]
    weight_lb : array_like
        Of the counted seeds, above 0. [lb]

    Returns
    -------
    float or ndarray
        [seeds/lb]; NaN where an input is missing.

    Raises
    ------
    ValueError
        A negative count; a weight of 0 or less.

    References
    ----------
    "Calculating seeding rates", Montana State University Extension, Roosevelt County.

    Examples
    --------
    >>> seeds_per_lb_from_count([100, None], 0.05)
    array([2000.,   nan])
    """
    return (_not_negative("seeds counted", seeds) / _positive("sample weight in lb", weight_lb))[()]


def seeds_per_sqft(lb_per_acre, seeds_per_lb):
    """Seeds on each square foot at a rate: lb/acre × seeds/lb ÷ 43,560.

    Parameters
    ----------
    lb_per_acre : array_like
        0 or more; PLS pounds give live seeds. [lb/acre]
    seeds_per_lb : array_like
        Above 0. [seeds/lb]

    Returns
    -------
    float or ndarray
        [seeds/ft²]; NaN where an input is missing.

    Raises
    ------
    ValueError
        A negative rate; seeds per pound of 0 or less.

    References
    ----------
    By definition: an acre is 43,560 ft².

    Examples
    --------
    >>> seeds_per_sqft([43.56, None, 0], 14_000)
    array([14., nan,  0.])
    """
    rate = _not_negative("lb/acre", lb_per_acre)
    return (rate * _positive("seeds per lb", seeds_per_lb) / FT2_PER_ACRE)[()]


def lb_per_acre_for(seeds_per_sqft, seeds_per_lb):
    """Rate that lands the wanted seeds on each square foot; the inverse of `seeds_per_sqft`.

    Parameters
    ----------
    seeds_per_sqft : array_like
        0 or more; live seeds give PLS pounds. [seeds/ft²]
    seeds_per_lb : array_like
        Above 0. [seeds/lb]

    Returns
    -------
    float or ndarray
        [lb/acre]; NaN where an input is missing.

    Raises
    ------
    ValueError
        Negative seeds; seeds per pound of 0 or less.

    References
    ----------
    "Seeding rate and drill calibration for wheat", University of Kentucky.

    Examples
    --------
    >>> lb_per_acre_for([14, None, 0], 14_000)
    array([43.56,   nan,  0.  ])
    """
    seeds = _not_negative("seeds per ft²", seeds_per_sqft)
    return (seeds * FT2_PER_ACRE / _positive("seeds per lb", seeds_per_lb))[()]


def seeds_per_foot_of_row(seeds_per_acre, row_spacing_in):
    """Seeds in each foot of a drilled row: seeds/acre × spacing in feet ÷ 43,560.

    Parameters
    ----------
    seeds_per_acre : array_like
        0 or more. [seeds/acre]
    row_spacing_in : array_like
        Between the rows, above 0. [in]

    Returns
    -------
    float or ndarray
        [seeds/ft of row]; NaN where an input is missing.

    Raises
    ------
    ValueError
        Negative seeds; a spacing of 0 or less.

    References
    ----------
    "Seeds per foot of row", Agron 212, Iowa State University.

    Examples
    --------
    >>> seeds_per_foot_of_row([174_240, None], 15)
    array([ 5., nan])
    """
    seeds = _not_negative("seeds per acre", seeds_per_acre)
    return (seeds * _positive("row spacing in inches", row_spacing_in) / _IN_PER_FT / FT2_PER_ACRE)[()]


def share_of_full_rate(lb_per_acre, full_rate_lb_per_acre):
    """Part of a species' full rate that a mixture holds. The shares of a full stand add up to about 1.

    Parameters
    ----------
    lb_per_acre : array_like
        Rate in the mixture, 0 or more. [lb/acre]
    full_rate_lb_per_acre : array_like
        Rate of the species sown alone, above 0, on the same basis: both PLS or both bulk, both drilled or
        both broadcast. [lb/acre]

    Returns
    -------
    float or ndarray
        [-]; NaN where an input is missing.

    Raises
    ------
    ValueError
        A negative rate; a full rate of 0 or less.

    References
    ----------
    "Reclamation seed mixture and cultural practices", Colorado Division of Reclamation, Mining and Safety.

    Examples
    --------
    >>> share_of_full_rate([6.4, 1, 0], [32, None, 10])
    array([0.2, nan, 0. ])
    """
    rate = _not_negative("lb/acre", lb_per_acre)
    return (rate / _positive("full rate in lb/acre", full_rate_lb_per_acre))[()]


def share_by_weight(lb_per_acre):
    """Each species' part of a mixture's pounds.

    Parameters
    ----------
    lb_per_acre : array_like, shape (..., species)
        All on one basis, PLS or bulk; 0 or more. [lb/acre]

    Returns
    -------
    ndarray, same shape
        [-], adding up to 1 over the species. All NaN where one rate is missing, since the total is then
        unknown, and where all are 0.

    Raises
    ------
    ValueError
        A negative rate.

    References
    ----------
    By definition.

    Examples
    --------
    >>> share_by_weight([30, 10])
    array([0.75, 0.25])
    >>> share_by_weight([30, None])
    array([nan, nan])
    """
    return _share(_not_negative("lb/acre", lb_per_acre))


def share_by_seed_count(lb_per_acre, seeds_per_lb):
    """Each species' part of a mixture's seeds, which small seed dominates at few pounds.

    Parameters
    ----------
    lb_per_acre : array_like, shape (..., species)
        All on one basis; 0 or more. [lb/acre]
    seeds_per_lb : array_like, shape (..., species)
        Above 0. [seeds/lb]

    Returns
    -------
    ndarray, same shape
        [-], adding up to 1 over the species. All NaN where one input is missing, since the total is then
        unknown, and where all rates are 0.

    Raises
    ------
    ValueError
        A negative rate; seeds per pound of 0 or less.

    References
    ----------
    By definition.

    Examples
    --------
    >>> share_by_seed_count([30, 10], [1_000, 9_000])
    array([0.25, 0.75])
    >>> share_by_seed_count([30, 10], [1_000, None])
    array([nan, nan])
    """
    return _share(np.asarray(seeds_per_sqft(lb_per_acre, seeds_per_lb)))


def mixture_pls_lb_per_acre(
    total_bulk_lb_per_acre, pure_seed_pct, germination_pct, hard_pct=0.0, dormant_pct=0.0
):
    """PLS rate of each species in seed that is bought mixed.

    Each species' own share of the weight and its own germination apply; one purity for the whole bag does not
    exist. What the shares leave up to 100 % is inert matter, other crop and weed seed.

    Parameters
    ----------
    total_bulk_lb_per_acre : array_like
        What the drill sows, 0 or more. [lb bulk/acre]
    pure_seed_pct : array_like, shape (..., species)
        Pure seed by weight of each species on the tag, together at most 100. [%]
    germination_pct, hard_pct, dormant_pct : array_like, shape (..., species)
        As for `pure_live_fraction`. [%]

    Returns
    -------
    ndarray, shape (..., species)
        [lb PLS/acre]; NaN for a species with a missing input.

    Raises
    ------
    ValueError
        A negative rate, a percentage outside 0 to 100, shares that add up to more than 100.

    References
    ----------
    Massachusetts General Laws, chapter 128, section 86: a tag shows the percentage by weight and the
    germination of each component.

    Examples
    --------
    >>> mixture_pls_lb_per_acre(40, [50, 30, 15], [90, 80, None]).round(2)
    array([18. ,  9.6,  nan])
    """
    total = _not_negative("total bulk lb/acre", total_bulk_lb_per_acre)
    tag_sum = np.nansum(_percent("pure seed", pure_seed_pct), axis=-1)
    _percent("pure seed of all species", np.round(tag_sum, _SUM_DECIMALS))
    return total[..., np.newaxis] * pure_live_fraction(pure_seed_pct, germination_pct, hard_pct, dormant_pct)


def _share(amounts):
    total = amounts.sum(axis=-1, keepdims=True)
    return amounts / np.where(total > 0, total, np.nan)


def _percent(name, values):
    values = np.asarray(values, dtype=float)
    return _checked(name, values, (values < 0) | (values > 100), " %", "0 to 100 %")


def _not_negative(name, values):
    values = np.asarray(values, dtype=float)
    return _checked(name, values, (values < 0) | np.isinf(values), "", "a number of 0 or more")


def _positive(name, values):
    values = np.asarray(values, dtype=float)
    return _checked(name, values, (values <= 0) | np.isinf(values), "", "a number above 0")


def _live_fraction(values):
    values = np.asarray(values, dtype=float)
    return _checked("pure live fraction", values, (values <= 0) | (values > 1), "", "above 0 and at most 1")


def _checked(name, values, is_wrong, unit, accepted):
    if is_wrong.any():
        raise ValueError(f"{name} is {values[is_wrong][0]:g}{unit}; accepted is {accepted}")
    return values
