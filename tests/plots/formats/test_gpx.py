"""What is a loop. The ground is BOX or a circle of geodesics, so the acreage is known before it is walked."""

import math
import random

import pytest
from pyproj import Geod

from plots.calc.units import M2_PER_ACRE
from tests.plots.formats.build import SIDE, SOUTH, WEST, acres, box, boxes, gpx, left_out

RADIUS_M = 60.0


def walk(start=0.0, stop=360.0, step=6.0, noise_m=0.0, radius_m=RADIUS_M, seed=7):
    """Points on a circle round BOX's corner, by bearing; noise is the receiver's."""
    chance, geod, points = random.Random(seed), Geod(ellps="WGS84"), []
    for number in range(round((stop - start) / step) + 1):
        away_m = radius_m + chance.gauss(0, noise_m)
        points.append(geod.fwd(WEST, SOUTH, start + number * step, away_m)[:2])
    return points


def towards(east_m, north_m):
    """A point so far from the circle's centre."""
    return Geod(ellps="WGS84").fwd(
        WEST, SOUTH, math.degrees(math.atan2(east_m, north_m)), math.hypot(east_m, north_m)
    )[:2]


def circle_acres(radius_m=RADIUS_M, vertices=60):
    """A regular polygon: on 60 m of ground the ellipsoid is flat to 10⁻⁹."""
    return vertices / 2 * radius_m**2 * math.sin(2 * math.pi / vertices) / M2_PER_ACRE


def notes(found):
    return found.outlines[0].notes


def test_closed_track_is_an_outline(reading):
    found = reading("a.gpx", gpx([walk()]))
    assert acres(found) == pytest.approx(circle_acres(), rel=1e-6)
    assert not found.outlines[0].repaired


def test_route_is_an_outline_and_is_closed(reading):
    points = "".join(f'<rtept lat="{lat}" lon="{lon}"/>' for lon, lat in box()[:-1])
    found = reading("a.gpx", f"<gpx><rte><name>corners</name>{points}</rte></gpx>")
    assert acres(found) == boxes(1)
    assert notes(found) == ["The route was open; the gap of 111 m was closed with a straight line."]


def test_gap_is_closed_and_its_length_said(reading):
    found = reading("a.gpx", gpx([walk(stop=312)]))
    # The chord of 48 degrees; what it cuts off is small.
    assert notes(found) == ["The track was open; the gap of 49 m was closed with a straight line."]
    assert found.outlines[0].repaired
    assert acres(found) == pytest.approx(circle_acres() * 0.985, rel=0.01)


def test_gap_within_the_receivers_accuracy_is_no_repair(reading):
    found = reading("a.gpx", gpx([walk(stop=354)]))
    assert notes(found) == ["Start and end of the track are 6 m apart; they were joined."]
    assert not found.outlines[0].repaired


def test_half_a_loop_is_not_a_loop(refusal):
    said = refusal("a.gpx", gpx([walk(stop=180)])).sentence
    assert "the track is not a loop: it ends 120 m from its start, 64% of its length" in said


def test_segments_are_joined_in_order(reading):
    found = reading("a.gpx", gpx([walk(stop=170), walk(start=180)]))
    assert acres(found) == pytest.approx(circle_acres(), rel=2e-3)
    assert notes(found) == ["The track came in 2 segments, which were joined in order."]


def test_segments_that_close_on_themselves_are_parts(reading):
    found = reading("a.gpx", gpx([box(), box(2)]))
    assert found.outlines[0].parts == 2
    assert acres(found) == boxes(2)
    assert notes(found) == ["The track holds 2 loops; each is a part of the plot."]


def test_loop_walked_twice_counts_once(reading):
    found = reading("a.gpx", gpx([walk(stop=720, noise_m=1.0)]))
    assert acres(found) == pytest.approx(circle_acres(), rel=0.06)
    assert notes(found)[0].startswith("The track crossed itself (")


def test_way_from_the_truck_and_back_is_no_ground(reading):
    out = [towards(60 + metres, 0.4) for metres in range(80, 0, -8)]
    back = [towards(60 + metres, -0.4) for metres in range(8, 88, 8)]
    found = reading("a.gpx", gpx([[*out, *walk(start=90, stop=450), *back]]))
    assert acres(found) == pytest.approx(circle_acres(), rel=0.02)
    assert "sliver" in notes(found)[0]
    assert found.outlines[0].repaired


def test_figure_of_eight_keeps_both_lobes(reading):
    upper = [(WEST, SOUTH), (WEST + SIDE, SOUTH + SIDE), (WEST, SOUTH + SIDE)]
    lower = [(WEST, SOUTH), (WEST - SIDE, SOUTH - SIDE), (WEST, SOUTH - SIDE), (WEST, SOUTH)]
    found = reading("a.gpx", gpx([upper + lower]))
    assert found.outlines[0].parts == 2
    assert acres(found) == boxes(1)


def test_hole_walked_round_through_a_gate_stays_a_hole(reading):
    outer, inner = box(0, 0, 1, 1), box(0.4, 0.4, 0.2, 0.2)
    found = reading("a.gpx", gpx([[*outer, *inner[::-1], outer[0]]]))
    assert found.outlines[0].holes == 1
    assert acres(found) == boxes(0.96)


def test_out_and_back_along_one_line_is_refused(refusal):
    there = [towards(3 * number, 0) for number in range(60)]
    said = refusal("a.gpx", gpx([there + there[::-1]])).sentence
    assert "goes out and back along the same line" in said


def test_noisy_out_and_back_is_refused(refusal):
    chance = random.Random(3)
    there = [towards(6 * number, chance.gauss(0, 8)) for number in range(100)]
    back = [towards(6 * number, chance.gauss(0, 8)) for number in range(99, -1, -1)]
    said = refusal("a.gpx", gpx([there + back])).sentence
    assert "the track encloses no usable area: it crosses itself" in said


def test_gap_wider_than_the_shape_is_refused(refusal):
    """An unfinished way round nothing: the gap is less than a quarter, yet wider than what is enclosed."""
    there = [towards(5 * number, 0) for number in range(20)]
    back = [towards(5 * number, 4) for number in range(19, 6, -1)]
    assert "encloses only a strip 3 m wide" in refusal("a.gpx", gpx([there + back])).sentence


@pytest.mark.parametrize(
    ("points", "why"),
    [
        ([], "fewer than three distinct points"),
        (box()[:2], "fewer than three distinct points"),
        ([box()[0]] * 30, "fewer than three distinct points"),
        ([*box(), ("x", 1)], "point 6 has no usable latitude and longitude"),
        ([*box(), (200, 42)], "a point without a usable latitude and longitude"),
        ([*box(), ("nan", 42)], "a point without a usable latitude and longitude"),
    ],
)
def test_unusable_track_is_left_out_beside_a_good_one(reading, points, why):
    found = reading("a.gpx", gpx([box()], [points]))
    assert acres(found) == boxes(1)
    assert left_out(found)[0][0] == "Track 2 (“walk”)"
    assert why in left_out(found)[0][1]


def test_missing_latitude_is_a_bad_point(refusal):
    text = gpx([box()]).replace('lat="42.03" ', "", 1)
    assert "point 1 has no usable latitude" in refusal("a.gpx", text).sentence


def test_waypoints_are_counted(refusal):
    assert (
        "2 waypoints: points, not an outline"
        in refusal("a.gpx", "<gpx>" + '<wpt lat="42" lon="-93"/>' * 2 + "</gpx>").sentence
    )


def test_road_from_here_to_there_is_no_outline(refusal):
    points = "".join(f'<rtept lat="{lat}" lon="{lon}"/>' for lon, lat in walk(stop=150))
    assert "the route is not a loop" in refusal("a.gpx", f"<gpx><rte>{points}</rte></gpx>").sentence


def test_too_many_points_are_refused(refusal, monkeypatch):
    monkeypatch.setattr("plots.formats.xmlfile.MAX_VERTICES", 2_000)
    text = "<gpx><trk><trkseg>" + '<trkpt lat="42" lon="-93"/>' * 2_001
    assert "vertices" in refusal("a.gpx", text).sentence
