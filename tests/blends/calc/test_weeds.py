"""Mulch against weeds. Published figures are checked in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc import weeds
from plots.calc.described import BadInput
from plots.calc.units import kg_per_ha_to_lb_per_acre

indexes = st.floats(0, 15)


def test_weed_biomass_and_weed_numbers_are_told_apart():
    assert {threshold.what for threshold in weeds.THRESHOLDS} == {weeds.BIOMASS, weeds.NUMBERS}


@pytest.mark.parametrize("threshold", weeds.THRESHOLDS, ids=lambda threshold: threshold.key)
def test_every_threshold_has_a_range_a_sentence_and_an_address(threshold):
    assert 0 < threshold.lb_per_acre <= threshold.up_to_lb_per_acre
    assert threshold.sentence.endswith(".")
    assert threshold.source.address


def test_less_weed_biomass_does_not_mean_fewer_weeds():
    """Cover crops and weed suppression in the U.S. Midwest, Agric. Environ. Lett. 5:e20022, 2020."""
    threshold = next(one for one in weeds.THRESHOLDS if one.key == "weed-biomass-75")
    assert threshold.what == weeds.BIOMASS
    assert threshold.needs_grass
    assert "as many weeds came up as without" in threshold.sentence


def test_small_seeded_weeds_take_a_range_of_residue():
    """5 to 10 Mg/ha: Ecological Management of Agricultural Weeds, Cambridge University Press, 2001."""
    threshold = next(one for one in weeds.THRESHOLDS if one.key == "small-seeded")
    assert (threshold.lb_per_acre, threshold.up_to_lb_per_acre) == (
        kg_per_ha_to_lb_per_acre(5000),
        kg_per_ha_to_lb_per_acre(10_000),
    )


@pytest.mark.parametrize(
    ("is_grass", "share"), [([True, False], 0.75), ([False, True], 0.25), ([True, True], 1)]
)
def test_grass_share_is_of_the_dry_matter(is_grass, share):
    assert weeds.grass_share([3000, 1000], is_grass) == share


def test_grass_share_of_unknown_dry_matter_is_unknown():
    assert np.isnan(weeds.grass_share([3000, None], [True, True]))


@given(st.floats(0, 2), indexes, indexes)
def test_thicker_mulch_lets_no_more_weeds_through(coefficient, index, more):
    through = weeds.emergence_fraction(coefficient, index)
    assert 0 < through <= 1
    assert weeds.emergence_fraction(coefficient, index + more) <= through


@given(st.floats(0, 2), indexes, indexes)
def test_two_layers_let_through_what_each_does(coefficient, upper, lower):
    both = weeds.emergence_fraction(coefficient, upper + lower)
    assert both == pytest.approx(
        weeds.emergence_fraction(coefficient, upper) * weeds.emergence_fraction(coefficient, lower)
    )


def test_mulch_area_index_is_area_over_area():
    # 60 cm²/g × 500 g/m² = 30,000 cm² = 3 m² on each square metre
    assert weeds.mulch_area_index(60, kg_per_ha_to_lb_per_acre(5000)) == pytest.approx(3)


def test_no_coefficient_of_a_weed_is_supplied():
    coefficient = weeds.emergence_fraction.calculation.input("weed_coefficient")
    assert coefficient.is_required
    assert coefficient.default is None
    assert any("none is supplied" in note for note in weeds.emergence_fraction.calculation.notes)


def test_an_unknown_input_gives_an_unknown_figure():
    assert np.isnan(weeds.emergence_fraction(None, 4))
    assert np.isnan(weeds.mulch_area_index(60, None))


@pytest.mark.parametrize(
    ("calculate", "field", "words"),
    [
        (
            lambda: weeds.grass_share([0, 0], [True, False]),
            "dry_matter_lb_per_acre",
            "is 0 for every component",
        ),
        (lambda: weeds.grass_share([-3, 1], [True, False]), "dry_matter_lb_per_acre", "-3 lb/acre"),
        (lambda: weeds.emergence_fraction(-0.5, 4), "weed_coefficient", "-0.5"),
        (lambda: weeds.emergence_fraction(0.5, -4), "mulch_area_index", "-4"),
        (lambda: weeds.mulch_area_index(-60, 4000), "specific_area_cm2_per_g", "-60"),
    ],
)
def test_what_cannot_be_is_refused_with_its_name_and_value(calculate, field, words):
    with pytest.raises(BadInput, match=words) as refused:
        calculate()
    assert refused.value.field == field
