from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc.money import (
    cost_usd_per_acre,
    from_cents,
    split_by_largest_remainder,
    split_cents,
    to_cents,
    total_usd,
)

totals = st.integers(-(10**10), 10**10)
weight_lists = st.lists(st.floats(0, 1e6), min_size=1, max_size=60).filter(
    lambda weights: sum(weights) > 1e-3
)


@given(totals, weight_lists)
def test_shares_add_up_to_the_cent_and_stay_within_one(total_cents, weights):
    shares = split_cents(total_cents, weights)
    exact = np.array(weights) / np.sum(weights) * total_cents
    assert shares.sum() == total_cents
    assert (np.abs(shares - exact) <= 1 + 1e-3).all()


@given(totals, weight_lists)
def test_a_weight_of_nothing_bears_nothing(total_cents, weights):
    assert split_cents(total_cents, [0, *weights, 0])[[0, -1]].tolist() == [0, 0]


@given(st.integers(0, 10**10).map(from_cents), weight_lists)
def test_dollars_split_like_cents(total, weights):
    assert sum(split_by_largest_remainder(total, weights)) == total


def test_ten_thousand_shares_add_up():
    weights = np.random.default_rng(4).uniform(0.3, 9, 10_000)
    assert split_cents(12_345_678, weights).sum() == 12_345_678


def test_left_over_cents_go_to_the_largest_remainders():
    # 10.00 by 1 : 2 : 4 is 142.857…, 285.714… and 571.428… cents: the first two lost most.
    assert split_cents(1000, [1, 2, 4]).tolist() == [143, 286, 571]


@pytest.mark.parametrize(
    ("total_cents", "weights", "words"),
    [
        (100, [1, -2], "weight is -2; accepted is a number of 0 or more"),
        (100, [1, np.nan], "weight is nan"),
        (100, [0, 0], "100 cents to split and no weight above 0"),
        (100, [], "100 cents to split and no weight above 0"),
        (10**13, [1], "total is 10000000000000 cents"),
    ],
)
def test_a_split_that_cannot_be_is_refused(total_cents, weights, words):
    with pytest.raises(ValueError, match=words):
        split_cents(total_cents, weights)


def test_part_of_a_cent_is_not_split():
    with pytest.raises(ValueError, match="total is 10.005 USD; accepted is a whole number of cents"):
        split_by_largest_remainder(Decimal("10.005"), [1, 1])


def test_half_a_cent_rounds_away_from_zero():
    assert [to_cents(Decimal(usd)) for usd in ("0.125", "0.135", "-0.125")] == [13, 14, -13]


@pytest.mark.parametrize("amount", [0.1, Decimal("NaN"), Decimal("Infinity"), "3"])
def test_only_exact_money_is_money(amount):
    with pytest.raises(ValueError, match="accepted is a finite Decimal"):
        to_cents(amount)


def test_one_unknown_cost_makes_the_total_unknown():
    assert total_usd([Decimal("1.10"), None]) is None
    assert total_usd([Decimal("1.10"), Decimal("-2.20")]) == Decimal("-1.10")


def test_cost_per_acre_is_total_over_total():
    assert cost_usd_per_acre(Decimal("100.00"), 8.0) == Decimal("12.50")
    assert cost_usd_per_acre(Decimal("100.00"), 0.0) is None
    assert cost_usd_per_acre(Decimal("100.00"), float("nan")) is None
