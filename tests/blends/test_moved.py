"""What is planned follows a new boundary; what was planted, and what it cost, stays."""

from datetime import date

import pytest
from shapely.geometry import Polygon

from blends.models import Blend, Component, OrderLine, Planting, SeedOrder
from blends.queries.moved import what_moved
from blends.services.orders import recompute_order
from blends.services.seasons import assign, open_season, record_planted
from plots.models import Boundary
from plots.services.boundaries import set_boundary
from plots.services.restoring import restore_boundary

SQUARE = Polygon([(-92, 38), (-91.998, 38), (-91.998, 38.002), (-92, 38.002)])


@pytest.fixture
def north(small_property):
    return small_property.season.plantings.get(plot__name="North").plot


@pytest.fixture
def redraw(owner):
    def redraw(plot, outline=SQUARE):
        before = plot.boundary
        return before, set_boundary(plot=plot, geometry=outline, user=owner, how="drawn")

    return redraw


def test_a_planned_planting_follows_in_acres_and_pounds(north, redraw):
    """Grain drilled is 60 lb of oats and 5 of clover, PLS, an acre."""
    before, after = redraw(north)
    moved = what_moved(north, before, after)
    [row] = moved.planned
    assert (row.acres_before, row.acres_after) == (pytest.approx(2.0), after.acres)
    assert row.seed_lb_before == pytest.approx(130)
    assert row.seed_lb_after == pytest.approx(65 * after.acres)
    assert row.seed_kind == "PLS"
    assert moved.acres_gained == pytest.approx(after.acres - 2)
    assert moved.kept == []


def test_a_bag_is_sown_by_the_bulk_pound(small_property, redraw):
    creek = small_property.season.plantings.get(plot__name="Creek").plot
    [row] = what_moved(creek, *redraw(creek)).planned
    assert (row.lb_per_acre, row.seed_kind) == (20, "bulk")
    assert row.seed_lb_before == pytest.approx(30)


def test_its_order_is_recomputing_until_it_has_been(small_property, north, redraw):
    before, after = redraw(north)
    assert what_moved(north, before, after).planned[0].is_recomputing
    recompute_order(small_property.pk)
    assert not what_moved(north, before, after).planned[0].is_recomputing


def test_unknown_acres_and_rates_stay_unknown(small_property, north, redraw):
    before, after = redraw(north)
    Component.objects.filter(blend__name="Grain").update(drilled_pls_lb_per_acre=None)
    [row] = what_moved(north, before, after).planned
    assert (row.seed_lb_before, row.seed_lb_after) == (None, None)
    after = Boundary(pk=after.pk, plot=north, geometry=SQUARE)
    moved = what_moved(north, before, after)
    assert (moved.planned[0].acres_after, moved.acres_gained) == (None, None)


def test_what_was_planted_keeps_its_acres_and_is_said_to(farm, small_property, north, redraw):
    planting = small_property.season.plantings.get(plot=north)
    record_planted(planting=planting, on=date(2024, 9, 1), acres="1.9")
    before, after = redraw(north)
    moved = what_moved(north, before, after)
    assert moved.planned == []
    assert [(row.pk, float(row.planted_acres)) for row in moved.kept] == [(planting.pk, 1.9)]
    assert moved.kept[0].stage == "Planted, drilled"


def test_what_was_planted_inside_the_new_boundary_is_not_kept_from_before(small_property, north, redraw):
    before, after = redraw(north)
    planting = small_property.season.plantings.get(plot=north)
    record_planted(planting=planting, on=date(2024, 9, 1), acres="9")
    moved = what_moved(north, before, after)
    assert (moved.planned, moved.kept) == ([], [])


def test_fallow_and_other_plots_have_nothing_that_moves(small_property, owner, redraw):
    south = small_property.season.plantings.get(plot__name="South").plot
    assign(season=small_property.season, user=owner, assignments=[{"plot_id": south.pk, "fallow": True}])
    moved = what_moved(south, *redraw(south))
    assert (moved.planned, moved.kept) == ([], [])


def test_a_drilled_planting_its_order_and_costs_do_not_move_and_the_planned_do(
    farm, small_property, north, owner, redraw
):
    """North was drilled this season and is planned for the next one; its boundary is drawn anew and restored."""
    later = open_season(property=farm, year=2028, kind="cool")
    grain = Blend.objects.get(name="Grain")
    assign(season=later, user=owner, assignments=[{"plot_id": north.pk, "blend_id": grain.pk}])
    for planting in small_property.season.plantings.select_related("plot"):
        record_planted(planting=planting, on=date(2024, 9, 1), acres=round(planting.plot.mapped_acres, 3))
    for order in (small_property, later.order):
        recompute_order(order.pk)

    def standing():
        return (
            list(Planting.objects.filter(season=small_property.season).order_by("pk").values()),
            list(OrderLine.objects.filter(order=small_property).order_by("pk").values()),
            SeedOrder.objects.filter(pk=small_property.pk).values().get(),
        )

    before, planned = standing(), SeedOrder.objects.get(pk=later.order.pk)
    assert planned.acres == pytest.approx(2)
    first, drawn = redraw(north)
    recompute_order(small_property.pk)
    recompute_order(later.order.pk)
    assert standing() == before
    assert SeedOrder.objects.get(pk=later.order.pk).acres == pytest.approx(drawn.acres)
    [row] = what_moved(north, first, drawn).planned
    assert row.planting.season == later

    restored = restore_boundary(boundary=first, user=owner)
    recompute_order(later.order.pk)
    assert standing() == before
    assert SeedOrder.objects.get(pk=later.order.pk).acres == pytest.approx(restored.acres)


def test_two_queries_however_many_seasons(
    farm, small_property, north, owner, redraw, django_assert_num_queries
):
    grain = Blend.objects.get(name="Grain")
    for year in range(2028, 2038):
        season = open_season(property=farm, year=year, kind="cool")
        assign(season=season, user=owner, assignments=[{"plot_id": north.pk, "blend_id": grain.pk}])
    before, after = redraw(north)
    with django_assert_num_queries(2):
        moved = what_moved(north, before, after)
        assert [row.seed_lb_after is None for row in moved.planned] == [False] * 11
        assert [row.is_recomputing for row in moved.planned] == [True] * 11
