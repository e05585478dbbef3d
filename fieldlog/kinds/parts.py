"""What several kinds of reading share: figures that never fail, words for stages, steps that look alike."""

from math import isfinite

import numpy as np

from fieldlog.kinds.answers import NUMBER, SPECIES
from fieldlog.kinds.described import Choice, Figure, Step
from plots.calc.described import BadInput

STAGES = (
    Choice("seedling", "Seedling"),
    Choice("leafy", "Leafy, before stems"),
    Choice("stems", "Stems growing"),
    Choice("boot", "Boot"),
    Choice("heading", "Heading or bud"),
    Choice("bloom", "Bloom"),
    Choice("milk", "Milk or first pods"),
    Choice("dough", "Dough or full pods"),
    Choice("ripe", "Ripe"),
    Choice("dead", "Dead already"),
)
"""The stages of a termination (blends.models.Termination.Stage), with seedlings before them."""


def setting(name, label, default, **how):
    return Step(name, label, default=default, **how)


def count(name, label, **how):
    """A step, or a column, with a whole number from 0."""
    return Step(name, label, ask=NUMBER, least=0, is_whole=True, **how)


def species_step(label="Species", **how):
    return Step("species", label, ask=SPECIES, **how)


def reckoned(calculation, *inputs):
    """What a calculation of fieldlog/calc answers, or why it cannot.

    Parameters
    ----------
    calculation : callable
        A described one.
    *inputs
        None is unknown.

    Returns
    -------
    object or None, str
        The answer, None with the sentence of what is wrong with the inputs.
    """
    try:
        with np.errstate(all="ignore"):
            return calculation(*inputs), ""
    except BadInput as error:
        return None, error.sentence


def known(number, decimals=6):
    """A plain number, or None where it is not known."""
    if number is None or not isfinite(number):
        return None
    return round(float(number), decimals)


def figure(name, label, value, unit="", **how):
    """A figure of plain numbers; NaN and infinity are unknown."""
    numbers = ("error", "low", "high", "expected_low", "expected_high")
    how |= {each: known(how[each]) for each in numbers if each in how}
    return Figure(name, label, value if isinstance(value, str) else known(value), unit, **how)


def choice_label(choices, value):
    return next((each.label for each in choices if each.value == value), "")


def key_of(species):
    """What tells the species of a reading apart in names of figures: its id, else its name."""
    if species.get("id") is not None:
        return str(species["id"])
    return "_".join(species["name"].casefold().split())[:40]


def figure_name(name, species):
    """The name of a figure of one species: `height_in:12`."""
    return f"{name}:{key_of(species)}"
