"""Scaling: the budget holds to the cent, proportions stay, and what is not known stays unknown.

The rules are arithmetic, by definition; how rates are rounded is our own choice.
"""

from decimal import ROUND_HALF_UP, Decimal

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from blends.calc.scaling import decimals_of, factor_to_budget, factor_to_full_rates, scaled_rates

rates = st.floats(0.05, 150).map(lambda rate: round(rate, 4))
prices = st.floats(0.05, 20).map(lambda price: round(price, 4))
blends = st.lists(st.tuples(rates, prices), min_size=1, max_size=20)
budgets = st.integers(500, 30_000).map(lambda cents: cents / 100)


def shown_cost(rates_lb_per_acre, usd_per_lb):
    """As the page adds it up: each component in whole cents, then their sum."""
    return sum(
        Decimal(repr(float(rate) * price)).quantize(Decimal("0.01"), ROUND_HALF_UP)
        for rate, price in zip(rates_lb_per_acre, usd_per_lb, strict=True)
    )


@given(blends, budgets)
def test_cost_that_is_shown_never_exceeds_the_budget_and_misses_it_by_the_rounding_alone(blend, budget):
    before, usd = zip(*blend, strict=True)
    factor = factor_to_budget(before, usd, budget)
    assume(min(before) * factor > 0.001)
    after = scaled_rates(before, factor, is_down=True)
    cost = float(shown_cost(after, usd))
    kept_back = 0.01 * len(before)  # half a cent that is reserved, and half that rounding may take
    rounding = sum(10.0 ** -decimals_of(rate * factor) * price for rate, price in blend)
    assert budget - kept_back - rounding - 1e-6 <= cost <= budget + 1e-9


@given(blends, st.floats(0.1, 5))
def test_proportions_are_kept_within_the_rounding(blend, factor):
    before = np.array([rate for rate, _ in blend])
    assume((before * factor > 0.01).all())
    after = scaled_rates(before, factor, is_down=False)
    assert after == pytest.approx(before * factor, rel=0.006)


@given(st.lists(st.floats(0.01, 2), min_size=1, max_size=20))
def test_shares_add_up_to_a_full_stand(shares):
    factor = factor_to_full_rates(shares)
    assert sum(share * factor for share in shares) == pytest.approx(1)


@given(rates)
def test_a_factor_of_one_changes_a_rate_by_its_rounding_alone(rate):
    [down] = scaled_rates([rate], 1, is_down=True)
    assert 0 <= rate - down < 10.0 ** -decimals_of(rate) + 1e-9


def test_budget_by_hand():
    """40 lb at 0.50 and 10 lb at 2.00 cost 40.00; for 20.00 less a cent held back the factor is 19.99 ÷ 40."""
    factor = factor_to_budget([40, 10], [0.5, 2], 20)
    assert factor == pytest.approx(19.99 / 40)
    assert scaled_rates([40, 10], factor, is_down=True).tolist() == [19.99, 4.99]
    assert shown_cost([19.99, 4.99], [0.5, 2]) == Decimal("19.98")


@pytest.mark.parametrize(("given_rates", "given_prices"), [([None, 3], [1, 2]), ([2, 3], [1, None])])
def test_what_is_not_known_leaves_the_factor_unknown(given_rates, given_prices):
    assert np.isnan(factor_to_budget(given_rates, given_prices, 30))


def test_unknown_share_leaves_the_factor_unknown():
    assert np.isnan(factor_to_full_rates([0.5, None]))


@pytest.mark.parametrize("budget", [0, -5, 0.01, float("nan")])
def test_budget_that_buys_nothing_is_refused(budget):
    with pytest.raises(ValueError, match="accepted is \\$0.02 or more"):
        factor_to_budget([40, 10], [0.5, 2], budget)


def test_free_seed_is_refused():
    with pytest.raises(ValueError, match="costs nothing"):
        factor_to_budget([40], [0], 20)


def test_no_share_is_refused():
    with pytest.raises(ValueError, match="accepted is more than 0"):
        factor_to_full_rates([])


def test_rate_that_vanishes_is_refused():
    with pytest.raises(ValueError, match="less than 0.0001"):
        scaled_rates([0.01], 0.001, is_down=True)
