"""Dry matter, C:N and its band. Published figures are checked in tests/published."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from blends.calc import residue
from plots.calc.described import MEMORY, BadInput
from plots.models import Plot

masses = st.floats(1, 20_000)
percents = st.floats(0.3, 60)
ratios = st.floats(5, 100)
mixtures = st.lists(st.tuples(masses, percents, percents), min_size=1, max_size=8)
wide_ranges = st.lists(
    st.tuples(st.one_of(st.just(0.0), masses), masses, percents, percents), min_size=1, max_size=8
)


def as_box(ranges):
    """Low and high masses, carbon and nitrogen, of tuples of low, width, carbon, nitrogen."""
    low, width, carbon, nitrogen = np.transpose(ranges)
    return low, low + width, carbon, nitrogen


# --- dry matter -------------------------------------------------------------------------------------------------


def test_a_thin_stand_stays_thin():
    assert residue.dry_matter_shares([0.3, 0.2]).tolist() == [0.3, 0.2]


@given(st.lists(st.floats(0.01, 5), min_size=1, max_size=10), st.floats(1, 10))
def test_crowding_does_not_multiply_the_residue(share, times):
    crowded = np.array(share) / sum(share) * times
    assert residue.dry_matter_shares(crowded).sum() == pytest.approx(1)
    assert residue.dry_matter_shares(crowded) == pytest.approx(crowded / times)


def test_each_species_leaves_its_share_of_what_it_makes_alone():
    # 0.5 + 0.25 is no crowd; 1.5 + 0.5 is scaled to 0.75 + 0.25
    assert residue.dry_matter_lb_per_acre([0.5, 0.25], [8000, 4000]).tolist() == [4000, 1000]
    assert residue.dry_matter_lb_per_acre([1.5, 0.5], [8000, 4000]).tolist() == [6000, 1000]


def test_one_unknown_share_leaves_every_dry_matter_unknown_but_one_unknown_yield_only_its_own():
    assert np.isnan(residue.dry_matter_lb_per_acre([0.5, None], [8000, 4000])).all()
    assert np.isnan(residue.dry_matter_lb_per_acre([0.5, 0.2], [8000, None])).tolist() == [False, True]


# --- C:N --------------------------------------------------------------------------------------------------------


@given(mixtures, st.randoms())
def test_cn_does_not_hang_on_the_order_of_the_components(mixture, random):
    shuffled = random.sample(mixture, len(mixture))
    assert residue.residue_cn_ratio(*np.transpose(shuffled)) == pytest.approx(
        residue.residue_cn_ratio(*np.transpose(mixture))
    )


@given(mixtures, st.floats(0.01, 100))
def test_cn_does_not_hang_on_the_unit_of_mass(mixture, times):
    mass, carbon, nitrogen = np.transpose(mixture)
    assert residue.residue_cn_ratio(mass * times, carbon, nitrogen) == pytest.approx(
        residue.residue_cn_ratio(mass, carbon, nitrogen)
    )


@given(mixtures)
def test_cn_lies_between_those_of_the_components(mixture):
    mass, carbon, nitrogen = np.transpose(mixture)
    each = carbon / nitrogen
    cn = residue.residue_cn_ratio(mass, carbon, nitrogen)
    assert each.min() * (1 - 1e-12) <= cn <= each.max() * (1 + 1e-12)


@given(st.lists(st.tuples(masses, ratios), min_size=1, max_size=8), st.floats(35, 50))
def test_cn_from_ratios_is_that_of_one_carbon_content_whatever_it_is(mixture, carbon_pct):
    mass, cn = np.transpose(mixture)
    carbon = np.full_like(mass, carbon_pct)
    assert residue.residue_cn_from_ratios(mass, cn) == pytest.approx(
        residue.residue_cn_ratio(mass, carbon, carbon_pct / cn)
    )


def test_cn_is_unknown_when_a_component_is():
    assert np.isnan(residue.residue_cn_ratio([1000, 500], [42, 42], [1.1, None]))
    assert np.isnan(residue.residue_cn_ratio([1000, None], [42, 42], [1.1, 3.5]))
    assert np.isnan(residue.residue_cn_from_ratios([1000, 500], [37, None]))


# --- its band ---------------------------------------------------------------------------------------------------


@given(wide_ranges)
def test_ends_of_the_band_are_those_of_all_corners(ranges):
    low, high, carbon, nitrogen = as_box(ranges)
    corners = np.array(list(product(*zip(low, high, strict=True))))
    corners = corners[corners.sum(axis=1) > 0]
    every = (corners @ carbon) / (corners @ nitrogen)
    band = residue.cn_band(low, high, carbon, nitrogen)
    assert (band.low, band.high) == pytest.approx((every.min(), every.max()), rel=1e-12)


@pytest.mark.parametrize("seed", range(12))
def test_ends_of_the_band_are_those_of_a_linear_programme(seed):
    """Charnes and Cooper's programme: y = t·m, Σ n·y = 1, t·low ≤ y ≤ t·high, and Σ c·y to be least or greatest."""
    random = np.random.default_rng(seed)
    count = 20
    low = random.uniform(0, 3000, count)
    high = low + random.uniform(0, 6000, count)
    carbon, nitrogen = random.uniform(38, 46, count), random.uniform(0.5, 4, count)
    unit = np.eye(count)
    within = np.block([[unit, -high[:, None] / 1e4], [-unit, low[:, None] / 1e4]])
    ends = [
        linprog(
            sign * np.append(carbon, 0),
            A_ub=within,
            b_ub=np.zeros(2 * count),
            A_eq=[np.append(nitrogen, 0)],
            b_eq=[1],
        ).fun
        * sign
        for sign in (1, -1)
    ]
    band = residue.cn_band(low, high, carbon, nitrogen)
    assert (band.low, band.high) == pytest.approx(ends, rel=1e-7)


@given(wide_ranges, st.lists(st.one_of(st.just(0.0), st.floats(1e-6, 1)), min_size=8, max_size=8))
def test_whatever_masses_the_ranges_allow_the_band_has_their_cn(ranges, parts):
    low, high, carbon, nitrogen = as_box(ranges)
    mass = low + (high - low) * parts[: len(low)]
    if mass.sum() > 0:
        band = residue.cn_band(low, high, carbon, nitrogen)
        cn = residue.residue_cn_ratio(mass, carbon, nitrogen)
        assert band.low * (1 - 1e-12) <= cn <= band.high * (1 + 1e-12)


@given(wide_ranges)
def test_likely_cn_is_that_of_the_middle_masses_and_inside_the_band(ranges):
    low, high, carbon, nitrogen = as_box(ranges)
    band = residue.cn_band(low, high, carbon, nitrogen)
    assert band.low <= band.likely <= band.high
    assert band.likely == pytest.approx(residue.residue_cn_ratio((low + high) / 2, carbon, nitrogen))


@given(mixtures)
def test_band_of_clipped_masses_has_no_width(mixture):
    mass, carbon, nitrogen = np.transpose(mixture)
    band = residue.cn_band(mass, mass, carbon, nitrogen)
    assert band == pytest.approx([residue.residue_cn_ratio(mass, carbon, nitrogen)] * 3)


def test_likely_masses_can_be_given():
    band = residue.cn_band(
        [1000, 500], [3000, 1500], 42, [1.0, 3.5], dry_matter_likely_lb_per_acre=[1200, 1400]
    )
    assert band.likely == pytest.approx(42 * 2600 / (1200 + 1400 * 3.5))


def test_bands_of_several_blends_are_those_of_each():
    low, high = np.array([[1000, 500], [0, 200]]), np.array([[3000, 1500], [10, 5000]])
    together = residue.cn_band(low, high, 42, [1.0, 3.5])
    one_by_one = [residue.cn_band(*each, 42, [1.0, 3.5]) for each in zip(low, high, strict=True)]
    assert np.transpose(together).tolist() == np.array(one_by_one).tolist()


def test_band_is_unknown_when_anything_in_it_is():
    assert np.isnan(residue.cn_band([1000, None], [3000, 1500], 42, [1.0, 3.5])).all()
    assert np.isnan(residue.cn_band([1000, 500], [3000, 1500], 42, [1.0, None])).all()


# --- what it means ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cn", "key"),
    [(8, "fast"), (19.9, "fast"), (20, "balanced"), (24, "balanced"), (30, "balanced"), (30.1, "lasting")],
)
def test_cn_says_what_the_residue_does(cn, key):
    meaning = residue.cn_meaning(cn)
    assert meaning.key == key
    assert meaning.sentence


def test_unknown_cn_means_nothing():
    assert residue.cn_meaning(None) is None
    assert residue.cn_meaning(np.nan) is None


def test_every_objective_of_a_plot_wants_a_zone():
    assert set(residue.OBJECTIVE_ZONES) == set(Plot.Objective.values)


@pytest.mark.parametrize(
    ("cn", "objective", "gap"),
    [
        (26, "hold_weeds", -4),
        (30, "hold_weeds", 0),
        (82, "hold_weeds", 0),
        (24, "feed_next", 4),
        (11, "feed_next", 0),
        (17, "balance", -3),
        (24, "balance", 0),
        (37, "balance", 7),
    ],
)
def test_gap_is_negative_short_of_the_zone_and_positive_beyond(cn, objective, gap):
    assert residue.cn_gap(cn, residue.OBJECTIVE_ZONES[objective]) == gap


def test_gap_of_an_unknown_cn_is_unknown():
    assert np.isnan(residue.cn_gap(None, residue.OBJECTIVE_ZONES["balance"]))


def test_the_threshold_from_memory_says_so():
    assert residue.LASTING.basis == MEMORY
    assert "from memory" in str(residue.LASTING)


# --- refusals ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("calculate", "field", "words"),
    [
        (
            lambda: residue.residue_cn_ratio([0, 0], [42, 42], [1, 2]),
            "dry_matter_lb_per_acre",
            "Dry matter is 0 for every component; accepted is more than 0 for at least one",
        ),
        (
            lambda: residue.residue_cn_from_ratios([0, 0], [37, 11]),
            "dry_matter_lb_per_acre",
            "Dry matter is 0 for every component",
        ),
        (lambda: residue.residue_cn_ratio([-1, 2], [42, 42], [1, 2]), "dry_matter_lb_per_acre", "-1 lb/acre"),
        (lambda: residue.residue_cn_ratio([1, 2], [42, 101], [1, 2]), "carbon_pct", "Carbon is 101 %"),
        (lambda: residue.residue_cn_ratio([1, 2], [42, 42], [1, 0]), "nitrogen_pct", "Nitrogen is 0 %"),
        (lambda: residue.residue_cn_ratio([1, 2], [42], [1, 2]), "dry_matter_lb_per_acre", "same length"),
        (lambda: residue.residue_cn_from_ratios([1, 2], [37, 0]), "cn", "C:N of each is 0"),
        (
            lambda: residue.cn_band([0, 0], [0, 0], 42, [1, 2]),
            "dry_matter_high_lb_per_acre",
            "Dry matter is 0 for every component",
        ),
        (
            lambda: residue.cn_band([500, 0], [400, 9], 42, [1, 2]),
            "dry_matter_low_lb_per_acre",
            "Lowest dry matter is 500 lb/acre; accepted is at most the highest, 400 lb/acre",
        ),
        (
            lambda: residue.cn_band([1, 1], [4, 4], 42, [1, 2], [2, 5]),
            "dry_matter_likely_lb_per_acre",
            "Likely dry matter is 5 lb/acre; accepted is at most the highest, 4 lb/acre",
        ),
        (lambda: residue.cn_band([1, 1], [4, 4], 0, [1, 2]), "carbon_pct", "Carbon is 0 %"),
        (lambda: residue.dry_matter_shares([0.5, -0.1]), "share_of_full_rate", "-0.1"),
        (lambda: residue.dry_matter_lb_per_acre([0.5], [-8]), "full_dry_matter_lb_per_acre", "-8 lb/acre"),
    ],
)
def test_what_cannot_be_is_refused_with_its_name_and_value(calculate, field, words):
    with pytest.raises(BadInput, match=words) as refused:
        calculate()
    assert refused.value.field == field


def test_nothing_given_is_changed():
    low, high, nitrogen = np.array([1000.0, 500]), np.array([3000.0, 1500]), np.array([3.5, 1.0])
    residue.cn_band(low, high, 42, nitrogen)
    assert (low.tolist(), high.tolist(), nitrogen.tolist()) == ([1000, 500], [3000, 1500], [3.5, 1])
