"""Money: exact, rounded once, and never guessed.

Amounts are `Decimal` dollars outside and whole cents inside. An unknown amount is None, and whatever hangs on
it is None too. Half a cent rounds away from zero.
"""

from decimal import ROUND_HALF_UP, Decimal

import numpy as np

_CENT = Decimal("0.01")
_MOST_CENTS = 10**12  # up to here a share computed in float64 is good to a hundredth of a cent


def to_cents(usd):
    """Whole cents of an amount, half a cent away from zero.

    Parameters
    ----------
    usd : Decimal or int
        [USD]

    Returns
    -------
    int
        [cents]

    Raises
    ------
    ValueError
        An amount that is not a finite Decimal or int: a float has lost its cents before it gets here.

    Examples
    --------
    >>> to_cents(Decimal("12.345")), to_cents(Decimal("-12.345")), to_cents(3)
    (1235, -1235, 300)
    """
    if not isinstance(usd, Decimal | int) or not Decimal(usd).is_finite():
        raise ValueError(f"amount is {usd!r}; accepted is a finite Decimal or a whole number of dollars")
    return int((Decimal(usd) * 100).quantize(Decimal(1), ROUND_HALF_UP))


def from_cents(cents):
    """Dollars of a number of whole cents; None where it is NaN, which stands for unknown in arrays.

    Parameters
    ----------
    cents : int or float
        Whole number. [cents]

    Returns
    -------
    Decimal or None
        [USD], two decimals.

    Examples
    --------
    >>> from_cents(1235), from_cents(float("nan"))
    (Decimal('12.35'), None)
    """
    return None if np.isnan(cents) else Decimal(int(cents)).scaleb(-2)


def total_usd(amounts_usd):
    """Exact sum with each amount's own sign: costs less income may well come out negative.

    Parameters
    ----------
    amounts_usd : iterable of Decimal, int or None
        [USD]

    Returns
    -------
    Decimal or None
        [USD]; 0 for no amounts, None where one of them is unknown.

    Examples
    --------
    >>> total_usd([Decimal("20.60"), Decimal("-5.10")])
    Decimal('15.50')
    >>> total_usd([Decimal("20.60"), None]) is None, total_usd([])
    (True, Decimal('0'))
    """
    amounts_usd = list(amounts_usd)
    return None if None in amounts_usd else sum(amounts_usd, Decimal(0))


def cost_usd_per_acre(cost_usd, acres):
    """Total cost over total acres, rounded to the cent as it is shown.

    Give it sums. A mean of plots' costs per acre would let a quarter-acre plot weigh as much as a
    nine-acre one.

    Parameters
    ----------
    cost_usd : Decimal or None
        [USD]
    acres : float
        [acres]

    Returns
    -------
    Decimal or None
        [USD/acre], two decimals; None where the cost is unknown, the acres are NaN or there are none.

    Raises
    ------
    ValueError
        Negative acres.

    Examples
    --------
    >>> cost_usd_per_acre(Decimal("100.00"), 3.0)
    Decimal('33.33')
    >>> cost_usd_per_acre(None, 3.0) is None, cost_usd_per_acre(Decimal(0), 0.0) is None
    (True, True)
    """
    if acres < 0:
        raise ValueError(f"acres are {acres:g}; accepted is 0 or more")
    if cost_usd is None or not acres > 0:
        return None
    return (cost_usd / Decimal(repr(float(acres)))).quantize(_CENT, ROUND_HALF_UP)


def split_cents(total_cents, weights):
    """Split whole cents in proportion to weights so that the shares add up to the total exactly.

    Largest remainder: every share is rounded down, then the cents that are left go one each to the shares
    that lost most by it; where two lost the same, to the earlier one.

    Parameters
    ----------
    total_cents : int
        At most 10¹² either way. [cents]
    weights : array_like, shape (n,)
        0 or more, in any unit; not all 0 unless the total is 0. A weight of 0 gets nothing.

    Returns
    -------
    ndarray of int64, shape (n,)
        [cents], within a cent of the exact share and adding up to `total_cents`.

    Raises
    ------
    ValueError
        A weight that is negative or not a number; no weight above 0 to carry the total; too large a total.

    References
    ----------
    M. L. Balinski and H. P. Young, "Fair Representation" (1982): Hamilton's method (from memory).

    Examples
    --------
    >>> split_cents(100, [1, 1, 1])
    array([34, 33, 33])
    >>> split_cents(0, [])
    array([], dtype=int64)
    >>> split_cents(100, [1, None])
    Traceback (most recent call last):
    ValueError: weight is nan; accepted is a number of 0 or more
    """
    weights = np.asarray(weights, dtype=float)
    wrong = ~((weights >= 0) & np.isfinite(weights))
    if wrong.any():
        raise ValueError(f"weight is {weights[wrong][0]:g}; accepted is a number of 0 or more")
    if abs(total_cents) > _MOST_CENTS:
        raise ValueError(f"total is {total_cents} cents; accepted is at most {_MOST_CENTS} either way")
    if total_cents == 0:
        return np.zeros(weights.shape, dtype=np.int64)
    if not weights.any():
        raise ValueError(f"{total_cents} cents to split and no weight above 0 to carry them")

    exact = weights / weights.sum() * total_cents
    shares = np.floor(exact)
    left_over = int(total_cents - shares.sum())
    most_lost = np.argsort(shares - exact, kind="stable")[:left_over]
    shares[most_lost] += 1
    return shares.astype(np.int64)


def split_by_largest_remainder(total_usd, weights):
    """`split_cents` for an amount in dollars.

    Parameters
    ----------
    total_usd : Decimal
        Whole cents. [USD]
    weights : array_like, shape (n,)
        As for `split_cents`.

    Returns
    -------
    list of Decimal
        [USD], two decimals, adding up to `total_usd` exactly.

    Raises
    ------
    ValueError
        As for `split_cents`; a total with part of a cent.

    Examples
    --------
    >>> split_by_largest_remainder(Decimal("10.00"), [2, 2, 2])
    [Decimal('3.34'), Decimal('3.33'), Decimal('3.33')]
    """
    total_cents = to_cents(total_usd)
    if from_cents(total_cents) != total_usd:
        raise ValueError(f"total is {total_usd} USD; accepted is a whole number of cents")
    return [from_cents(cents) for cents in split_cents(total_cents, weights)]
