"""Choosing lots for plots, by hand and from stock."""

from datetime import date
from decimal import Decimal

import pytest

from blends.models import Lot, LotTest, Planting, PlantingLot
from blends.queries.sheets import sheets
from blends.queries.sheets.promised import balances
from blends.services.lot_choices import choose_lots, clear_lots, fill_from_stock
from blends.services.seasons import assign, open_season, record_planted
from config.errors import Conflict, Refused
from tests.blends.test_sheets import fresh, planting


@pytest.fixture
def north(season, small_property):
    return planting(season, "North")


def chosen(season, name):
    rows = PlantingLot.objects.filter(planting=planting(season, name)).order_by("pk")
    return [(row.lot.lot_number, row.lb) for row in rows]


def test_lots_are_chosen_and_chosen_anew(season, north, owner, make_lot):
    first, second = make_lot("oats", "98", "90"), make_lot("oats", "98", "80", lot_number="oats-2")
    choose_lots(planting=north, user=owner, choices=[{"lot_id": first.pk, "lb": None}])
    choices = [{"lot_id": first.pk, "lb": Decimal("40.5")}, {"lot_id": second.pk, "lb": None}]
    choose_lots(planting=north, user=owner, choices=choices)
    assert chosen(season, "North") == [("oats-1", Decimal("40.500")), ("oats-2", None)]


@pytest.mark.parametrize(
    ("choices", "field", "said"),
    [
        (["oats-1", "oats-1"], "1.lot_id", "chosen twice"),
        (["oats-1", "oats-2"], "1.lb", "one lot of a kind brings the rest"),
        (["rye"], "0.lot_id", "nothing of Grain takes it"),
        (["theirs"], "0.lot_id", "a lot of this property is accepted"),
        ([("oats-1", Decimal(0))], "0.lb", "0.0001"),
    ],
)
def test_what_cannot_be_chosen_is_refused_and_nothing_changes(
    season,
    north,
    owner,
    elsewhere,
    species,
    make_lot,
    choices,
    field,
    said,
):
    lots = {
        "oats-1": make_lot("oats", "98", "90"),
        "oats-2": make_lot("oats", "98", "90", lot_number="oats-2"),
        "rye": make_lot("cereal_rye", "98", "90"),
        "theirs": Lot.objects.create(property=elsewhere, species=species("oats")),
    }
    PlantingLot.objects.create(planting=north, lot=lots["oats-1"])
    pairs = [each if isinstance(each, tuple) else (each, None) for each in choices]
    with pytest.raises(Refused, match=said) as refused:
        choose_lots(
            planting=north, user=owner, choices=[{"lot_id": lots[name].pk, "lb": lb} for name, lb in pairs]
        )
    assert field in refused.value.fields
    assert chosen(season, "North") == [("oats-1", None)]


def test_lots_of_a_planted_plot_stay(season, north, owner, make_lot):
    record_planted(planting=north, on=date(2026, 9, 1), acres="2")
    with pytest.raises(Conflict, match="North was planted on 2026-09-01"):
        choose_lots(
            planting=north, user=owner, choices=[{"lot_id": make_lot("oats", "98", "90").pk, "lb": None}]
        )


def test_filling_takes_the_oldest_test_first_and_splits_where_a_lot_runs_out(season, north, owner, make_lot):
    # North takes 2 × 60 = 120 lb PLS of oats, South 0.5 × 75 = 37.5.
    old = {"test_month": date(2026, 3, 1), "lot_number": "old"}
    make_lot("oats", "100", "80", on_hand="100", **old)  # 80 lb PLS
    make_lot("oats", "100", "50", on_hand="120", test_month=date(2026, 6, 1), lot_number="new")  # 60 lb PLS
    filled = fill_from_stock(season=fresh(season), user=owner)
    # by name: North takes all of the old lot, and 40 ÷ 0.5 = 80 lb of the new; South 40 lb = 20 of its 37.5 lb PLS
    assert chosen(season, "North") == [("old", Decimal("100.000")), ("new", None)]
    assert chosen(season, "South") == [("new", Decimal("40.000"))]
    assert ("Oats", Decimal("17.50"), 1) in filled.short
    assert [name for name, _, _ in filled.short] == ["Bag", "Crimson clover", "Oats"]
    assert (filled.plots, filled.choices) == (2, 3)


def test_a_lot_that_is_taken_whole_is_not_promised_beyond_itself(season, north, owner, make_lot):
    # Sheets show hundredths: 20.396 lb shown as 20.40 were more than there is, on the day and when it is recorded.
    lot = make_lot("oats", "100", "80", on_hand="20.396")
    fill_from_stock(season=fresh(season), user=owner, plot_ids=[north.plot_id])
    assert chosen(season, "North") == [("oats-1", Decimal("20.390"))]
    [row] = [each for each in balances(fresh(season)) if each.lot == lot]
    assert (row.promised_lb, row.is_short) == (Decimal("20.39"), False)


def test_the_rounding_of_a_promise_is_no_shortage(season, north, owner, make_lot):
    lot = make_lot("oats", "100", "80", on_hand="20.396")
    choose_lots(planting=north, user=owner, choices=[{"lot_id": lot.pk, "lb": Decimal("20.396")}])
    [row] = [each for each in balances(fresh(season)) if each.lot == lot]
    assert (row.promised_lb, row.left_lb, row.is_short) == (Decimal("20.40"), 0, False)


def test_filling_follows_the_order_of_the_run(season, north, owner, make_lot):
    make_lot("oats", "100", "80", on_hand="50")  # 40 lb PLS: enough for South alone
    ids = [planting(season, name).plot_id for name in ("South", "North")]
    fill_from_stock(season=fresh(season), user=owner, plot_ids=ids)
    assert chosen(season, "South") == [("oats-1", None)]
    assert chosen(season, "North") == [("oats-1", Decimal("3.120"))]  # 37.5 ÷ 0.8 = 46.88 went to South


def test_filling_leaves_what_was_chosen_and_fills_the_rest(season, north, owner, make_lot):
    mine = make_lot("oats", "100", "80", lot_number="mine")
    make_lot("crimson_clover", "100", "80")
    choose_lots(planting=north, user=owner, choices=[{"lot_id": mine.pk, "lb": None}])
    fill_from_stock(season=fresh(season), user=owner)
    assert chosen(season, "North") == [("mine", None), ("crimson_clover-1", None)]


def test_lots_of_which_nobody_knows_how_alive_they_are_are_left_out_and_named(season, north, owner, make_lot):
    lot = make_lot("oats", "98", "90")
    Lot.objects.filter(pk=lot.pk).update(germination_pct=None)
    filled = fill_from_stock(season=fresh(season), user=owner)
    assert filled.left_out == [lot]
    assert chosen(season, "North") == []


def test_dead_lot_is_left_out_and_named_as_dead(season, north, owner, make_lot):
    dead = make_lot("oats", "98", "90")
    LotTest.objects.create(lot=dead, tested_on=date(2026, 8, 1), germination_pct=Decimal(0))
    filled = fill_from_stock(season=fresh(season), user=owner)
    assert f"{dead} was left out: it has no live seed by its latest test or tag." in filled.sentences


def test_no_lot_is_promised_twice_over_two_seasons(farm, season, north, owner, make_lot, make_plot):
    lot = make_lot("oats", "100", "80", on_hand="200")
    other = open_season(property=farm, year=2028, kind="cool")
    assign(season=other, user=owner, assignments=[{"plot_id": north.plot_id, "blend_id": north.blend_id}])
    fill_from_stock(season=fresh(season), user=owner)  # North 150 lb, South 46.88
    fill_from_stock(season=fresh(other), user=owner)
    [(_, lb)] = chosen(other, "North")
    assert lb == Decimal("3.120")
    [row] = [each for each in balances(fresh(other)) if each.lot == lot]
    assert (row.here_lb, row.elsewhere_lb, row.left_lb) == (Decimal("3.12"), Decimal("196.88"), 0)


def test_what_was_planted_is_no_promise_any_more(season, north, owner, make_lot):
    make_lot("oats", "100", "80", on_hand="200")
    fill_from_stock(season=fresh(season), user=owner)
    record_planted(planting=north, on=date(2026, 9, 1), acres="2")
    [row] = [each for each in balances(fresh(season)) if each.lot.species_id]
    assert row.promised_lb == Decimal("46.88")


def test_clearing_takes_lots_off_planned_plots_alone(season, north, owner, make_lot):
    make_lot("oats", "100", "80")
    fill_from_stock(season=fresh(season), user=owner)
    record_planted(planting=north, on=date(2026, 9, 1), acres="2")
    assert clear_lots(season=season, user=owner) == 1
    assert (chosen(season, "North"), chosen(season, "South")) == ([("oats-1", None)], [])


def test_lot_of_an_earlier_version_of_a_bought_mix_does(season, farm, owner, small_property, make_bought):
    creek = planting(season, "Creek")
    lot = Lot.objects.create(property=farm, blend=creek.blend, lot_number="bag-1")
    Lot.objects.filter(pk=lot.pk).update(on_hand_lb=Decimal(100))
    record_planted(planting=creek, on=date(2026, 9, 1), acres="1")
    newer = make_bought(
        "Bag", "25", {"chicory": ("50", "80"), "white_clover": ("45", "90")}, blend=creek.blend
    )
    assert newer.pk != creek.blend_id
    later = open_season(property=farm, year=2028, kind="cool")
    assign(season=later, user=owner, assignments=[{"plot_id": creek.plot_id, "blend_id": newer.pk}])
    fill_from_stock(season=fresh(later), user=owner)
    [sheet] = sheets(fresh(later))
    assert [(seed.lot, seed.lb) for seed in sheet.seeds] == [(lot, 37.5)]
    assert sheet.is_ready


def test_lot_that_the_blend_takes_no_longer_is_named(season, north, owner, make_lot, make_mixed):
    lot = make_lot("oats", "98", "90")
    choose_lots(planting=north, user=owner, choices=[{"lot_id": lot.pk, "lb": None}])
    rye = make_mixed("Rye alone", {"cereal_rye": ("60", "80")})
    assign(season=season, user=owner, assignments=[{"plot_id": north.plot_id, "blend_id": rye.pk}])
    [sheet] = [each for each in sheets(fresh(season)) if each.plot.name == "North"]
    assert "Oats, lot oats-1 is chosen here, and nothing of Rye alone takes it." in sheet.gaps


def test_run_goes_on_with_what_is_left(season, small_property, farm, owner, make_plot):
    from blends.models import Machine
    from blends.queries.sheets.runs import runs
    from blends.services.species import override_value

    Machine.objects.create(property=farm, name="Old Green", main_box_ft3=8)
    grain = planting(season, "North").blend
    for species_id in grain.components.values_list("species_id", flat=True):
        species = grain.components.get(species=species_id).species
        override_value(property=farm, species=species, user=owner, field="lb_per_bu", value="40")
    extra = make_plot("South bench", acres=2)
    assign(season=season, user=owner, assignments=[{"plot_id": extra.pk, "blend_id": grain.pk}])
    found = [each for each in sheets(fresh(season)) if each.blend == grain and each.is_drilled]
    [run] = runs(found)
    [box] = run.boxes
    # each 136.05 + 12.00 = 148.05 lb; a fill holds 8 × 40 ÷ 1.244456 = 257.14 lb: 109.09 are left after the first
    assert [(stop.sheet.plot.name, stop.first_fill, stop.last_fill, stop.left_lb) for stop in box.stops] == [
        ("North", 1, 1, 109.09),
        ("South bench", 1, 2, 0.0),
    ]
    assert (box.lb, [fill.lb for fill in box.fills]) == (296.1, [257.14, 38.96])
    assert sum(box.parts_lb) == pytest.approx(296.1)
    assert Planting.objects.filter(season=season).count() == 4
