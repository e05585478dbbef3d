"""Classes with round limits, for a map that is coloured by a figure."""

from bisect import bisect_right
from math import floor, log10

import numpy as np

_STEPS = (1, 2, 5, 10)  # times a power of ten: limits that are said easily


def round_limits(values, count):
    """Round limits that split values into classes of about as many each.

    Parameters
    ----------
    values : array_like, shape (n,)
        NaN is left out.
    count : int
        How many classes are wanted, 2 or more.

    Returns
    -------
    list of float, shape (m,), m < count
        Rising, each above the least value and not above the largest, so that no class is empty. Class i is from limit
        i - 1 up to but not including limit i. Empty where all values are alike or there are none.

    Raises
    ------
    ValueError
        Fewer than two classes.

    References
    ----------
    Quantiles by definition; that each is rounded to a multiple of 1, 2 or 5 times a power of ten, as coarse as half of
    what the middle classes span, is our choice.

    Examples
    --------
    >>> round_limits([0.3, 0.9, 1.6, 2.2, 3.1, 4.7, 6.0, 8.9], 4)
    [1.5, 2.5, 5.0]
    >>> round_limits([], 4)
    []
    """
    if count < 2:
        raise ValueError(f"count is {count}; two classes or more are accepted.")
    known = np.asarray(values, dtype=float)
    known = known[~np.isnan(known)]
    if not len(known) or known.min() == known.max():
        return []
    quantiles = np.quantile(known, np.arange(1, count) / count)
    span = (quantiles[-1] - quantiles[0]) / (count - 1) if count > 2 else 0
    step = _round_step((span or known.max() - known.min()) / 2)
    rounded = {float(f"{floor(each / step + 0.5) * step:.12g}") for each in quantiles}
    limits = sorted(each for each in rounded if known.min() < each <= known.max())
    return [limit for i, limit in enumerate(limits) if _any_between(known, limits, i)]


def _any_between(known, limits, i):
    """Whether a value lies from this limit to the next: without one the class would stand in a legend for nothing."""
    end = limits[i + 1] if i + 1 < len(limits) else np.inf
    return bool(((known >= limits[i]) & (known < end)).any())


def _round_step(at_most):
    """The largest of 1, 2, 5 times a power of ten that is not above."""
    power = 10.0 ** floor(log10(at_most))
    return max(step * power for step in _STEPS if step * power <= at_most * (1 + 1e-9))


def class_of(value, limits):
    """Which class a value is in: 0 below the first limit, as many as there are limits from the last one on.

    Parameters
    ----------
    value : float
    limits : list of float
        Rising.

    Returns
    -------
    int

    Examples
    --------
    >>> class_of(1.0, [1.0, 3.0])
    1
    """
    return bisect_right(limits, value)
