"""BoundaryField answers the same on SQLite and on PostGIS."""

import pytest
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box

from plots.models import Boundary

SQUARE = MultiPolygon([box(-92.0, 38.0, -91.99, 38.01)])


@pytest.fixture
def plot(make_plot):
    return make_plot(geometry=SQUARE)


def test_a_boundary_comes_back_as_it_went_in(plot):
    assert Boundary.objects.get().geometry.equals(SQUARE)


def test_a_polygon_is_kept_as_a_multipolygon_of_one_part(make_plot):
    plot = make_plot("Single", geometry=box(0, 0, 1, 1))
    assert Boundary.objects.get(plot=plot).geometry.geom_type == "MultiPolygon"


def test_the_extent_columns_follow_the_geometry(plot):
    boundary = Boundary.objects.get()
    assert (boundary.west, boundary.south, boundary.east, boundary.north) == SQUARE.bounds


@pytest.mark.parametrize(
    ("other", "intersects", "covers"),
    [
        (box(-91.999, 38.001, -91.998, 38.002), True, True),
        (box(-91.995, 38.005, -91.985, 38.015), True, False),
        (box(-91.99, 38.0, -91.98, 38.01), True, False),  # only the edge in common
        (box(-91.98, 38.0, -91.97, 38.01), False, False),
        (LineString([(-92.1, 37.9), (-91.9, 38.1)]), True, False),
        (Point(-91.995, 38.005), True, True),
        (Point(-92.0, 38.0), True, True),
        (Polygon([(-92.1, 38.02), (-91.9, 38.02), (-91.9, 38.03)]), False, False),
    ],
)
def test_lookups_agree_with_the_simple_features_definitions(plot, other, intersects, covers):
    assert Boundary.objects.filter(geometry__intersects=other).exists() is intersects
    assert Boundary.objects.filter(geometry__covers=other).exists() is covers


@pytest.mark.parametrize(
    ("view", "seen"),
    [((-93, 37, -91, 39), True), ((-91.99, 38.01, -91, 39), True), ((-91.98, 37, -91, 39), False)],
)
def test_bbox_finds_what_is_in_view(plot, view, seen):
    assert Boundary.objects.filter(geometry__bbox=view).exists() is seen
