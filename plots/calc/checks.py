"""Refusals of inputs that do not go together."""

import numpy as np

from plots.calc.described import BadInput


def refuse_where(wrong, field, sentence, *values):
    """Refuse with the values of the first place where `wrong` holds.

    Parameters
    ----------
    wrong : array_like of bool
        A comparison with a missing value is not wrong.
    field : str
        Name of the input that is refused.
    sentence : str
        A format string: `{0:g}` is the first of `values` there, `{row}` counts the last axis from 1.
    *values : array_like
        What `sentence` names; they broadcast with `wrong`.

    Raises
    ------
    BadInput

    Examples
    --------
    >>> refuse_where([False, True], "dry_g", "Dry weight {row} is {0:g} g; accepted is 0 or more", [3, -1])
    Traceback (most recent call last):
    plots.calc.described.BadInput: Dry weight 2 is -1 g; accepted is 0 or more
    """
    wrong, *values = np.broadcast_arrays(wrong, *values)
    if wrong.any():
        place = np.unravel_index(np.argmax(wrong), wrong.shape)
        row = int(place[-1]) + 1 if place else 1
        raise BadInput(field, sentence.format(*(value[place] for value in values), row=row))
