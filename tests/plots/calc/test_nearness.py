"""Distances between extents, held to the geodesic between the nearest of many points along both."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plots.calc.geodesy import WGS84
from plots.calc.nearness import away_m, between_m, box_around, main_group


@st.composite
def extents(draw, lon=-92.0, lat=38.0):
    """An extent of plot size within half a degree of a place."""
    west, south = lon + draw(st.floats(-0.5, 0.5)), lat + draw(st.floats(-0.5, 0.5))
    return (west, south, west + draw(st.floats(0.0005, 0.02)), south + draw(st.floats(0.0005, 0.02)))


def edge_points(extent, count=25):
    west, south, east, north = extent
    share = np.linspace(0, 1, count)
    lon, lat = west + share * (east - west), south + share * (north - south)
    full = np.ones(count)
    return np.column_stack(
        [
            np.concatenate([lon, lon, west * full, east * full]),
            np.concatenate([south * full, north * full, lat, lat]),
        ]
    )


@given(extents(), extents())
def test_distance_is_that_of_the_nearest_points(one, other):
    a, b = edge_points(one), edge_points(other)
    i, j = (each.ravel() for each in np.meshgrid(range(len(a)), range(len(b))))
    nearest_m = WGS84.inv(*a[i].T, *b[j].T)[2].min()
    [found_m] = between_m([one], [other])
    # the sampled points lie up to 90 m apart
    assert found_m <= nearest_m * 1.001 + 1e-6
    assert found_m >= nearest_m - 90


@given(extents(), extents())
def test_distance_is_the_same_both_ways_and_round_the_world(one, other):
    turned = [np.array(each) + (120, 0, 120, 0) for each in (one, other)]
    there, back, round_the_world = (between_m([a], [b])[0] for a, b in ((one, other), (other, one), turned))
    assert there == pytest.approx(back, abs=1e-6)
    assert there == pytest.approx(round_the_world, abs=1e-3)


@given(extents(), st.lists(extents(), min_size=1, max_size=40))
def test_the_nearest_of_many_is_found(one, others):
    every_m = between_m([one] * len(others), others)
    # extents are up to 2 km wide, and the eight with the nearest middles are looked at
    assert away_m([one], others)[0] <= every_m.min() + 2_000
    assert away_m([one], others)[0] >= every_m.min()


def test_beyond_a_pole_is_nowhere_and_an_empty_rest_is_endlessly_far():
    assert away_m([(38, -92.1, 38.1, -92)], [(-92, 38, -91.9, 38.1)]) == [np.inf]
    assert away_m([(-92, 38, -91.9, 38.1)], []) == [np.inf]
    assert away_m([], [(-92, 38, -91.9, 38.1)]).shape == (0,)


@pytest.mark.parametrize("lat", [-80.0, 0.0, 38.0, 60.0])
def test_a_box_reaches_its_distance_to_every_side(lat):
    west, south, east, north = box_around((-92, lat, -91.99, lat + 0.01), 10_000)
    middle = lat + 0.005
    for lon, at, from_lon, from_at in (
        (west, middle, -92, middle),
        (east, middle, -91.99, middle),
        (-92, south, -92, lat),
        (-92, north, -92, lat + 0.01),
    ):
        assert WGS84.inv(lon, at, from_lon, from_at)[2] == pytest.approx(10_000, rel=0.02)


def test_near_a_pole_a_box_goes_all_the_way_round():
    west, _, east, north = box_around((0, 89.95, 0.1, 89.96), 10_000)
    assert east - west >= 360
    assert north == 90


def test_a_chain_of_plots_is_one_group():
    chain = [(-92 + i * 0.15, 38, -91.99 + i * 0.15, 38.01) for i in range(6)]  # 13 km apart
    far = [(-80, 38, -79.99, 38.01)] * 5
    assert main_group([*far, *chain], 20_000).tolist() == [False] * 5 + [True] * 6
    assert main_group([], 20_000).tolist() == []
