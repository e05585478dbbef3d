"""Properties and refusals of use by cage pairs. Figures are checked in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.calc import browse
from plots.calc.described import BadInput

weights = st.floats(0.1, 1000)
pairs = st.lists(st.tuples(weights, weights), min_size=1, max_size=12)


@given(pairs, st.randoms(use_true_random=False))
def test_order_of_the_pairs_does_not_matter(found, random):
    shuffled = random.sample(found, len(found))
    assert browse.use_pct(*np.transpose(shuffled)) == pytest.approx(
        browse.use_pct(*np.transpose(found)), abs=1e-6
    )


@given(pairs, st.floats(0.01, 100))
def test_unit_of_the_weights_does_not_matter(found, factor):
    inside, outside = np.transpose(found)
    assert browse.use_pct(factor * inside, factor * outside) == pytest.approx(
        browse.use_pct(inside, outside), abs=1e-6
    )


@given(pairs)
def test_use_is_that_of_the_totals(found):
    inside, outside = np.transpose(found)
    assert browse.use_pct(inside, outside) == pytest.approx(
        browse.use_pct([inside.sum()], [outside.sum()]), abs=1e-6
    )
    assert browse.use_pct(inside, outside) <= 100


def test_use_is_not_the_mean_of_the_pairs():
    assert browse.use_pct([100, 10], [50, 10]) == pytest.approx(100 * 50 / 110)  # the mean of 50 and 0 is 25


def test_a_pair_with_more_outside_stays_in():
    assert browse.use_pct([50, 50], [20, 60]) == pytest.approx(20)


def test_more_outside_over_all_is_a_use_below_zero():
    assert browse.use_pct([40, 40], [44, 46]) == pytest.approx(-12.5)


def test_nothing_outside_is_all_used():
    assert browse.use_pct([40, 40], [0, 0]) == 100


@pytest.mark.parametrize(("caged_g", "open_g"), [([40, None], [20, 20]), ([40, 40], [20, None])])
def test_an_unweighed_side_leaves_the_use_unknown(caged_g, open_g):
    assert np.isnan(browse.use_pct(caged_g, open_g))


@pytest.mark.parametrize(("caged_g", "open_g"), [([0], [0]), ([0, 0], [3, 1]), ([], [])])
def test_nothing_inside_any_cage_is_refused_and_not_a_use_of_zero(caged_g, open_g):
    with pytest.raises(BadInput) as caught:
        browse.use_pct(caged_g, open_g)
    assert caught.value.field == "caged_g"
    assert caught.value.sentence == (
        "Dry weight inside the cage is 0 g over all pairs; accepted is a total above 0 g"
    )


def test_one_bare_cage_among_others_is_a_sample_like_any_other():
    assert browse.use_pct([0, 40], [10, 10]) == 50


def test_lists_of_different_length_are_refused():
    with pytest.raises(
        BadInput, match="has 2, Dry weight outside has 1; accepted are lists of the same length"
    ):
        browse.use_pct([40, 40], [20])


@given(st.floats(0.1, 100), st.floats(0, 1))
def test_height_removed_is_what_is_missing_of_the_height(ungrazed_in, left):
    removed = browse.height_removed_pct(ungrazed_in * left, ungrazed_in)
    assert removed == pytest.approx(100 * (1 - left), abs=1e-6)


def test_height_removed_says_that_it_is_not_weight():
    assert any("Height is not weight" in note for note in browse.height_removed_pct.calculation.notes)
