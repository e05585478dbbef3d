"""What was known of a plot on a day: planting, live seed, age, rows, texture, ground."""

import uuid
from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from blends.services.planting_records import record_planting, strike_planting
from fieldlog.kinds.described import NOTHING_KNOWN
from fieldlog.models import Reading, Visit
from fieldlog.queries.planted_facts import facts_at, planted_known
from tests.planting_day import PlantingDay

PLANTED_ON = date(2026, 9, 10)


@pytest.fixture
def day(farm, owner, make_plot):
    return PlantingDay(farm, owner, make_plot)


@pytest.fixture
def plant(day, owner):
    """plant(plot, pounds by species, acres) -> the planting, recorded as drilled"""

    def plant(plot, pounds, acres="2", with_lot=True):
        planting = day.season.plantings.get(plot=plot)
        seeds = [
            {"lot_id": day.lots[key].pk, "used_lb": Decimal(lb)}
            if with_lot
            else {"species_id": day.lots[key].species_id, "used_lb": Decimal(lb)}
            for key, lb in pounds.items()
        ]
        said = {"done_on": PLANTED_ON, "acres": Decimal(acres), "machine_id": day.machine.pk}
        record, _ = record_planting(id=uuid.uuid4(), planting=planting, user=owner, said=said, seeds=seeds)
        planting.refresh_from_db()
        planting.made = record
        return planting

    return plant


def sown(facts):
    return {each.name: each.live_seeds_per_ft2 for each in facts.sown}


def seeds_per_lb(lot):
    return float(lot.species.seeds_per_lb)


def test_the_live_seed_is_that_of_the_lots_that_went_in(day, plant):
    """By hand: 120 lb × 0.98 × 0.90 ÷ 2 acres = 52.92 lb/acre of live rye."""
    plot = day.plots[0]
    planting = plant(plot, {"cereal_rye": "120", "crimson_clover": "8"})
    [(pk, facts)] = facts_at(day.farm, {(plot.pk, date(2026, 9, 24))}).values()
    assert (pk, facts.age_days, facts.row_spacing_in, facts.is_drilled) == (planting.pk, 14, 7.5, True)
    assert facts.acres == 2.0
    rye, clover = (day.lots[key] for key in ("cereal_rye", "crimson_clover"))
    assert sown(facts)[rye.species.common_name] == pytest.approx(52.92 * seeds_per_lb(rye) / 43560)
    assert sown(facts)[clover.species.common_name] == pytest.approx(3.528 * seeds_per_lb(clover) / 43560)


def alive_pct(day, plot, planting):
    """What part of the pure rye on a plot is taken to have been alive."""
    [(_, facts)] = facts_at(day.farm, {(plot.pk, date(2026, 9, 24))}).values()
    rye = day.lots["cereal_rye"]
    return sown(facts)[rye.species.common_name] * 43560 / seeds_per_lb(rye) * 2 / 120 / 0.98 * 100


@pytest.mark.parametrize(
    ("tested", "alive"),
    [
        ({date(2026, 9, 10): 70}, 70),
        ({date(2026, 9, 11): 70}, 90),
        ({date(2026, 8, 1): 80, date(2026, 9, 1): 75, date(2026, 11, 1): 40}, 75),
    ],
)
def test_the_live_seed_is_that_of_the_day_of_sowing(day, plant, owner, tested, alive):
    """Seed in the bag goes on ageing; seed in the ground was as alive as it was that day."""
    planting = plant(day.plots[0], {"cereal_rye": "120"})
    for on, germination in tested.items():
        day.lots["cereal_rye"].tests.create(tested_on=on, germination_pct=germination, created_by=owner)
    assert alive_pct(day, day.plots[0], planting) == pytest.approx(alive)


def test_where_nothing_was_known_that_day_the_first_test_since_counts(day, plant, owner):
    planting = plant(day.plots[0], {"cereal_rye": "120"})
    lot = day.lots["cereal_rye"]
    type(lot).objects.filter(pk=lot.pk).update(germination_pct=None)
    for on, germination in ((date(2026, 9, 20), 85), (date(2026, 11, 20), 60)):
        lot.tests.create(tested_on=on, germination_pct=germination, created_by=owner)
    assert alive_pct(day, day.plots[0], planting) == pytest.approx(85)


def test_ground_that_was_gone_over_twice_is_there_once(day, plant):
    """Rye drilled on 2 acres, then clover on the same 2 acres: by hand 8 × 0.98 × 0.90 ÷ 2 = 3.528 lb/acre."""
    plot = day.plots[0]
    plant(plot, {"cereal_rye": "120"})
    plant(plot, {"crimson_clover": "8"})
    [(_, facts)] = facts_at(day.farm, {(plot.pk, date(2026, 9, 24))}).values()
    rye, clover = (day.lots[key] for key in ("cereal_rye", "crimson_clover"))
    assert facts.acres == pytest.approx(2.0)
    assert sown(facts)[rye.species.common_name] == pytest.approx(52.92 * seeds_per_lb(rye) / 43560)
    assert sown(facts)[clover.species.common_name] == pytest.approx(3.528 * seeds_per_lb(clover) / 43560)


def test_two_parts_of_a_plot_are_its_ground_together(day, plant):
    plot = day.plots[0]
    plant(plot, {"cereal_rye": "60", "crimson_clover": "4"}, acres="1")
    plant(plot, {"cereal_rye": "60", "crimson_clover": "4"}, acres="1")
    [(_, facts)] = facts_at(day.farm, {(plot.pk, date(2026, 9, 24))}).values()
    rye = day.lots["cereal_rye"]
    assert sown(facts)[rye.species.common_name] == pytest.approx(52.92 * seeds_per_lb(rye) / 43560)


def test_without_a_record_of_seed_the_blends_rates_count(day, farm, owner):
    plot = day.plots[0]
    planting = day.season.plantings.get(plot=plot)
    type(planting).objects.filter(pk=planting.pk).update(
        state="up", planted_on=PLANTED_ON, planted_acres=Decimal("1.8")
    )
    [(_, facts)] = facts_at(farm, {(plot.pk, PLANTED_ON)}).values()
    rye = day.lots["cereal_rye"].species
    assert sown(facts)[rye.common_name] == pytest.approx(60 * float(rye.seeds_per_lb) / 43560)
    assert (facts.age_days, facts.row_spacing_in, facts.acres) == (0, None, 1.8)


def test_seed_without_its_lot_leaves_the_live_seed_unknown(day, plant):
    plot = day.plots[0]
    plant(plot, {"cereal_rye": "120"}, with_lot=False)
    [(_, facts)] = facts_at(day.farm, {(plot.pk, PLANTED_ON)}).values()
    assert list(sown(facts).values()) == [None]


def test_before_the_planting_nothing_grew(day, plant):
    plot = day.plots[0]
    plant(plot, {"cereal_rye": "120"})
    [(pk, facts)] = facts_at(day.farm, {(plot.pk, date(2026, 9, 9))}).values()
    assert (pk, facts.sown, facts.age_days, facts.acres) == (None, (), None, pytest.approx(2.0))


def test_a_struck_record_counts_no_more(day, plant, owner):
    plot = day.plots[0]
    planting = plant(plot, {"cereal_rye": "120"})
    strike_planting(record=planting.made, user=owner, reason="another field")
    [(pk, _)] = facts_at(day.farm, {(plot.pk, date(2026, 9, 24))}).values()
    assert pk is None


def test_the_texture_is_what_was_felt_last(day, owner):
    plot = day.plots[0]
    visit = Visit.objects.create(plot=plot, visited_at=timezone.now(), recorded_by=owner)
    for texture in ("clay", "loam"):
        Reading.objects.create(
            visit=visit,
            kind="moisture",
            values={"texture": texture, "feel": "dry"},
            taken_at=timezone.now(),
            recorded_by=owner,
        )
    Reading.objects.create(
        visit=visit, kind="moisture", values={"feel": "dry"}, taken_at=timezone.now(), recorded_by=owner
    )
    [(_, facts)] = facts_at(day.farm, {(plot.pk, timezone.localdate())}).values()
    assert facts.texture == "loam"


def test_of_a_plot_elsewhere_nothing_is_known(day, elsewhere, make_plot):
    plot = make_plot("Across", property=elsewhere)
    assert facts_at(elsewhere, {(plot.pk, None)}) == {}
    [(pk, facts)] = facts_at(elsewhere, {(plot.pk, PLANTED_ON)}).values()
    assert pk is None
    assert facts != NOTHING_KNOWN
    assert facts.acres == pytest.approx(2.0)


def test_many_plots_take_no_more_queries_than_one(day, plant):
    for plot in day.plots:
        plant(plot, {"cereal_rye": "60", "crimson_clover": "4"}, acres="1")
    days = [date(2026, 9, number) for number in range(11, 25)]

    def count(when):
        with CaptureQueriesContext(
            connection,
        ) as asked:
            facts_at(day.farm, when)
        return len(asked)

    one = count({(day.plots[0].pk, days[0])})
    assert count({(plot.pk, each) for plot in day.plots for each in days}) == one
    assert one <= 14


def test_a_phone_knows_what_is_planted_and_what_is_planned(day, plant):
    plant(day.plots[0], {"cereal_rye": "120", "crimson_clover": "8"})
    known = planted_known(day.farm)
    first, second = (known[plot.pk] for plot in day.plots)
    assert (first["blend"], first["planted_on"], first["state"]) == (
        "Rye and clover",
        "2026-09-10",
        "drilled",
    )
    assert first["row_spacing_in"] == 7.5
    assert (second["state"], second["planted_on"], second["age_days"]) == ("planned", None, None)
    assert [each["name"] for each in second["sown"]] == [
        day.lots[key].species.common_name for key in ("cereal_rye", "crimson_clover")
    ]
