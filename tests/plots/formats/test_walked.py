"""Walks round known outlines: what they come to, what is refused, and whether the ± holds."""

import contextlib
import time

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon

from plots.calc.geodesy import geodesic_acres, geodesic_area_perimeter
from plots.calc.track import Use
from plots.formats.model import NotAnOutline
from plots.formats.walked import walked_outline
from tests.walking import DENT_M, PLANE, fixes_at, wander, way_along, way_round

# Acres of the outline that was walked: measured on the ellipsoid, not on the plane that the walks are made on.
TRUE_ACRES = geodesic_acres(PLANE.to_degrees(Polygon(DENT_M)))
EIGHT_M = [(0, 0), (90, 90), (90, 0), (0, 90)]


def walked(fixes, worst_accuracy_m=10.0, tolerance_m=2.0):
    return walked_outline(fixes, worst_accuracy_m, tolerance_m)


def said(found):
    return " ".join(found.notes)


def test_a_clean_walk_comes_to_the_acres_it_went_round():
    found = walked(fixes_at(way_round(DENT_M)))
    assert found.acres == pytest.approx(TRUE_ACRES, rel=0.01)
    assert found.corners <= 6
    assert (found.area_m2, found.perimeter_m) == pytest.approx(geodesic_area_perimeter(found.outline))


def test_margin_is_perimeter_times_mean_accuracy():
    fixes = fixes_at(way_round(DENT_M))
    fixes[::2, 2] = 8.0
    found = walked(fixes)
    assert found.margin_m2 == pytest.approx(found.perimeter_m * fixes[:, 2].mean())


@pytest.mark.parametrize("hold", [0.0, 0.5, 0.9, 0.98, 0.995])
@pytest.mark.parametrize("r95_m", [3.0, 8.0])
def test_the_margin_holds_in_nearly_all_walks(hold, r95_m):
    """Receivers from nervous to drifting, ending short of the start or past it. 38 of 40 is 95 %."""
    rng = np.random.default_rng(20)
    held = 0
    for _ in range(40):
        places_m = way_round(DENT_M, further_m=rng.uniform(-15, 25))
        noisy = fixes_at(places_m + wander(len(places_m), r95_m, hold, rng), accuracy_m=r95_m)
        found = walked(noisy)
        held += abs(found.acres - TRUE_ACRES) <= found.margin_acres
    assert held >= 38


def test_the_margin_holds_where_the_whole_edge_lies_off_to_one_side():
    """The case that it is made for: a wider round by 4 m, all of it."""
    wide = Polygon(DENT_M).buffer(4, join_style="mitre").exterior.coords[:-1]
    found = walked(fixes_at(way_round(wide), accuracy_m=4))
    off_acres = found.acres - TRUE_ACRES
    assert 0.8 * found.margin_acres < off_acres <= found.margin_acres


@settings(max_examples=60)
@given(
    st.lists(st.floats(30, 150), min_size=4, max_size=12),
    st.floats(0.5, 5),
    st.integers(0, 2**32 - 1),
)
def test_the_line_stays_within_the_tolerance_of_the_fixes_used(spokes_m, tolerance_m, seed):
    angles = np.linspace(0, 2 * np.pi, len(spokes_m), endpoint=False)
    corners_m = np.column_stack([spokes_m * np.cos(angles), spokes_m * np.sin(angles)])
    places_m = way_round(corners_m, further_m=-3)
    rng = np.random.default_rng(seed)
    fixes = fixes_at(places_m + wander(len(places_m), 1.0, 0.9, rng))
    try:
        found = walked(fixes, tolerance_m=tolerance_m)
    except NotAnOutline:
        return  # spokes so unlike each other that they leave no ground between
    assert found.outline.is_valid
    way = PLANE.to_metres(LineString(fixes[found.uses == Use.USED][:, :2]))
    closed = LineString([*way.coords, way.coords[0]])
    corners = shapely.points(shapely.get_coordinates(PLANE.to_metres(found.outline)))
    assert shapely.distance(corners, closed).max() <= tolerance_m + 1e-6


def test_what_was_left_out_is_counted_and_said():
    fixes = fixes_at(way_round(DENT_M))
    fixes[[3, 4], 2] = 60
    fixes[50, 0] += 0.02
    found = walked(fixes)
    assert f"{len(fixes) - 3} of {len(fixes)} points were used." in found.notes
    assert "2 left out: worse than 33 ft (10 m)." in found.notes
    assert "1 left out: further from the others" in said(found)


def test_stretches_are_joined_in_order_and_the_way_between_is_said():
    places_m = way_round(DENT_M)
    first, second = fixes_at(places_m[:20]), fixes_at(places_m[60:], stretch=1, start_ms=400_000)
    found = walked(np.vstack([first, second]))
    assert "The 2 stretches between pauses were joined in order." in found.notes
    assert "taken as straight" in said(found)


def test_two_loops_with_a_pause_between_are_two_parts():
    second = [(300 + x, y) for x, y in DENT_M]
    found = walked(np.vstack([fixes_at(way_round(DENT_M)), fixes_at(way_round(second), stretch=1)]))
    assert len(found.outline.geoms) == 2
    assert found.acres == pytest.approx(2 * TRUE_ACRES, rel=0.01)
    assert "taken as straight" not in said(found)  # the way from one loop to the other is no edge


def test_two_loops_over_the_same_ground_count_it_once():
    second = [(60 + x, y) for x, y in DENT_M]
    found = walked(np.vstack([fixes_at(way_round(DENT_M)), fixes_at(way_round(second), stretch=1)]))
    both = shapely.union(*(PLANE.to_degrees(Polygon(ring)) for ring in (DENT_M, second)))
    assert found.outline.is_valid
    assert found.acres == pytest.approx(geodesic_acres(both), rel=0.02)


def test_a_gap_is_closed_with_a_straight_line_and_said():
    found = walked(fixes_at(way_round(DENT_M, further_m=-20)))
    assert found.gap_m == pytest.approx(20, abs=1.3)
    assert "the gap of" in said(found)
    assert found.acres == pytest.approx(TRUE_ACRES, rel=0.02)


def test_an_overshoot_is_cut_off():
    rng = np.random.default_rng(5)
    places_m = way_round(DENT_M, further_m=40)
    found = walked(fixes_at(places_m + wander(len(places_m), 2, 0.9, rng)))
    assert len(found.outline.geoms) == 1
    assert found.gap_m < 5
    assert "ran past its start;" in said(found)


def test_the_way_from_a_truck_is_no_edge_and_no_gap():
    rng = np.random.default_rng(3)
    for _ in range(20):
        places_m = np.vstack([way_along([(-60, -40), (0, 0)]), way_round(DENT_M)])
        found = walked(fixes_at(places_m + wander(len(places_m), 4, 0.98, rng)))
        assert found.gap_m < 10
        assert abs(found.acres - TRUE_ACRES) < found.margin_acres
        assert "the gap of" not in said(found)


@pytest.mark.parametrize("rounds", [1.4, 1.6, 1.8])
def test_a_second_round_that_was_not_finished_is_no_reason_to_walk_again(rounds):
    rng = np.random.default_rng(4)
    ring_m = Polygon(DENT_M).exterior.length
    places_m = way_round(DENT_M, further_m=(rounds - 1) * ring_m)
    found = walked(fixes_at(places_m + wander(len(places_m), 4, 0.98, rng)))
    assert found.gap_m < 10
    assert abs(found.acres - TRUE_ACRES) < found.margin_acres


def test_a_scribble_takes_no_minutes():
    rng = np.random.default_rng(6)
    places_m = np.cumsum(rng.uniform(-3, 3, (20_000, 2)), axis=0) % 60
    began = time.monotonic()
    with contextlib.suppress(NotAnOutline):
        walked(fixes_at(places_m))
    assert time.monotonic() - began < 30


def test_a_margin_that_is_much_of_the_acres_is_said():
    assert "of the acres: walk it again" not in said(walked(fixes_at(way_round(DENT_M), accuracy_m=3)))
    assert "% of the acres: walk it again" in said(walked(fixes_at(way_round(DENT_M), accuracy_m=8)))


def test_an_eight_keeps_both_of_its_lobes_and_says_so():
    found = walked(fixes_at(way_round(EIGHT_M)))
    assert len(found.outline.geoms) == 2
    assert "crossed itself" in said(found)


@pytest.mark.parametrize(
    ("fixes", "why"),
    [
        (fixes_at(way_along([(0, 0), (100, 0), (100, 100)])), "not a loop"),
        (fixes_at(way_along([(0, 0), (100, 0), (0, 0.5)])), "a strip 1 ft"),
        (fixes_at(way_round(DENT_M), accuracy_m=40), "worse than 33 ft"),
        (fixes_at(np.array([(0, 0), (50, 0)])), "an outline needs three"),
        (np.empty((0, 5)), "0 of 0 points are left"),
        (fixes_at(np.zeros((60, 2))), "an outline needs three"),
    ],
    ids=["three sides", "out and back", "poor", "two", "none", "stood"],
)
def test_what_is_no_outline_is_refused_with_the_reason(fixes, why):
    with pytest.raises(NotAnOutline, match=why):
        walked(fixes)
