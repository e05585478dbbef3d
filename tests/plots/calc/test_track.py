"""Which fixes of a walk count, where an overshoot is cut, and what thinning keeps."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString

from plots.calc.track import Use, thinned, track_of, without_overshoot
from tests.walking import DENT_M, fixes_at, wander, way_along, way_round

WALK = fixes_at(way_round(DENT_M))


def uses(fixes, worst_accuracy_m=10.0):
    return track_of(fixes, worst_accuracy_m).uses


def test_a_clean_walk_is_used_whole():
    assert (uses(WALK) == Use.USED).all()


def test_fixes_worse_than_the_limit_are_left_out_and_one_on_it_is_not():
    fixes = WALK.copy()
    fixes[[5, 9], 2] = 10.1, 10.0
    assert np.flatnonzero(uses(fixes) == Use.WORSE).tolist() == [5]


@pytest.mark.parametrize("wild", [[40], [40, 41, 42], [0], [0, 1], [len(WALK) - 1]], ids=str)
def test_fixes_that_nobody_can_reach_in_time_are_left_out(wild):
    fixes = WALK.copy()
    fixes[wild, 0] += 0.01  # 880 m away
    assert np.flatnonzero(uses(fixes) == Use.JUMPED).tolist() == wild


def test_a_step_within_the_accuracy_of_both_fixes_is_no_jump():
    fixes = WALK.copy()
    fixes[40, 0] += 22 / 87_800  # 22 m in a second: 15 allowed, and 4 for either accuracy
    assert uses(fixes)[40] == Use.USED


def test_after_a_pause_any_place_can_be_reached():
    later = fixes_at(way_along([(500, 0), (500, 80)]), stretch=1, start_ms=0)
    assert (uses(np.vstack([WALK, later])) == Use.USED).all()


def test_of_a_stand_the_most_accurate_fix_counts():
    stand = fixes_at(np.zeros((20, 2)), accuracy_m=5)
    stand[7, 2] = 3
    found = uses(np.vstack([stand, fixes_at(way_along([(5, 0), (90, 0)]), start_ms=20_000)]))
    assert np.flatnonzero(found == Use.STILL).tolist() == [each for each in range(20) if each != 7]


def test_slow_going_is_no_stand():
    slow = way_along([(0, 0), (60, 0)], step_m=0.4)
    assert (uses(fixes_at(slow)) == Use.USED).all()


def test_a_pause_begins_another_line():
    second = fixes_at(way_along([(0, 30), (60, 30)]), stretch=1)
    assert len(track_of(np.vstack([WALK, second]), 10).lines) == 2


def test_accuracy_is_the_mean_of_what_was_used():
    fixes = WALK.copy()
    fixes[:, 2] = np.where(np.arange(len(fixes)) % 2, 3.0, 9.0)
    fixes[4, 2] = 80
    used = np.delete(fixes[:, 2], 4)
    assert track_of(fixes, 10).accuracy_m == pytest.approx(used.mean())


def test_no_fix_is_no_line_and_no_accuracy():
    track = track_of([], 10)
    assert track.lines == []
    assert np.isnan(track.accuracy_m)


@pytest.mark.parametrize("limit", [0, -1, float("nan")])
def test_a_limit_that_is_not_positive_is_refused(limit):
    with pytest.raises(ValueError, match="accepted is more than 0"):
        track_of(WALK, limit)


def test_a_value_that_is_not_finite_is_refused():
    fixes = WALK.copy()
    fixes[3, 1] = np.nan
    with pytest.raises(ValueError, match="not finite"):
        track_of(fixes, 10)


def test_an_overshoot_is_cut_where_it_crosses():
    line = np.array([(0, 0), (100, 0), (100, 100), (0, 100), (0, 50), (10, -8)], dtype=float)
    cut, cut_m = without_overshoot(line)
    crossing = (10 - 8 * 10 / 58, 0.0)  # by similar triangles
    assert cut[0] == pytest.approx(crossing)
    assert cut[-1] == pytest.approx(crossing)
    past_m = np.hypot(10 - crossing[0], 8)
    assert cut_m == pytest.approx(crossing[0] + past_m)
    assert shapely.Polygon(cut).is_valid


def test_the_ways_from_and_to_a_truck_are_cut():
    line = np.array(
        [(20, -30), (20, 1), (200, 0), (200, 200), (0, 200), (0, 0), (25, 0.4), (25, -30)], dtype=float
    )
    cut, cut_m = without_overshoot(line)
    assert cut_m == pytest.approx(31 + 35, abs=3)
    assert shapely.Polygon(cut).area == pytest.approx(200 * 200, rel=0.01)


def test_a_line_that_stops_short_is_left_as_it_is():
    line = np.array([(0, 0), (100, 0), (100, 100), (0, 100), (0, 4)], dtype=float)
    cut, cut_m = without_overshoot(line)
    assert cut_m == 0
    assert (cut == line).all()


def test_an_end_beside_the_start_is_cut_where_it_comes_nearest():
    line = np.array(
        [(0, 0), (100, 0), (100, 100), (0, 100), (-1, 50), (-1, -1), (12, -1), (14, -1)], dtype=float
    )
    cut, cut_m = without_overshoot(line)
    assert (cut == line[:6]).all()
    assert cut_m == pytest.approx(13 + 2)


def test_the_way_from_a_truck_is_cut_where_the_walk_stops_short_of_it():
    """The end comes back to the corner where the loop began, and never crosses the way to it."""
    line = np.array(way_along([(-60, -40), (0, 0), (120, 0), (120, 90), (0, 90), (0, 2)]))
    cut, cut_m = without_overshoot(line)
    assert cut_m == pytest.approx(np.hypot(60, 40), abs=3)
    assert shapely.Polygon(cut).area == pytest.approx(120 * 90, rel=0.01)


@pytest.mark.parametrize("rounds", [1.3, 1.5, 1.7])
def test_of_a_second_round_that_was_not_finished_the_first_is_kept(rounds):
    ring = [(0, 0), (120, 0), (120, 90), (0, 90)]
    line = np.array(way_round(ring, further_m=(rounds - 1) * 420)) + wander(
        int(np.ceil(rounds * 350)), 3.0, 0.95, np.random.default_rng(5)
    )
    cut, cut_m = without_overshoot(line)
    assert cut_m == pytest.approx((rounds - 1) * 420, rel=0.3)
    assert np.hypot(*(cut[-1] - cut[0])) <= 8
    assert shapely.Polygon(cut).buffer(0).area == pytest.approx(120 * 90, rel=0.05)


def test_a_narrow_plot_whose_end_was_not_closed_keeps_its_length():
    """Its long edges lie nearly as near to each other as two passes of one place."""
    line = np.array(way_along([(0, 12), (0, 200), (6, 200), (6, 0), (0, 0)]))[:-1]
    cut, cut_m = without_overshoot(line)
    assert cut[:, 1].max() == 200
    assert np.ptp(cut[:, 1]) > 185
    assert cut_m < 20


def test_an_eight_is_no_overshoot():
    line = np.array([(0, 0), (100, 100), (100, 0), (0, 100), (0, 4)], dtype=float)
    assert without_overshoot(line)[1] == 0


@given(
    st.lists(st.tuples(st.floats(-200, 200), st.floats(-200, 200)), min_size=2, max_size=60, unique=True),
    st.floats(0.1, 20),
)
def test_every_corner_left_out_lies_within_the_tolerance(corners, tolerance_m):
    line = np.array(corners)
    thin = thinned(line, tolerance_m)
    away_m = shapely.distance(shapely.points(line), LineString(thin))
    assert away_m.max() <= tolerance_m * (1 + 1e-9)
    assert (thin[[0, -1]] == line[[0, -1]]).all()


def test_fixes_of_one_moment_are_no_stand():
    assert (uses(np.tile([-92.0, 38.0, 4.0, 0.0, 0.0], (300, 1))) == Use.USED).all()
