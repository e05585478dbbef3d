"""Ground kept, gained and lost between two outlines."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiPolygon, Polygon, box

from plots.calc.change import SPECK_M2, change_between, overlaid
from plots.calc.geodesy import geodesic_area_perimeter
from tests.scenery import natural_outline

LON, LAT = -92.0, 38.0


def m2(geometry):
    return float(geodesic_area_perimeter(geometry)[0])


@st.composite
def outlines(draw):
    """Wavy ground of 0.3 to 9 acres near one place, one time in three with a hole."""
    lon, lat = LON + draw(st.floats(-0.002, 0.002)), LAT + draw(st.floats(-0.002, 0.002))
    acres, seed = draw(st.floats(0.3, 9)), draw(st.integers(0, 10_000))
    outline = natural_outline(lon, lat, acres, seed, corners=draw(st.integers(8, 60))).buffer(0)
    if draw(st.integers(0, 2)) == 0:
        outline = outline.difference(natural_outline(lon, lat, acres * 0.1, seed + 1))
    return outline


@given(outlines(), outlines())
def test_gained_less_lost_is_the_difference_of_the_areas(before, after):
    change = change_between(before, after)
    close = 1e-9 * max(m2(before), m2(after))
    assert change.gained_m2 - change.lost_m2 == pytest.approx(m2(after) - m2(before), abs=close)
    assert change.kept_m2 + change.gained_m2 == pytest.approx(m2(after), abs=close)
    assert change.kept_m2 + change.lost_m2 == pytest.approx(m2(before), abs=close)
    assert min(change.kept_m2, change.gained_m2, change.lost_m2) >= 0


@given(outlines(), outlines())
def test_what_is_drawn_is_what_the_figures_say(before, after):
    """To the millimetres between a geodesic and a line straight on the map, along edges of 300 m at most."""
    change = change_between(before, after)
    for ground, area_m2 in (
        (change.kept, change.kept_m2),
        (change.gained, change.gained_m2),
        (change.lost, change.lost_m2),
    ):
        assert m2(ground) == pytest.approx(area_m2, abs=0.5 + 10 * SPECK_M2)
    assert change.gained.intersection(before).area == pytest.approx(0, abs=1e-14)
    assert change.lost.intersection(after).area == pytest.approx(0, abs=1e-14)


@given(outlines(), outlines())
def test_the_way_back_gains_what_the_way_there_lost(before, after):
    there, back = change_between(before, after), change_between(after, before)
    assert (there.gained_m2, there.lost_m2) == pytest.approx((back.lost_m2, back.gained_m2), abs=1e-3)
    assert there.gained.normalize().equals_exact(back.lost.normalize(), 1e-9)
    assert there.net_m2 == -back.net_m2


@given(outlines())
def test_an_outline_is_no_change_to_itself(outline):
    change = change_between(outline, MultiPolygon([outline]) if isinstance(outline, Polygon) else outline)
    assert change.is_same_ground
    assert (change.gained_m2, change.lost_m2, change.kept_m2) == (0, 0, change.before_m2)


def test_shrinking_loses_and_gains_nothing():
    whole, smaller = box(LON, LAT, LON + 0.002, LAT + 0.001), box(LON, LAT, LON + 0.001, LAT + 0.001)
    change = change_between(whole, smaller)
    assert (change.gained_m2, change.kept_m2) == (0, m2(smaller))
    assert change.lost_m2 == pytest.approx(m2(whole) / 2, rel=1e-6)
    assert change.gained.is_empty


def test_ground_that_does_not_meet_is_all_gained_and_all_lost():
    here, there = box(LON, LAT, LON + 0.001, LAT + 0.001), box(LON + 0.01, LAT, LON + 0.012, LAT + 0.001)
    change = change_between(here, there)
    assert (change.kept_m2, change.lost_m2, change.gained_m2) == (0, m2(here), m2(there))


def test_a_hole_that_is_dug_is_lost():
    whole, hole = (
        box(LON, LAT, LON + 0.002, LAT + 0.002),
        box(LON + 0.0005, LAT + 0.0005, LON + 0.001, LAT + 0.001),
    )
    change = change_between(whole, whole.difference(hole))
    assert change.lost.equals(MultiPolygon([hole]))
    assert change.lost_m2 == pytest.approx(m2(hole), abs=1e-3)


def test_corners_moved_by_rounding_are_no_change_to_look_at():
    outline = natural_outline(LON, LAT, 5, 3)
    rounded = shapely.transform(outline, lambda points: np.round(points, 8))  # a millimetre
    change = change_between(outline, rounded)
    assert change.is_same_ground
    assert change.net_m2 == pytest.approx(m2(rounded) - m2(outline))


def test_common_edges_and_corners_are_no_ground():
    left, right = box(0, 0, 1, 1), box(1, 0, 2, 1)
    assert overlaid(shapely.intersection, left, right).is_empty
    assert overlaid(shapely.intersection, left, box(1, 1, 2, 2)).is_empty


def test_an_outline_that_crosses_itself_is_compared_all_the_same():
    bow_tie = Polygon([(0, 0), (1, 1), (1, 0), (0, 1)])
    found = overlaid(shapely.difference, box(0, 0, 1, 1), bow_tie)
    assert found.area == pytest.approx(0.5)


@pytest.mark.parametrize("nothing", [Polygon(), MultiPolygon(), LineString([(0, 0), (1, 1)]), None])
def test_what_has_no_ground_cannot_be_compared(nothing):
    with pytest.raises(ValueError, match="a polygon or multipolygon with ground is accepted"):
        change_between(box(0, 0, 1, 1), nothing)
