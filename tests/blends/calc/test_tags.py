"""Tolerances and test dates of seed tags. Figures are checked in tests/published."""

import datetime
from math import ceil, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc import tags
from plots.calc.described import BadInput


@pytest.mark.parametrize(
    ("mean_pct", "points"),
    [
        (100, 5),
        (96, 5),
        (95.9, 6),
        (90, 6),
        (89.9, 7),
        (80, 7),
        (79.9, 8),
        (70, 8),
        (60, 9),
        (59.9, 10),
        (0, 10),
    ],
)
def test_germination_tolerance_steps_at_the_edges_of_the_rule(mean_pct, points):
    """7 CFR 201.63, Germination, US Code of Federal Regulations."""
    assert tags.germination_tolerance(mean_pct, mean_pct).tolerance_points == points
    assert tags.germination_tolerance(mean_pct, mean_pct, 200).tolerance_points == points + 2


@pytest.mark.parametrize(
    ("label_pct", "test_pct", "seeds", "verdict"),
    [
        (94, 88, 400, "within tolerance"),  # mean 91: 6
        (94, 87, 400, "below the label by more than the tolerance"),
        (94, 87, 200, "within tolerance"),
        (80, 99, 400, "within tolerance"),
        (96.3, 95.7, 400, "within tolerance"),
        (90, None, 400, "not known"),
        (90, 85, None, "not known"),
    ],
)
def test_a_test_is_held_against_the_label(label_pct, test_pct, seeds, verdict):
    assert tags.germination_tolerance(label_pct, test_pct, seeds).verdict == verdict


@given(st.integers(0, 100), st.integers(0, 100))
def test_tolerance_does_not_ask_which_of_the_two_is_the_label(one_pct, other_pct):
    assert tags.germination_tolerance(one_pct, other_pct).tolerance_points == (
        tags.germination_tolerance(other_pct, one_pct).tolerance_points
    )


def test_the_table_of_noxious_seeds_is_not_the_formula_printed_above_it():
    """7 CFR 201.65: against the formula rounded up the table is 1 or 2 higher in 12 rows of 31, and lower in one."""
    labelled = np.arange(31)
    most_within = tags.noxious_tolerance(labelled).most_within
    rounded_up = [ceil(number + 1.96 * sqrt(number)) for number in labelled]
    assert (np.diff(most_within) > 0).all()
    assert np.sum(most_within > rounded_up) == 12
    assert np.flatnonzero(most_within < rounded_up).tolist() == [17]


@pytest.mark.parametrize(
    ("labelled", "found", "verdict"),
    [
        (9, 16, "within tolerance"),
        (9, 17, "more than the tolerance"),
        (0, 2, "within tolerance"),
        (9, None, "nothing found to compare"),
        (None, 3, "not known"),
    ],
)
def test_seeds_found_are_held_against_the_table(labelled, found, verdict):
    assert tags.noxious_tolerance(labelled, found).verdict == verdict


def test_a_number_beyond_the_table_is_refused():
    with pytest.raises(
        BadInput, match="Number on the label is 31 seeds; accepted is a whole number from 0 to 30"
    ):
        tags.noxious_tolerance(31)


@pytest.mark.parametrize(
    ("tested_on", "kind", "holds_until"),
    [
        ("2027-03-01", "ordinary", "2027-08-31"),
        ("2027-03-31", "ordinary", "2027-08-31"),
        ("2027-09-15", "ordinary", "2028-02-29"),
        ("2026-09-15", "ordinary", "2027-02-28"),
        ("2027-07-04", "ordinary", "2027-12-31"),
        ("2027-03-10", "listed-grass", "2028-06-30"),
        ("2027-03-10", "hermetic", "2029-03-31"),
    ],
)
def test_a_test_holds_to_the_end_of_a_calendar_month(tested_on, kind, holds_until):
    """7 CFR 201.22, counted from the last day of the month of the test."""
    age = tags.germination_test_age(datetime.date.fromisoformat(tested_on), kind)
    assert age.holds_until == datetime.date.fromisoformat(holds_until)
    assert (age.days_left, age.verdict) == (pytest.approx(np.nan, nan_ok=True), "no day of shipment")


@pytest.mark.parametrize(
    ("shipped_on", "days_left", "verdict"),
    [("2027-08-31", 0, "in time"), ("2027-09-01", -1, "too old"), ("2027-03-02", 182, "in time")],
)
def test_shipment_is_in_time_to_the_last_day(shipped_on, days_left, verdict):
    shipped_on = datetime.date.fromisoformat(shipped_on)
    age = tags.germination_test_age(datetime.date(2027, 3, 20), "ordinary", shipped_on)
    assert (age.days_left, age.verdict) == (days_left, verdict)


@given(
    st.dates(datetime.date(1990, 1, 1), datetime.date(2100, 1, 1)),
    st.integers(1, 28),
    st.sampled_from(list(tags.TEST_MONTHS)),
)
def test_any_day_of_the_month_of_the_test_gives_the_same_last_day(tested_on, day, kind):
    holds_until = tags.germination_test_age(tested_on, kind).holds_until
    assert tags.germination_test_age(tested_on.replace(day=day), kind).holds_until == holds_until
    assert (holds_until + datetime.timedelta(days=1)).day == 1


@pytest.mark.parametrize(
    ("calculate", "words"),
    [
        (
            lambda: tags.germination_test_age(
                datetime.date(2027, 3, 1), shipped_on=datetime.date(2027, 2, 1)
            ),
            "Day of shipment is 2027-02-01; accepted is the month of the test, 2027-03, or later",
        ),
        (
            lambda: tags.germination_test_age(datetime.date(9999, 12, 1)),
            "Month of the test is in the year 9999",
        ),
        (
            lambda: tags.germination_test_age(datetime.date(2027, 3, 1), "clover"),
            "Seed is clover; accepted is ordinary, listed-grass, hermetic",
        ),
        (lambda: tags.germination_tolerance(94, 90, 300), "Seeds tested is 300; accepted is 400, 200"),
        (lambda: tags.germination_tolerance(194, 90), "On the label is 194 %; accepted is 0 to 100 %"),
    ],
)
def test_what_cannot_be_is_refused_with_its_name_and_value(calculate, words):
    with pytest.raises(BadInput, match=words):
        calculate()
