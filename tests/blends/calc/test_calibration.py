"""Catches, courses and rates. Figures are checked in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc import calibration
from plots.calc.described import BadInput

rates = st.floats(0.1, 500)
courses_ft = st.floats(10, 2000)
spacings_in = st.floats(1, 60)
rows = st.integers(1, 40)
catches = st.lists(st.floats(0.1, 5000), min_size=1, max_size=12)


@given(rates, courses_ft, spacings_in, rows)
def test_what_should_be_caught_reads_as_the_rate_again(lb_per_acre, course_ft, spacing_in, count):
    caught = calibration.seed_to_catch(lb_per_acre, course_ft, spacing_in, count)
    found = calibration.drilled_rate([caught.catch_g], course_ft, spacing_in, count)
    assert found.mean == pytest.approx(lb_per_acre)
    assert caught.catch_oz * 28.349523125 == pytest.approx(caught.catch_g)


@given(catches, st.randoms(use_true_random=False))
def test_the_order_of_the_catches_does_not_matter(caught_g, random):
    mixed = random.sample(caught_g, len(caught_g))
    assert calibration.drilled_rate(mixed, 150, 7.5) == pytest.approx(
        calibration.drilled_rate(caught_g, 150, 7.5)
    )


@given(catches)
def test_the_mean_lies_between_the_lowest_and_the_highest_catch(caught_g):
    rate = calibration.drilled_rate(caught_g, 150, 7.5)
    assert rate.lowest * (1 - 1e-12) <= rate.mean <= rate.highest * (1 + 1e-12)
    assert rate.spread_pct >= 0


@given(st.floats(0.1, 5000), courses_ft, spacings_in, rows)
def test_rows_caught_in_one_bag_are_one_wide_row(caught_g, course_ft, spacing_in, count):
    together = calibration.drilled_rate([caught_g], course_ft, spacing_in, count).mean
    assert together == pytest.approx(calibration.drilled_rate([caught_g], course_ft, count * spacing_in).mean)


@given(st.floats(0.001, 5), st.floats(1, 60), rates)
def test_a_course_of_a_part_of_an_acre_takes_that_part_of_the_rate(acres, width_ft, lb_per_acre):
    course_ft = calibration.course_for_acres(acres, width_ft)
    used_lb = lb_per_acre * acres
    assert calibration.spread_rate(used_lb, width_ft, course_ft) == pytest.approx(lb_per_acre)


@given(st.floats(1, 30), st.floats(1, 200), spacings_in, rates)
def test_wheel_turns_and_a_measured_course_catch_the_same(circumference_ft, turns, spacing_in, lb_per_acre):
    course = calibration.wheel_course(circumference_ft, turns, spacing_in)
    caught = calibration.seed_to_catch(lb_per_acre, course.course_ft, spacing_in)
    assert caught.catch_g == pytest.approx(lb_per_acre * course.area_sqft / 43_560 * 453.59237)


def test_slip_makes_the_course_longer_than_the_turns():
    assert calibration.wheel_course(8, 20, 7.5, slip_pct=5).course_ft == pytest.approx(168)


@given(st.floats(1, 500), st.floats(0.1, 300))
def test_ounces_are_gallons_on_the_course_of_the_swath(swath_in, caught_fl_oz):
    course_ft = calibration.sprayer_course_ft(swath_in)
    assert calibration.sprayed_rate([caught_fl_oz], swath_in, course_ft).mean == pytest.approx(caught_fl_oz)


def test_two_nozzles_caught_over_the_course_of_one_read_twice_the_rate():
    course_ft = calibration.sprayer_course_ft(20)
    wrong = calibration.sprayed_rate([28], 20, course_ft).mean
    assert wrong == pytest.approx(2 * calibration.sprayed_rate([28], 40, course_ft).mean)


@given(st.floats(0.01, 5), st.floats(0.5, 20), spacings_in)
def test_flow_and_catch_give_the_same_rate(gal_per_min, speed_mph, spacing_in):
    """Ten seconds of driving and catching: 5,280 ft to the mile, 3,600 s to the hour."""
    course_ft, caught_fl_oz = speed_mph * 5280 / 3600 * 10, gal_per_min / 60 * 10 * 128
    by_flow = calibration.sprayed_rate_from_flow(gal_per_min, speed_mph, spacing_in)
    assert calibration.sprayed_rate([caught_fl_oz], spacing_in, course_ft).mean == pytest.approx(by_flow)
    assert by_flow == pytest.approx(5940 * gal_per_min / (speed_mph * spacing_in))


def test_a_plugged_opener_stays_in_the_mean():
    rate = calibration.drilled_rate([40, 40, 0, 40], 150, 7.5)
    assert rate.mean == pytest.approx(0.75 * rate.highest)
    assert (rate.lowest, rate.spread_pct) == (0, pytest.approx(100 / 0.75))


def test_nothing_caught_at_all_is_a_rate_of_0_without_a_spread():
    rate = calibration.drilled_rate([0, 0], 150, 7.5)
    assert rate.mean == 0
    assert np.isnan(rate.spread_pct)


@pytest.mark.parametrize("caught_g", [[], [None], [38, None]])
def test_an_unknown_catch_or_none_leaves_the_rate_unknown(caught_g):
    assert np.isnan(calibration.drilled_rate(caught_g, 150, 7.5)).all()


@pytest.mark.parametrize(
    ("calculate", "words"),
    [
        (
            lambda: calibration.drilled_rate([38, -1], 150, 7.5),
            "Seed caught is -1 g; accepted is a number of 0 g or more",
        ),
        (lambda: calibration.drilled_rate(38, 150, 7.5), "Seed caught is 38; accepted is a list of numbers"),
        (
            lambda: calibration.drilled_rate([38], 150, 7.5, 1.5),
            "Rows in each catch is 1.5; accepted is a whole number of 1 or more",
        ),
        (
            lambda: calibration.seed_to_catch(40, 0, 7.5),
            "Length of the course is 0 ft; accepted is a number above",
        ),
        (
            lambda: calibration.fertiliser_lb(40, 0),
            "Analysis is 0 %; accepted is a number above 0 and at most 100 %",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_its_name_and_value(calculate, words):
    with pytest.raises(BadInput, match=words):
        calculate()
