"""Residue cover, its decay and how long it lasts. Published figures are checked in tests/published."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from blends.calc import cover
from plots.calc.described import BadInput

masses = st.floats(1, 12_000)
coefficients = st.floats(10, 100)
rates = st.floats(0.001, 0.1)
residues = st.lists(st.tuples(masses, coefficients), min_size=1, max_size=8)


# --- cover ------------------------------------------------------------------------------------------------------


@given(residues, st.floats(1, 5000))
def test_more_residue_covers_more_and_never_all(residue, more_lb_per_acre):
    mass, coefficient = np.transpose(residue)
    assume((mass * coefficient).sum() < 2e6)  # beyond it floats no longer tell cover from 1
    before = cover.residue_cover(mass, coefficient)
    mass[0] += more_lb_per_acre
    assert 0 < before < cover.residue_cover(mass, coefficient) < 1


@given(residues)
def test_covers_overlap_and_do_not_add_up(residue):
    mass, coefficient = np.transpose(residue)
    alone = [cover.residue_cover([each], [area]) for each, area in residue]
    together = cover.residue_cover(mass, coefficient)
    assert together <= sum(alone) * (1 + 1e-12)
    assert 1 - together == pytest.approx(np.prod([1 - each for each in alone]), abs=1e-12)


def test_no_residue_covers_nothing_and_unknown_residue_is_unknown():
    assert cover.residue_cover([0, 0], [42, 69]) == 0
    assert np.isnan(cover.residue_cover([2000, None], [42, 69]))
    assert np.isnan(cover.residue_cover([2000, 100], [42, None]))


# --- decay ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cn", "high"),
    [(82, 0.013), (30.1, 0.013), (30, 0.022), (27, 0.022), (25, 0.022), (11, 0.022), (None, 0.022)],
)
def test_decay_is_the_published_band_and_the_wider_one_where_none_was_published(cn, high):
    assert cover.decay_per_day(cn) == (0.009, high)


def test_bands_of_several_cn_are_those_of_each():
    band = cover.decay_per_day([37, 11])
    assert (band.low.tolist(), band.high.tolist()) == ([0.009, 0.009], [0.013, 0.022])


@given(st.floats(0.001, 1), rates)
def test_days_until_a_part_is_left_leave_that_part(left_fraction, decay_rate_per_day):
    days = cover.days_until_fraction(left_fraction, decay_rate_per_day)
    left = cover.residue_left_lb_per_acre(6000, decay_rate_per_day, days)
    assert left == pytest.approx(6000 * left_fraction)


@given(rates)
def test_half_life_leaves_half(decay_rate_per_day):
    assert cover.half_life_days(decay_rate_per_day) == pytest.approx(
        cover.days_until_fraction(0.5, decay_rate_per_day)
    )


def test_nothing_is_gone_at_the_start():
    assert cover.residue_left_lb_per_acre(6000, 0.013, 0) == 6000


# --- how long ---------------------------------------------------------------------------------------------------


@given(residues, rates, st.floats(0.05, 0.95))
def test_on_the_last_day_residue_covers_just_the_share_asked_for(residue, decay_rate_per_day, share):
    mass, coefficient = np.transpose(residue)
    days = cover.days_above_cover(mass, coefficient, decay_rate_per_day, share)
    left = cover.residue_left_lb_per_acre(mass, decay_rate_per_day, days)
    on_the_last_day = cover.residue_cover(left, coefficient)
    assert on_the_last_day == (
        pytest.approx(share) if days > 0 else pytest.approx(min(on_the_last_day, share))
    )


@given(masses, masses, rates)
def test_on_the_last_day_residue_weighs_just_the_mass_asked_for(mass, threshold, decay_rate_per_day):
    days = cover.days_above_mass(mass, threshold, decay_rate_per_day)
    left = cover.residue_left_lb_per_acre(mass, decay_rate_per_day, days)
    assert left == pytest.approx(min(mass, threshold))


def test_days_are_counted_day_by_day_alike():
    """Steps of a day, which know no closed form: 5,000 lb/acre of rye at 0.013 a day."""
    days, left = 0, 5000.0
    while cover.residue_cover([left], [42]) > 0.3:
        left *= np.exp(-0.013)
        days += 1
    assert days - 1 < cover.days_above_cover([5000], [42], 0.013) <= days


@pytest.mark.parametrize(
    "days",
    [
        cover.days_above_cover([0, 0], [42, 69], 0.013),
        cover.days_above_cover([100, 0], [42, 69], 0.013),
        cover.days_above_mass(0, 4461, 0.013),
        cover.days_above_mass(4461, 4461, 0.013),
    ],
)
def test_what_is_never_reached_lasts_no_day(days):
    assert days == 0


@pytest.mark.parametrize(
    "days",
    [
        cover.days_above_cover([2000, None], [42, 69], 0.013),
        cover.days_above_cover([2000, 100], [42, 69], None),
        cover.days_above_mass(None, 4461, 0.013),
        cover.half_life_days(None),
        cover.days_until_fraction(None, 0.013),
        cover.residue_left_lb_per_acre(6000, None, 60),
    ],
)
def test_what_hangs_on_something_unknown_is_unknown(days):
    assert np.isnan(days)


def test_several_thresholds_and_rates_are_reckoned_at_once():
    days = cover.days_above_mass(6000, [4461, 8030], [[0.009], [0.013]])
    assert days.shape == (2, 2)
    assert days[:, 1].tolist() == [0, 0]


@pytest.mark.parametrize(
    ("calculate", "field", "words"),
    [
        (lambda: cover.residue_cover([-1], [42]), "dry_matter_lb_per_acre", "Dry matter is -1 lb/acre"),
        (lambda: cover.residue_cover([1, 2], [42]), "dry_matter_lb_per_acre", "same length"),
        (lambda: cover.residue_cover(1000, [42]), "dry_matter_lb_per_acre", "accepted is a list"),
        (lambda: cover.half_life_days(0), "decay_rate_per_day", "Decay is 0 per day"),
        (lambda: cover.days_until_fraction(1.5, 0.01), "left_fraction", "1.5"),
        (lambda: cover.days_above_cover([1000], [42], 0.01, 1), "cover_fraction", "1; accepted is"),
        (lambda: cover.days_above_mass(1000, 0, 0.01), "threshold_lb_per_acre", "0 lb/acre"),
        (lambda: cover.residue_left_lb_per_acre(1000, 0.01, -1), "days", "-1 days"),
    ],
)
def test_what_cannot_be_is_refused_with_its_name_and_value(calculate, field, words):
    with pytest.raises(BadInput, match=words) as refused:
        calculate()
    assert refused.value.field == field
