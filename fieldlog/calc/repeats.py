"""Several counts or frames of one plot: their mean and how far to trust it."""

from typing import NamedTuple

import numpy as np


class Repeats(NamedTuple):
    """What repeated samples say, each in the unit of the samples but `count`."""

    mean: np.ndarray
    spread: np.ndarray
    error: np.ndarray
    count: np.ndarray


def repeats(values):
    """Mean, standard deviation and standard error of the mean over the last axis.

    Parameters
    ----------
    values : array_like, shape (..., samples)
        A zero is a sample like any other.

    Returns
    -------
    Repeats
        The standard deviation has n − 1 below the line, the standard error is it over √n. Both are NaN for
        fewer than two samples, which say nothing of the spread. All are NaN where a sample is missing, and
        the mean of none is NaN.

    References
    ----------
    By definition.

    Examples
    --------
    >>> [float(x) for x in repeats([3, 5, 7])]
    [5.0, 2.0, 1.1547005383792517, 3.0]
    >>> [float(x) for x in repeats([3, None])]
    [nan, nan, nan, nan]
    """
    values = np.asarray(values, dtype=float)
    count = values.shape[-1]
    mean = values.sum(axis=-1) / (count or np.nan)
    squares = np.square(values - mean[..., np.newaxis]).sum(axis=-1)
    spread = np.sqrt(squares / (count - 1 if count > 1 else np.nan))
    return Repeats(mean, spread, spread / np.sqrt(count or np.nan), np.where(np.isnan(mean), np.nan, count))
