"""Days to and from frosts over the ends of years and leap days."""

from calendar import isleap
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from fieldlog.calc.frost import days_since_last_frost, days_until_first_frost
from plots.calc.described import BadInput

dates = st.dates(date(1900, 1, 1), date(2200, 12, 31))


def is_anniversary(day, frost):
    if (frost.month, frost.day) == (2, 29) and not isleap(day.year):
        return (day.month, day.day) == (2, 28)
    return (day.month, day.day) == (frost.month, frost.day)


@given(dates, dates)
def test_the_next_frost_is_within_a_year_and_on_its_day(on, frost):
    days = days_until_first_frost(on, frost)
    assert 0 <= days <= 366
    assert is_anniversary(on + timedelta(days=days), frost)


@given(dates, dates)
def test_the_latest_frost_is_within_a_year_and_on_its_day(on, frost):
    days = days_since_last_frost(on, frost)
    assert 0 <= days <= 366
    assert is_anniversary(on - timedelta(days=days), frost)


@given(dates, dates, dates)
def test_year_of_the_frost_does_not_count(on, frost, other):
    assume((frost.month, frost.day) != (2, 29))
    assert days_until_first_frost(on, frost) == days_until_first_frost(on, frost.replace(year=other.year))


@pytest.mark.parametrize(
    ("on", "frost", "days"),
    [
        (date(2027, 8, 20), date(2020, 10, 20), 61),
        (date(2027, 10, 20), date(2020, 10, 20), 0),
        (date(2027, 10, 21), date(2020, 10, 20), 365),
        (date(2027, 11, 20), date(2020, 1, 5), 46),
        (date(2028, 2, 1), date(2020, 3, 1), 29),
        (date(2027, 2, 1), date(2020, 2, 29), 27),
        (date(2028, 2, 1), date(2020, 2, 29), 28),
        (date(2027, 3, 1), date(2020, 2, 29), 365),
    ],
)
def test_days_until_the_first_frost(on, frost, days):
    assert days_until_first_frost(on, frost) == days


@pytest.mark.parametrize(
    ("on", "frost", "days"),
    [
        (date(2027, 5, 20), date(2020, 4, 25), 25),
        (date(2027, 4, 25), date(2020, 4, 25), 0),
        (date(2027, 1, 10), date(2020, 12, 20), 21),
        (date(2028, 3, 1), date(2020, 2, 28), 2),
        (date(2027, 3, 1), date(2020, 2, 29), 1),
    ],
)
def test_days_since_the_last_frost(on, frost, days):
    assert days_since_last_frost(on, frost) == days


@pytest.mark.parametrize("count", [days_until_first_frost, days_since_last_frost])
def test_an_unknown_date_leaves_the_days_unknown(count):
    assert np.isnan(count(None, date(2020, 4, 25)))
    assert np.isnan(count(date(2027, 4, 25), None))


@pytest.mark.parametrize("count", [days_until_first_frost, days_since_last_frost])
@pytest.mark.parametrize("on", [date.min, date.max])
def test_the_ends_of_the_calendar_are_refused(count, on):
    with pytest.raises(BadInput, match=f"Day is in the year {on.year}; accepted are the years 2 to 9998"):
        count(on, date(2020, 6, 1))


@pytest.mark.parametrize("count", [days_until_first_frost, days_since_last_frost])
def test_says_that_the_average_is_an_even_chance(count):
    assert "even chance" in count.calculation.notes[0]
    assert any("even chance" in source.title for source in count.calculation.sources)
