"""Properties and refusals of the line transect. Figures are checked in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from fieldlog.calc.transect import BETWEEN_LINES, FROM_POINTS, line_transect
from plots.calc.described import BadInput

lines = st.lists(
    st.integers(1, 200).flatmap(lambda points: st.tuples(st.integers(0, points), st.just(points))),
    min_size=1,
    max_size=8,
)


@given(lines)
def test_cover_is_all_hits_over_all_marks(found):
    hits, points = np.transpose(found)
    cover = line_transect(hits, points)
    assert cover.cover_pct == pytest.approx(100 * hits.sum() / points.sum())
    assert (cover.points, cover.lines) == (points.sum(), len(found))
    assert 0 <= cover.cover_pct <= 100
    assert cover.standard_error_pct >= 0


@given(lines, st.randoms(use_true_random=False))
def test_order_of_the_lines_does_not_matter(found, random):
    shuffled = line_transect(*np.transpose(random.sample(found, len(found))))
    ordered = line_transect(*np.transpose(found))
    assert shuffled[:2] == pytest.approx(ordered[:2], abs=1e-9)


@given(st.integers(0, 100), st.integers(1, 8))
def test_one_line_has_the_error_of_a_binomial(hits, hundreds):
    points = 100 * hundreds
    cover = line_transect([hits], [points])
    assert cover.error_from == FROM_POINTS
    assert cover.standard_error_pct == pytest.approx(100 * stats.binom.std(points, hits / points) / points)


@given(st.lists(st.integers(0, 100), min_size=2, max_size=8))
def test_equal_lines_have_the_standard_error_of_their_mean(hits):
    cover = line_transect(hits, [100] * len(hits))
    assert cover.error_from == BETWEEN_LINES
    assert cover.standard_error_pct == pytest.approx(stats.sem(hits), abs=1e-9)


def test_a_line_of_100_marks_has_an_error_near_5_points():
    assert line_transect([44], [100]).standard_error_pct == pytest.approx(5, abs=0.1)


@pytest.mark.parametrize(("hits", "points"), [([40, None], [100, 100]), ([40, 30], [100, None]), ([], [])])
def test_a_line_that_was_not_counted_leaves_cover_unknown(hits, points):
    cover = line_transect(hits, points)
    assert np.isnan([cover.cover_pct, cover.standard_error_pct, cover.points]).all()


@pytest.mark.parametrize(
    ("hits", "points", "field", "sentence"),
    [
        (
            [40, 51],
            [100, 50],
            "hits",
            "Marks on residue on line 2 are 51; accepted are 0 to 50, the marks on the line",
        ),
        ([-1], [100], "hits", "Marks on residue is -1; accepted is a whole number of 0 or more"),
        ([0], [0], "points", "Marks on the line is 0; accepted is a whole number above 0"),
        ([4.5], [10], "hits", "Marks on residue is 4.5; accepted is a whole number of 0 or more"),
    ],
)
def test_refuses_what_cannot_be(hits, points, field, sentence):
    with pytest.raises(BadInput) as caught:
        line_transect(hits, points)
    assert (caught.value.field, caught.value.sentence) == (field, sentence)
