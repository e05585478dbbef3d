"""A month and a day as people type them."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plots.days import ANY_YEAR, day_of_year, day_text


@pytest.mark.parametrize(
    ("text", "month", "day"),
    [
        ("Apr 20", 4, 20),
        ("april 20", 4, 20),
        ("Sept. 3", 9, 3),
        ("20 April", 4, 20),
        ("20. oct", 10, 20),
        (" 4/20 ", 4, 20),
        ("04-20", 4, 20),
        ("2027-04-20", 4, 20),
        ("2/29", 2, 29),
    ],
)
def test_a_day_is_read_as_it_is_typed(text, month, day):
    assert day_of_year(text) == date(ANY_YEAR, month, day)


@pytest.mark.parametrize(
    "text", ["", "spring", "4/31", "13/1", "Apr", "Ap 20", "Aprilis 20", "20", "0/0", "4/20/27"]
)
def test_what_is_no_day_is_refused_in_a_sentence(text):
    with pytest.raises(ValueError, match="a month and a day such as Apr 20 or 4/20 is accepted") as refused:
        day_of_year(text)
    assert f"“{text}”" in str(refused.value)


@given(st.dates(date(ANY_YEAR, 1, 1), date(ANY_YEAR, 12, 31)))
def test_every_day_is_read_back_from_its_text(day):
    assert day_of_year(day_text(day)) == day_of_year(f"{day:%m-%d}") == day
