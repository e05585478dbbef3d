"""Spans of days and months, and the frost that comes next. Plain dates: nothing here asks what day it is."""

import calendar
from datetime import date
from typing import NamedTuple

import numpy as np


class Span(NamedTuple):
    """From one day up to, and without, another."""

    start: date
    end: date

    @property
    def days(self):
        return max(0, (self.end - self.start).days)

    def within(self, other):
        return Span(max(self.start, other.start), min(self.end, other.end))


def day_in_year(day, year):
    """The same month and day in another year; 29 February becomes the 28th where there is none.

    Parameters
    ----------
    day : date
    year : int

    Returns
    -------
    date

    Examples
    --------
    >>> day_in_year(date(2024, 2, 29), 2027)
    datetime.date(2027, 2, 28)
    """
    return day.replace(year=year, day=min(day.day, calendar.monthrange(year, day.month)[1]))


def frost_after(day, first_frost_on):
    """The next average first frost after a day; only month and day of the average count.

    Parameters
    ----------
    day : date
    first_frost_on : date or None

    Returns
    -------
    date or None

    Examples
    --------
    >>> frost_after(date(2027, 5, 20), date(2000, 10, 15)), frost_after(date(2027, 11, 1), date(2000, 10, 15))
    (datetime.date(2027, 10, 15), datetime.date(2028, 10, 15))
    """
    if first_frost_on is None:
        return None
    this_year = day_in_year(first_frost_on, day.year)
    return this_year if this_year > day else day_in_year(first_frost_on, day.year + 1)


def next_month(first):
    """First day of the month after one."""
    return date(first.year + first.month // 12, first.month % 12 + 1, 1)


def months_of(seeding_on, end_on):
    """First days of the months that a calendar touches.

    Parameters
    ----------
    seeding_on, end_on : date
        The calendar goes up to, and without, the end.

    Returns
    -------
    list of date

    Raises
    ------
    ValueError
        An end that is not after the seeding.

    Examples
    --------
    >>> [month.isoformat() for month in months_of(date(2027, 5, 20), date(2027, 7, 1))]
    ['2027-05-01', '2027-06-01']
    """
    if end_on <= seeding_on:
        raise ValueError(f"end is {end_on}; accepted is a day after the seeding on {seeding_on}")
    months = [seeding_on.replace(day=1)]
    while (following := next_month(months[-1])) < end_on:
        months.append(following)
    return months


def twelve_months(seeding_on):
    """The end of the twelfth month, seeding's own counted: where a calendar ends when nothing says more.

    Examples
    --------
    >>> twelve_months(date(2027, 5, 20))
    datetime.date(2028, 5, 1)
    """
    return date(seeding_on.year + 1, seeding_on.month, 1)


def month_spans(seeding_on, end_on):
    """The months of a calendar, each cut to the days inside it; a list of Span."""
    whole = Span(seeding_on, end_on)
    return [Span(first, next_month(first)).within(whole) for first in months_of(seeding_on, end_on)]


def months_counted(spans, months):
    """Which months count for spans that are put together.

    A month counts when at least half of its days inside the calendar lie in one of the spans; a time too short for
    that counts in the month that has most of it.

    Parameters
    ----------
    spans : list of Span
    months : list of Span
        From `month_spans`.

    Returns
    -------
    ndarray of bool, shape (months,)

    Examples
    --------
    >>> months = month_spans(date(2027, 5, 20), date(2027, 8, 1))
    >>> months_counted([Span(date(2027, 5, 25), date(2027, 6, 14))], months)
    array([ True, False, False])
    """
    days = np.array([_days_of_any(spans, month) for month in months])
    counted = days * 2 >= np.array([month.days for month in months])
    if days.any() and not counted.any():
        counted[np.argmax(days)] = True
    return counted


def _days_of_any(spans, month):
    """Days of the month in at least one of the spans."""
    days, reached = 0, month.start
    for span in sorted(spans):
        part = Span(max(span.start, reached), min(span.end, month.end))
        if part.days:
            days, reached = days + part.days, part.end
    return days
