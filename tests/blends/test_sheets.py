"""Planting sheets of a small property. Pounds beside the figures are worked by hand."""

from datetime import date
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from blends.models import (
    Calibration,
    InoculantLot,
    Lot,
    LotTest,
    Machine,
    Planting,
    PlantingLot,
    Season,
    Species,
    Substitution,
)
from blends.queries.sheets import sheets
from blends.queries.sheets.shapes import Depth
from blends.queries.sheets.words import depth_texts
from blends.services.species import override_value


def fresh(season):
    """The season as a view has it: nothing of it read before."""
    return Season.objects.select_related("property", "order").get(pk=season.pk)


@pytest.fixture
def drill(farm):
    """8 openers at 7.5 in: 5 ft wide. Box 8 ft³, small box 1.5 ft³, course 150 ft."""
    return Machine.objects.create(
        property=farm,
        name="Old Green",
        openers=8,
        spacing_in=Decimal("7.5"),
        main_box_ft3=8,
        small_box_ft3=Decimal("1.5"),
        course_ft=150,
    )


def planting(season, name):
    return Planting.objects.get(season=season, plot__name=name)


def sheet_of(season, name, **how):
    return next(sheet for sheet in sheets(fresh(season), **how) if sheet.plot.name == name)


def seed_of(sheet, name):
    return [seed for seed in sheet.seeds if seed.name == name]


def test_without_lots_the_tag_of_the_offer_counts_and_then_the_assumption(season, small_property):
    sheet = sheet_of(season, "North")
    [oats], [clover] = seed_of(sheet, "Oats"), seed_of(sheet, "Crimson clover")
    # 2 ac × 60 ÷ (0.98 × 0.90 = 0.882) = 136.054 lb; 2 × 5 ÷ (0.98 × 0.85 = 0.833) = 12.005 lb
    assert (oats.live_basis, oats.lb) == ("offer", 136.05)
    assert (clover.live_basis, clover.lb) == ("assumed", 12.0)
    assert sheet.lb == 148.05
    assert not sheet.is_ready
    assert "Crimson clover has no lot chosen: 83.3 % live seed is assumed." in sheet.gaps
    assert "Oats has no lot chosen." in sheet.gaps


def test_bulk_rate_follows_the_lot_that_was_chosen(season, small_property, make_lot):
    PlantingLot.objects.create(planting=planting(season, "North"), lot=make_lot("oats", "96", "75"))
    [oats] = seed_of(sheet_of(season, "North"), "Oats")
    # 60 ÷ (0.96 × 0.75 = 0.72) = 83.333 lb/ac, × 2 ac = 166.67 lb
    assert oats.live_basis == "lot"
    assert oats.lb_per_acre == pytest.approx(83.3333, abs=1e-4)
    assert oats.lb == 166.67


def test_newer_test_of_a_lot_goes_before_its_tag(season, small_property, make_lot):
    lot = make_lot("oats", "96", "75")
    LotTest.objects.create(lot=lot, tested_on=date(2026, 8, 1), germination_pct=Decimal(50))
    PlantingLot.objects.create(planting=planting(season, "North"), lot=lot)
    [oats] = seed_of(sheet_of(season, "North"), "Oats")
    assert oats.lb == 250.0  # 2 × 60 ÷ 0.48


def test_two_lots_of_one_species_share_the_plot(season, small_property, make_lot):
    first, second = make_lot("oats", "100", "80"), make_lot("oats", "100", "60", lot_number="oats-2")
    here = planting(season, "North")
    PlantingLot.objects.create(planting=here, lot=first, lb=Decimal(60))
    PlantingLot.objects.create(planting=here, lot=second)
    rows = seed_of(sheet_of(season, "North"), "Oats")
    # 120 lb PLS: 60 × 0.80 = 48 from the first, 72 ÷ 0.60 = 120 lb of the second
    assert [(row.lot.lot_number, row.lb) for row in rows] == [("oats-1", 60.0), ("oats-2", 120.0)]
    assert sum(row.pls_lb_per_acre for row in rows) == pytest.approx(60)


def test_lots_that_bring_too_little_leave_a_row_without_a_lot(season, small_property, make_lot):
    PlantingLot.objects.create(
        planting=planting(season, "North"), lot=make_lot("oats", "100", "80"), lb=Decimal(100)
    )
    sheet = sheet_of(season, "North")
    first, rest = seed_of(sheet, "Oats")
    # 120 − 80 = 40 lb PLS open, ÷ 0.882 of the offer's tag = 45.35 lb
    assert (first.lb, rest.lot, rest.lb) == (100.0, None, 45.35)
    assert any("leave 40.00 lb PLS open" in gap for gap in sheet.gaps)
    assert not sheet.is_ready


def test_lot_of_unknown_germination_is_assumed_and_said(season, small_property, make_lot):
    lot = make_lot("oats", "98", "90")
    Lot.objects.filter(pk=lot.pk).update(germination_pct=None)
    PlantingLot.objects.create(planting=planting(season, "North"), lot=lot)
    sheet = sheet_of(season, "North")
    assert seed_of(sheet, "Oats")[0].is_assumed
    assert any(
        "oats-1, has no germination or purity: 83.3 % live seed is assumed" in gap for gap in sheet.gaps
    )


def test_dead_lot_is_not_taken_for_one_that_nobody_tested(season, small_property, make_lot):
    dead = make_lot("oats", "98", "90")
    LotTest.objects.create(lot=dead, tested_on=date(2026, 8, 1), germination_pct=Decimal(0))
    PlantingLot.objects.create(planting=planting(season, "North"), lot=dead)
    sheet = sheet_of(season, "North")
    assert [row.lot for row in seed_of(sheet, "Oats")] == [None]
    assert f"{dead} has no live seed by its latest test or tag: choose another lot." in sheet.gaps
    assert not any("has no germination or purity" in gap for gap in sheet.gaps)
    assert not sheet.is_ready


def test_plot_without_acreage_has_rates_and_no_pounds(season, small_property, make_plot, owner):
    from blends.services.seasons import assign

    plot = make_plot("Unmapped", acres=None)
    grain = planting(season, "North").blend
    assign(season=season, user=owner, assignments=[{"plot_id": plot.pk, "blend_id": grain.pk}])
    sheet = sheet_of(season, "Unmapped")
    [oats] = seed_of(sheet, "Oats")
    assert (sheet.acres, sheet.lb, oats.lb) == (None, None, None)
    assert oats.lb_per_acre == pytest.approx(60 / 0.882)
    assert "Unmapped has no acreage: it has no boundary. Pounds cannot be worked out." in sheet.gaps


def test_bought_mix_is_sown_by_the_bulk_pound(season, small_property):
    sheet = sheet_of(season, "Creek")
    [bag] = sheet.seeds
    assert (bag.species, bag.live_fraction, bag.live_basis, bag.lb) == (None, None, "bulk", 30.0)


def test_fills_of_the_only_drill(season, small_property, drill, farm, owner, species):
    for key in ("oats", "crimson_clover"):
        override_value(property=farm, species=species(key), user=owner, field="lb_per_bu", value="40")
    sheet = sheet_of(season, "North")
    main, small = sheet.boxes
    assert sheet.machine == drill
    assert [seed.name for seed in main.seeds] == ["Oats"]
    assert [seed.name for seed in small.seeds] == ["Crimson clover"]
    # 40 lb/bu ÷ 1.2444560 ft³ = 32.1426 lb/ft³, × 8 ft³ = 257.14 lb a fill: one part fill of 136.05
    assert main.full_lb == pytest.approx(257.14, abs=0.01)
    assert [(fill.name, fill.parts_lb, fill.is_part) for fill in main.fills] == [("Fill 1", (136.05,), True)]
    # to 40 %: 102.85 lb a fill, then 33.20
    main = sheet_of(season, "North", level_pct=40).boxes[0]
    assert [(fill.lb, fill.is_part) for fill in main.fills] == [(102.85, False), (33.2, True)]


def test_catch_is_what_the_rate_drops_over_the_course(season, small_property, drill):
    [main] = [box for box in sheet_of(season, "North").boxes if box.box == "main"]
    # 68.027 lb/ac × 150 ft × 7.5 in ÷ 12 ÷ 43,560 × 453.592 g = 66.41 g a row: 0.976 g for each lb/ac, as
    # "Steps to calibrating a no-till drill", No-Till Farmer, no year, has it (0.98)
    assert main.catch_row_g == pytest.approx(68.0272 * 0.97623, rel=1e-4)
    assert main.catch_g == pytest.approx(8 * main.catch_row_g)


def test_unknown_weight_of_a_bushel_leaves_the_fills_unknown_and_says_whose(
    season, small_property, drill, species
):
    kind = species("oats")
    kind.lb_per_bu = None
    kind.save()
    [main] = [box for box in sheet_of(season, "North").boxes if box.box == "main"]
    assert main.fills is None
    assert main.fills_unknown == (
        "The weight of a bushel is not known of Oats: weigh a bucket of the mix as you calibrate."
    )
    assert main.lb == 136.05


def test_mix_that_was_weighed_goes_before_its_components(season, small_property, drill):
    grain = planting(season, "North").blend
    Calibration.objects.create(
        machine=drill,
        box="main",
        blend=grain,
        calibrated_on=date(2026, 9, 1),
        setting=Decimal(42),
        caught_g=[60],
        course_ft=150,
        catch_width_ft=Decimal("0.625"),
        lb_per_acre=Decimal(61),
        lb_per_ft3=Decimal(25),
        is_lb_per_ft3_weighed=True,
    )
    [main] = [box for box in sheet_of(season, "North").boxes if box.box == "main"]
    assert (main.lb_per_ft3, main.full_lb) == (25.0, 200.0)
    assert (main.last.setting, main.last.lb_per_acre, main.last.is_same) == ("42", 61.0, True)


def test_machine_of_another_kind_is_not_used(season, small_property, drill):
    assert sheet_of(season, "South", machine=drill).machine is None  # broadcast
    assert any(gap.startswith("Choose a spreader") for gap in sheet_of(season, "South").gaps)


def test_treated_lot_is_named_and_untreated_is_not(season, small_property, make_lot):
    lot = make_lot("oats", "98", "90", treatment="Thiram")
    PlantingLot.objects.create(planting=planting(season, "North"), lot=lot)
    [said] = [each for each in sheet_of(season, "North").cautions if each.key == "treated_seed"]
    assert said.sentence.startswith("Treated: Oats, lot oats-1 (Thiram).")
    Lot.objects.filter(pk=lot.pk).update(treatment="Untreated")
    [said] = [each for each in sheet_of(season, "North").cautions if each.key == "treated_seed"]
    assert said.sentence.startswith("Read every tag")


def test_inoculant_that_is_good_is_named_and_what_is_past_its_date_is_not(
    season, small_property, farm, species
):
    group = species("crimson_clover").inoculant_group
    day = date(2027, 9, 1)

    def found():
        return sheet_of(season, "North", on=day).inoculants[0]

    assert found().trouble == "None is in stock."
    old = InoculantLot.objects.create(
        property=farm, inoculant_group=group, received_on=date(2026, 1, 1), expires_on=date(2026, 12, 31)
    )
    assert found().trouble == "All of it is past its date (the latest 31 Dec 2026)."
    good = InoculantLot.objects.create(
        property=farm, inoculant_group=group, received_on=date(2027, 1, 1), expires_on=date(2027, 12, 31)
    )
    assert (found().lot, found().trouble, found().lb) == (good, "", 12.0)
    assert found().lot != old


def test_box_with_seed_of_two_depths_is_not_taken_for_one_pass():
    """One pass sows a box at one depth (common practice, no source)."""
    rye, radish = Species(pk=1, common_name="Rye"), Species(pk=2, common_name="Radish")
    depths = (Depth(0.25, 0.5, (radish,)), Depth(1, 2, (rye,)))

    def said(*boxes, is_drilled=True):
        boxes = [
            SimpleNamespace(label=label, seeds=[SimpleNamespace(species=one) for one in seeds])
            for label, seeds in boxes
        ]
        sheet = SimpleNamespace(is_drilled=is_drilled, depths=depths, depth_unknown=(), boxes=boxes)
        return depth_texts(sheet)[2:]

    [sentence] = said(("Seed box", [rye, radish]), ("Small-seed box", [radish]))
    assert sentence.startswith("Seed box: seed of several passes, and one pass sows a box at one depth.")
    assert said(("Seed box", [rye]), ("Small-seed box", [radish])) == []
    assert len(said(("Seed box", [None]))) == 1  # a bought mix
    assert said(("Hopper", [rye, radish]), is_drilled=False) == []


def test_run_keeps_its_order(season, small_property):
    ids = [planting(season, name).plot_id for name in ("South", "Creek", "North")]
    assert [sheet.plot.name for sheet in sheets(fresh(season), ids)] == ["South", "Creek", "North"]


def test_queries_do_not_grow_with_the_plots(season, small_property, drill, make_plot, make_lot):
    lot = make_lot("oats", "98", "90")
    counts = []
    for first in (0, 10):
        grain = planting(season, "North").blend
        for i in range(first, first + 10):
            row = Planting.objects.create(season=season, plot=make_plot(f"Plot {i}"), blend=grain)
            PlantingLot.objects.create(planting=row, lot=lot)
        asked_for = fresh(season)
        with CaptureQueriesContext(connection) as found:
            assert len(sheets(asked_for)) == 3 + first + 10
        counts.append(len(found))
    assert counts[0] == counts[1] <= 25


def test_species_sown_instead_stands_on_the_sheet_at_equal_live_seeds(season, small_property, species, owner):
    oats, rye = species("oats"), species("cereal_rye")
    Substitution.objects.create(order=season.order, species=oats, instead=rye, created_by=owner)
    [row] = seed_of(sheet_of(season, "North"), rye.common_name)
    assert row.instead_of == oats
    # pounds of rye for each pound of oats: seeds a pound of oats ÷ of rye, by definition
    assert row.pls_lb_per_acre == pytest.approx(60 * float(oats.seeds_per_lb) / float(rye.seeds_per_lb))
