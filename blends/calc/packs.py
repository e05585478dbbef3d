"""Whole packs. Seed is needed by the pound and sold by the pack."""

import numpy as np

SHORTFALL_LB = 0.001
"""A shortfall of up to this much, half a gram, buys nothing: it is float noise, not seed."""


def packs_needed(lb, pack_lb):
    """Whole packs that hold the pounds, rounded up. Round once, for the whole order and not plot by plot.

    Parameters
    ----------
    lb : array_like
        Pounds to buy, 0 or more. [lb bulk]
    pack_lb : array_like
        Pounds in a pack, above 0. [lb bulk]

    Returns
    -------
    float or ndarray
        Whole packs; 0 where nothing is to be bought, whatever the pack; else NaN where an input is missing.
        Up to 0.001 lb beyond the last whole pack is left out.

    Raises
    ------
    ValueError
        Negative pounds; a pack of 0 lb or less.

    References
    ----------
    By definition.

    Examples
    --------
    >>> packs_needed([0, 100, 100.00000000001, 100.1, None, 10], [50, 50, 50, 50, 50, None])
    array([ 0.,  2.,  2.,  3., nan, nan])
    """
    lb, pack_lb = np.broadcast_arrays(np.asarray(lb, dtype=float), np.asarray(pack_lb, dtype=float))
    if (lb < 0).any():
        raise ValueError(f"{lb[lb < 0][0]:g} lb to buy; accepted is 0 or more")
    if (pack_lb <= 0).any():
        raise ValueError(f"pack of {pack_lb[pack_lb <= 0][0]:g} lb; accepted is more than 0")
    packs = np.ceil((lb - SHORTFALL_LB) / pack_lb)
    return np.where(lb <= SHORTFALL_LB, 0.0, packs)[()]
