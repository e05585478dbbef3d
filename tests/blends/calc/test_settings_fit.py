"""A setting read backwards from a line through catches."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from blends.calc.settings_fit import fitted, line_through, setting_for

# Time a crystal grew and its weight. Graybill and Iyer, Regression Analysis: Concepts and Applications, Duxbury, 1994;
# the figures are from memory, and give the published line.
HOURS = np.arange(2, 30, 2.0)
GRAMS = np.array([0.08, 1.12, 4.43, 4.98, 4.92, 7.18, 5.57, 8.40, 8.81, 10.81, 11.16, 10.12, 13.12, 15.04])


def test_inverse_prediction_is_the_published_one():
    """Tests of the R package investr (Greenwell; The R Journal 6/1, 2014): y0 = 8, 95 %, one further response."""
    found = setting_for(line_through(HOURS, GRAMS), 8, level=0.95)
    assert found == pytest.approx((15.8882, 11.0946, 20.7240), abs=5e-5)


def test_line_is_that_of_an_independent_library():
    fit, line = line_through(HOURS, GRAMS), stats.linregress(HOURS, GRAMS)
    assert (fit.slope, fit.intercept) == pytest.approx((line.slope, line.intercept))
    assert fit.scatter / np.sqrt(fit.sum_of_squares) == pytest.approx(line.stderr)


@given(
    st.lists(st.floats(0.9, 1.1), min_size=3, max_size=9),
    st.floats(10, 60),
    st.sampled_from([0.5, 0.8, 0.9, 0.95]),
)
def test_ends_of_the_interval_lie_on_the_prediction_band(errors, wanted, level):
    """The other way to the same ends: where the band of `stats` crosses the rate, found by a root finder."""
    settings = np.linspace(10, 60, len(errors))
    fit = line_through(settings, settings * errors)
    setting, low, high = setting_for(fit, wanted, level)
    if low is None or high - low < 1e-6:
        return
    for end, side in ((low, 1), (high, 0)):
        assert fit.band(end, level)[side] == pytest.approx(wanted, rel=1e-6, abs=1e-6)
    assert low <= setting <= high
    upper = optimize.brentq(lambda s: fit.band(s, level)[1] - wanted, low - 1, setting) if low > -1e6 else low
    assert upper == pytest.approx(low, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("n", [3, 5, 12])
def test_nine_of_ten_intervals_hold_the_setting_of_the_day(n):
    """Coverage of a 90 % interval, 4,000 drills; 3 standard errors are 1.4 of a hundred."""
    chance = np.random.default_rng(7)
    settings = np.linspace(20, 60, n)
    held = []
    for _ in range(4000):
        caught = 1.5 + 0.8 * settings + chance.normal(0, 1.0, n)
        of_the_day = 35.0
        wanted = 1.5 + 0.8 * of_the_day + chance.normal(0, 1.0)
        _, low, high = setting_for(line_through(settings, caught), wanted)
        if low is not None:
            held.append(low <= of_the_day <= high)
    assert len(held) > 3900
    assert np.mean(held) == pytest.approx(0.90, abs=0.015)


def test_one_catch_is_in_proportion_without_an_interval():
    found = fitted([20], [10.0], 15, by_volume=False)
    assert (found.setting, found.low, found.high, found.n) == (30, None, None, 1)
    assert "not known from one setting" in found.basis


def test_two_catches_are_the_line_through_both_without_an_interval():
    found = fitted([20, 40], [12.0, 20.0], 16, by_volume=True)
    assert (found.setting, found.low, found.is_outside) == (30, None, False)
    assert "not known before a third" in found.basis


def test_catches_at_one_setting_count_as_their_mean():
    assert fitted([20, 20, 20], [9.0, 10.0, 11.0], 15, by_volume=False).setting == pytest.approx(30)


@pytest.mark.parametrize("delivered", [[30, 20, 10], [20, 20, 20], [0, 0, 0]])
def test_a_falling_or_level_line_gives_no_setting_and_says_so(delivered):
    found = fitted([20, 30, 40], delivered, 15, by_volume=False)
    assert found.setting is None
    assert "did not deliver more" in found.basis


def test_nothing_that_came_out_gives_no_setting():
    assert "Nothing came out" in fitted([20], [0.0], 15, by_volume=False).basis


def test_a_rate_below_every_setting_is_said():
    found = fitted([20, 40], [30.0, 40.0], 5, by_volume=False)
    assert found.setting is None
    assert "no setting above 0" in found.basis


@pytest.mark.parametrize(
    ("wanted", "is_outside", "said"),
    [(15, False, ""), (25, True, "Outside the settings caught at, 20 to 40"), (31, True, "Above 60")],
)
def test_beyond_what_was_caught_or_can_be_set_is_said(wanted, is_outside, said):
    found = fitted([20, 30, 40], [10, 15, 20.1], wanted, by_volume=True, lowest=5, highest=60)
    assert found.is_outside is is_outside
    assert said in found.basis


def test_scatter_too_wide_for_a_range_is_said():
    found = fitted([20, 30, 40], [10, 25, 12], 14, by_volume=True)
    assert found.setting is not None
    assert (found.low, found.high) == (None, None)
    assert "scatter too widely" in found.basis


def test_no_catch_fits_nothing():
    assert fitted([], [], 15, by_volume=True) is None


@given(st.floats(0.1, 10), st.floats(1, 100))
def test_a_perfect_line_gives_its_own_setting_back(slope, wanted):
    settings = [10, 20, 30, 40]
    found = setting_for(line_through(settings, [slope * each for each in settings]), wanted)
    assert found == pytest.approx((wanted / slope,) * 3, rel=1e-6, abs=1e-6)
