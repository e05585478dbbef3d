"""Days to and from the average frosts, whose dates recur every year.

Only month and day of the frost count. A frost on 29 February falls on the 28th in other years.
"""

import calendar
import datetime

import numpy as np

from plots.calc.described import DEFINITION, MEMORY, BadInput, Quantity, Source, described

EVEN_CHANCE = Source(
    "An average frost date is an even chance",
    basis=MEMORY,
    note="In half of the years the frost comes before it, in half after.",
)
FREEZE_DATES = Source(
    "About the Freeze Date Tool",
    "Midwestern Regional Climate Center",
    "no year",
    "https://mrcc.purdue.edu/mw_climate/freezeDateToolAbout.jsp",
    note="The average is the mean of the dates of all years on record.",
)
NOTES = [
    "The average date is an even chance, not a promise. Low ground freezes earlier in autumn and later in spring."
]

_on = Quantity("on", "Day", kind="date", example=datetime.date(2027, 8, 20))


@described(
    title="Days until the first frost",
    topic="season",
    inputs=[
        _on,
        Quantity(
            "first_frost_on",
            "Average first frost of autumn",
            kind="date",
            example=datetime.date(2027, 10, 20),
        ),
    ],
    answer=Quantity("days", "Days until the average first frost", "days", is_whole=True, decimals=0),
    formula="the next such date, on the day or after it, less the day",
    sources=[DEFINITION, EVEN_CHANCE, FREEZE_DATES],
    notes=[*NOTES, "After this year's date the answer runs to next year's."],
)
def days_until_first_frost(on, first_frost_on):
    """Days until the average first frost comes next.

    Examples
    --------
    >>> from datetime import date
    >>> days_until_first_frost(date(2027, 8, 20), date(2020, 10, 20))
    61
    >>> days_until_first_frost(date(2027, 11, 20), date(2020, 1, 5))
    46
    >>> days_until_first_frost(date(2027, 8, 20), None)
    nan
    """
    if on is None or first_frost_on is None:
        return np.nan
    _refuse_last_years(on)
    frosts = (_in_year(first_frost_on, on.year + later) for later in (0, 1))
    return next((frost - on).days for frost in frosts if frost >= on)


@described(
    title="Days since the last frost",
    topic="season",
    inputs=[
        Quantity("on", "Day", kind="date", example=datetime.date(2027, 5, 20)),
        Quantity(
            "last_frost_on", "Average last frost of spring", kind="date", example=datetime.date(2027, 4, 25)
        ),
    ],
    answer=Quantity("days", "Days since the average last frost", "days", is_whole=True, decimals=0),
    formula="the day less the latest such date, on the day or before it",
    sources=[DEFINITION, EVEN_CHANCE, FREEZE_DATES],
    notes=[*NOTES, "Before this year's date the answer runs from last year's."],
)
def days_since_last_frost(on, last_frost_on):
    """Days since the average last frost was last reached.

    Examples
    --------
    >>> from datetime import date
    >>> days_since_last_frost(date(2027, 5, 20), date(2020, 4, 25))
    25
    >>> days_since_last_frost(None, date(2020, 4, 25))
    nan
    """
    if on is None or last_frost_on is None:
        return np.nan
    _refuse_last_years(on)
    frosts = (_in_year(last_frost_on, on.year - earlier) for earlier in (0, 1))
    return next((on - frost).days for frost in frosts if frost <= on)


def _refuse_last_years(on):
    if not datetime.MINYEAR < on.year < datetime.MAXYEAR:
        low, high = datetime.MINYEAR + 1, datetime.MAXYEAR - 1
        raise BadInput("on", f"Day is in the year {on.year}; accepted are the years {low} to {high}")


def _in_year(frost, year):
    is_leap_day = (frost.month, frost.day) == (2, 29)
    if is_leap_day and not calendar.isleap(year):
        return datetime.date(year, 2, 28)
    return datetime.date(year, frost.month, frost.day)
