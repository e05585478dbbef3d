"""A figure is stale from the moment its input changes, until it has been computed from it."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection, transaction
from shapely.geometry import Polygon

from blends import tasks
from blends.models import OrderLine, Planting, SeedOrder
from blends.queries import order_inputs, order_lines
from blends.services import orders
from blends.services.blends import save_blend
from blends.services.offers import save_offer, withdraw_offer
from blends.services.orders import choose, recompute_order, set_terms
from blends.services.seasons import assign, open_season, record_planted
from plots.models import Boundary
from plots.services.boundaries import set_boundary
from plots.services.measuring import measure_boundaries
from plots.services.plots import archive_plot, restore_plot

SQUARE = Polygon([(-92, 38), (-91.998, 38), (-91.998, 38.002), (-92, 38.002)])


def planting(order, name):
    return order.season.plantings.get(plot__name=name)


def drop_planned(order, owner):
    plot = planting(order, "North").plot
    assign(season=order.season, user=owner, assignments=[{"plot_id": plot.pk, "fallow": True}])


def change_rate(order, owner):
    blend = planting(order, "North").blend
    [oats, _] = blend.components.values("species_id", "drilled_pls_lb_per_acre", "broadcast_pls_lb_per_acre")
    save_blend(
        property=blend.property, user=owner, blend=blend, name=blend.name, kind="mixed", components=[oats]
    )


def measure_late(order, owner):
    plot = planting(order, "North").plot
    plot.boundary = Boundary.objects.create(plot=plot, geometry=plot.boundary.geometry, how="drawn")
    plot.save()
    measure_boundaries(plot.property_id)


CHANGES = {
    "assignment": drop_planned,
    "rate": change_rate,
    "price": lambda order, owner: save_offer(
        property=order.season.property,
        offer=order.orderchoices.first().offer,
        price_usd=Decimal("23.00"),
    ),
    "choice": lambda order, owner: choose(
        order=order, species=order.orderchoices.first().species, on_hand_lb=Decimal(1)
    ),
    "terms": lambda order, owner: set_terms(
        order=order, overage_pct=7, assumed_purity_pct=98, assumed_germination_pct=85
    ),
    "boundary": lambda order, owner: set_boundary(
        plot=planting(order, "North").plot, geometry=SQUARE, user=owner, how="drawn"
    ),
    "measuring": measure_late,
    "archived plot": lambda order, owner: archive_plot(plot=planting(order, "North").plot),
    "restored plot": lambda order, owner: restore_plot(plot=planting(order, "North").plot),
    "planted acres": lambda order, owner: record_planted(
        planting=planting(order, "North"), on=date(2024, 9, 1), acres=Decimal("1.5")
    ),
}


@pytest.mark.parametrize("change", CHANGES)
def test_change_makes_the_order_stale_and_the_task_computes_it(
    small_property, owner, change, django_capture_on_commit_callbacks
):
    with django_capture_on_commit_callbacks() as sent:
        CHANGES[change](small_property, owner)
    small_property.refresh_from_db()
    assert small_property.is_stale
    for send in sent:
        send()
    small_property.refresh_from_db()
    assert not small_property.is_stale


def test_order_of_another_season_is_left_alone(farm, small_property, owner):
    other = open_season(property=farm, year=2028, kind="warm").order
    version = other.inputs_version
    set_boundary(plot=planting(small_property, "North").plot, geometry=SQUARE, user=owner, how="drawn")
    other.refresh_from_db()
    assert other.inputs_version == version


def test_new_boundary_does_not_touch_what_was_planted_before(small_property, owner):
    north = planting(small_property, "North")
    record_planted(planting=north, on=date(2024, 9, 1), acres=2)
    recompute_order(small_property.pk)
    set_boundary(plot=north.plot, geometry=SQUARE, user=owner, how="drawn")
    small_property.refresh_from_db()
    assert not small_property.is_stale


def test_withdrawing_an_offer_does_not_touch_orders_that_chose_it(small_property):
    withdraw_offer(offer=small_property.orderchoices.first().offer)
    small_property.refresh_from_db()
    assert not small_property.is_stale


def test_change_that_is_rolled_back_leaves_nothing_stale(small_property, owner):
    with transaction.atomic():
        drop_planned(small_property, owner)
        transaction.set_rollback(True)
    small_property.refresh_from_db()
    assert not small_property.is_stale


def test_change_during_the_computation_leaves_it_stale(small_property, owner, monkeypatch):
    set_terms(order=small_property, overage_pct=7, assumed_purity_pct=98, assumed_germination_pct=85)

    def read_then_changed(order):
        inputs = order_inputs.order_inputs(order)
        drop_planned(order, owner)
        return inputs

    monkeypatch.setattr(orders, "order_inputs", read_then_changed)
    recompute_order(small_property.pk)
    small_property.refresh_from_db()
    assert small_property.is_stale

    monkeypatch.undo()
    recompute_order(small_property.pk)
    small_property.refresh_from_db()
    assert (small_property.is_stale, small_property.acres) == (False, pytest.approx(2.0))


def test_slow_worker_does_not_overwrite_newer_figures(small_property, owner, monkeypatch):
    set_terms(order=small_property, overage_pct=7, assumed_purity_pct=98, assumed_germination_pct=85)

    def read_then_overtaken(order):
        inputs = order_inputs.order_inputs(order)
        monkeypatch.undo()
        drop_planned(order, owner)
        recompute_order(order.pk)
        return inputs

    monkeypatch.setattr(orders, "order_inputs", read_then_overtaken)
    recompute_order(small_property.pk)
    small_property.refresh_from_db()
    assert (small_property.is_stale, small_property.acres) == (False, pytest.approx(2.0))


def test_lost_message_is_healed_by_the_sweep(small_property, owner):
    drop_planned(small_property, owner)  # the message waits for a commit that the test never makes
    tasks.sweep()
    small_property.refresh_from_db()
    assert (small_property.is_stale, small_property.acres) == (False, pytest.approx(2.0))


@pytest.mark.django_db(transaction=True)
def test_broker_that_is_away_does_not_undo_the_change(order, monkeypatch):
    def away(order_id):
        raise OSError("no broker")

    monkeypatch.setattr(tasks.recompute_order, "delay", away)
    set_terms(order=order, overage_pct=7, assumed_purity_pct=98, assumed_germination_pct=85)
    stored = SeedOrder.objects.get(pk=order.pk)
    assert (stored.overage_pct, stored.is_stale) == (7, True)


def test_sweep_takes_up_the_others_when_one_fails(farm, small_property, owner, monkeypatch):
    broken = open_season(property=farm, year=2026, kind="warm").order
    drop_planned(small_property, owner)

    def failing_for_one(order):
        if order.pk == broken.pk:
            raise ZeroDivisionError
        return order_inputs.order_inputs(order)

    monkeypatch.setattr(orders, "order_inputs", failing_for_one)
    tasks.sweep()
    small_property.refresh_from_db()
    assert not small_property.is_stale
    assert SeedOrder.objects.get(pk=broken.pk).is_stale


def figures(order):
    return (
        list(Planting.objects.order_by("pk").values_list("cost_used_usd", "cost_bought_usd")),
        [(str(line.item), line.needed_lb, line.cost_bought_usd) for line in order_lines(order)],
        SeedOrder.objects.values_list("acres", "cost_used_usd", "cost_bought_usd").get(pk=order.pk),
    )


def test_computing_again_changes_nothing(small_property, django_assert_num_queries):
    before, lines = figures(small_property), set(OrderLine.objects.values_list("pk", flat=True))
    with django_assert_num_queries(1):  # it finds itself done
        recompute_order(small_property.pk)
    assert set(OrderLine.objects.values_list("pk", flat=True)) == lines
    SeedOrder.objects.update(computed_version=0)
    recompute_order(small_property.pk)
    assert figures(small_property) == before


def test_unchanged_costs_are_not_written_again(small_property):
    SeedOrder.objects.update(computed_version=0)
    with connection.execute_wrapper(_refuse_cost_updates):
        recompute_order(small_property.pk)
    assert not SeedOrder.objects.get(pk=small_property.pk).is_stale


def _refuse_cost_updates(execute, sql, params, many, context):
    assert "FROM (VALUES" not in sql, "a cost was written again"
    return execute(sql, params, many, context)


@pytest.mark.django_db
def test_order_that_is_gone_is_no_failure():
    recompute_order(987654)
