"""A day of the year as people type it: a month and a day, without a year."""

import calendar
import re
from datetime import date

ANY_YEAR = 2000
"""Of stored days of which only month and day count; a leap year, so that all days exist."""

ACCEPTED = "a month and a day such as Apr 20 or 4/20"

_MONTHS = {name.lower(): number for number, name in enumerate(calendar.month_abbr) if name}
_NUMBERS = re.compile(r"(?:\d{4}[-/])?(\d{1,2})[-/](\d{1,2})")
_MONTH_FIRST = re.compile(r"([a-z]{3,9})\.?\s*(\d{1,2})")
_DAY_FIRST = re.compile(r"(\d{1,2})\.?\s*([a-z]{3,9})\.?")


def day_of_year(text):
    """The day that was meant: 'Apr 20', '20 April', '4/20', '04-20'; a year before it is left out.

    Parameters
    ----------
    text : str

    Returns
    -------
    date
        In `ANY_YEAR`.

    Raises
    ------
    ValueError
        No such day.

    Examples
    --------
    >>> day_of_year("Oct 12"), day_of_year("4/20")
    (datetime.date(2000, 10, 12), datetime.date(2000, 4, 20))
    """
    asked = text.strip().lower()
    if found := _NUMBERS.fullmatch(asked):
        month, day = int(found[1]), int(found[2])
    elif found := _MONTH_FIRST.fullmatch(asked):
        month, day = _month(found[1]), int(found[2])
    elif found := _DAY_FIRST.fullmatch(asked):
        month, day = _month(found[2]), int(found[1])
    else:
        month = day = 0
    try:
        return date(ANY_YEAR, month, day)
    except ValueError:
        raise ValueError(f"“{text}” is not a day of the year; {ACCEPTED} is accepted.") from None


def day_text(day):
    """A day as `day_of_year` reads it: 'Apr 20'."""
    return f"{calendar.month_abbr[day.month]} {day.day}"


def _month(name):
    full = next((month.lower() for month in calendar.month_name if month.lower().startswith(name)), "")
    return _MONTHS.get(full[:3], 0)
