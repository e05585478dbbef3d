"""A plot that is split loses no ground and gains none, and what is known of it goes on."""

import json
from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiPolygon, Polygon, box
from shapely.geometry.polygon import orient

from config.errors import Refused
from plots.calc.geodesy import geodesic_area_perimeter
from plots.calc.plane import Plane
from plots.calc.splitting import CannotSplit, joined, pieces_of
from plots.models import Boundary, Plot
from plots.queries import standing_overlaps
from plots.services.boundaries import BoundaryChanged, set_boundary
from plots.services.plots import archive_plot
from plots.services.reshaping import CannotUndo
from plots.services.splitting import split_off, split_plot, split_preview, undo_split
from tests.scenery import natural_outline

# A geodesic area is summed from the equator in doubles: two sums of one area differ by up to a square centimetre.
MEASURED_TO_M2 = 1e-4
SQUARE = MultiPolygon([box(-92, 38, -91.998, 38.002)])
RING = MultiPolygon([SQUARE.geoms[0].difference(box(-91.9993, 38.0007, -91.9987, 38.0013))])
TWO_PARTS = MultiPolygon([SQUARE.geoms[0], box(-91.996, 38, -91.995, 38.001)])
ACROSS = LineString([(-91.9985, 37.999), (-91.9985, 38.003)])
MIDDLE = LineString([(-91.999, 37.999), (-91.999, 38.003)])


def area_m2(ground):
    return float(np.sum(geodesic_area_perimeter(ground)[0]))


# cutting


@st.composite
def outlines(draw):
    """A natural outline, some with a hole and some with a second part, anywhere but near the poles."""
    seed, lat = draw(st.integers(0, 10_000)), draw(st.sampled_from([-45.0, 0.0, 31.0, 38.0, 60.0]))
    outline = natural_outline(-92, lat, draw(st.floats(0.5, 9)), seed, corners=draw(st.integers(4, 60)))
    assume(outline.is_valid)
    if draw(st.booleans()):
        outline = outline.difference(natural_outline(-92, lat, 0.1, seed + 1))
    parts = [orient(part) for part in shapely.get_parts(outline)]
    if draw(st.booleans()):
        parts.append(orient(natural_outline(-91.99, lat, 1, seed + 2)))
    assume(all(isinstance(part, Polygon) and part.is_valid for part in parts))
    outline = MultiPolygon(parts)
    assume(outline.is_valid)
    return outline


@settings(max_examples=150)
@given(outlines(), st.lists(st.lists(st.floats(-0.2, 1.2), min_size=2, max_size=6), min_size=1, max_size=3))
def test_pieces_are_the_whole_without_gap_or_overlap(outline, heights):
    west, south, east, north = outline.bounds
    aside = 0.05 * (east - west)
    lines = [
        LineString(
            np.column_stack(
                [
                    np.linspace(west - aside, east + aside, len(share)),
                    south + np.array(share) * (north - south),
                ]
            )
        )
        for share in heights
    ]
    try:
        pieces, untouched = pieces_of(outline, lines)
    except CannotSplit:
        assume(False)
    assert len(pieces) >= 2
    assert all(piece.is_valid and piece.exterior.is_ccw for piece in pieces)
    assert area_m2([*pieces, *untouched]) == pytest.approx(area_m2(outline), rel=1e-9, abs=MEASURED_TO_M2)
    assert max(one.intersection(other).area for one, other in combinations(pieces, 2)) == 0
    # no gap: the pieces dissolve into the outline, but for the hair between a geodesic and a straight line
    whole = joined([*pieces, *untouched])
    assert len(whole.geoms) == len(outline.geoms)
    assert sum(len(part.interiors) for part in whole.geoms) == sum(
        len(part.interiors) for part in outline.geoms
    )
    flat = Plane.about(outline).to_metres([whole, outline])
    assert shapely.hausdorff_distance(*flat) < 0.02


def test_corners_of_the_cut_are_the_same_in_both_pieces():
    line = LineString([(-91.9991, 37.999), (-91.9987, 38.001), (-91.9993, 38.003)])
    (one, other), _ = pieces_of(SQUARE, [line])
    corners = [set(map(tuple, shapely.get_coordinates(piece))) for piece in (one, other)]
    assert len(corners[0] & corners[1]) == 3
    assert (-91.9987, 38.001) in corners[0] & corners[1]


def test_old_corners_stay_as_they_are():
    pieces, _ = pieces_of(RING, [ACROSS])
    found = set(map(tuple, shapely.get_coordinates(pieces)))
    assert set(map(tuple, shapely.get_coordinates(RING))) <= found


def test_a_line_across_a_hole_cuts_what_is_around_it():
    pieces, untouched = pieces_of(RING, [MIDDLE])
    assert ([len(piece.interiors) for piece in pieces], untouched) == ([0, 0], [])
    assert area_m2(pieces) == pytest.approx(area_m2(RING), rel=1e-9, abs=MEASURED_TO_M2)


def test_a_line_beside_a_hole_leaves_the_hole_to_one_piece():
    pieces, _ = pieces_of(RING, [ACROSS])
    assert [len(piece.interiors) for piece in pieces] == [1, 0]


def test_two_lines_that_cross_make_four_pieces():
    level = LineString([(-92.001, 38.001), (-91.997, 38.001)])
    pieces, _ = pieces_of(SQUARE, [MIDDLE, level])
    assert len(pieces) == 4
    assert area_m2(pieces) == pytest.approx(area_m2(SQUARE), rel=1e-9, abs=MEASURED_TO_M2)


def test_parts_that_no_line_cuts_stay_whole():
    pieces, untouched = pieces_of(TWO_PARTS, [MIDDLE])
    assert len(pieces) == 2
    assert untouched == [TWO_PARTS.geoms[1]]


def test_a_line_may_bend_out_and_in_again():
    line = LineString(
        [(-92.001, 38.0005), (-91.999, 38.0005), (-91.999, 37.999), (-91.9985, 37.999), (-91.9985, 38.003)]
    )
    pieces, _ = pieces_of(SQUARE, [line])
    assert len(pieces) == 3


@pytest.mark.parametrize("short_m", [0.0, 0.005, 0.9])
def test_an_end_just_inside_the_edge_reaches_it(short_m):
    short = short_m / 111_000
    line = LineString([(-91.999, 38 + short), (-91.999, 38.002 - short)])
    assert len(pieces_of(SQUARE, [line])[0]) == 2


@pytest.mark.parametrize(
    "line",
    [
        LineString([(-91.999, 37.999), (-91.999, 38.001)]),  # ends inside
        LineString([(-91.999, 37.999), (-91.999, 38.00198)]),  # 2 m short
        LineString([(-91.99, 38), (-91.99, 38.01)]),  # beside it
        LineString([(-92, 38), (-91.998, 38)]),  # along the edge
        LineString([(-92.001, 38.001), (-91.999, 38.003)]),  # touches a corner
        LineString([(-91.9999, 38.001), (-91.9995, 38.001)]),  # within
    ],
)
def test_a_line_that_does_not_cut_through_is_told(line):
    with pytest.raises(CannotSplit, match="does not cut through"):
        pieces_of(SQUARE, [line])


def test_a_line_from_the_edge_to_the_hole_cuts_nothing():
    with pytest.raises(CannotSplit, match="does not cut through"):
        pieces_of(RING, [LineString([(-91.999, 37.999), (-91.999, 38.001)])])


def test_a_sliver_is_no_piece():
    with pytest.raises(CannotSplit, match="One piece would have 0.00.. acre; at least 0.01 acre is accepted"):
        pieces_of(SQUARE, [LineString([(-91.999998, 37.999), (-91.999998, 38.001), (-92.0001, 38.0012)])])


def test_pieces_of_one_plot_dissolve_into_one_part():
    level = LineString([(-92.001, 38.001), (-91.997, 38.001)])
    pieces, _ = pieces_of(SQUARE, [MIDDLE, level])
    beside = [piece for piece in pieces if piece.bounds[0] == -92]
    assert len(joined(beside).geoms) == 1
    assert area_m2(joined(beside)) == pytest.approx(area_m2(beside), rel=1e-9, abs=MEASURED_TO_M2)


# storing


@pytest.fixture
def plot(make_plot, manager):
    plot = make_plot("Creek Bottom", acres=None)
    plot.notes, plot.objective = "Wet in May", "hold_weeds"
    plot.save()
    set_boundary(plot=plot, geometry=TWO_PARTS, user=manager, how="walked", accuracy_m=2.5)
    return plot


@pytest.fixture
def split(plot, manager):
    def split(names=(None, "Trial"), line=ACROSS, **how):
        how = {"replaces": plot.boundary_id, "why": "A trial of rye"} | how
        return split_plot(plot=plot, lines=[line], names=list(names), user=manager, **how)

    return split


def test_the_plot_keeps_its_pieces_and_the_others_become_plots(split, plot, manager):
    before = plot.boundary
    kept, [new], said = split()
    whole = before.area_m2
    assert kept.boundary.area_m2 + new.boundary.area_m2 == pytest.approx(whole, rel=1e-9, abs=MEASURED_TO_M2)
    assert len(kept.boundary.geometry.geoms) == 2  # with the part that the line did not touch
    assert (kept.boundary.how, new.boundary.how) == ("reshaped", "reshaped")
    assert kept.boundary.why == "Split: Trial came off it. A trial of rye"
    assert new.boundary.why == "Split from Creek Bottom. A trial of rye"
    assert (new.name, new.notes, new.objective) == ("Trial", "Wet in May", "hold_weeds")
    assert {kept.boundary.accuracy_m, new.boundary.accuracy_m} == {2.5}
    assert {kept.boundary.created_by, new.boundary.created_by} == {manager}
    assert Boundary.objects.filter(pk=before.pk, plot=plot).exists()
    assert said == []


def test_the_new_neighbours_are_compared_and_share_no_ground(split, farm):
    kept, [new], _ = split()
    compared = Boundary.objects.filter(pk__in=[kept.boundary_id, new.boundary_id], is_compared=True)
    assert compared.count() == 2
    assert list(standing_overlaps(farm)) == []


def test_the_person_says_which_piece_keeps_the_name(split):
    kept, [new], _ = split(["Upper", None])
    assert new.name == "Upper"
    assert new.boundary.area_m2 > kept.boundary.area_m2


def test_the_plots_own_name_keeps_a_piece_too(split):
    kept, [new], _ = split(["creek  BOTTOM", "Trial"])
    assert (kept.name, new.name) == ("Creek Bottom", "Trial")


def test_pieces_of_one_name_become_one_plot(split):
    there_and_back = LineString(
        [(-91.9995, 37.999), (-91.9995, 38.003), (-91.9985, 38.003), (-91.9985, 37.999)]
    )
    _, [new], _ = split([None, "Edges", "edges"], line=there_and_back)
    assert new.name == "Edges"
    assert len(new.boundary.geometry.geoms) == 2


@pytest.mark.parametrize(
    ("names", "said"),
    [
        ([None, None], "Every piece stays with Creek Bottom"),
        ([None], "makes 2 pieces, and 1 names are given"),
        ([None, " "], "A name is missing"),
        ([None, "x" * 81], "81 characters"),
        ([None, "north bench"], "There is a plot “North Bench”"),
    ],
)
def test_names_that_cannot_be_given_are_refused_and_nothing_is_stored(split, make_plot, plot, names, said):
    make_plot("North Bench")
    with pytest.raises(Refused, match=said):
        split(names)
    assert (Plot.objects.count(), plot.boundaries.count()) == (2, 1)


def test_something_stays_with_the_plot(plot, manager):
    whole = set_boundary(plot=plot, geometry=SQUARE, user=manager, how="drawn")
    with pytest.raises(Refused, match="No piece stays with Creek Bottom"):
        split_plot(plot=plot, lines=[ACROSS], names=["A", "B"], user=manager, replaces=whole.pk)


def test_a_split_of_an_older_boundary_is_told_of_the_newer_one(split, plot, manager):
    seen = plot.boundary_id
    newer = set_boundary(plot=plot, geometry=SQUARE, user=manager, how="drawn")
    with pytest.raises(BoundaryChanged) as caught:
        split(replaces=seen)
    assert caught.value.current == newer


def test_an_archived_plot_is_not_split(split, plot):
    archive_plot(plot=plot)
    with pytest.raises(Refused, match="Creek Bottom is archived; bring it back first"):
        split()


def test_a_long_list_of_names_leaves_room_for_the_reason(split, plot):
    kept, _, _ = split([None, "N" * 80], why="w" * 160)
    assert len(kept.boundary.why) <= 300
    assert kept.boundary.why.endswith("w" * 160)


def test_a_preview_proposes_names_that_are_free(plot, make_plot):
    make_plot("Creek Bottom 2")
    found = split_preview(plot=plot, lines=[ACROSS], replaces=plot.boundary_id)
    assert [piece["name"] for piece in found["pieces"]] == [None, "Creek Bottom 3"]
    assert found["untouched_parts"] == 1
    total = sum(piece["acres"] for piece in found["pieces"]) + found["untouched_acres"]
    assert total == pytest.approx(plot.boundary.acres, rel=1e-8)
    assert plot.boundaries.count() == 1


def test_of_two_who_split_at_once_one_is_told(make_plot, manager, at_once):
    plot = make_plot(geometry=SQUARE)
    seen = plot.boundary_id

    def cut(name, line):
        return lambda: split_plot(
            plot=Plot.objects.get(pk=plot.pk), lines=[line], names=[None, name], user=manager, replaces=seen
        )

    outcomes = at_once(cut("East", ACROSS), cut("Half", MIDDLE))
    assert sorted(type(each).__name__ for each in outcomes) == ["BoundaryChanged", "tuple"]
    assert Plot.objects.count() == 2


# undoing


def test_an_undone_split_gives_the_ground_back_and_erases_nothing(split, plot, manager):
    before = plot.boundary
    kept, [new], _ = split()
    assert split_off(kept) == ([new], before)
    assert undo_split(plot=kept, user=manager, replaces=kept.boundary_id) == [new]
    kept.refresh_from_db()
    assert kept.boundary.geometry.equals(before.geometry)
    assert (kept.boundary.restored_from, kept.boundary.how) == (before, "walked")
    assert kept.boundary.why == "Split undone: Trial archived."
    new.refresh_from_db()
    assert new.is_archived
    assert Boundary.objects.count() == 4


def test_a_piece_that_was_changed_since_is_not_taken_back(split, plot, manager):
    kept, [new], _ = split()
    set_boundary(plot=new, geometry=box(-91.9985, 38, -91.998, 38.001), user=manager, how="drawn")
    assert split_off(kept) == ([], None)
    with pytest.raises(
        CannotUndo, match="The last change of Creek Bottom was no split, or one of its pieces"
    ):
        undo_split(plot=kept, user=manager, replaces=kept.boundary_id)


def test_a_plot_that_was_never_split_has_nothing_to_undo(plot):
    assert split_off(plot) == ([], None)


# the API


@pytest.fixture
def post(client, manager, plot):
    client.force_login(manager)

    def post(**body):
        body = {"line": json.loads(shapely.to_geojson(ACROSS)), "replaces": plot.boundary_id} | body
        address = f"/api/v1/properties/tally-hollow/plots/{plot.pk}/split/"
        return client.post(address, json.dumps(body), "application/json")

    return post


def test_a_split_is_tried_before_it_is_made(post, plot):
    tried = post(dry=True)
    assert tried.status_code == 200
    assert [piece["name"] for piece in tried.json()["pieces"]] == [None, "Creek Bottom 2"]
    assert Plot.objects.count() == 1
    made = post(names=[None, "Trial"])
    assert made.status_code == 201
    assert made.json()["plot"]["id"] == plot.pk
    [new] = made.json()["new_plots"]
    assert new["name"] == "Trial"
    assert new["mapped_acres"] == pytest.approx(tried.json()["pieces"][1]["acres"])


def test_a_line_that_cuts_nothing_is_a_problem_when_tried_and_refused_when_meant(post):
    line = {"type": "LineString", "coordinates": [[0, 0], [1, 1]]}
    assert "does not cut through" in post(line=line, dry=True).json()["problems"][0]
    answer = post(line=line, names=[None, "Trial"])
    assert answer.status_code == 400
    assert "line" in answer.json()["error"]["fields"]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (None, "line"),
        ({"type": "Point", "coordinates": [0, 0]}, "The line is 'Point'"),
        ({"type": "LineString", "coordinates": [[0, 0]]}, "not those of a line"),
        ({"type": "LineString", "coordinates": [[1, 2], [1, 2]]}, "has no length"),
        (
            {"type": "LineString", "coordinates": [[0, 0], [0, 95]]},
            "The line has a corner at longitude 0, latitude 95",
        ),
        ({"type": "LineString", "coordinates": [[0, i / 1e6] for i in range(10_001)]}, "at most 10,000"),
    ],
)
def test_what_is_no_line_is_refused(post, line, said):
    answer = post(line=line, dry=True)
    assert answer.status_code == 400
    assert said in answer.json()["error"]["message"]


def test_a_boundary_that_changed_is_shown_beside_the_refusal(post, plot, owner):
    seen = plot.boundary_id
    theirs = set_boundary(plot=plot, geometry=SQUARE, user=owner, how="drawn")
    answer = post(replaces=seen, names=[None, "Trial"])
    assert (answer.status_code, answer.json()["error"]["code"]) == (409, "boundary_changed")
    assert answer.json()["current"]["properties"]["boundary_id"] == theirs.pk
