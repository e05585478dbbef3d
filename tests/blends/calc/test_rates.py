"""Live seed and rates as people ask for them. Figures are checked in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc import rates, seed
from plots.calc.described import BadInput

percents = st.floats(1, 100)
pounds = st.floats(0.01, 500)
counts_per_lb = st.floats(100, 5e6)


def test_hard_and_dormant_seed_is_alive_but_does_not_germinate_now():
    alive = rates.pure_live_seed(90, 60, hard_pct=20, dormant_pct=10)
    assert alive.pure_live_pct == pytest.approx(81)
    assert alive.germinating_now_pct == pytest.approx(54)


def test_a_tetrazolium_result_stands_in_for_germination_and_dormant_seed():
    alive = rates.pure_live_seed(90, 20, hard_pct=5, dormant_pct=60, tetrazolium_pct=88)
    assert alive.pure_live_pct == pytest.approx(79.2)
    assert alive.germinating_now_pct == pytest.approx(18)


def test_a_tetrazolium_result_alone_says_what_is_alive_and_not_what_germinates_now():
    alive = rates.pure_live_seed(90, None, tetrazolium_pct=88)
    assert alive.pure_live_pct == pytest.approx(79.2)
    assert np.isnan(alive.germinating_now_pct)


@pytest.mark.parametrize("tetrazolium_pct", [None, 90])
def test_a_tag_that_adds_up_to_more_than_everything_is_refused_at_its_germination(tetrazolium_pct):
    with pytest.raises(BadInput, match=r"Germination \+ hard \+ dormant is 105 %") as refused:
        rates.pure_live_seed(90, 80, 15, 10, tetrazolium_pct)
    assert refused.value.field == "germination_pct"


@given(percents, percents)
def test_percent_and_fraction_say_the_same_of_a_tag(purity_pct, germination_pct):
    live_pct = rates.pure_live_seed(purity_pct, germination_pct).pure_live_pct
    assert live_pct / 100 == pytest.approx(seed.pure_live_fraction(purity_pct, germination_pct))
    assert rates.bulk_rate(10, live_pct) == pytest.approx(seed.bulk_lb_per_acre(10, live_pct / 100))


@given(pounds, percents)
def test_a_bag_of_the_bulk_rate_holds_the_pls_rate(pls_lb_per_acre, live_pct):
    bulk_lb = rates.bulk_rate(pls_lb_per_acre, live_pct)
    assert rates.bag_of_seed(bulk_lb, live_pct).pls_lb == pytest.approx(pls_lb_per_acre)


@given(pounds, percents, pounds)
def test_a_bag_costs_the_same_by_bulk_and_by_live_pounds(bag_lb, live_pct, bag_usd):
    bag = rates.bag_of_seed(bag_lb, live_pct, bag_usd)
    assert bag.usd_per_bulk_lb * bag_lb == pytest.approx(bag_usd)
    assert bag.usd_per_pls_lb * bag.pls_lb == pytest.approx(bag_usd)


@given(st.integers(1, 100_000), st.floats(0.001, 100))
def test_a_sample_has_the_same_seeds_per_pound_in_every_unit(seeds, weight_lb):
    by_unit = {"lb": weight_lb, "oz": weight_lb * 16, "grains": weight_lb * 7000, "g": weight_lb * 453.59237}
    found = [rates.seeds_per_lb_from_sample(seeds, weight, unit) for unit, weight in by_unit.items()]
    assert found == pytest.approx([seeds / weight_lb] * 4)


def test_a_sample_of_an_unknown_unit_has_no_answer_and_of_a_wrong_one_is_refused():
    assert np.isnan(rates.seeds_per_lb_from_sample(100, 5, None))
    with pytest.raises(BadInput, match="Weighed in is stone; accepted is g, oz, grains, lb"):
        rates.seeds_per_lb_from_sample(100, 5, "stone")


@given(pounds, counts_per_lb, percents, percents)
def test_coating_taken_off_the_count_equals_coating_left_in_the_purity(bulk_lb, bare, coating_pct, germ_pct):
    """Of seed that is pure but for its coating: the two ways of the note, each by itself."""
    coating_pct = min(coating_pct, 99)
    by_count = bulk_lb * rates.coated_seeds_per_lb(bare, coating_pct) * germ_pct / 100
    by_purity = bulk_lb * seed.pure_live_fraction(100 - coating_pct, germ_pct) * bare
    assert by_count == pytest.approx(by_purity)


@given(st.floats(0.1, 100), counts_per_lb, percents, percents)
def test_what_is_sown_for_a_stand_leaves_that_stand(plants, per_lb, live_pct, survival_pct):
    rate = rates.rate_for_plants(plants, per_lb, live_pct, survival_pct)
    live_seeds = seed.seeds_per_sqft(rate.bulk_lb_per_acre * live_pct / 100, per_lb)
    assert live_seeds == pytest.approx(rate.live_seeds_per_sqft)
    assert live_seeds * survival_pct / 100 == pytest.approx(plants)


@given(st.floats(0.1, 500), st.floats(1, 60))
def test_seeds_of_a_row_and_of_an_acre_go_both_ways(per_ft, spacing_in):
    per_acre = rates.seeds_per_acre_in_rows(per_ft, spacing_in)
    assert seed.seeds_per_foot_of_row(per_acre, spacing_in) == pytest.approx(per_ft)


def test_the_three_shares_of_a_mixture_are_three_numbers():
    """By hand: 40 + 10 lb; 40,000 + 90,000 seeds; 40 of 80 and 10 of 40."""
    shares = rates.mixture_shares([40, 10], [1_000, 9_000], [80, 40])
    assert shares.by_weight_pct == pytest.approx([80, 20])
    assert shares.by_seed_count_pct == pytest.approx([100 * 40 / 130, 100 * 90 / 130])
    assert shares.of_full_rate_pct == pytest.approx([50, 25])
    assert (shares.full_rates_pct, shares.total_lb_per_acre) == (pytest.approx(75), 50)
    assert shares.seeds_per_sqft == pytest.approx(130_000 / 43_560)


def test_a_mixture_with_an_unknown_full_rate_keeps_the_other_shares():
    shares = rates.mixture_shares([40, 10], [1_000, 9_000], [80, None])
    assert shares.by_weight_pct == pytest.approx([80, 20])
    assert shares.of_full_rate_pct == pytest.approx([50, np.nan], nan_ok=True)
    assert np.isnan(shares.full_rates_pct)
