"""How old a germination test is, and which of the usual limits it has passed.

The limits of shipment and sale differ from state to state; seed may be planted at any age, at what a new test says
of it. Information, not legal advice.
"""

import calendar
import datetime
from dataclasses import dataclass

from blends.calc.tags import TEST_MONTHS

AGE_MARKS = (TEST_MONTHS["ordinary"], 9, 12)
"""Calendar months after the month of the test. The first is the federal one for shipment between states (7 CFR 201.22,
in `calc/tags.py`); 9 and 12 are common practice, no source: limits of states lie about there."""


@dataclass(frozen=True)
class SeedAge:
    """The age of a test on a day.

    Attributes
    ----------
    months : int
        Calendar months after the month of the test; 0 in it.
    passed : int or None
        The largest of `AGE_MARKS` that it is older than.
    next_mark : int or None
        The next of them, and `next_on`, the first day on which the test will be older.
    """

    months: int
    passed: int | None
    next_mark: int | None
    next_on: datetime.date | None

    @property
    def is_old(self):
        """Older than the last of the marks: to be tested again before it is relied on."""
        return self.passed == AGE_MARKS[-1]


def age_of_test(tested_on, on):
    """The age of a test.

    Parameters
    ----------
    tested_on : date or None
        Any day of the month of the test.
    on : date

    Returns
    -------
    SeedAge or None
        None while it is not known when the seed was tested, and for a day before the month of the test.

    Examples
    --------
    >>> from datetime import date
    >>> [age_of_test(date(2026, 3, 20), date(2026, *day)).passed for day in ((8, 31), (9, 1))]
    [None, 5]
    >>> age_of_test(date(2026, 3, 20), date(2026, 9, 1)).next_on
    datetime.date(2027, 1, 1)
    >>> age_of_test(None, date(2026, 9, 1)) is None
    True
    """
    if tested_on is None:
        return None
    months = (on.year - tested_on.year) * 12 + on.month - tested_on.month
    if months < 0:
        return None
    passed = max((mark for mark in AGE_MARKS if months > mark), default=None)
    next_mark = min((mark for mark in AGE_MARKS if months <= mark), default=None)
    next_on = None if next_mark is None else _first_after(tested_on, next_mark)
    return SeedAge(months, passed, next_mark, next_on)


def _first_after(day, months):
    """The day after the last of the month so many months later."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    last = datetime.date(year, month + 1, calendar.monthrange(year, month + 1)[1])
    return last + datetime.timedelta(days=1)
