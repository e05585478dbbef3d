"""The demonstration property, loaded through the services."""

import json
import runpy
from datetime import date
from decimal import Decimal

import pytest
from django.conf import settings
from django.utils import timezone
from shapely.geometry import shape

from blends.models import Blend, Clipping, Planting, PlantingRecord, RecordSeed, SeedOrder
from blends.queries.stock_book import worked_through
from blends.services import demo
from plots.models import Boundary, Membership, Plot, User
from tests.loaded import loaded_once


@pytest.fixture(scope="module")
def once(django_db_setup, django_db_blocker):
    with loaded_once(django_db_blocker, demo.load_demo):
        yield


@pytest.fixture
def hollow(once, db):
    return User.objects.get(username="demo-owner").memberships.get().property


def test_the_plots_are_fourteen_of_a_third_to_nine_acres(hollow):
    acres = [plot.mapped_acres for plot in hollow.plots.select_related("boundary")]
    assert len(acres) == 14
    assert 0.3 <= min(acres) < 0.35
    assert 8.5 < max(acres) <= 9


def test_one_plot_has_a_hole_and_one_is_in_two_parts(hollow):
    boundaries = Boundary.objects.filter(plot__property=hollow)
    assert sorted(boundary.hole_count for boundary in boundaries)[-2:] == [0, 1]
    assert sorted(boundary.part_count for boundary in boundaries)[-2:] == [1, 2]


def test_the_property_has_its_frosts_and_its_plots_have_objectives(hollow):
    assert (hollow.last_frost_on.month, hollow.first_frost_on.month) == (4, 10)
    objectives = list(hollow.plots.values_list("objective", flat=True))
    assert set(objectives) == {"", *Plot.Objective.values}
    assert objectives.count("") == 1


def test_the_last_two_seasons_are_planted_and_the_coming_one_is_half_planned(hollow):
    coming, *past = hollow.seasons.all()
    assert [season.plantings.count() for season in past] == [14, 14]
    decided = Planting.objects.filter(season__in=past, is_fallow=False)
    assert set(decided.filter(season=past[0]).values_list("state", flat=True)) == {Planting.State.DRILLED}
    # what stood before is rolled where something was planted into it
    assert set(decided.filter(season=past[1]).values_list("state", flat=True)) == {
        Planting.State.DRILLED,
        Planting.State.TERMINATED,
    }
    assert coming.plantings.count() == 7
    assert set(coming.plantings.values_list("state", flat=True)) == {Planting.State.PLANNED}


def test_three_species_of_the_planted_cool_season_blend_have_been_clipped(hollow):
    clippings = Clipping.objects.filter(blend__property=hollow).select_related("blend", "species")
    assert {row.blend.name for row in clippings} == {"Fall Grain and Clover"}
    assert {row.species.key for row in clippings} == {"cereal_rye", "winter_wheat", "austrian_winter_pea"}
    planted_on = Planting.objects.get(
        plot=clippings[0].plot, season__kind="cool", season__property=hollow
    ).planted_on
    assert all(planted_on < row.clipped_on <= timezone.localdate() for row in clippings)


def test_two_blends_are_mixed_here_and_one_is_bought(hollow):
    kinds = Blend.objects.filter(property=hollow).values_list("kind", flat=True)
    assert sorted(kinds) == ["bought", "mixed", "mixed"]


def test_every_order_is_computed_and_priced(hollow):
    orders = SeedOrder.objects.filter(season__property=hollow)
    assert [order.problems for order in orders] == [[], [], []]
    assert all(order.cost_used_usd > 0 for order in orders)
    # what was bought covered what was sown; the coming season lives on the rest as well
    past = orders.filter(purchase_orders__isnull=False).distinct()
    assert [order.cost_bought_usd >= order.cost_used_usd for order in past] == [True, True]
    assert not any(order.is_stale for order in orders)


def test_each_role_of_the_crew_is_there(hollow):
    roles = Membership.objects.filter(property=hollow).values_list("role", flat=True)
    assert sorted(roles) == ["manager", "owner", "recorder"]


def test_a_second_load_changes_nothing(hollow):
    def count():
        return [model.objects.count() for model in (User, Boundary, Blend, Planting, SeedOrder)]

    before = count()
    demo.load_demo()
    assert count() == before


@pytest.mark.parametrize(
    ("today", "seasons"),
    [
        (date(2026, 11, 25), [(2026, "warm"), (2026, "cool"), (2027, "warm")]),
        (date(2027, 5, 31), [(2026, "warm"), (2026, "cool"), (2027, "warm")]),
        (date(2027, 6, 1), [(2026, "cool"), (2027, "warm"), (2027, "cool")]),
        (date(2027, 12, 31), [(2027, "warm"), (2027, "cool"), (2028, "warm")]),
        (date(2028, 1, 1), [(2027, "warm"), (2027, "cool"), (2028, "warm")]),
    ],
)
def test_the_seasons_follow_the_day_of_the_load(today, seasons):
    assert demo.seasons_around(today) == seasons


def test_the_outlines_are_what_their_script_makes():
    folder = settings.BASE_DIR / "fixtures" / "demo"
    stored = json.loads((folder / "outlines.geojson").read_text(encoding="utf-8"))["features"]
    made = list(runpy.run_path(str(folder / "make_outlines.py"))["features"]())
    assert [each["properties"] for each in made] == [each["properties"] for each in stored]
    for ours, theirs in zip(made, stored, strict=True):
        assert shape(ours["geometry"]).equals_exact(shape(theirs["geometry"]), 1e-6)


def test_what_was_bought_was_received_and_sown(hollow):
    purchases = hollow.purchase_orders.all()
    assert {each.state for each in purchases} == {"received"}
    assert len({each.number for each in purchases}) == len(purchases) == 6
    records = PlantingRecord.objects.filter(planting__season__property=hollow)
    assert records.count() == decided_count(hollow) == 26
    assert not RecordSeed.objects.filter(record__in=records, lot=None).exists()


def test_pounds_and_cents_of_its_lots_add_up(hollow):
    lots = hollow.lots.all()
    assert lots
    for lot in lots:
        entries = list(lot.entries.filter(is_taken_back=False))
        assert lot.on_hand_lb == sum(each.lb for each in entries) >= 0
        out_usd = sum((each.cost_usd for each in entries if each.cost_usd is not None), Decimal(0))
        assert out_usd + worked_through(entries, lot.cost_usd).on_hand_usd == lot.cost_usd


def decided_count(hollow):
    return Planting.objects.filter(season__property=hollow).exclude(state="planned").count()
