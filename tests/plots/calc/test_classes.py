"""Classes with round limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plots.calc.classes import class_of, round_limits

ACRES = st.lists(st.floats(0.01, 2000).map(lambda value: round(value, 2)), max_size=60)


@given(ACRES, st.integers(2, 6))
def test_limits_rise_and_no_class_is_empty(values, count):
    limits = round_limits(values, count)
    assert len(limits) < count
    assert limits == sorted(set(limits))
    if values:
        assert {class_of(value, limits) for value in values} == set(range(len(limits) + 1))


@given(ACRES, st.integers(2, 6))
def test_limits_are_multiples_of_one_two_or_five_times_a_power_of_ten(values, count):
    limits = round_limits(values, count)
    steps = [k * 10.0**power for power in range(-6, 5) for k in (1, 2, 5)]
    assert any(all(abs(each / step - round(each / step)) < 1e-6 for each in limits) for step in steps)


def test_quarters_of_many_values_are_nearly_quarters():
    values = np.random.default_rng(1).uniform(0.3, 9, 4000)
    limits = round_limits(values, 4)
    counts = np.bincount([class_of(value, limits) for value in values])
    assert len(counts) == 4
    assert (abs(counts / len(values) - 0.25) < 0.1).all()


@pytest.mark.parametrize("values", [[], [2.0], [2.0, 2.0, 2.0], [float("nan")]])
def test_values_that_are_alike_make_one_class(values):
    assert round_limits(values, 4) == []


def test_unknown_values_are_left_out():
    assert round_limits([1, 2, 3, 4, float("nan")], 2) == round_limits([1, 2, 3, 4], 2)


def test_a_limit_belongs_to_the_class_above_it():
    assert [class_of(value, [1.0, 3.0]) for value in (0.99, 1.0, 2.99, 3.0)] == [0, 1, 1, 2]


def test_one_class_is_refused():
    with pytest.raises(ValueError, match="two classes or more"):
        round_limits([1, 2], 1)
