"""Nitrogen in residue and for the next crop. Published figures are checked in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc import nitrogen
from plots.calc.described import BadInput

masses = st.floats(1, 20_000)
percents = st.floats(0, 6)


@given(masses, percents)
def test_available_range_lies_within_what_the_residue_holds(dry_matter_lb_per_acre, nitrogen_pct):
    total = nitrogen.residue_nitrogen_lb_per_acre(dry_matter_lb_per_acre, nitrogen_pct)
    band = nitrogen.available_nitrogen(total)
    assert 0 <= band.low_lb_per_acre <= band.high_lb_per_acre <= total


@pytest.mark.parametrize("fraction", nitrogen.FRACTIONS, ids=lambda fraction: fraction.key)
def test_every_published_fraction_has_its_limits_and_source(fraction):
    assert 0 < fraction.low <= fraction.high < 1
    assert fraction.limits.endswith(".")
    assert fraction.source in (nitrogen.SANTA_CRUZ, nitrogen.NORTH_DAKOTA, nitrogen.OTHER_EXTENSION)


def test_keys_of_the_fractions_are_their_own():
    keys = [fraction.key for fraction in nitrogen.FRACTIONS]
    assert len(set(keys)) == len(keys)


def test_unasked_range_spans_what_was_published_for_residue_on_the_surface():
    band = nitrogen.available_nitrogen(100)
    assert tuple(band) == pytest.approx((20, 50))  # a fifth, North Dakota; half, Santa Cruz in warm climates


def test_fraction_can_be_changed():
    assert tuple(nitrogen.available_nitrogen(100, 0.1, 0.9)) == pytest.approx((10, 90))


@given(st.floats(1.5, 3.5), masses)
def test_plant_available_nitrogen_never_exceeds_what_the_residue_holds(nitrogen_pct, dry_matter_lb_per_acre):
    available = nitrogen.plant_available_nitrogen(dry_matter_lb_per_acre, nitrogen_pct)
    total = nitrogen.residue_nitrogen_lb_per_acre(dry_matter_lb_per_acre, nitrogen_pct)
    assert 0 <= available.lb_per_acre <= total
    assert not available.remark


@given(st.floats(0, 1.4999))
def test_below_one_and_a_half_percent_none_is_available_and_some_may_be_tied_up(nitrogen_pct):
    available = nitrogen.plant_available_nitrogen(5000, nitrogen_pct)
    assert available.lb_per_acre == 0
    assert f"as much as {nitrogen.TIED_UP_AT_MOST_LB_PER_ACRE:g} lb/acre" in available.remark


@given(st.floats(3.5001, 100))
def test_above_three_and_a_half_percent_the_line_is_held_and_says_so(nitrogen_pct):
    available = nitrogen.plant_available_nitrogen(2000, nitrogen_pct)
    assert available.lb_per_acre == pytest.approx(35)
    assert "is held" in available.remark


def test_remarks_of_several_residues_are_those_of_each():
    available = nitrogen.plant_available_nitrogen(2000, [1, 2, 4])
    assert available.remark.tolist() == [nitrogen.REMARKS[kind] for kind in ("none", "within", "held")]


def test_an_unknown_input_gives_an_unknown_figure_and_no_remark():
    assert np.isnan(nitrogen.residue_nitrogen_lb_per_acre(2000, None))
    assert np.isnan(nitrogen.available_nitrogen(None)).all()
    unknown = nitrogen.plant_available_nitrogen(2000, None)
    assert np.isnan([unknown.lb_per_acre, unknown.lb_per_short_ton]).all()
    assert not unknown.remark
    assert np.isnan(nitrogen.usd_per_lb_available_nitrogen(100, None))


def test_none_of_it_is_a_recommendation():
    for calculate in (nitrogen.available_nitrogen, nitrogen.plant_available_nitrogen):
        assert nitrogen.NO_RECOMMENDATION in calculate.calculation.notes
    assert "western Oregon and Washington" in " ".join(nitrogen.plant_available_nitrogen.calculation.notes)


@pytest.mark.parametrize(
    ("calculate", "field", "words"),
    [
        (
            lambda: nitrogen.available_nitrogen(80, 0.6, 0.5),
            "low_fraction",
            "Lowest available part is 0.6; accepted is at most the highest, 0.5",
        ),
        (lambda: nitrogen.available_nitrogen(80, 0, 1.5), "high_fraction", "1.5; accepted is 0 to 1"),
        (lambda: nitrogen.residue_nitrogen_lb_per_acre(-5, 4), "dry_matter_lb_per_acre", "Dry matter is -5"),
        (lambda: nitrogen.plant_available_nitrogen(5, 101), "nitrogen_pct", "Nitrogen is 101 %"),
        (lambda: nitrogen.usd_per_lb_available_nitrogen(138, 0), "available_lb_per_acre", "is 0 lb/acre"),
    ],
)
def test_what_cannot_be_is_refused_with_its_name_and_value(calculate, field, words):
    with pytest.raises(BadInput, match=words) as refused:
        calculate()
    assert refused.value.field == field
