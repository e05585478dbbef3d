"""Properties and refusals of degree days. Figures are checked in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc.degree_days import (
    CLAMPED,
    SIMPLE,
    daily_clamped,
    daily_simple,
    degree_days_c,
    degree_days_f,
    frost_check,
)
from plots.calc.described import BadInput
from plots.calc.units import f_to_c

temperatures_f = st.floats(-60, 140)
days = st.lists(st.tuples(temperatures_f, temperatures_f).map(sorted), min_size=1, max_size=40)
methods = st.sampled_from([CLAMPED, SIMPLE])


@given(days, methods)
def test_a_day_never_takes_degree_days_away(found, method):
    lowest, highest = np.transpose(found)
    for count in range(1, len(found)):
        before = degree_days_f(highest[:count], lowest[:count], method).degree_days_f
        after = degree_days_f(highest[: count + 1], lowest[: count + 1], method).degree_days_f
        assert after >= before - 1e-9
    assert degree_days_f(highest, lowest, method).degree_days_f >= 0


@given(days)
def test_86_50_gives_at_most_36_a_day(found):
    lowest, highest = np.transpose(found)
    assert (daily_clamped(highest, lowest) <= 36).all()
    assert (daily_clamped(highest, lowest) >= 0).all()


@given(st.tuples(st.floats(50, 86), st.floats(50, 86)).map(sorted))
def test_methods_agree_on_a_day_between_50_and_86(day):
    lowest, highest = day
    assert daily_clamped(highest, lowest) == pytest.approx(daily_simple(highest, lowest), abs=1e-9)


@given(days, methods)
def test_celsius_degree_days_are_five_ninths_of_fahrenheit_ones(found, method):
    lowest_f, highest_f = np.transpose(found)
    in_f = degree_days_f(highest_f, lowest_f, method)
    in_c = degree_days_c(f_to_c(highest_f), f_to_c(lowest_f), method)
    assert in_c.degree_days_c == pytest.approx(in_f.degree_days_f * 5 / 9, abs=1e-6)
    assert in_c.base_c == pytest.approx(f_to_c(in_f.base_f))


@given(days, methods)
def test_sum_is_that_of_its_days_in_any_order(found, method):
    lowest, highest = np.transpose(found)
    one_by_one = sum(degree_days_f([high], [low], method).degree_days_f for low, high in found)
    assert degree_days_f(highest, lowest, method).degree_days_f == pytest.approx(one_by_one, abs=1e-6)
    assert degree_days_f(highest[::-1], lowest[::-1], method).degree_days_f == pytest.approx(
        one_by_one, abs=1e-6
    )


@given(days, methods, st.data())
def test_a_missing_day_is_reported_and_not_counted_as_zero(found, method, data):
    lowest, highest = np.transpose(found)
    gone = data.draw(st.integers(0, len(found) - 1))
    side = data.draw(st.sampled_from([lowest, highest]))
    rest = degree_days_f(np.delete(highest, gone), np.delete(lowest, gone), method)
    side[gone] = np.nan
    gap = degree_days_f(highest, lowest, method)
    assert np.isnan(gap.degree_days_f)
    assert gap.missing_days == 1
    assert gap.known_degree_days_f == pytest.approx(rest.degree_days_f, nan_ok=True, abs=1e-6)


@pytest.mark.parametrize(("highest", "lowest"), [([], []), ([None, None], [50, 40])])
def test_no_day_that_is_known_gives_no_sum(highest, lowest):
    found = degree_days_f(highest, lowest, CLAMPED)
    assert np.isnan([found.degree_days_f, found.known_degree_days_f]).all()
    assert found.missing_days == len(highest)


def test_a_sum_carries_its_method_and_base():
    assert degree_days_f([70], [50], CLAMPED)[3:] == ("86/50", 50)
    assert degree_days_f([70], [50], SIMPLE, 35)[3:] == ("simple", 35)
    assert degree_days_c([20], [10], CLAMPED)[3:] == ("86/50", 10)


def test_several_places_are_summed_at_once():
    both = degree_days_f([[90, 72], [63, None]], [[65, 46], [42, 40]], CLAMPED)
    assert both.degree_days_f == pytest.approx([36.5, np.nan], nan_ok=True)
    assert both.missing_days.tolist() == [0, 1]


def test_without_a_method_there_is_no_sum():
    found = degree_days_f([70], [50], None)
    assert np.isnan([found.degree_days_f, found.known_degree_days_f, found.base_f]).all()


@pytest.mark.parametrize(
    ("refused", "field", "sentence"),
    [
        (
            lambda: degree_days_f([70, 60], [50, 65], CLAMPED),
            "highest_f",
            "Highest of day 2 is 60 °F; accepted is its lowest, 65 °F, or more",
        ),
        (
            lambda: degree_days_c([20, 12, 30], [10, 18, 15], SIMPLE),
            "highest_c",
            "Highest of day 2 is 12 °C; accepted is its lowest, 18 °C, or more",
        ),
        (
            lambda: degree_days_f([70], [50], CLAMPED, 40),
            "base_f",
            "Base is 40 °F; accepted with 86/50 is 50 °F",
        ),
        (
            lambda: degree_days_f([270], [50], CLAMPED),
            "highest_f",
            "Highest of the day is 270 °F; accepted is -100 to 150 °F",
        ),
        (
            lambda: degree_days_f([70], [50], "sine"),
            "method",
            "Method is sine; accepted is 86/50, simple",
        ),
    ],
)
def test_refuses_what_cannot_be(refused, field, sentence):
    with pytest.raises(BadInput) as caught:
        refused()
    assert (caught.value.field, caught.value.sentence) == (field, sentence)


@given(st.floats(0, 3000), st.floats(0.1, 36), st.floats(0, 300))
def test_something_is_spare_just_when_the_days_needed_are_fewer_than_those_left(
    needed_f, per_day_f, days_left
):
    check = frost_check(needed_f, per_day_f, days_left)
    assert check.spare_f / per_day_f == pytest.approx(days_left - check.days_needed, abs=1e-6)


def test_no_warmth_needs_no_number_of_days():
    assert np.isnan(frost_check(900, 0, 60).days_needed)
    assert frost_check(900, 0, 60).spare_f == -900
    assert frost_check(0, 0, 60).days_needed == 0


def test_frost_check_says_that_the_average_is_an_even_chance():
    assert "even chance" in frost_check.calculation.notes[0]
