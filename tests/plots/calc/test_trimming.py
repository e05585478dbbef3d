"""A sliver is taken away along the edge, and afterwards nothing is shared."""

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.affinity import translate
from shapely.geometry import MultiPolygon, Polygon, box

from plots.calc.plane import Plane
from plots.calc.shape import width_m
from plots.calc.trimming import CannotTrim, trimmed
from tests.scenery import natural_outline

LON, LAT, STEP = -92.0, 38.0, 0.001
METRE = 1 / 111_000  # of latitude, in degrees


def whole(*parts):
    return MultiPolygon(parts)


LEFT = whole(box(LON, LAT, LON + STEP, LAT + STEP))


def shared_m2(one, other):
    return Plane(LON, LAT).to_metres(one.intersection(other)).area


@st.composite
def neighbours(draw):
    """Two pieces of one plot, of which one was drawn anew a little off: they share a sliver along a rough edge."""
    lat, seed = draw(st.floats(-60, 60)), draw(st.integers(0, 10_000))
    random = np.random.default_rng(seed)
    ground = natural_outline(LON, lat, draw(st.floats(1, 9)), seed, corners=draw(st.integers(12, 200)))
    assume(ground.is_valid)
    south, north = ground.bounds[1] - STEP, ground.bounds[3] + STEP
    rough = np.column_stack([LON + random.normal(0, 3 * METRE, 30), np.linspace(south, north, 30)])
    west = Polygon([(LON - 1, south), *rough, (LON - 1, north)])
    assume(west.is_valid)
    keeper, other = ground.intersection(west), ground.difference(west)
    assume(isinstance(keeper, Polygon) and isinstance(other, Polygon))
    return whole(keeper), whole(
        translate(other, -draw(st.floats(0.01, 0.6)) * METRE, draw(st.floats(-0.3, 0.3)) * METRE)
    )


@given(neighbours())
def test_nothing_is_shared_afterwards_and_the_edge_has_the_keepers_corners(pair):
    keeper, other = pair
    try:
        rest = trimmed(other, keeper, 1.0)
    except CannotTrim:
        assume(False)
    assert shared_m2(rest, keeper) <= 1e-6
    assert rest.is_valid
    assert len(rest.geoms) == 1
    assert rest.geoms[0].interiors[:] == []
    assert shared_m2(rest, other) == pytest.approx(Plane(LON, LAT).to_metres(rest).area)  # nothing is added
    inside = {
        tuple(corner)
        for corner in shapely.get_coordinates(keeper)
        if shapely.contains_properly(other, shapely.Point(corner))
    }
    # corners on a piece that was cut off go with it
    on_the_edge = {corner for corner in inside if rest.distance(shapely.Point(corner)) == 0}
    assert on_the_edge <= {tuple(corner) for corner in shapely.get_coordinates(rest)}


def test_the_cut_runs_along_the_keepers_edge():
    right = whole(box(LON + STEP * 0.99, LAT, LON + STEP * 2, LAT + STEP))
    rest = trimmed(right, LEFT, 1.0)
    assert rest.equals(whole(box(LON + STEP, LAT, LON + STEP * 2, LAT + STEP)))


def test_a_narrow_piece_behind_the_keeper_goes_too():
    spur = box(LON + STEP * 0.98, LAT + STEP * 0.4, LON + STEP * 2, LAT + STEP * 0.6)
    keeper = whole(box(LON + STEP * 0.99, LAT, LON + STEP, LAT + STEP))
    rest = trimmed(whole(spur), keeper, 1.0)
    assert rest.bounds[0] == LON + STEP
    with pytest.raises(CannotTrim, match="fall into 2 pieces"):
        trimmed(whole(spur), keeper, 0.5)


@pytest.mark.parametrize(
    ("outline", "keeper", "why"),
    [
        (LEFT, whole(box(LON + STEP * 0.9, LAT, LON + STEP, LAT + STEP)), "lose 10% of its ground; 5%"),
        (LEFT, whole(box(LON + STEP / 2, LAT - 1, LON + STEP * 0.501, LAT + 1)), "fall into 2 pieces"),
        (LEFT, whole(box(LON + STEP / 2, LAT + STEP / 2, LON + STEP * 0.501, LAT + STEP * 0.6)), "get a hole"),
        (whole(*LEFT.geoms, box(LON - 0.01, LAT, LON - 0.00999, LAT + STEP)), whole(box(LON - 0.02, LAT, LON - 0.009, LAT + STEP)), "lose a whole part"),
    ],
)  # fmt: skip
def test_what_is_more_than_a_sliver_along_the_edge_is_refused(outline, keeper, why):
    with pytest.raises(CannotTrim, match=why):
        trimmed(outline, keeper, 1.0)


def test_other_parts_and_holes_stay_as_they_are():
    hole = box(LON + STEP * 0.2, LAT + STEP * 0.2, LON + STEP * 0.4, LAT + STEP * 0.4)
    other = box(LON + STEP * 5, LAT, LON + STEP * 6, LAT + STEP)
    outline = whole(LEFT.geoms[0].difference(hole), other)
    keeper = whole(box(LON + STEP * 0.995, LAT, LON + STEP * 2, LAT + STEP))
    rest = trimmed(outline, keeper, 1.0)
    assert len(rest.geoms[0].interiors) == 1
    assert rest.geoms[1].equals(other)


@pytest.mark.parametrize("off_m", [0.0, 1e-6, 0.001, 0.008, -0.001], ids=str)
def test_no_needle_is_left_beside_the_keepers_corner(off_m):
    """The south edges of the two lie in one line but for `off_m`: the loser's old corner would stick out along it."""
    off = off_m * METRE
    right = whole(
        Polygon(
            [
                (LON + STEP * 0.995, LAT - off),
                (LON + STEP * 2, LAT),
                (LON + STEP * 2, LAT + STEP),
                (LON + STEP * 0.995, LAT + STEP + off),
            ]
        )
    )
    rest = trimmed(right, LEFT, 1.0)
    assert shared_m2(rest, LEFT) <= 1e-6
    flat = Plane(LON, LAT).to_metres(rest)
    x = shapely.get_coordinates(flat)[:, 0]
    assert x.min() == pytest.approx(Plane(LON, LAT).to_metres(LEFT).bounds[2], abs=0.02)
    assert flat.area == pytest.approx(
        Plane(LON, LAT).to_metres(right.difference(LEFT)).area, abs=0.01 + 90 * abs(off_m)
    )


def test_neighbours_that_share_nothing_stay_as_they_are():
    right = whole(box(LON + STEP, LAT, LON + STEP * 2, LAT + STEP))
    assert trimmed(right, LEFT, 1.0).equals(right)


@pytest.mark.parametrize("size", [0.0, 1e-16, 1e-13])
def test_a_piece_of_rounding_alone_has_no_width(size):
    assert width_m(Polygon([(-92, 0.0003), (-92 + size, 0.0003), (-92, 0.0003 + size)])) < 1e-4
