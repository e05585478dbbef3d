"""Machines, the box of a species, calibrations kept, and the setting for the next blend."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from blends.calc.calibration import drilled_rate, spread_rate
from blends.models import Calibration, Lot, SeedBox
from blends.queries.machines import boxes_for, densities, fitted_setting, last_settings
from blends.queries.next_blend import next_blend
from blends.services.machines import (
    archive_machine,
    record_calibration,
    save_machine,
    set_boxes,
    strike_calibration,
)
from blends.services.species import override_value
from blends.services.stock import receive
from config.errors import Conflict, Refused
from tests.published.examples import published


@pytest.fixture
def drill(farm, owner):
    """12 openers 7.5 in apart: 7.5 ft wide; boxes of 12 and 2 ft³; settings 0 to 80; a course of 150 ft."""
    return save_machine(
        property=farm, user=owner, name="Old drill", kind="drill", openers=12, spacing_in=Decimal("7.5"),
        main_box_ft3=Decimal(12), small_box_ft3=Decimal(2), setting_low=Decimal(0), setting_high=Decimal(80),
        course_ft=Decimal(150),
    )  # fmt: skip


@pytest.fixture
def spreader(farm, owner):
    return save_machine(property=farm, user=owner, name="Spinner", kind="spreader", swath_ft=Decimal(20))


@pytest.fixture
def catch(drill, owner):
    """A calibration of the drill over its course, by one row."""

    def make(setting, *caught_g, machine=None, user=None, **values):
        values = {"course_ft": Decimal(150)} | values
        return record_calibration(
            machine=machine or drill, user=user or owner, setting=Decimal(str(setting)), caught_g=list(caught_g),
            **values,
        )  # fmt: skip

    return make


# --- machines -----------------------------------------------------------------------------------------------------


def test_a_drill_is_as_wide_as_its_openers(drill, spreader):
    assert drill.width_ft == 7.5
    assert spreader.width_ft == 20


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"name": " "}, "cannot be blank"),
        ({"name": "OLD drill"}, "Another machine of this property has this name."),
        ({"name": "B", "swath_ft": Decimal(20)}, "a drill's width comes from its openers"),
        ({"name": "B", "kind": "spreader", "openers": 8}, "Openers is 8; a spreader has none"),
        ({"name": "B", "openers": 0}, "greater than or equal to 1"),
        (
            {"name": "B", "setting_low": Decimal(9), "setting_high": Decimal(9)},
            "accepted is above the lowest, 9.",
        ),
    ],
)
def test_a_machine_that_cannot_be_is_refused(farm, owner, drill, values, said):
    with pytest.raises(Refused, match=said):
        save_machine(property=farm, user=owner, **{"kind": "drill"} | values)


def test_a_machine_of_another_property_is_not_changed(elsewhere, stranger, drill):
    with pytest.raises(Refused, match="another property"):
        save_machine(property=elsewhere, user=stranger, machine=drill, name="Ours")


def test_a_calibrated_drill_stays_a_drill(farm, owner, drill, catch):
    catch(30, 40)
    with pytest.raises(Conflict, match="was calibrated as a drill"):
        save_machine(property=farm, user=owner, machine=drill, kind="spreader")


def test_putting_away_keeps_what_was_caught(drill, catch):
    catch(30, 40)
    archive_machine(machine=drill)
    drill.refresh_from_db()
    assert drill.is_archived
    assert drill.calibrations.count() == 1


# --- boxes --------------------------------------------------------------------------------------------------------


def test_small_seed_goes_in_the_small_seed_box_unless_somebody_says_otherwise(drill, spreader, species):
    rye, clover, ryegrass = species("cereal_rye"), species("crimson_clover"), species("annual_ryegrass")
    three = [rye, clover, ryegrass]
    assert boxes_for(drill, three) == {rye.pk: "main", clover.pk: "small", ryegrass.pk: "main"}
    set_boxes(machine=drill, choices={clover.pk: "main", rye.pk: "small"})
    assert boxes_for(drill, three) == {rye.pk: "small", clover.pk: "main", ryegrass.pk: "main"}
    set_boxes(machine=drill, choices={clover.pk: None, rye.pk: "main"})
    assert boxes_for(drill, three) == {rye.pk: "main", clover.pk: "small", ryegrass.pk: "main"}
    assert set(boxes_for(spreader, three).values()) == {"main"}


def test_a_box_that_the_machine_lacks_is_refused(farm, owner, spreader, species):
    with pytest.raises(Refused, match="The box of Crimson clover is “small”; Spinner has main"):
        set_boxes(machine=spreader, choices={species("crimson_clover").pk: "small"})
    assert not SeedBox.objects.exists()


def test_densities_take_the_propertys_own_bushel(farm, owner, species):
    rye, chicory = species("cereal_rye"), species("chicory")
    assert densities(farm, [rye.pk, chicory.pk]) == {rye.pk: pytest.approx(45.0, abs=0.01), chicory.pk: None}
    override_value(property=farm, species=rye, user=owner, field="lb_per_bu", value="50")
    assert densities(farm, [rye.pk])[rye.pk] == pytest.approx(50 / 1.244456)


# --- calibrations -------------------------------------------------------------------------------------------------


def test_pounds_follow_from_the_catches_as_the_calculator_has_them(catch):
    row = catch(30, 38, 40, 42)
    assert float(row.lb_per_acre) == pytest.approx(float(drilled_rate([38, 40, 42], 150, 7.5).mean), abs=5e-5)
    assert (row.catch_width_ft, row.caught_g) == (Decimal("0.625"), ["38.00", "40.00", "42.00"])


def test_a_gram_a_row_over_150_ft_is_the_published_pound(catch):
    """CAL-04 of the worked examples, backwards: what one row catches at 1 lb/ac is read as 1 lb/ac."""
    grams = published("CAL-04").expected
    assert float(catch(30, grams).lb_per_acre) == pytest.approx(1, rel=0.006)


def test_several_rows_in_one_bag_are_as_much_ground(catch):
    alone, together = catch(30, 40), catch(30, 120, rows_per_catch=3)
    assert alone.lb_per_acre == together.lb_per_acre


def test_a_spreaders_passes_are_of_its_swath(catch, spreader):
    row = catch(4, 4535.92, 2267.96, machine=spreader, course_ft=Decimal(300))
    assert float(row.lb_per_acre) == pytest.approx(float(spread_rate(7.5, 20, 300)), rel=1e-4)


def test_a_plugged_row_counts_as_nothing_caught(catch):
    assert float(catch(30, 40, 0).lb_per_acre) == pytest.approx(float(catch(30, 20).lb_per_acre), abs=1e-4)


TODAY = timezone.localdate


@pytest.mark.parametrize(
    ("setting", "caught", "values", "said"),
    [
        (30, [], {}, "No catch is given; 1 to 60 weights from 0 to 200,000 g are accepted."),
        (30, [40, -1], {}, "Catch 2 is -1"),
        (30, ["nan"], {}, "Catch 1 is nan"),
        (30, ["much"], {}, "Catch 1 is much"),
        (30, [0, 0], {}, "Every catch is 0 g: nothing came out."),
        (30, [1] * 61, {}, "61 catches are given"),
        (81, [40], {}, "The setting is 81; Old drill takes 0 to 80."),
        (30, [40], {"rows_per_catch": 13}, "accepted is 1 to 12, the openers"),
        (30, [40], {"course_ft": Decimal(0)}, "greater than or equal to"),
        (30, [40], {"lb_per_ft3": Decimal(300)}, "Weight of the seed is 300 lb/ft³; accepted is 1 to 100."),
        (30, [40], {"box": "third"}, "The box is “third”; Old drill has a seed box and a small-seed box."),
        (30, [40], {"calibrated_on": TODAY() + timedelta(days=2)}, "accepted is today or a day before"),
        (30, [40], {"calibrated_on": date.min}, "0001-01-01 is before 1950"),
    ],
)
def test_what_cannot_have_been_caught_is_refused(catch, setting, caught, values, said):
    with pytest.raises(Refused, match=said.replace("(", r"\(")):
        catch(setting, *caught, **values)
    assert not Calibration.objects.exists()


def test_without_its_width_a_machine_is_not_calibrated(farm, owner, catch):
    bare = save_machine(property=farm, user=owner, name="Bare", kind="drill")
    with pytest.raises(Refused, match="between the openers of Bare is not known"):
        catch(30, 40, machine=bare)


def test_a_blend_of_another_property_is_refused(elsewhere, catch, make_mixed):
    theirs = make_mixed("Theirs", {"oats": ("60", None)}, property=elsewhere)
    with pytest.raises(Refused, match="is not one of this property"):
        catch(30, 40, blend=theirs)


def test_the_weight_of_the_seed_is_weighed_or_of_its_bushels_or_unknown(catch, species, make_mixed):
    assert catch(30, 40, species=species("oats")).lb_per_ft3 == Decimal("25.714")
    weighed = catch(30, 40, species=species("oats"), lb_per_ft3=Decimal("27.5"))
    assert (weighed.lb_per_ft3, weighed.is_lb_per_ft3_weighed) == (Decimal("27.5"), True)
    assert catch(30, 40, species=species("chicory")).lb_per_ft3 is None
    assert catch(30, 40).lb_per_ft3 is None
    grain = make_mixed("Grain", {"oats": ("60", "75"), "crimson_clover": ("5", "8")})
    assert catch(30, 40, blend=grain).lb_per_ft3 == Decimal("25.714")  # the clover is in the other box
    assert catch(30, 4, blend=grain, box="small").lb_per_ft3 == Decimal("48.214")


# --- the fitted setting -------------------------------------------------------------------------------------------


def test_seed_of_another_weight_counts_by_volume(drill, catch, species):
    """Twice the weight by volume: oats of 25 lb/ft³ at a setting deliver half the pounds of a seed of 50."""
    for setting, grams in ((20, 20), (40, 40), (60, 60.3)):
        catch(setting, grams, species=species("oats"), lb_per_ft3=Decimal(25))
    half = fitted_setting(drill, "main", float(drilled_rate([40], 150, 7.5).mean), 50.0)
    assert half.by_volume
    assert half.setting == pytest.approx(20, rel=0.02)
    assert half.low < half.setting < half.high


def test_without_a_weight_the_same_blend_alone_counts(drill, catch, species, make_mixed):
    grain = make_mixed("Grain", {"chicory": ("5", None)})
    catch(20, 20, species=species("oats"))
    assert fitted_setting(drill, "main", 30.0, None, blend=grain) is None
    catch(20, 20, blend=grain)
    found = fitted_setting(drill, "main", 2 * float(drilled_rate([20], 150, 7.5).mean), None, blend=grain)
    assert (found.n, found.by_volume, found.low) == (1, False, None)
    assert found.setting == pytest.approx(40, rel=1e-4)


def test_another_gear_another_box_and_what_was_struck_do_not_count(drill, catch, species, owner):
    oats = species("oats")
    catch(20, 20, species=oats, gear="High")
    catch(20, 5, species=oats, gear="low")
    catch(20, 3, species=oats, box="small", gear="High")
    strike_calibration(calibration=catch(20, 90, species=oats, gear="High"))
    found = fitted_setting(drill, "main", float(drilled_rate([20], 150, 7.5).mean), 25.714, " high ")
    assert found.n == 1
    assert found.setting == pytest.approx(20, rel=1e-3)


def test_a_setting_beyond_the_machine_is_said(drill, catch, species):
    for setting in (20, 40, 60):
        catch(setting, setting, species=species("oats"))
    found = fitted_setting(drill, "main", 110.0, 25.714)
    assert found.is_outside
    assert "Above 80, the highest that this machine can be set to." in found.basis


def test_last_settings_are_those_of_the_blend_else_of_the_box(drill, catch, make_mixed, species):
    grain, other = (
        make_mixed("Grain", {"oats": ("60", None)}),
        make_mixed("Rye", {"cereal_rye": ("60", None)}),
    )
    mine = catch(30, 40, blend=grain, calibrated_on=TODAY() - timedelta(days=9))
    latest = catch(35, 40, blend=other)
    assert last_settings(drill, grain)["main"].calibration == mine
    found = last_settings(drill, make_mixed("Third", {"oats": ("60", None)}))
    assert (found["main"].calibration, found["main"].is_same_blend) == (latest, False)
    assert found["small"].calibration is None


# --- the next blend -----------------------------------------------------------------------------------------------


def test_the_next_blend_by_hand(drill, catch, make_mixed, species):
    """60 lb PLS of oats and 5 of crimson clover drilled; 98 × 85 % = 0.833 assumed.

    Seed box 72.029 bulk lb/ac of oats at 25.714 lb/ft³, small-seed box 6.002 of clover at 48.214. One row of 7.5 in
    over 150 ft is 93.75 ft²: 93.75 ÷ 43,560 × 453.592 × 72.029 = 70.3 g; twelve rows 843.8 g. A full box is
    12 × 25.714 = 308.6 lb, for 4.28 ac.
    """
    grain = make_mixed("Grain", {"oats": ("60", "75"), "crimson_clover": ("5", "8")})
    catch(40, 70.318, species=species("oats"))
    main, small = next_blend(drill, grain)
    assert main.lb_per_acre == pytest.approx(60 / 0.833)
    assert main.catch_row_g == pytest.approx(70.3, abs=0.05)
    assert main.catch_g == pytest.approx(843.8, abs=0.1)
    assert main.full_acres == pytest.approx(4.284, abs=0.001)
    assert main.fitted.setting == pytest.approx(40, abs=0.01)
    assert small.lb_per_acre == pytest.approx(6.002, abs=0.001)
    assert small.lb_per_ft3 == pytest.approx(48.214, abs=0.001)
    assert small.fitted is None
    assert not main.unknown
    assert "assumed" in main.parts[0].live_from


def test_other_gears_are_said_beside_the_last_one(drill, catch, make_mixed, species):
    grain = make_mixed("Grain", {"oats": ("60", None)})
    for setting in (20, 40, 60):
        catch(setting, 2 * setting, species=species("oats"), gear="low")
    catch(20, 70.318, species=species("oats"), gear="high")
    [main] = next_blend(drill, grain)
    assert (main.gear, main.fitted.setting) == ("high", pytest.approx(20, abs=0.01))
    [(gear, low)] = main.in_other_gears
    assert (gear, low.setting, low.n) == ("low", pytest.approx(35.16, abs=0.01), 3)
    [main] = next_blend(drill, grain, gear="low")
    assert main.fitted == low


def test_the_lot_on_hand_goes_before_what_is_assumed(farm, owner, drill, make_mixed, species):
    lot = Lot.objects.create(
        property=farm, species=species("oats"), lot_number="A7", purity_pct=Decimal(98), germination_pct=Decimal(78)
    )  # fmt: skip
    receive(lot=lot, lb=Decimal(100), on=TODAY(), user=owner)
    [main] = next_blend(drill, make_mixed("Oats", {"oats": ("60", None)}))
    assert main.lb_per_acre == pytest.approx(60 / 0.7644)
    assert main.parts[0].live_from == "lot A7"


def test_an_unknown_bushel_leaves_the_weight_of_the_box_unknown(drill, make_mixed):
    # chicory goes in the small-seed box, pumpkin in the other
    grain = make_mixed("Grain", {"oats": ("60", None), "pumpkin_squash": ("2", None), "chicory": (None, "3")})
    main, small = next_blend(drill, grain)
    assert (main.lb_per_ft3, main.full_acres, main.fitted) == (None, None, None)
    assert "The weight of a bushel is not known of Pumpkin" in main.unknown[0]
    assert small.lb_per_acre is None
    assert "has no rate drilled" in small.unknown[0]


def test_a_weighed_mix_goes_before_its_bushels(drill, catch, make_mixed):
    grain = make_mixed("Grain", {"oats": ("60", None)})
    catch(30, 40, blend=grain, lb_per_ft3=Decimal("28.2"))
    [main] = next_blend(drill, grain)
    assert (main.lb_per_ft3, main.is_weighed) == (28.2, True)


def test_a_bought_mix_goes_in_the_main_box_at_its_bulk_rate(drill, make_bought):
    bag = make_bought("Bag", "20", {"oats": ("50", "80"), "white_clover": ("45", "90")})
    [main] = next_blend(drill, bag)
    assert main.lb_per_acre == 20
    assert main.lb_per_ft3 == pytest.approx(95 / (50 / 25.714 + 45 / 48.214), abs=0.01)


def test_a_spreader_sows_the_broadcast_rate(spreader, make_mixed):
    [hopper] = next_blend(spreader, make_mixed("Grain", {"oats": ("60", "75")}))
    assert hopper.lb_per_acre == pytest.approx(75 / 0.833)
    assert hopper.catch_row_g is None
    assert any("course of Spinner is not known" in each for each in hopper.unknown)
