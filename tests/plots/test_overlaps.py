"""Ground that two plots share is found as it arises, and stands while both boundaries hold."""

import pytest
from shapely.affinity import translate
from shapely.geometry import MultiPolygon, Polygon, box

from plots import tasks
from plots.calc.geodesy import geodesic_area_perimeter
from plots.models import Boundary, Overlap, Plot
from plots.queries import overlaps_of, standing_overlaps
from plots.services import comparing
from plots.services.accepting import accept_import
from plots.services.boundaries import set_boundary
from plots.services.comparing import compare_uncompared, compare_with_neighbours
from plots.services.imports import receive_file
from plots.services.measuring import measure_boundaries
from plots.services.plots import archive_plot, restore_plot
from tests.plots.test_imports import geojson, upload

STEP = 0.001
HERE = box(-92, 38, -92 + STEP, 38 + STEP)
BESIDE = box(-92 + STEP * 0.9, 38, -92 + STEP * 1.9, 38 + STEP)  # shares the last tenth of HERE
AWAY = box(-92 + STEP * 3, 38, -92 + STEP * 4, 38 + STEP)


def m2(geometry):
    return float(geodesic_area_perimeter(geometry)[0])


@pytest.fixture
def draw(owner):
    def draw(plot, outline):
        return set_boundary(plot=plot, geometry=outline, user=owner, how="drawn")

    return draw


@pytest.fixture
def two(make_plot, draw):
    """North and South, which share a strip; South's boundary is the later one."""
    north, south = make_plot("North", acres=None), make_plot("South", acres=None)
    draw(north, HERE)
    draw(south, BESIDE)
    return north, south


def names(property):
    return [{each.first.plot.name, each.second.plot.name} for each in standing_overlaps(property)]


def test_an_overlap_is_stored_with_area_and_width(farm, two):
    overlap = standing_overlaps(farm).get()
    strip = HERE.intersection(BESIDE)
    assert {overlap.first.plot, overlap.second.plot} == set(two)
    assert overlap.area_m2 == pytest.approx(m2(strip), rel=1e-6)
    assert overlap.width_m == pytest.approx(8.78, abs=0.02)  # a tenth of 87.8 m
    assert Overlap.objects.get().geometry.equals(MultiPolygon([strip]))


@pytest.mark.parametrize("order", [("North", "South"), ("South", "North")])
def test_it_is_found_whichever_of_the_two_came_last(farm, make_plot, draw, order):
    outlines = dict(zip(order, (HERE, BESIDE), strict=True))
    for name in order:
        draw(make_plot(name, acres=None), outlines[name])
    assert names(farm) == [{"North", "South"}]


def test_it_falls_when_one_of_the_boundaries_is_replaced_and_is_kept(farm, two, draw):
    draw(two[1], AWAY)
    assert names(farm) == []
    assert Overlap.objects.count() == 1


def test_it_stands_again_when_the_older_boundary_is_taken_up_again(farm, two, draw):
    first = two[1].boundary
    draw(two[1], AWAY)
    draw(two[1], first.geometry)
    assert names(farm) == [{"North", "South"}]
    assert Overlap.objects.count() == 2


def test_neighbours_that_share_an_edge_do_not_overlap(farm, make_plot, draw):
    draw(make_plot("North", acres=None), HERE)
    draw(make_plot("South", acres=None), box(-92 + STEP, 38, -92 + STEP * 2, 38 + STEP))
    assert names(farm) == []


def test_less_than_a_square_metre_is_rounding(farm, make_plot, draw):
    draw(make_plot("North", acres=None), HERE)
    hair = 0.9 / m2(HERE) * STEP
    draw(make_plot("South", acres=None), box(-92 + STEP - hair, 38, -92 + STEP * 2, 38 + STEP))
    assert names(farm) == []


def test_plots_of_another_property_share_nothing(farm, elsewhere, make_plot, draw):
    draw(make_plot("North", acres=None), HERE)
    draw(make_plot("Theirs", acres=None, property=elsewhere), BESIDE)
    assert Overlap.objects.count() == 0


def test_parts_of_one_plot_and_older_boundaries_of_it_are_no_neighbours(farm, make_plot, draw):
    plot = make_plot("North", acres=None)
    draw(plot, HERE)
    draw(plot, BESIDE)
    assert Overlap.objects.count() == 0


def test_archiving_ends_it_and_bringing_back_compares_anew(farm, two, draw, make_plot):
    archive_plot(plot=two[0])
    assert names(farm) == []
    draw(make_plot("West", acres=None), box(-92 - STEP * 0.5, 38, -92 + STEP * 0.5, 38 + STEP))
    assert names(farm) == []
    two[0].refresh_from_db()
    restore_plot(plot=two[0])
    assert sorted(map(sorted, names(farm))) == [["North", "South"], ["North", "West"]]


def test_the_boundaries_of_a_file_are_compared_with_each_other_and_with_what_is_there(
    farm, owner, draw, make_plot
):
    draw(make_plot("Standing", acres=None), AWAY)
    outlines = [("A", HERE), ("B", BESIDE), ("C", translate(AWAY, STEP / 2))]
    row = receive_file(
        property=farm,
        user=owner,
        upload=upload(geojson(*((name, list(each.exterior.coords)) for name, each in outlines))),
    )
    accepted = [{"position": i, "name": name} for i, (name, _) in enumerate(outlines, start=1)]
    accept_import(boundary_import=row, user=owner, accepted=accepted, send=False)
    assert Overlap.objects.count() == 0  # measured and compared in the background
    measure_boundaries(farm.pk)
    assert sorted(map(sorted, names(farm))) == [["A", "B"], ["C", "Standing"]]
    assert not Boundary.objects.filter(is_compared=False).exists()


def test_comparing_twice_stores_nothing_twice(farm, two):
    before = list(Overlap.objects.values())
    compare_with_neighbours([each.boundary for each in two])
    assert list(Overlap.objects.values()) == before


def test_the_sweep_compares_what_an_older_installation_has(farm, make_plot):
    make_plot("North", geometry=MultiPolygon([HERE]), acres=2)
    make_plot("South", geometry=MultiPolygon([BESIDE]), acres=2)
    archived = make_plot("West", geometry=MultiPolygon([HERE]), acres=2)
    Plot.objects.filter(pk=archived.pk).update(is_archived=True)
    tasks.sweep()
    assert names(farm) == [{"North", "South"}]
    assert list(Boundary.objects.filter(is_compared=False)) == [archived.boundary]


def test_the_sweep_takes_up_the_next_property_when_one_fails(farm, elsewhere, make_plot, monkeypatch):
    make_plot("North", geometry=MultiPolygon([HERE]), acres=2)
    make_plot("South", geometry=MultiPolygon([BESIDE]), acres=2)
    make_plot("Theirs", geometry=MultiPolygon([HERE]), acres=2, property=elsewhere)
    make_plot("Theirs too", geometry=MultiPolygon([BESIDE]), acres=2, property=elsewhere)
    first = min(farm.pk, elsewhere.pk)

    def failing(boundaries):
        if boundaries[0].plot.property_id == first:
            raise ZeroDivisionError
        compare_with_neighbours(boundaries)

    monkeypatch.setattr(comparing, "compare_with_neighbours", failing)
    compare_uncompared()
    assert Overlap.objects.get().first.plot.property_id != first


def test_ground_is_found_where_outlines_also_touch_in_lines_and_points(farm, make_plot, draw):
    notched = HERE.union(box(-92 + STEP, 38, -92 + STEP * 1.2, 38 + STEP * 0.2))
    beside = box(-92 + STEP, 38, -92 + STEP * 2, 38 + STEP)  # shares an edge, and the notch
    assert notched.intersection(beside).geom_type == "GeometryCollection"
    draw(make_plot("North", acres=None), notched)
    draw(make_plot("South", acres=None), beside)
    assert standing_overlaps(farm).get().area_m2 == pytest.approx(
        m2(notched.intersection(beside).geoms[0]), rel=0.05
    )


def test_an_outline_of_an_older_version_that_crosses_itself_stops_nothing(farm, make_plot):
    bow_tie = Polygon([(-92, 38), (-92 + STEP, 38 + STEP), (-92 + STEP, 38), (-92, 38 + STEP)])
    make_plot("North", geometry=MultiPolygon([bow_tie]), acres=1)
    make_plot("South", geometry=MultiPolygon([BESIDE]), acres=2)
    compare_uncompared()
    assert names(farm) == [{"North", "South"}]


def test_overlaps_of_a_plot_are_its_own_largest_first(farm, two, draw, make_plot):
    draw(make_plot("West", acres=None), box(-92 - STEP, 38, -92 + STEP * 0.3, 38 + STEP))
    assert [each.first.plot.name for each in overlaps_of(two[0])] == ["North", "North"]
    assert [round(each.area_m2 / m2(HERE), 1) for each in overlaps_of(two[0])] == [0.3, 0.1]
    assert len(overlaps_of(two[1])) == 1


def test_listing_reads_no_geometry_and_takes_one_query(farm, two, django_assert_num_queries):
    with django_assert_num_queries(1) as queries:
        assert [each.first.plot.name for each in standing_overlaps(farm)] == ["North"]
    assert "geometry" not in queries[0]["sql"]


def test_comparing_asks_no_more_on_a_large_property(farm, make_plot, draw, django_assert_num_queries):
    """The extents of what is near, the geometry of what meets, and the writes."""
    plots = [make_plot(f"P{i}", lon=-91 + i * 0.01, lat=37 + i * 0.01) for i in range(60)]
    near = make_plot("North", geometry=MultiPolygon([HERE]), acres=2)
    south = make_plot("South", geometry=MultiPolygon([BESIDE]), acres=2)
    assert len(plots) == 60
    boundary = Boundary.objects.select_related("plot").get(pk=south.boundary_id)
    with django_assert_num_queries(4) as queries:
        compare_with_neighbours([boundary])
    assert names(farm) == [{near.name, south.name}]
    read = [each["sql"].partition(" FROM ")[0] for each in queries if each["sql"].startswith("SELECT")]
    assert ["geometry" in columns for columns in read] == [False, True]


def test_two_boundaries_that_arise_at_once_find_each_other(farm, owner, at_once):
    north, south = (Plot.objects.create(property=farm, name=name) for name in ("North", "South"))
    calls = [
        lambda plot=plot, outline=outline: set_boundary(plot=plot, geometry=outline, user=owner, how="drawn")
        for plot, outline in ((north, HERE), (south, BESIDE))
    ]
    outcomes = at_once(*calls)
    assert not [each for each in outcomes if isinstance(each, Exception)]
    assert names(farm) == [{"North", "South"}]
