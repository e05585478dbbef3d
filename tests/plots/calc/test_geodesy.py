"""What geodesic area and perimeter must not depend on. Figures are checked in tests/published."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from plots.calc.geodesy import WGS84, geodesic_acres, geodesic_area_perimeter

# Double precision keeps each edge's area down to the equator to about 1e-5 m²; ten square centimetres are
# far above that for any plot here and far below anything that a plot's acreage shows.
AREA_NOISE_M2 = 1e-3
LENGTH_NOISE_M = 1e-6


@st.composite
def rings(draw, least_radius=0.2):
    """A plot-sized star that does not cross itself, away from the poles; convex where all radii are 1."""
    lon, lat = draw(st.floats(-180, 180)), draw(st.floats(-75, 75))
    radii = np.array(draw(st.lists(st.floats(least_radius, 1), min_size=4, max_size=12)))
    angles = np.linspace(0, 2 * np.pi, len(radii), endpoint=False)
    spokes = draw(st.floats(0.0005, 0.01)) * radii
    return np.column_stack([lon + spokes * np.cos(angles), lat + spokes * np.sin(angles)])


def assert_same(one, other):
    assert one[0] == pytest.approx(other[0], rel=1e-9, abs=AREA_NOISE_M2)
    assert one[1] == pytest.approx(other[1], rel=1e-9, abs=LENGTH_NOISE_M)


def measure(ring):
    return geodesic_area_perimeter(shapely.Polygon(ring))


@given(rings())
def test_reversing_a_ring_changes_nothing(ring):
    assert_same(measure(ring[::-1]), measure(ring))


@given(rings(), st.integers(1, 11))
def test_starting_a_ring_elsewhere_changes_nothing(ring, steps):
    assert_same(measure(np.roll(ring, steps, axis=0)), measure(ring))


@given(rings(), st.floats(0.05, 0.95))
def test_a_vertex_more_on_a_geodesic_edge_changes_nothing(ring, along):
    azimuth, _, length_m = WGS84.inv(*ring[0], *ring[1])
    lon, lat, _ = WGS84.fwd(*ring[0], azimuth, length_m * along)
    lon += 360 * round((ring[0, 0] - lon) / 360)  # fwd answers within ±180
    assert_same(measure(np.insert(ring, 1, [lon, lat], axis=0)), measure(ring))


@given(rings(least_radius=1))
def test_cutting_a_plot_along_a_diagonal_keeps_its_area(ring):
    halves_m2, _ = geodesic_area_perimeter(
        [shapely.Polygon(ring[:3]), shapely.Polygon(ring[[2, *range(3, len(ring)), 0]])]
    )
    assert halves_m2.sum() == pytest.approx(measure(ring)[0], rel=1e-9, abs=AREA_NOISE_M2)


@given(rings())
def test_a_hole_takes_off_its_own_area_and_adds_its_own_outline(ring):
    centre = ring.mean(axis=0)
    hole = centre + 0.1 * (ring - centre)
    outer_inner_both = [shapely.Polygon(ring), shapely.Polygon(hole), shapely.Polygon(ring, [hole])]
    area_m2, perimeter_m = geodesic_area_perimeter(outer_inner_both)
    assert area_m2[2] == area_m2[0] - area_m2[1]
    assert perimeter_m[2] == perimeter_m[0] + perimeter_m[1]


@given(st.lists(rings(), min_size=2, max_size=6), st.randoms())
def test_each_plot_keeps_its_figures_in_any_order(outlines, random):
    polygons = [shapely.Polygon(ring) for ring in outlines]
    order = random.sample(range(len(polygons)), len(polygons))
    shuffled_m2, shuffled_m = geodesic_area_perimeter([polygons[i] for i in order])
    area_m2, perimeter_m = geodesic_area_perimeter(polygons)
    assert (shuffled_m2 == area_m2[order]).all()
    assert (shuffled_m == perimeter_m[order]).all()


def test_parts_add_up_and_each_keeps_its_holes():
    with_hole = shapely.box(0, 0, 0.01, 0.01).difference(shapely.box(0.004, 0.004, 0.006, 0.006))
    beside = shapely.box(0.02, 0, 0.03, 0.01)
    together = geodesic_area_perimeter(shapely.MultiPolygon([beside, with_hole]))
    apart = np.sum(geodesic_area_perimeter([with_hole, beside]), axis=1)
    assert_same(together, apart)


def test_a_long_list_shared_among_threads_gives_the_same_figures():
    lon = np.linspace(-110, -80, 5_000)
    boxes = shapely.box(lon, 40, lon + 0.001, 40.001)
    area_m2, perimeter_m = geodesic_area_perimeter(boxes)
    assert_same((area_m2[::500], perimeter_m[::500]), geodesic_area_perimeter(boxes[::500]))


def test_a_plot_across_the_antimeridian_is_a_plot_like_any_other():
    across = shapely.Polygon([(179.999, 40), (180.001, 40), (180.001, 40.001), (179.999, 40.001)])
    wrapped = shapely.Polygon([(179.999, 40), (-179.999, 40), (-179.999, 40.001), (179.999, 40.001)])
    assert_same(geodesic_area_perimeter(wrapped), geodesic_area_perimeter(across))


def test_missing_is_unknown_and_empty_is_nothing():
    acres = geodesic_acres([None, shapely.Polygon(), shapely.MultiPolygon()])
    assert np.isnan(acres[0])
    assert acres[1:].tolist() == [0, 0]


def test_one_geometry_gives_one_figure_and_a_table_gives_a_table():
    box = shapely.box(0, 0, 0.001, 0.001)
    assert np.shape(geodesic_acres(box)) == ()
    assert geodesic_acres([[box, None], [box, box]]).shape == (2, 2)
    assert geodesic_acres([]).shape == (0,)


@pytest.mark.parametrize(
    "ring",
    [[(0, 0), (0, 0), (0, 0), (0, 0)], [(0, 0), (0.001, 0), (0, 0), (0, 0)]],
    ids=["a point", "there and back"],
)
def test_a_ring_without_ground_has_no_area(ring):
    assert measure(ring)[0] == pytest.approx(0, abs=AREA_NOISE_M2)


@pytest.mark.parametrize(
    ("geometry", "words"),
    [
        (
            shapely.LineString([(0, 0), (1, 1)]),
            "geometry 0 is a LineString; only a Polygon, a MultiPolygon or None",
        ),
        (shapely.box(0, 89, 1, 91), "latitude 91; longitude must be .* and latitude from -90 to 90"),
        (shapely.Polygon([(0, 0), (np.inf, 0), (1, 1)]), "longitude inf"),
    ],
)
def test_what_cannot_be_measured_is_refused_by_name(geometry, words):
    with pytest.raises(ValueError, match=words):
        geodesic_area_perimeter(geometry)
