"""Properties and refusals of the seed arithmetic. Figures are checked in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc import seed

rates = st.floats(0.01, 500)
counts_per_lb = st.floats(100, 5e6)
fractions = st.floats(0.01, 1)


@given(rates, counts_per_lb)
def test_pounds_to_seeds_and_back_changes_nothing(lb_per_acre, seeds_per_lb):
    seeds_per_sqft = seed.seeds_per_sqft(lb_per_acre, seeds_per_lb)
    assert seed.lb_per_acre_for(seeds_per_sqft, seeds_per_lb) == pytest.approx(lb_per_acre, rel=1e-12)


@given(rates, fractions)
def test_bulk_and_back_to_live_seed_changes_nothing(pls_lb_per_acre, live):
    bulk = seed.bulk_lb_per_acre(pls_lb_per_acre, live)
    assert bulk >= pls_lb_per_acre
    assert seed.pls_lb(bulk, live) == pytest.approx(pls_lb_per_acre, rel=1e-12)


@given(st.lists(st.tuples(rates, counts_per_lb), min_size=1, max_size=12))
def test_shares_of_a_mixture_add_up_to_one(mixture):
    lb_per_acre, seeds_per_lb = np.transpose(mixture)
    assert seed.share_by_weight(lb_per_acre).sum() == pytest.approx(1)
    assert seed.share_by_seed_count(lb_per_acre, seeds_per_lb).sum() == pytest.approx(1)


def test_a_tag_without_hard_seed_has_none_but_an_unread_one_is_unknown():
    assert seed.pure_live_fraction(90, 80) == pytest.approx(0.72)
    assert np.isnan(seed.pure_live_fraction(90, 80, hard_pct=None))


def test_hard_and_dormant_seed_is_alive():
    assert seed.pure_live_fraction(90, 60, hard_pct=20, dormant_pct=10) == pytest.approx(0.81)


def test_percentages_that_add_up_to_100_are_accepted_despite_float_noise():
    assert seed.pure_live_fraction(100, 33.4, 33.3, 33.300000001) == 1


@pytest.mark.parametrize(
    "figure",
    [
        seed.pure_live_fraction(None, 80),
        seed.pure_live_fraction(90, None),
        seed.bulk_lb_per_acre(10, None),
        seed.pls_lb(None, 0.8),
        seed.usd_per_pls_lb(None, 0.8),
        seed.seeds_per_lb_from_count(100, None),
        seed.seeds_per_sqft(10, None),
        seed.lb_per_acre_for(None, 10_000),
        seed.seeds_per_foot_of_row(None, 7.5),
        seed.share_of_full_rate(10, None),
    ],
)
def test_an_unknown_input_gives_an_unknown_figure(figure):
    assert np.isnan(figure)


def test_a_mixture_with_one_unknown_rate_has_no_shares_at_all():
    assert np.isnan(seed.share_by_weight([30, None])).all()
    assert np.isnan(seed.share_by_weight([0, 0])).all()


def test_bought_mixed_seed_gives_each_species_its_own_purity_and_germination():
    # 40 lb × 50 % × 90 % = 18 lb; 40 lb × 30 % × (70 % + 10 %) = 9.6 lb; the other 20 % is not seed of either.
    pls = seed.mixture_pls_lb_per_acre(40, [50, 30], [90, 70], hard_pct=[0, 10])
    assert pls == pytest.approx([18, 9.6])


@pytest.mark.parametrize(
    ("calculate", "words"),
    [
        (lambda: seed.pure_live_fraction(101, 80), "Purity is 101 %; accepted is 0 to 100 %"),
        (lambda: seed.pure_live_fraction(90, -1), "Germination is -1 %; accepted is 0 to 100 %"),
        (
            lambda: seed.pure_live_fraction(90, 80, 15, 10),
            r"Germination \+ hard \+ dormant is 105 %; accepted is 0 to 100 %",
        ),
        (
            lambda: seed.bulk_lb_per_acre(10, 0),
            "Pure live fraction is 0; accepted is a number above 0 and at most 1",
        ),
        (lambda: seed.bulk_lb_per_acre(10, 80), "Pure live fraction is 80"),
        (
            lambda: seed.bulk_lb_per_acre(-10, 0.8),
            "PLS rate is -10 lb PLS/acre; accepted is a number of 0 lb PLS/acre or more",
        ),
        (
            lambda: seed.seeds_per_lb_from_count(100, 0),
            "Weight of the sample is 0 lb; accepted is a number above 0 lb",
        ),
        (lambda: seed.seeds_per_sqft([5, np.inf], 10), "Rate is inf lb/acre"),
        (
            lambda: seed.share_of_full_rate(5, 0),
            "Full rate is 0 lb/acre; accepted is a number above 0 lb/acre",
        ),
        (lambda: seed.mixture_pls_lb_per_acre(40, [60, 41], [90, 90]), "Pure seed of all species is 101 %"),
    ],
)
def test_what_cannot_be_is_refused_with_its_name_and_value(calculate, words):
    with pytest.raises(ValueError, match=words):
        calculate()


def test_nothing_given_is_changed():
    purity_pct = np.array([98.0, 85.0])
    seed.pure_live_fraction(purity_pct, [88, 60])
    assert purity_pct.tolist() == [98.0, 85.0]
