"""Amounts for a compost heap. The published example is checked in tests/published."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from blends.calc import compost
from plots.calc.described import BadInput

masses = st.floats(0.1, 1000)
percents = st.floats(1, 95)


@given(masses, percents, percents, st.floats(0, 0.99))
def test_mixture_has_the_moisture_that_was_wanted(first_lb, first_pct, second_pct, part):
    goal_pct = first_pct + part * (second_pct - first_pct)
    assume(abs(second_pct - goal_pct) > 0.1)
    second_lb = compost.compost_second_lb_for_moisture(first_lb, first_pct, second_pct, goal_pct)
    wet_lb = first_lb + second_lb
    dry_lb = first_lb * (1 - first_pct / 100) + second_lb * (1 - second_pct / 100)
    assert compost.compost_moisture_pct(wet_lb, dry_lb) == pytest.approx(goal_pct, abs=1e-6)


@given(
    masses,
    st.tuples(percents, st.floats(30, 55), st.floats(0.3, 5)),
    st.tuples(percents, st.floats(30, 55), st.floats(0.3, 5)),
    st.floats(0, 0.99),
)
def test_mixture_has_the_cn_that_was_wanted(first_lb, first, second, part):
    (moisture_1, carbon_1, nitrogen_1), (moisture_2, carbon_2, nitrogen_2) = first, second
    cn_1, cn_2 = carbon_1 / nitrogen_1, carbon_2 / nitrogen_2
    goal_cn = cn_1 + part * (cn_2 - cn_1)
    assume(abs(cn_2 - goal_cn) > 0.1)
    second_lb = compost.compost_second_lb_for_cn(first_lb, *first, *second, goal_cn)
    dry_1, dry_2 = first_lb * (100 - moisture_1), second_lb * (100 - moisture_2)
    cn = (dry_1 * carbon_1 + dry_2 * carbon_2) / (dry_1 * nitrogen_1 + dry_2 * nitrogen_2)
    assert cn == pytest.approx(goal_cn)


def test_an_unknown_input_gives_an_unknown_amount():
    assert np.isnan(compost.compost_second_lb_for_moisture(10, None, 35, 60))
    assert np.isnan(compost.compost_second_lb_for_cn(10, 77, 45, 2.4, 35, 50, None, 30))
    assert np.isnan(compost.compost_moisture_pct(10, None))


@pytest.mark.parametrize(
    ("calculate", "field", "words"),
    [
        (
            lambda: compost.compost_moisture_pct(2, 3),
            "dry_g",
            "Dry weight is 3 g; accepted is at most the wet weight, 2 g",
        ),
        (
            lambda: compost.compost_second_lb_for_moisture(10, 77, 35, 80),
            "goal_pct",
            "Moisture wanted is 80; accepted is between the two materials, 77 and 35",
        ),
        (lambda: compost.compost_second_lb_for_moisture(10, 60, 60, 60), "goal_pct", "between the two"),
        (
            lambda: compost.compost_second_lb_for_cn(10, 77, 45, 2.4, 35, 50, 0.75, 70),
            "goal_cn",
            "C:N wanted is 70; accepted is between the two materials, 18.75 and 66.67",
        ),
    ],
)
def test_a_goal_that_no_amount_reaches_is_refused(calculate, field, words):
    with pytest.raises(BadInput, match=words) as refused:
        calculate()
    assert refused.value.field == field


@pytest.mark.parametrize(
    "calculate",
    [compost.compost_moisture_pct, compost.compost_second_lb_for_moisture, compost.compost_second_lb_for_cn],
)
def test_composting_says_that_it_is_not_for_residue_in_the_field(calculate):
    assert compost.COMPOST_IS_NOT_RESIDUE in calculate.calculation.notes
