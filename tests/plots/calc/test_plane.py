"""The flat map in metres against distances on the ellipsoid, and how wide an outline is."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import LineString, MultiPolygon, Point, box

from plots.calc.geodesy import WGS84, geodesic_area_perimeter
from plots.calc.plane import Plane
from plots.calc.shape import width_m

lons, lats = st.floats(-179, 179), st.floats(-80, 80)
bearings, distances_m = st.floats(0, 360), st.floats(1, 5_000)


@given(lons, lats, bearings, distances_m)
def test_distances_from_the_middle_are_those_on_the_ellipsoid(lon, lat, bearing, metres):
    """Against PROJ's geodesics (Karney, Algorithms for geodesics, J. Geodesy 87, 2013)."""
    # nearer to the zero lines PROJ takes these themselves, less than a centimetre away
    assume(all(each == 0 or abs(each) > 1e-7 for each in (lon, lat)))
    there = Point(WGS84.fwd(lon, lat, bearing, metres)[:2])
    flat = Plane(lon, lat).to_metres(there)
    assert math.hypot(flat.x, flat.y) == pytest.approx(metres, rel=1e-9, abs=1e-6)


@given(lons, lats, bearings, bearings, distances_m)
def test_distances_near_the_middle_are_true_to_a_millionth(lon, lat, one_way, other_way, metres):
    ends = [WGS84.fwd(lon, lat, bearing, metres)[:2] for bearing in (one_way, other_way)]
    on_the_ground = WGS84.inv(*ends[0], *ends[1])[2]
    on_the_map = Plane(lon, lat).to_metres(LineString(ends)).length if on_the_ground > 1 else on_the_ground
    assert on_the_map == pytest.approx(on_the_ground, rel=1e-6)


@given(lons, lats)
def test_there_and_back_is_where_it_was(lon, lat):
    plane, shape = Plane(lon, lat), box(lon, lat, lon + 0.01, lat + 0.01)
    assert plane.to_degrees(plane.to_metres(shape)).equals_exact(shape, 1e-9)


def test_a_sliver_is_as_wide_as_it_is_across_however_it_lies():
    plane = Plane(-92, 38)
    strip = box(0, 0, 300, 0.8)
    for turn in (0, 33, 90, 171):
        assert width_m(plane.to_degrees(affinity.rotate(strip, turn, origin=(0, 0)))) == pytest.approx(
            0.8, abs=0.02
        )


def test_an_outline_is_as_wide_as_its_widest_part():
    plane = Plane(-92, 38)
    parts = MultiPolygon([box(0, 0, 100, 0.5), box(200, 0, 240, 30)])
    flat = plane.to_degrees(parts)
    assert width_m(flat) == pytest.approx(30, rel=0.01)
    assert geodesic_area_perimeter(flat)[0] == pytest.approx(parts.area, rel=1e-6)
