"""A blend's rates scaled together, so that an acre costs a given sum or takes a given part of full rates.

Rates are written as they are weighed: to 0.01 lb, below 1 lb to 0.001 and below 0.1 lb to 0.0001. For a budget they
are rounded down, and half a cent is kept back for each component, since its cost is shown in whole cents: the sum of
what is shown is then never above the budget.
"""

import numpy as np

_STEPS_LB = ((0.1, 4), (1.0, 3), (np.inf, 2))  # below: decimals
_HALF_CENT_USD = 0.005


def decimals_of(rate_lb_per_acre):
    """With how many decimals a rate is written.

    Parameters
    ----------
    rate_lb_per_acre : float
        [lb/ac]

    Returns
    -------
    int

    Examples
    --------
    >>> decimals_of(12.5), decimals_of(0.5), decimals_of(0.05)
    (2, 3, 4)
    """
    return next(decimals for below, decimals in _STEPS_LB if rate_lb_per_acre < below)


def factor_to_budget(rates_lb_per_acre, usd_per_lb, budget_usd_per_acre):
    """By what all rates are multiplied so that an acre costs the budget.

    Parameters
    ----------
    rates_lb_per_acre : array_like, shape (species,)
        Above 0. [lb/ac]
    usd_per_lb : array_like, shape (species,)
        Of the same pound, live or bulk, as the rate; 0 or more. [USD/lb]
    budget_usd_per_acre : float
        [USD/ac]

    Returns
    -------
    float
        NaN where a rate or a price is not known.

    Raises
    ------
    ValueError
        A blend that costs nothing, or a budget below one cent for each component.

    Examples
    --------
    >>> round(factor_to_budget([40, 10], [0.5, 2.0], 20), 4)
    0.4997
    >>> factor_to_budget([40, 10], [0.5, None], 20)
    nan
    """
    rates, prices = _array(rates_lb_per_acre), _array(usd_per_lb)
    cost = (rates * prices).sum()
    if cost == 0:
        raise ValueError("The blend costs nothing an acre, so no budget can be reached by its rates.")
    least = 2 * _HALF_CENT_USD * rates.size
    if not budget_usd_per_acre >= least:
        raise ValueError(
            f"Budget is ${budget_usd_per_acre:g} an acre; accepted is ${least:.2f} or more, a cent for each component."
        )
    return float((budget_usd_per_acre - _HALF_CENT_USD * rates.size) / cost)


def factor_to_full_rates(shares_of_full_rate, wanted=1.0):
    """By what all rates are multiplied so that the shares of full rates add up to what is wanted.

    Parameters
    ----------
    shares_of_full_rate : array_like, shape (species,)
        [-]
    wanted : float
        1 is a full stand. [-]

    Returns
    -------
    float
        NaN where a share is not known.

    Raises
    ------
    ValueError
        No share above 0.

    Examples
    --------
    >>> factor_to_full_rates([0.5, 0.75]), factor_to_full_rates([0.5, None])
    (0.8, nan)
    """
    whole = _array(shares_of_full_rate).sum()
    if whole <= 0:
        raise ValueError("The shares of full rates add up to 0; accepted is more than 0.")
    return float(wanted / whole)


def scaled_rates(rates_lb_per_acre, factor, is_down):
    """The rates times the factor, rounded as they are weighed.

    Parameters
    ----------
    rates_lb_per_acre : array_like, shape (species,)
        [lb/ac]
    factor : float
        Above 0. [-]
    is_down : bool
        Round down; otherwise to the nearest.

    Returns
    -------
    ndarray, shape (species,)
        [lb/ac]; NaN where a rate is not known.

    Raises
    ------
    ValueError
        A rate that comes out below 0.0001 lb/ac, the least that is kept.

    Examples
    --------
    >>> scaled_rates([40, 1.5, None], 0.4998, is_down=True)
    array([19.99 ,  0.749,    nan])
    """
    scaled = _array(rates_lb_per_acre) * factor
    decimals = np.select([scaled < below for below, _ in _STEPS_LB[:-1]], [n for _, n in _STEPS_LB[:-1]], 2)
    steps = scaled * 10.0**decimals
    # What is whole but for the dust of binary fractions is whole.
    whole = np.floor(steps + 1e-9) if is_down else np.round(steps)
    rates = whole / 10.0**decimals
    if (rates <= 0).any():
        raise ValueError("A rate would come to less than 0.0001 lb/ac, which is the least that is accepted.")
    return rates


def _array(values):
    return np.array([np.nan if value is None else float(value) for value in values])
