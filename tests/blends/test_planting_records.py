"""What happened on planting day: recorded once however often it is sent, and corrected with stock and cost."""

import uuid
from datetime import date, time, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from blends.models import PlantingRecord
from blends.services import stock
from blends.services.planting_records import correct_planting, given_of, record_planting, strike_planting
from blends.services.seasons import assign, record_planted
from config.errors import Conflict, Refused
from tests.blends.planted import SOWN_ON, drilled, lot_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def planting(small_property, season):
    """North: 2 acres mapped, Grain drilled at 60 lb PLS of oats and 5 of crimson clover an acre."""
    return season.plantings.get(plot__name="North")


@pytest.fixture
def oats_lot(farm, species, owner):
    return lot_of(farm, species("oats"), owner)


def correct(record, user, id=None, seeds=None, **changed):
    said, stored = given_of(record)
    return correct_planting(
        record=record,
        id=id or uuid.uuid4(),
        user=user,
        said=said | changed,
        seeds=stored if seeds is None else seeds,
    )


def on_hand(lot):
    lot.refresh_from_db()
    return lot.on_hand_lb


def used_usd(lot):
    """Cents that left the lot with seed that was sown."""
    return [entry.cost_usd for entry in lot.entries.filter(kind="used", is_taken_back=False)]


def test_a_record_plants_the_plot_and_takes_its_pounds(planting, oats_lot, recorder):
    version = planting.season.order.inputs_version
    drilled(planting, recorder, {oats_lot: "140"}, acres="2.1")
    planting.refresh_from_db()
    planting.season.order.refresh_from_db()
    assert (planting.state, planting.planted_on, planting.planted_acres) == (
        "drilled",
        SOWN_ON,
        Decimal("2.1"),
    )
    assert planting.boundary_id == planting.plot.boundary_id
    assert on_hand(oats_lot) == 260
    # 140 of 400 lb that cost 200.00
    assert used_usd(oats_lot) == [Decimal("70.00")]
    assert planting.season.order.inputs_version > version


def test_another_lot_costs_few_queries(
    planting, farm, species, owner, recorder, django_assert_max_num_queries
):
    lots = [lot_of(farm, species("oats"), owner, number=f"A{i}") for i in range(12)]
    with CaptureQueriesContext(connection) as few:
        drilled(planting, recorder, {lots[0]: "10", lots[1]: "10"}, acres="1")
    with django_assert_max_num_queries(len(few) + 8 * 17):
        drilled(planting, recorder, dict.fromkeys(lots[2:], "10"), acres="1")


def test_the_same_sent_again_changes_nothing_and_something_else_is_refused(planting, oats_lot, recorder):
    id = uuid.uuid4()
    said = {"done_on": SOWN_ON, "acres": Decimal("2"), "note": " Dry. ", "settings": {"main": "42"}}
    seeds = [{"lot_id": oats_lot.pk, "loaded_lb": Decimal("150"), "left_lb": Decimal("10")}]
    first, is_new = record_planting(id=id, planting=planting, user=recorder, said=said, seeds=seeds)
    again, is_new_again = record_planting(
        id=id, planting=planting, user=recorder, said=said | {"acres": "2.000"}, seeds=seeds
    )
    assert (is_new, is_new_again, again.pk) == (True, False, first.pk)
    assert on_hand(oats_lot) == 260
    with pytest.raises(Conflict, match="says something else"):
        record_planting(id=id, planting=planting, user=recorder, said=said | {"acres": "2.5"}, seeds=seeds)
    with pytest.raises(Conflict, match="says something else"):
        record_planting(id=id, planting=planting, user=recorder, said=said, seeds=[])
    assert PlantingRecord.objects.count() == 1


def test_what_was_left_of_the_mix_is_shared_by_what_was_put_in(
    planting, oats_lot, farm, species, owner, recorder
):
    """10 lb left of 100 + 20 + 20: 7.143, 1.429 and 1.429 are 10.001, so the smallest remainder gives way."""
    clover = lot_of(farm, species("crimson_clover"), owner, number="C1")
    other = lot_of(farm, species("crimson_clover"), owner, number="C2")
    lines = [
        {"lot_id": lot.pk, "loaded_lb": Decimal(lb)}
        for lot, lb in ((oats_lot, "100"), (clover, "20"), (other, "20"))
    ]
    record = drilled(planting, recorder, lines, hopper_left_lb=Decimal("10"))
    left = [row.left_lb for row in record.seeds.all()]
    assert sum(left) == 10
    assert left == [Decimal("7.143"), Decimal("1.429"), Decimal("1.428")]
    assert on_hand(oats_lot) == 400 - 100 + Decimal("7.143")


def test_targets_are_bulk_pounds_of_the_lots_that_went_in(planting, oats_lot, farm, species, owner, recorder):
    """Oats 60 lb PLS over 98 % × 90 % = 0.882: 68.027 lb. Clover 5 lb PLS from two lots, used 6 and 4 lb, of 0.8 and
    0.5: live 4.8 + 2.0 = 6.8, so 5 × 6 ÷ 6.8 = 4.412 and 5 × 4 ÷ 6.8 = 2.941 lb, which hold 5 lb PLS."""
    good = lot_of(farm, species("crimson_clover"), owner, tag=("100", "80"), number="C1")
    poor = lot_of(farm, species("crimson_clover"), owner, tag=("100", "50"), number="C2")
    stray = lot_of(farm, species("chicory"), owner, number="S")
    record = drilled(planting, recorder, {oats_lot: "130", good: "6", poor: "4", stray: "1"})
    targets = [row.target_lb_per_acre for row in record.seeds.all()]
    assert targets == pytest.approx([60 / 0.882, 30 / 6.8, 20 / 6.8, 0])


def test_target_stays_unknown_without_a_test_or_without_a_lot(planting, farm, species, owner, recorder):
    untested = lot_of(farm, species("oats"), owner, tag=None)
    lines = [
        {"lot_id": untested.pk, "used_lb": 100},
        {"species_id": species("crimson_clover").pk, "used_lb": 9},
    ]
    record = drilled(planting, recorder, lines)
    assert [row.target_lb_per_acre for row in record.seeds.all()] == [None, None]


def test_more_than_the_book_needs_somebody_who_counted(planting, oats_lot, recorder):
    with pytest.raises(Conflict, match="had 400 lb on 2026-09-10, and 410 lb were to be taken"):
        drilled(planting, recorder, {oats_lot: "410"})
    planting.refresh_from_db()
    assert planting.state == "planned"
    record = drilled(planting, recorder, {oats_lot: "410"}, is_counted=True)
    assert on_hand(oats_lot) == 0
    # corrected to 405 lb, the count of what the bag held follows: 5 lb were found and not 10
    correct(record, recorder, seeds=[{"lot_id": oats_lot.pk, "used_lb": Decimal("405")}])
    assert on_hand(oats_lot) == 0
    assert oats_lot.entries.get(kind="counted", is_taken_back=False).lb == 5


def test_a_plot_planted_over_two_days_has_the_sum_of_its_acres(planting, oats_lot, recorder):
    second = drilled(planting, recorder, {oats_lot: "80"}, acres="1.25", on=date(2026, 9, 12))
    drilled(planting, recorder, {oats_lot: "50"}, acres="0.75", on=SOWN_ON)
    planting.refresh_from_db()
    assert (planting.planted_on, planting.planted_acres) == (SOWN_ON, 2)
    strike_planting(record=second, user=recorder, reason="Another plot was meant.")
    planting.refresh_from_db()
    assert (planting.planted_on, planting.planted_acres) == (SOWN_ON, Decimal("0.75"))


def test_correcting_moves_stock_and_cost_and_keeps_the_old_record(
    planting, oats_lot, farm, species, owner, recorder
):
    """100 lb, then 50 lb of another day; the first was 120 lb. Cents go with the pounds in the order of the days:
    400 lb cost 200.00, so 120 lb are 60.00 and the 50 lb stay 25.00."""
    record = drilled(planting, recorder, {oats_lot: "100"}, acres="1", on=date(2026, 9, 1))
    drilled(planting, recorder, {oats_lot: "50"}, acres="1", on=date(2026, 9, 3))
    stands_at = oats_lot.entries.get(lb=-100).stands_at
    new = correct(record, owner, seeds=[{"lot_id": oats_lot.pk, "used_lb": Decimal("120")}], acres="1.2")
    assert used_usd(oats_lot) == [Decimal("60.00"), Decimal("25.00")]
    assert on_hand(oats_lot) == 230
    entry = oats_lot.entries.get(lb=-120)
    assert (entry.stands_at, entry.record_seed.record) == (stands_at, new)
    record.refresh_from_db()
    planting.refresh_from_db()
    assert (record.replaced_by, record.acres, record.seeds.get().used_lb) == (new, 1, 100)
    assert planting.planted_acres == Decimal("2.2")


def test_correcting_the_lot_gives_the_pounds_back_to_the_wrong_one(
    planting, oats_lot, farm, species, owner, recorder
):
    other = lot_of(farm, species("oats"), owner, lb="300", goods_usd="90.00", number="B2")
    record = drilled(planting, recorder, {oats_lot: "100"})
    correct(record, recorder, seeds=[{"lot_id": other.pk, "used_lb": Decimal("100")}])
    assert (on_hand(oats_lot), on_hand(other)) == (400, 200)
    assert (used_usd(oats_lot), used_usd(other)) == ([], [Decimal("30.00")])


def test_of_two_people_who_correct_at_once_the_second_is_told(planting, oats_lot, owner, recorder):
    record = drilled(planting, recorder, {oats_lot: "100"})
    id = uuid.uuid4()
    new = correct(record, owner, id=id, weather="Wind from the north")
    with pytest.raises(Conflict, match="was corrected by owner on"):
        correct(record, recorder, weather="Calm")
    with pytest.raises(Conflict, match="was corrected by owner on"):
        strike_planting(record=record, user=recorder, reason="Twice")
    assert correct(record, owner, id=id, weather="Wind from the north") == new
    assert PlantingRecord.objects.count() == 2


def test_a_correction_that_changes_nothing_makes_no_record(planting, oats_lot, owner):
    record = drilled(planting, owner, {oats_lot: "100"})
    assert correct(record, owner) == record
    assert PlantingRecord.objects.count() == 1


def test_a_correction_that_a_later_day_has_no_seed_for_changes_nothing(planting, oats_lot, owner):
    record = drilled(planting, owner, {oats_lot: "100"})
    stock.use(lot=oats_lot, lb=300, on=SOWN_ON + timedelta(days=3), user=owner)
    with pytest.raises(Conflict, match="290 lb on 2026-09-13"):
        correct(record, owner, seeds=[{"lot_id": oats_lot.pk, "used_lb": Decimal("110")}])
    record.refresh_from_db()
    assert (record.replaced_by, on_hand(oats_lot)) == (None, 0)


def test_striking_gives_seed_back_and_plans_the_plot_again(planting, oats_lot, recorder):
    record = drilled(planting, recorder, {oats_lot: "100"})
    with pytest.raises(Refused, match="needs a reason"):
        strike_planting(record=record, user=recorder, reason=" ")
    strike_planting(record=record, user=recorder, reason="Entered twice.")
    planting.refresh_from_db()
    assert (planting.state, planting.planted_on, planting.planted_acres, planting.boundary) == (
        "planned",
        None,
        None,
        None,
    )
    assert on_hand(oats_lot) == 400
    with pytest.raises(Conflict, match="has been struck: Entered twice."):
        correct(record, recorder, weather="Calm")


def test_a_plan_with_a_struck_record_is_kept(planting, oats_lot, owner):
    record = drilled(planting, owner, {oats_lot: "100"})
    strike_planting(record=record, user=owner, reason="Another plot was meant.")
    undecided = [{"plot_id": planting.plot_id, "blend_id": None}]
    with pytest.raises(Conflict, match="A record of North was struck and is kept with its plan"):
        assign(season=planting.season, user=owner, assignments=undecided)
    assign(season=planting.season, user=owner, assignments=[{"plot_id": planting.plot_id, "fallow": True}])


def test_day_and_acres_of_a_recorded_planting_are_corrected_in_its_record(planting, oats_lot, owner):
    drilled(planting, owner, {oats_lot: "100"})
    with pytest.raises(Conflict, match="North has a planting record of 2026-09-10 with its seed"):
        record_planted(planting=planting, on=SOWN_ON, acres="3")


def test_a_record_without_seed_is_a_planting_of_unknown_seed(planting, recorder):
    assert not drilled(planting, recorder).seeds.exists()
    planting.refresh_from_db()
    assert planting.state == "drilled"


@pytest.mark.parametrize(
    ("said", "seed", "sentence"),
    [
        ({"acres": "0"}, {}, "Acres planted are “0”"),
        ({"acres": None}, {}, "Acres planted are not given"),
        ({"done_on": None}, {}, "Say on which day it was planted."),
        ({"done_on": date(1949, 1, 1)}, {}, "accepted is a day since then"),
        (
            {"started_at": time(14), "ended_at": time(9)},
            {},
            "ended at 09:00 and started at 14:00",
        ),
        ({"hours_start": "100", "hours_end": "99.5"}, {}, "reads 99.5 at the end and 100 at the start"),
        ({"settings": {"hopper": "4"}}, {}, "accepted boxes are main and small"),
        ({"depths_checked_in": ["deep"]}, {}, "A depth is deep"),
        ({"soil_temp_f": "500"}, {}, "160"),
        ({"note": "a\x00b"}, {}, "no text"),
        ({"machine_id": 999}, {}, "Machine 999 is not a machine of this property."),
        ({}, {"loaded_lb": "10"}, "How much was used is not told"),
        ({}, {"loaded_lb": "10", "left_lb": "11"}, "11 lb were left and 10 lb put in"),
        ({}, {"loaded_lb": "10", "left_lb": "4", "used_lb": "5"}, "put in less left is 6 lb"),
        ({"hopper_left_lb": "20"}, {"loaded_lb": "10"}, "20 lb were left and 10 lb put in"),
        ({"hopper_left_lb": "2"}, {"used_lb": "10"}, "no seed says what was put in"),
        ({}, {"used_lb": "-1"}, "-1 lb used; accepted is a number of pounds of 0 or more"),
        ({}, {"lot_id": 999999, "used_lb": "1"}, "Lot 999999 is not a lot of this property."),
        ({}, {"species_id": 1, "used_lb": "1"}, "Say which seed this was"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_stored(planting, oats_lot, recorder, said, seed, sentence):
    seeds = [{"lot_id": oats_lot.pk} | seed] if seed else []
    with pytest.raises(Refused, match=sentence):
        record_planting(
            id=uuid.uuid4(),
            planting=planting,
            user=recorder,
            said={"done_on": SOWN_ON, "acres": "2"} | said,
            seeds=seeds,
        )
    assert not PlantingRecord.objects.exists()
    assert on_hand(oats_lot) == 400


def test_tomorrow_is_refused(planting, recorder):
    with pytest.raises(Refused, match="is in the future"):
        drilled(planting, recorder, on=timezone.localdate() + timedelta(days=1))


def test_a_lot_is_named_once(planting, oats_lot, recorder):
    line = {"lot_id": oats_lot.pk, "used_lb": 5}
    with pytest.raises(Refused, match="named twice"):
        drilled(planting, recorder, [line, line])


def test_a_fallow_plot_is_not_planted(planting, owner):
    assign(season=planting.season, user=owner, assignments=[{"plot_id": planting.plot_id, "fallow": True}])
    with pytest.raises(Refused, match="North is fallow"):
        drilled(planting, owner)
