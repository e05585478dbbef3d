"""Properties and refusals of dry matter from frames. Figures are checked in tests/published."""

import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc import clipping
from fieldlog.calc.repeats import repeats
from plots.calc.described import BadInput
from plots.calc.units import M_PER_FT, kg_per_ha_to_lb_per_acre

grams = st.floats(0, 1000)
frames = st.lists(grams, min_size=1, max_size=20)
areas = st.floats(0.1, 50)


@given(frames, areas)
def test_mean_of_the_frames_is_all_of_them_as_one_big_frame(dry_g, frame_ft2):
    one_by_one = clipping.dry_lb_per_acre(dry_g, frame_ft2)
    together = clipping.dry_lb_per_acre([sum(dry_g)], frame_ft2 * len(dry_g))
    assert one_by_one.dry_lb_per_acre == pytest.approx(together.dry_lb_per_acre, abs=1e-9)
    assert one_by_one.frames == len(dry_g)


@given(frames, areas, st.randoms(use_true_random=False))
def test_order_of_the_frames_does_not_matter(dry_g, frame_ft2, random):
    shuffled = random.sample(dry_g, len(dry_g))
    assert clipping.dry_lb_per_acre(shuffled, frame_ft2) == pytest.approx(
        clipping.dry_lb_per_acre(dry_g, frame_ft2), nan_ok=True, rel=1e-9, abs=1e-6
    )


@given(frames, areas)
def test_metric_and_american_units_agree(dry_g, frame_ft2):
    in_lb = clipping.dry_lb_per_acre(dry_g, frame_ft2)
    in_kg = clipping.dry_kg_per_ha(dry_g, frame_ft2 * M_PER_FT**2)
    for lb_per_acre, kg_per_ha in zip(in_lb[:3], in_kg[:3], strict=True):
        assert kg_per_ha_to_lb_per_acre(kg_per_ha) == pytest.approx(lb_per_acre, nan_ok=True, abs=1e-9)


@given(st.lists(grams, min_size=2, max_size=20))
def test_spread_and_standard_error_are_those_of_the_statistics_module(values):
    found = repeats(values)
    assert found.mean == pytest.approx(statistics.fmean(values), abs=1e-9)
    assert found.spread == pytest.approx(statistics.stdev(values), abs=1e-6)
    assert found.error == pytest.approx(statistics.stdev(values) / len(values) ** 0.5, abs=1e-6)


@given(frames, st.floats(1, 100), areas)
def test_fresh_frames_of_known_dry_matter_are_dry_frames(fresh_g, dry_matter_pct, frame_ft2):
    fresh = clipping.dry_lb_per_acre_from_fresh(fresh_g, dry_matter_pct, frame_ft2)
    dry = clipping.dry_lb_per_acre(np.multiply(fresh_g, dry_matter_pct / 100), frame_ft2)
    assert fresh == pytest.approx(dry, nan_ok=True, rel=1e-9, abs=1e-6)


def test_an_empty_frame_counts_as_zero():
    with_zero = clipping.dry_lb_per_acre([30, 0], 1)
    assert with_zero.dry_lb_per_acre == clipping.dry_lb_per_acre([15], 1).dry_lb_per_acre
    assert with_zero.frames == 2


def test_an_unweighed_frame_leaves_the_stand_unknown():
    assert np.isnan(clipping.dry_lb_per_acre([30, None], 1)).all()


def test_one_frame_says_nothing_of_the_spread():
    only = clipping.dry_lb_per_acre([30], 1)
    assert only.dry_lb_per_acre > 0
    assert np.isnan([only.spread_lb_per_acre, only.standard_error_lb_per_acre]).all()


def test_no_frames_is_no_answer():
    assert np.isnan(clipping.dry_lb_per_acre([], 1)).all()


def test_several_stands_are_worked_out_at_once():
    both = clipping.dry_lb_per_acre([[10, 20], [30, 50]], [1, 2])
    assert both.dry_lb_per_acre == pytest.approx(
        [clipping.dry_lb_per_acre(one, area).dry_lb_per_acre for one, area in (([10, 20], 1), ([30, 50], 2))]
    )


@given(st.floats(1, 500), st.floats(0, 1), st.floats(0, 100))
def test_bag_comes_off_both_weights(fresh_g, dry_share, bag_g):
    with_bag = clipping.dry_matter_pct(fresh_g + bag_g, fresh_g * dry_share + bag_g, bag_g)
    assert with_bag == pytest.approx(100 * dry_share, abs=1e-6)


@given(st.floats(0.5, 40))
def test_hoop_is_the_same_by_its_length_and_its_width(diameter_ft):
    around_ft = np.pi * diameter_ft
    assert clipping.hoop_ft2_from_circumference(around_ft) == pytest.approx(
        clipping.hoop_ft2_from_diameter(12 * diameter_ft)
    )


@pytest.mark.parametrize(
    ("refused", "field", "sentence"),
    [
        (
            lambda: clipping.dry_matter_pct(10, 5, 10),
            "wet_g",
            "Fresh, with bag is 10 g; accepted is above the bag's 10 g",
        ),
        (
            lambda: clipping.dry_matter_pct(100, 5, 10),
            "dry_g",
            "Dried, with bag is 5 g; accepted is the empty bag's 10 g or more",
        ),
        (
            lambda: clipping.dry_matter_pct(100, 101, 10),
            "dry_g",
            "Dried, with bag is 101 g; accepted is at most the fresh weight of 100 g",
        ),
        (
            lambda: clipping.dry_lb_per_acre([3, -1], 1),
            "dry_g",
            "Dry weight in the frame is -1 g; accepted is a number of 0 g or more",
        ),
        (
            lambda: clipping.dry_lb_per_acre([3], 0),
            "frame_ft2",
            "Ground inside one frame is 0 ft²; accepted is a number above 0 ft²",
        ),
        (
            lambda: clipping.dry_lb_per_acre_from_pounds(2, 101, 9),
            "dry_matter_pct",
            "Dry matter is 101 %; accepted is a number above 0 and at most 100 %",
        ),
    ],
)
def test_refuses_what_cannot_be(refused, field, sentence):
    with pytest.raises(BadInput) as caught:
        refused()
    assert (caught.value.field, caught.value.sentence) == (field, sentence)
