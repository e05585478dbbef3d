"""Seed by volume."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc.boxes import MAIN, SMALL, default_box
from blends.calc.density import FT3_PER_BUSHEL, lb_per_ft3_from_bushel, mix_lb_per_ft3
from plots.calc.described import BadInput

POUNDS = st.floats(0.01, 500)
DENSITIES = st.floats(5, 80)


def test_a_bushel_is_2150_42_cubic_inches():
    """Handbook 44, Appendix C, NIST: 1 bu = 1.244 456 0 ft³, 2,150.42 in³ exactly."""
    assert pytest.approx(1.2444560, abs=5e-8) == FT3_PER_BUSHEL
    assert lb_per_ft3_from_bushel(FT3_PER_BUSHEL) == pytest.approx(1)


@pytest.mark.parametrize(("lb_per_bu", "lb_per_ft3"), [(60, 48.2), (56, 45.0), (48, 38.6), (32, 25.7)])
def test_usual_bushels_by_the_cubic_foot(lb_per_bu, lb_per_ft3):
    """Worked out from the bushel by hand, to a decimal."""
    assert lb_per_ft3_from_bushel(lb_per_bu) == pytest.approx(lb_per_ft3, abs=0.05)


def test_a_mix_by_hand():
    """60 lb of rye at 45 lb/ft³ and 12 of vetch at 48: 1.3333 + 0.25 ft³ hold 72 lb."""
    assert mix_lb_per_ft3([60, 12], [45, 48]) == pytest.approx(72 / (60 / 45 + 12 / 48))


@given(st.lists(st.tuples(POUNDS, DENSITIES), min_size=1, max_size=12))
def test_a_mix_lies_between_its_components_and_splitting_one_changes_nothing(parts):
    lb, density = np.array(parts).T
    mix = mix_lb_per_ft3(lb, density)
    assert density.min() * (1 - 1e-9) <= mix <= density.max() * (1 + 1e-9)
    halved = mix_lb_per_ft3(np.append(lb, lb[0] / 2) - np.append(np.eye(len(lb))[0] * lb[0] / 2, 0),
                            np.append(density, density[0]))  # fmt: skip
    assert halved == pytest.approx(mix)


def test_one_unknown_makes_the_mix_unknown():
    assert np.isnan(mix_lb_per_ft3([60, 12], [45, None]))


@pytest.mark.parametrize("lb_per_bu", [0, -3])
def test_a_bushel_that_weighs_nothing_is_refused(lb_per_bu):
    with pytest.raises(BadInput, match="Weight of a bushel is"):
        lb_per_ft3_from_bushel(lb_per_bu)


@pytest.mark.parametrize(
    ("seeds_per_lb", "lb_per_bu", "box"),
    [(100_000, 60, SMALL), (99_999, 60, MAIN), (217_000, 29.9, MAIN), (217_000, 30, SMALL), (776_000, None, SMALL)],
)  # fmt: skip
def test_small_seed_that_runs_goes_in_the_small_seed_box(seeds_per_lb, lb_per_bu, box):
    """Common practice, no source."""
    assert default_box(seeds_per_lb, lb_per_bu) == box
    assert default_box(seeds_per_lb, lb_per_bu, has_small_box=False) == MAIN
