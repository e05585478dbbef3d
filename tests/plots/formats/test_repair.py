"""Repairs keep the ground that is enclosed. Each shape is made of BOX, so its acreage is known by counting."""

import json
import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Polygon

from plots.formats.model import NotAnOutline
from plots.formats.repair import Mender, count_crossings, quietly
from tests.plots.formats.build import acres, box, boxes, geojson, left_out, polygon

BOWTIE = [box()[0], box()[2], box()[1], box()[3], box()[0]]  # the two diagonals and two sides: half the box
SPIKE = [*box()[:2], [box(3)[0][0], box()[0][1]], *box()[1:]]


@pytest.fixture
def repaired(reading):
    """What becomes of a GeoJSON geometry: its acreage, parts, holes and what is said."""

    def repair(geometry):
        found = reading("a.geojson", json.dumps(geometry))
        outline = found.outlines[0]
        return acres(found), outline.parts, outline.holes, outline.notes

    return repair


def multipolygon(*polygons):
    return {"type": "MultiPolygon", "coordinates": [list(rings) for rings in polygons]}


def test_bowtie_keeps_both_lobes(repaired):
    ground, parts, holes, notes = repaired(polygon(BOWTIE))
    assert (ground, parts, holes) == (boxes(0.5), 2, 0)
    assert notes == ["The ring crossed itself; it is now 2 parts.", "Acreage: 0.000 as drawn, 1.136 now."]


def test_spike_is_removed(repaired):
    assert repaired(polygon(SPIKE)) == (
        boxes(1),
        1,
        0,
        ["The ring ran out and back along the same line; that spike was removed."],
    )


def test_repeated_vertices_are_no_fault(repaired):
    assert repaired(polygon([vertex for vertex in box() for _ in range(3)])) == (boxes(1), 1, 0, [])


def test_ring_drawn_twice_counts_once(repaired):
    ground, parts, _, notes = repaired(polygon([*box(), *box()[1:]]))
    assert (ground, parts) == (boxes(1), 1)
    assert notes[0].startswith("The ring")


def test_keyhole_becomes_a_hole(repaired):
    ground, parts, holes, notes = repaired(polygon([*box(), *box(0.4, 0.4, 0.2, 0.2)[::-1], box()[0]]))
    assert (ground, parts, holes) == (boxes(0.96), 1, 1)
    assert notes == ["The ring touched itself; it now follows the edge of the ground that it encloses."]


def test_overlapping_parts_are_merged(repaired):
    ground, parts, _, notes = repaired(multipolygon([box()], [box(0.5, 0.5)]))
    assert (ground, parts) == (boxes(1.75), 1)
    assert notes == [
        "Parts that lay over each other were merged; their common ground counts once.",
        "Acreage: 4.546 as drawn, 3.978 now.",
    ]


def test_part_inside_another_counts_once(repaired):
    assert repaired(multipolygon([box()], [box(0.2, 0.2, 0.5, 0.5)]))[:2] == (boxes(1), 1)


def test_island_in_a_hole_is_kept(repaired):
    island = multipolygon([box(), box(0.2, 0.2, 0.6, 0.6)], [box(0.4, 0.4, 0.2, 0.2)])
    assert repaired(island) == (boxes(1 - 0.36 + 0.04), 2, 1, [])


def test_parts_that_share_an_edge_are_joined(repaired):
    ground, parts, _, notes = repaired(multipolygon([box()], [box(1)]))
    assert (ground, parts) == (boxes(2), 1)
    assert notes == ["Rings that touched along an edge or twice were joined or parted there."]


def test_hole_that_sticks_out_is_clipped(repaired):
    ground, parts, _, notes = repaired(polygon(box(), box(0.5, 0.4, 1, 0.2)))
    assert (ground, parts) == (boxes(0.9), 1)
    assert notes[0] == "A hole stuck out of the outline; it was clipped."


def test_hole_outside_is_dropped_and_is_no_ground(repaired):
    ground, _, holes, notes = repaired(polygon(box(), box(3, 3, 0.5, 0.5)))
    assert (ground, holes) == (boxes(1), 0)
    assert notes[0] == "A hole outside the outline was dropped."


def test_holes_that_overlap_are_merged(repaired):
    ground, _, holes, notes = repaired(polygon(box(), box(0.2, 0.2, 0.2, 0.2), box(0.3, 0.2, 0.2, 0.2)))
    assert (ground, holes) == (boxes(1 - 0.06), 1)
    assert notes[0] == "Holes that lay over each other were merged."


def test_hole_across_the_whole_outline_parts_it(repaired):
    assert repaired(polygon(box(), box(-0.5, 0.4, 2, 0.2)))[:2] == (boxes(0.8), 2)


def test_hole_as_large_as_the_outline_leaves_nothing(refusal):
    assert "it encloses no ground" in refusal("a.json", json.dumps(polygon(box(), box()))).sentence


def test_small_real_part_survives_a_repair(repaired):
    """A ten-thousandth of the ground is a place to stand on; only rounding is swept away."""
    assert repaired(multipolygon([BOWTIE], [box(3, 0, 0.01, 0.01)]))[1] == 3


def test_outlines_without_ground_are_left_out(reading):
    sliver = polygon([*box()[:2], [box()[1][0], 42.0300001], box()[0]])
    speck = polygon(box(2, 0, 0.005, 0.005))
    found = reading("a.json", geojson(polygon(box()), sliver, speck))
    assert [what for what, _ in left_out(found)] == ["Feature 2", "Feature 3"]
    assert all(why.startswith("it encloses no usable ground (") for _, why in left_out(found))


def test_same_outline_twice_is_told(reading):
    found = reading("a.json", geojson(polygon(box()), polygon(box(2)), polygon([*box()[2:], *box()[1:3]])))
    assert [outline.notes for outline in found.outlines] == [
        [],
        [],
        ["A duplicate: the same outline as Feature 1."],
    ]


def star(points):
    """Every point joined to the one nearly opposite: points × (points − 3) / 2 crossings."""
    turn = 2 * math.pi * (points // 2) / points
    return [
        [-93.6 + math.cos(number * turn) / 1e3, 42 + math.sin(number * turn) / 1e3]
        for number in range(points)
    ]


@pytest.mark.parametrize("points", [5, 7, 21])
def test_crossings_of_a_star_are_counted(points):
    ring = star(points)
    assert (
        count_crossings(shapely.get_coordinates(Polygon(ring).exterior), 1_000) == points * (points - 3) // 2
    )


def test_star_of_two_thousand_points_is_left_out_at_once(reading):
    found = reading("a.json", geojson(polygon(box()), polygon(star(2_001))))
    assert left_out(found) == [("Feature 2", "it is too complex: it crosses itself more than 5,000 times")]


def test_many_tangled_outlines_are_refused_together(refusal):
    assert "together they cross themselves" in refusal("a.json", geojson(*[polygon(star(91))] * 6)).sentence


def test_hair_thin_touch_is_undone_quietly():
    """As rounding in a transformation leaves it: an edge that dents inwards and touches its own ring."""
    touching = MultiPolygon([Polygon([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)])])
    assert not touching.is_valid
    assert quietly(touching).is_valid
    assert quietly(touching).area == pytest.approx(touching.area, rel=1e-9)


coordinate = st.integers(0, 40).map(float)


def goes_round(vertices, x, y):
    """Whether a ring goes round a point, by the angles under which its edges are seen from there."""
    seen = [math.atan2(b - y, a - x) for a, b in vertices]
    turns = [
        math.remainder(after - before, math.tau)
        for before, after in zip(seen, [*seen[1:], seen[0]], strict=True)
    ]
    return round(sum(turns) / math.tau) != 0


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.lists(st.tuples(coordinate, coordinate), min_size=4, max_size=14))
def test_repaired_ring_is_valid_and_holds_the_points_it_went_round(vertices):
    try:
        mended = Mender().mend(MultiPolygon([Polygon(vertices)])).geometry
    except NotAnOutline:
        mended = MultiPolygon()
    assert mended.is_valid
    # Points off the whole numbers of the vertices, none on an edge but by a rare chance.
    probes = [(x + 0.4391, y + 0.5723) for x in range(0, 40, 4) for y in range(0, 40, 4)]
    held = shapely.contains_xy(mended, *zip(*probes, strict=True)).tolist()
    assert held == [goes_round(vertices, *probe) for probe in probes]


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.lists(st.tuples(coordinate, coordinate), min_size=4, max_size=10), st.integers(0, 9), st.booleans())
def test_where_a_ring_begins_and_which_way_it_turns_do_not_matter(vertices, start, backwards):
    turned = vertices[start % len(vertices) :] + vertices[: start % len(vertices)]
    turned = turned[::-1] if backwards else turned

    def ground(ring):
        try:
            return Mender().mend(MultiPolygon([Polygon(ring)])).geometry.area
        except NotAnOutline:
            return 0.0

    assert ground(turned) == pytest.approx(ground(vertices), rel=1e-5, abs=1e-9)
