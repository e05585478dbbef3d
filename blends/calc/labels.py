"""What a pesticide label's registration number and intervals come to. Intervals are typed, never looked up."""

import re
from datetime import UTC, timedelta

_FEDERAL = re.compile(
    r"(?:epa\s*)?(?:reg(?:istration|\.)?)?\s*(?:no\.?|number|#)?\s*(\d{1,6}-\d{1,5}(?:-\d{1,6})?)", re.I
)


def federal_number(text):
    """The number alone, where it has the form of a federal registration: company-product, or with a distributor.

    Parameters
    ----------
    text : str

    Returns
    -------
    str or None
        None of another form, such as a state's special local need or a minimum-risk product without a number.

    References
    ----------
    US EPA, *Label Review Manual*, chapter 14 (2012), of 40 CFR 156.10(e): after "EPA Registration No." or "EPA Reg. No."
    stand a company number, a dash and a product number. A distributor's company number behind them is from memory.

    Examples
    --------
    >>> federal_number("EPA Reg. No. 123-45"), federal_number("123-45-678")
    ('123-45', '123-45-678')
    >>> federal_number("MO-0400123") is None
    True
    """
    found = _FEDERAL.fullmatch(text.strip())
    return found[1] if found else None


def reentry_until(sprayed_until, hours):
    """The moment until which people stay out: so many hours after spraying ended, on to the next whole minute.

    Parameters
    ----------
    sprayed_until : datetime
        With its zone. Hours are counted as they pass: the clock may be set meanwhile.
    hours : Decimal
        Of the label; of several products the longest holds. [h]

    Returns
    -------
    datetime
        In UTC.

    References
    ----------
    40 CFR 170.112 (as in force until 2016; read in a mirror): nobody enters before the interval on the label has expired
    after the application, and of several applied together the longest holds. That it counts from the end of the
    application: 40 CFR 170, *Worker Protection Standard* (from memory).

    Examples
    --------
    Daylight saving begins at 2:00 on 8 March 2026: twelve hours after 20:00 it is 9:00 on the clock.

    >>> from datetime import datetime
    >>> from zoneinfo import ZoneInfo
    >>> chicago = ZoneInfo("America/Chicago")
    >>> str(reentry_until(datetime(2026, 3, 7, 20, tzinfo=chicago), 12).astimezone(chicago))
    '2026-03-08 09:00:00-05:00'
    """
    ends = sprayed_until.astimezone(UTC) + timedelta(hours=float(hours))
    whole = ends.replace(second=0, microsecond=0)
    return ends if ends == whole else whole + timedelta(minutes=1)


def interval_until(sprayed_on, days):
    """The last day on which an interval of days holds; the day of spraying is day 0, and the last day counts whole.

    Parameters
    ----------
    sprayed_on : date
        On which spraying ended.
    days : int or None
        None where the label gives none.

    Returns
    -------
    date or None

    References
    ----------
    The last day counting whole is ours, so that nobody is early by hours; no source.

    Examples
    --------
    >>> from datetime import date
    >>> interval_until(date(2026, 9, 1), 14)
    datetime.date(2026, 9, 15)
    >>> interval_until(date(2026, 9, 1), None) is None
    True
    """
    return None if days is None else sprayed_on + timedelta(days=int(days))
