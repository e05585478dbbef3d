"""Outlines seen from afar: neighbours stay neighbours, and nothing vanishes."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Polygon, box

from plots.calc.afar import decimals_for, extent_px, pixel_degrees, simplified
from tests.scenery import natural_outline

STEP = 0.0001


def wavy(shape, seed, size):
    """The shape with corners in between, each moved by its place: what is shared stays shared."""
    random = np.random.default_rng(seed)
    turns = random.uniform(20, 90, (2, 2))

    def move(points):
        places = np.round(points, 6)
        return places + size * np.column_stack([np.sin(places @ turns[0]), np.cos(places @ turns[1])])

    return shapely.transform(shapely.segmentize(shape, 0.1), move)


@st.composite
def parcels(draw):
    """A block of ground cut into parcels with wavy common edges, some of them left out, somewhere on the land."""
    columns, rows, seed = (
        draw(st.integers(2, 4)),
        draw(st.integers(1, 3)),
        draw(st.integers(0, 10_000)),
    )
    side, size = draw(st.floats(0.0005, 0.01)), draw(st.floats(0, 0.03))
    where = np.array([draw(st.floats(-170, 170)), draw(st.floats(-60, 60))])
    cells = [box(i, j, i + 1, j + 1) for i in range(columns) for j in range(rows)]
    kept = draw(st.lists(st.sampled_from(cells), min_size=2, unique_by=id))
    placed = [shapely.transform(wavy(cell, seed, size), lambda at: where + side * at) for cell in kept]
    return np.array([MultiPolygon([each]) for each in placed], dtype=object)


def touching(outlines):
    """Pairs with an edge, not only a corner, in common."""
    shared = shapely.intersection(outlines[:, None], outlines[None, :])
    pairs = (shapely.length(shared) > 0) & ~np.eye(len(outlines), dtype=bool)
    return {(int(i), int(j)) for i, j in zip(*np.nonzero(pairs), strict=True) if i < j}


@settings(max_examples=60)
@given(parcels(), st.floats(0.00002, 0.002))
def test_neighbours_share_their_edge_before_and_after(outlines, step):
    before = touching(outlines)
    after = simplified(outlines, step)
    assert shapely.is_valid(after).all()
    for i, j in before:
        shared = after[i].intersection(after[j])
        assert shared.length > 0, "a gap"
        # What rounding while stretching and back leaves is below a square millimetre.
        assert shared.area < 1e-16, "an overlap"
        ours, theirs = (set(map(tuple, shapely.get_coordinates(after[k]).round(9))) for k in (i, j))
        assert len(ours & theirs) >= 2, "the common edge has the same corners on both sides"


@settings(max_examples=60)
@given(parcels(), st.floats(0.00002, 0.01))
def test_no_outline_vanishes_or_loses_all_its_ground(outlines, step):
    after = simplified(outlines, step)
    assert not shapely.is_empty(after).any()
    assert (shapely.area(after) > 0).all()


@settings(max_examples=40)
@given(parcels(), st.floats(0.00002, 0.002))
def test_the_order_of_the_outlines_changes_nothing(outlines, step):
    there = simplified(outlines, step)
    back = simplified(outlines[::-1], step)[::-1]
    assert shapely.equals(there, back).all()


def test_an_overlap_does_not_part_a_neighbour_from_its_neighbour():
    left, middle, right = (
        wavy(each, 5, 0.02) for each in (box(0, 0, 1, 1), box(0.95, 0, 2, 1), box(2, 0, 3, 1))
    )
    outlines = np.array([MultiPolygon([each]) for each in (left, middle, right)], dtype=object)
    assert left.intersection(middle).area > 0.01
    after = simplified(outlines, 0.05)
    assert shapely.get_num_coordinates(after).sum() < shapely.get_num_coordinates(outlines).sum() / 2
    shared = after[1].intersection(after[2])
    assert shared.length > 0.9
    assert shared.area == pytest.approx(0, abs=1e-15)


def test_corners_that_two_programs_rounded_differently_are_one():
    a = wavy(box(0, 0, 1, 1), 1, 0.02)
    b = shapely.transform(wavy(box(1, 0, 2, 1), 1, 0.02), lambda at: at + 3e-11)
    after = simplified([MultiPolygon([a]), MultiPolygon([b])], 0.05)
    assert after[0].intersection(after[1]).length > 0.9


@pytest.mark.parametrize("seed", range(8))
def test_an_outline_alone_stays_within_the_step(seed):
    outline = MultiPolygon([natural_outline(-92, 38, 4, seed, corners=200)])
    after = simplified([outline], STEP / 4)[0]
    assert shapely.get_num_coordinates(after) < shapely.get_num_coordinates(outline) / 3
    assert after.hausdorff_distance(outline) < STEP / 4 / np.cos(np.radians(38))


def test_what_is_smaller_than_the_step_is_still_there():
    lick = MultiPolygon([natural_outline(-92, 38, 0.01, 3)])
    strip = MultiPolygon([box(-92, 38, -91.99, 38.0000001)])
    after = simplified([lick, strip], 0.001)
    assert (shapely.area(after) > 0).all()
    assert after[1].bounds[2] - after[1].bounds[0] == pytest.approx(0.01)


def test_a_hole_and_parts_of_some_size_stay():
    ring = natural_outline(-92, 38, 9, 2)
    hole = natural_outline(-92, 38, 1, 2)
    outline = MultiPolygon([Polygon(ring.exterior, [hole.exterior]), natural_outline(-91.99, 38, 3, 4)])
    after = simplified([outline], 0.00002)[0]
    assert len(after.geoms) == 2
    assert sum(len(part.interiors) for part in after.geoms) == 1


def test_missing_stays_missing_and_empty_stays_empty():
    after = simplified([None, MultiPolygon(), None], STEP)
    assert after[0] is None
    assert after[1].is_empty
    assert after[2] is None
    assert len(simplified([], STEP)) == 0


@pytest.mark.parametrize("step", [0, -1, float("nan")])
def test_a_step_that_is_none_is_refused(step):
    with pytest.raises(ValueError, match="above zero is accepted"):
        simplified([MultiPolygon([box(0, 0, 1, 1)])], step)


def test_a_pixel_halves_with_each_zoom():
    assert pixel_degrees(0) * 256 == 360
    assert pixel_degrees(11) == pixel_degrees(10) / 2


@pytest.mark.parametrize(("step", "decimals"), [(1, 0), (3, 0), (0.1, 1), (0.09, 2), (2e-5, 5)])
def test_decimals_place_a_corner_within_the_step(step, decimals):
    assert decimals_for(step) == decimals


def test_extents_are_the_larger_of_width_and_height_as_the_map_stretches_them():
    px = pixel_degrees(12)
    wide, tall, unknown = extent_px([0, 0, np.nan], [60, 60, 60], [8 * px, px, 0], [60, 60 + 4 * px, 61], 12)
    assert wide == pytest.approx(8)
    assert tall == pytest.approx(8, rel=1e-3)
    assert np.isnan(unknown)
