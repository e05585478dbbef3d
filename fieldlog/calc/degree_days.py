"""Growing degree days, by two methods that are not comparable.

*86/50* holds both temperatures of a day between 50 and 86 °F before it takes their mean, so a day gives 0 to 36.
*Simple* takes the mean as it is, less the base, and never below 0. A sum always carries its method.
"""

from typing import NamedTuple

import numpy as np

from fieldlog.calc.frost import EVEN_CHANCE
from plots.calc.checks import refuse_where
from plots.calc.described import Quantity, Source, described
from plots.calc.units import f_to_c

CLAMPED, SIMPLE = "86/50", "simple"
LOWER_F, UPPER_F = 50, 86
LOWER_C, UPPER_C = float(f_to_c(LOWER_F)), float(f_to_c(UPPER_F))

IOWA = Source(
    "Agron 541, lesson 2b: growing degree days",
    "Iowa State University",
    "no year",
    "http://agron-www.agron.iastate.edu/courses/Agron541/classes/541/lesson02b/2b.1.1.html",
)
WAUSHARA = Source(
    "Calculating growing degree days",
    "Waushara Argus, county agricultural news (Wisconsin)",
    "2018",
    "https://www.wausharaargus.com/latest-ag-news/calculating-growing-degree-days",
)
MCMASTER = Source(
    "Growing degree-days: one equation, two interpretations",
    "McMaster and Wilhelm, Agricultural and Forest Meteorology",
    "1997",
    note="Up to 83 % between two readings of one formula; the paper itself was not seen.",
)

NOTES = [
    "Totals by different methods or bases cannot be compared: on a day of 72/46 °F 86/50 gives 11, simple gives 9.",
    "86/50 is for corn; one agency table uses it for sorghum too, Kansas State a base of 35 °F.",
    "A day without a reading is not a day of 0. While one is missing the whole sum is not known; the sum of the "
    "days that are known is shown with the number missing.",
]


class DegreeDaysF(NamedTuple):
    """A sum of degree days in °F with the method that made it."""

    degree_days_f: float
    known_degree_days_f: float
    missing_days: int
    method: str
    base_f: float


class DegreeDaysC(NamedTuple):
    """A sum of degree days in °C with the method that made it."""

    degree_days_c: float
    known_degree_days_c: float
    missing_days: int
    method: str
    base_c: float


class FrostCheck(NamedTuple):
    """Degree days left before a frost against those still needed."""

    left_f: float
    spare_f: float
    days_needed: float


def daily_clamped(highest, lowest, lower=LOWER_F, upper=UPPER_F):
    """Degree days of single days, both temperatures first held between the bounds.

    Parameters
    ----------
    highest, lowest : array_like
        Of the day, in the unit of the bounds. [°F]
    lower, upper : float
        50 and 86 °F, unless others are given. [°F]

    Returns
    -------
    ndarray
        0 to upper − lower; NaN where a reading is missing. [degree days of that unit]

    References
    ----------
    Agron 541, lesson 2b, Iowa State University.

    Examples
    --------
    >>> daily_clamped([90, 72, 40, None], [65, 46, 30, 50])
    array([25.5, 11. ,  0. ,  nan])
    """
    highest, lowest = (np.clip(np.asarray(one, dtype=float), lower, upper) for one in (highest, lowest))
    return (highest + lowest) / 2 - lower


def daily_simple(highest, lowest, base=LOWER_F):
    """Degree days of single days: what the mean temperature is above the base, never below 0.

    Parameters
    ----------
    highest, lowest : array_like
        Of the day, in the unit of the base. [°F]
    base : array_like
        50 °F, unless another is given. [°F]

    Returns
    -------
    ndarray
        0 or more; NaN where a reading is missing. [degree days of that unit]

    References
    ----------
    By definition.

    Examples
    --------
    >>> daily_simple([72, 40, None], [46, 30, 50])
    array([ 9.,  0., nan])
    """
    mean = (np.asarray(highest, dtype=float) + np.asarray(lowest, dtype=float)) / 2
    return np.maximum(mean - base, 0)


def _inputs(unit, letter, example, base, least, most):
    highest, lowest = example
    return [
        Quantity(
            f"highest_{letter}",
            "Highest of the day",
            unit,
            least=least,
            most=most,
            is_list=True,
            example=highest,
        ),
        Quantity(
            f"lowest_{letter}",
            "Lowest of the day",
            unit,
            least=least,
            most=most,
            is_list=True,
            example=lowest,
        ),
        Quantity(
            "method",
            "Method",
            kind="choice",
            choices=(
                (CLAMPED, "86/50: both temperatures held between 50 and 86 °F (10 and 30 °C)"),
                (SIMPLE, "Simple: mean less the base, never below 0"),
            ),
            example=CLAMPED,
        ),
        Quantity(
            f"base_{letter}",
            "Base",
            unit,
            least=least,
            most=most,
            is_required=False,
            default=base,
            example=base,
            help=f"Of the simple method; 86/50 has {base:g} {unit}.",
        ),
    ]


def _answers(unit, letter):
    said = f"{unit} days"
    return [
        Quantity(
            f"degree_days_{letter}",
            "All days together",
            said,
            decimals=1,
            help="Not known while a day is missing.",
        ),
        Quantity(f"known_degree_days_{letter}", "The days that are known", said, decimals=1),
        Quantity("missing_days", "Days missing", "days", is_whole=True, decimals=0),
        Quantity("method", "Method", kind="text"),
        Quantity(f"base_{letter}", "Base", unit, decimals=0),
    ]


@described(
    title="Degree days, Fahrenheit",
    topic="season",
    inputs=_inputs("°F", "f", ([90, 72, 63], [65, 46, 42]), LOWER_F, -100, 150),
    answers=_answers("°F", "f"),
    formula="86/50: (highest + lowest) ÷ 2 − 50, each first held between 50 and 86. "
    "Simple: (highest + lowest) ÷ 2 − base, never below 0. Summed over the days",
    sources=[IOWA, WAUSHARA, MCMASTER],
    notes=NOTES,
)
def degree_days_f(highest_f, lowest_f, method, base_f=LOWER_F):
    """Degree days of one day or the sum of several, with the method that made them.

    Examples
    --------
    >>> three = degree_days_f([90, 72, 63], [65, 46, 42], "86/50")
    >>> float(three.degree_days_f), three.method
    (43.0, '86/50')
    >>> gap = degree_days_f([90, None, 63], [65, 46, 42], "86/50")
    >>> float(gap.degree_days_f), float(gap.known_degree_days_f), int(gap.missing_days)
    (nan, 32.0, 1)
    >>> degree_days_f([72, 60], [46, 65], "simple")
    Traceback (most recent call last):
    plots.calc.described.BadInput: Highest of day 2 is 60 °F; accepted is its lowest, 65 °F, or more
    """
    return DegreeDaysF(*_summed(highest_f, lowest_f, method, base_f, LOWER_F, UPPER_F, "f"))


@described(
    title="Degree days, Celsius",
    topic="season",
    inputs=_inputs("°C", "c", ([32, 22, 17], [18, 8, 6]), LOWER_C, -73, 66),
    answers=_answers("°C", "c"),
    formula="86/50: (highest + lowest) ÷ 2 − 10, each first held between 10 and 30. "
    "Simple: (highest + lowest) ÷ 2 − base, never below 0. Summed over the days",
    sources=[IOWA, WAUSHARA, MCMASTER],
    notes=[*NOTES, "Degree days in °C × 1.8 are degree days in °F."],
)
def degree_days_c(highest_c, lowest_c, method, base_c=LOWER_C):
    """Degree days of one day or the sum of several in degrees Celsius.

    Examples
    --------
    >>> float(degree_days_c([32, 22], [18, 8], "86/50").degree_days_c)
    20.0
    >>> float(degree_days_c([32, 22], [18, None], "86/50").degree_days_c)
    nan
    """
    return DegreeDaysC(*_summed(highest_c, lowest_c, method, base_c, LOWER_C, UPPER_C, "c"))


@described(
    title="Enough warmth before frost",
    topic="season",
    inputs=[
        Quantity("needed_f", "Degree days still needed", "°F days", least=0, example=900),
        Quantity(
            "per_day_f",
            "Degree days on a usual day to come",
            "°F days",
            least=0,
            example=18,
            help="From past years at the place, by the same method.",
        ),
        Quantity("days_left", "Days to the average first frost", "days", least=0, example=60),
    ],
    answers=[
        Quantity("left_f", "Degree days before the frost", "°F days", decimals=0),
        Quantity("spare_f", "To spare", "°F days", decimals=0, help="Below zero: too few."),
        Quantity("days_needed", "Days needed", "days", decimals=0),
    ],
    formula="degree days a day × days left − degree days needed",
    sources=[EVEN_CHANCE, MCMASTER],
    notes=[
        "An average date is an even chance: in half of the years the frost comes before it.",
        "Days grow cooler towards the frost; this takes them as all alike.",
        "Needed and usual have to be by one method and base.",
        "With 0 degree days a day what is needed never comes together, and the days needed have no answer.",
    ],
)
def frost_check(needed_f, per_day_f, days_left):
    """Degree days left before the average first frost against those that the crop still needs.

    Examples
    --------
    >>> [float(figure) for figure in frost_check(900, 18, 60)]
    [1080.0, 180.0, 50.0]
    >>> float(frost_check(900, None, 60).spare_f)
    nan
    """
    left_f = per_day_f * days_left
    days_needed = needed_f / np.where(per_day_f > 0, per_day_f, np.nan)
    return FrostCheck(left_f, left_f - needed_f, np.where(needed_f == 0, 0 * per_day_f, days_needed))


def _summed(highest, lowest, method, base, lower, upper, letter):
    unit = f"°{letter.upper()}"
    refuse_where(
        highest < lowest,
        f"highest_{letter}",
        f"Highest of day {{row}} is {{0:g}} {unit}; accepted is its lowest, {{1:g}} {unit}, or more",
        highest,
        lowest,
    )
    if method == CLAMPED:
        refuse_where(
            ~np.isnan(base) & (base != lower),
            f"base_{letter}",
            f"Base is {{0:g}} {unit}; accepted with 86/50 is {lower:g} {unit}",
            base,
        )
        base = np.asarray(float(lower))
        daily = daily_clamped(highest, lowest, lower, upper)
    elif method == SIMPLE:
        daily = daily_simple(highest, lowest, base[..., np.newaxis])
    else:
        base, daily = np.nan * base, np.nan * (highest + lowest)
    is_missing = np.isnan(np.broadcast_to(highest + lowest, daily.shape))
    known = np.where(is_missing, 0, daily).sum(axis=-1)
    known = np.where(is_missing.all(axis=-1), np.nan, known)
    missing_days = is_missing.sum(axis=-1)
    return np.where(missing_days > 0, np.nan, known), known, missing_days, method, base
