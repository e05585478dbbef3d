"""Looking for the cheapest way to buy and taking it; `small_property` has the order's working by hand."""

from datetime import date
from decimal import Decimal

import pytest

from blends.models import Lot, OrderChoice
from blends.queries.buying import lines_to_buy, plan_lines
from blends.queries.buying_problem import is_out_of_date
from blends.queries.order_inputs import order_inputs
from blends.queries.orders import order_lines
from blends.services import stock
from blends.services.buying import ask_for_plan, back_to_own_choices, cancel_search, take_plan
from blends.services.offers import add_supplier, save_offer
from blends.services.orders import choose, recompute_order
from blends.services.seasons import assign
from blends.services.substitutions import freeze_on_hand, substitute, take_back_substitution
from blends.solving import bounded
from config.errors import Conflict, Refused
from plots.services.jobs import run_job

USD = Decimal


@pytest.fixture
def cheaper_oats(small_property, farm, species):
    """Barn Seed sells the oats in 10-lb bags at 4.00 with the same tag: 166.429 lb are 17 bags, 68.00, and no freight."""
    barn = add_supplier(property=farm, name="Barn Seed")
    barn.freight_kind = "none"
    barn.save()
    return save_offer(
        property=farm,
        supplier=barn,
        species=species("oats"),
        pack_lb=Decimal(10),
        price_usd=USD("4.00"),
        purity_pct=Decimal(98),
        germination_pct=Decimal(90),
    )


def found(order, owner, **asked):
    order.refresh_from_db()
    plan = ask_for_plan(order=order, user=owner, seconds=10, **asked)
    run_job(plan.job_id)
    plan.refresh_from_db()
    plan.job.refresh_from_db()
    return plan


def line_of(order, name):
    recompute_order(order.pk)
    return next(line for line in order_lines(order) if str(line.item) == name)


def test_the_cheapest_way_is_found_with_its_proof(small_property, owner, cheaper_oats):
    """68.00 oats, 60.00 clover, 140.00 the bag; Co-op's freight is not known and in no sum."""
    plan = found(small_property, owner)
    assert (plan.job.state, plan.found["state"], plan.found["gap_usd"]) == ("done", "proven", "0.00")
    assert plan.found["total_usd"] == "268.00"
    assert {row["name"]: (row["goods_usd"], row["freight_usd"]) for row in plan.found["suppliers"]} == {
        "Co-op": ("200.00", None),
        "Barn Seed": ("68.00", "0.00"),
    }
    alone = {row["name"]: (row["total_usd"], row["lacks"]) for row in plan.found["alone"]}
    assert alone == {"Co-op": ("288.00", []), "Barn Seed": (None, ["Crimson clover", "Bag"])}
    assert {row["key"] for row in plan.found["rules"]} == {"packs", "overage"}
    assert plan.job.steps_done == plan.job.steps_total == 5


def test_one_supplier_at_most_costs_what_it_costs(small_property, owner, cheaper_oats):
    plan = found(small_property, owner, most_suppliers=1)
    [limit] = [row for row in plan.found["rules"] if row["key"] == "limit"]
    assert (plan.found["total_usd"], limit["saves_usd"]) == ("288.00", "20.00")


def test_taken_it_becomes_the_orders_choices_figures_and_purchases(
    small_property, owner, species, cheaper_oats
):
    plan = found(small_property, owner)
    take_plan(plan=plan, user=owner)
    small_property.refresh_from_db()
    oats = line_of(small_property, "Oats")
    assert (oats.offer_id, oats.packs, oats.cost_bought_usd) == (cheaper_oats.pk, 17, USD("68.00"))
    lines = lines_to_buy(small_property)
    assert [(str(line.supplier), line.packs, line.price_usd) for line in lines] == [
        ("Barn Seed", 17, USD("4.00")),
        ("Co-op", 4, USD("35.00")),
        ("Co-op", 1, USD("60.00")),
    ]
    assert lines == plan_lines(plan)
    back_to_own_choices(order=small_property)
    small_property.refresh_from_db()
    assert line_of(small_property, "Oats").cost_bought_usd == USD("88.00")


def test_it_is_not_taken_when_the_offers_or_the_order_have_changed(
    small_property, owner, species, cheaper_oats
):
    plan = found(small_property, owner)
    assert not is_out_of_date(plan)
    save_offer(property=cheaper_oats.property, offer=cheaper_oats, price_usd=USD("4.50"))
    with pytest.raises(Conflict, match="ask again"):
        take_plan(plan=plan, user=owner)
    plan = found(small_property, owner)
    choose(order=small_property, species=species("oats"), on_hand_lb=Decimal(5))
    with pytest.raises(Conflict, match="ask again"):
        take_plan(plan=plan, user=owner)


def test_purchases_are_not_made_from_a_way_that_the_order_has_outgrown(
    small_property, owner, species, cheaper_oats
):
    take_plan(plan=found(small_property, owner), user=owner)
    choose(order=small_property, species=species("oats"), on_hand_lb=Decimal(5))
    small_property.refresh_from_db()
    with pytest.raises(Conflict, match="changed since"):
        lines_to_buy(small_property)


def test_what_nobody_offers_is_listed(order, season, owner, farm, make_plot, make_mixed, make_offer, species):
    grain = make_mixed("Grain", {"oats": ("60", "75"), "crimson_clover": ("5", "8")})
    assign(
        season=season,
        user=owner,
        assignments=[{"plot_id": make_plot("North", acres=2).pk, "blend_id": grain.pk}],
    )
    make_offer(species("oats"), "50", "22.00", ("98", "90"))
    plan = found(order, owner)
    assert [row["name"] for row in plan.found["uncovered"]] == ["Crimson clover"]
    assert [line["packs"] for line in plan.found["lines"]] == [3]  # 2 × 60 × 1.05 = 126 lb PLS of 44.1 a bag


def test_a_cancelled_search_keeps_what_it_found(small_property, owner, cheaper_oats, monkeypatch):
    small_property.refresh_from_db()
    plan = ask_for_plan(order=small_property, user=owner)

    def half_done(problem, *, seconds, look):
        main = {
            "state": "stopped",
            "packs": [[0, 4], [1, 1], [2, 4]],
            "swaps": [],
            "total_usd": "288.00",
            "bound_usd": 250.0,
        }
        seen = {"main": main, "beside": [], "steps": 5, "steps_done": 0, "uncovered": []}
        look(seen)
        cancel_search(plan)
        ended = "done"
        try:
            monkeypatch.setattr("blends.services.buying._LOOK_EVERY_S", 0)
            looking = look
            looking.next = 0
            looking(seen)
        except bounded.Cancelled:
            ended = "cancelled"
        return seen | {"ended": ended}

    monkeypatch.setattr("blends.services.buying.find", half_done)
    run_job(plan.job_id)
    plan.refresh_from_db()
    plan.job.refresh_from_db()
    assert (plan.job.state, plan.found["state"]) == ("cancelled", "stopped")
    assert (plan.found["total_usd"], plan.found["gap_usd"]) == ("288.00", "38.00")


def test_a_running_search_is_ended_at_once(small_property, owner, cheaper_oats):
    small_property.refresh_from_db()
    plan = ask_for_plan(order=small_property, user=owner)
    with pytest.raises(Conflict, match="running already"):
        ask_for_plan(order=small_property, user=owner)
    cancel_search(plan)
    run_job(plan.job_id)
    plan.job.refresh_from_db()
    assert (plan.job.state, plan.found) == ("cancelled", {})


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"most_suppliers": 0}, "accepted is 1"),
        ({"seconds": 0}, "accepted is 1 to 300"),
        ({"seconds": 301}, "301"),
    ],
)
def test_a_limit_that_cannot_be_meant_is_refused(small_property, owner, asked, said):
    with pytest.raises(Refused, match=said):
        ask_for_plan(order=small_property, user=owner, **asked)


def lot(farm, species, lb, **tag):
    row = Lot.objects.create(property=farm, species=species, **tag)
    stock.receive(lot=row, lb=lb, on=date(2026, 1, 5), user=None)
    row.refresh_from_db()
    return row


TAG = {"purity_pct": Decimal(98), "germination_pct": Decimal(75)}


def test_without_a_figure_the_lots_are_on_hand_as_far_as_they_live(small_property, farm, species):
    """60 lb at 98 % × 75 % are 44.1 lb PLS, as much as 50 lb of the line's 0.882; a lot without a tag counts nothing."""
    OrderChoice.objects.filter(species=species("oats")).update(on_hand_lb=None)
    version = small_property.inputs_version
    lot(farm, species("oats"), 60, **TAG)
    lot(farm, species("oats"), 40)
    small_property.refresh_from_db()
    assert small_property.inputs_version > version
    assert line_of(small_property, "Oats").on_hand_lb == pytest.approx(50)
    [item] = [item for item in order_inputs(small_property).items if item.species_id == species("oats").pk]
    assert ([row.pk for row in item.stock.unknown], len(item.stock.counted)) == ([Lot.objects.last().pk], 1)


def test_what_the_stock_had_is_written_down_when_the_order_is_placed(small_property, farm, owner, species):
    OrderChoice.objects.filter(species=species("oats")).update(on_hand_lb=None)
    row = lot(farm, species("oats"), 60, **TAG)
    freeze_on_hand(small_property)
    stock.lose(lot=row, lb=60, on=date(2026, 1, 6), user=owner, reason="mice")
    assert OrderChoice.objects.get(species=species("oats")).on_hand_lb == Decimal("50.00")
    assert line_of(small_property, "Oats").on_hand_lb == 50


def seeds(row, value):
    row.seeds_per_lb = value
    row.save()


def test_a_substitute_is_bought_at_equal_live_seeds(small_property, owner, species):
    """Oats at 13,000 and cereal rye at 18,000 seeds a pound: 157.5 lb PLS of oats are 113.75 lb PLS of rye."""
    oats, rye = species("oats"), species("cereal_rye")
    seeds(oats, 13000)
    seeds(rye, 18000)
    substitute(order=small_property, user=owner, species=oats, instead=rye, reason="no oats to be had")
    line = line_of(small_property, str(rye))
    assert line.planted_lb * line.pure_live_fraction == pytest.approx(113.75)
    assert "Oats" not in {str(row.item) for row in order_lines(small_property)}
    take_back_substitution(order=small_property, species=oats)
    assert line_of(small_property, "Oats").planted_lb == pytest.approx(178.571, abs=1e-3)


def test_only_its_own_group_and_known_seeds_can_stand_in(small_property, owner, species):
    oats, clover, rye = species("oats"), species("crimson_clover"), species("cereal_rye")

    def refused(instead, reason="cheaper"):
        with pytest.raises(Refused) as error:
            substitute(order=small_property, user=owner, species=oats, instead=instead, reason=reason)
        return error.value.sentence

    assert "same functional group" in refused(clover)
    assert "itself" in refused(oats)
    assert "reason" in refused(rye, " ")
    seeds(rye, None)
    assert "how many seeds" in refused(rye)


def test_an_allowed_swap_is_made_where_it_is_cheaper_and_taken_with_the_way(
    small_property, owner, farm, species, cheaper_oats
):
    oats, rye = species("oats"), species("cereal_rye")
    seeds(oats, 10000)
    seeds(rye, 20000)  # half the pounds
    save_offer(
        property=farm,
        supplier=cheaper_oats.supplier,
        species=rye,
        pack_lb=Decimal(50),
        price_usd=USD("15.00"),
        purity_pct=Decimal(98),
        germination_pct=Decimal(90),
    )
    plan = found(small_property, owner, swaps=[(oats.pk, rye.pk)])
    [swap] = plan.found["swaps"]
    assert (swap["instead_id"], swap["factor"]) == (rye.pk, 0.5)
    take_plan(plan=plan, user=owner)
    small_property.refresh_from_db()
    # 157.5 × 1.1 ÷ 2 = 86.625 lb PLS of 44.1 a bag
    assert line_of(small_property, str(rye)).packs == 2
    back_to_own_choices(order=small_property)
    assert not small_property.substitutions.exists()
    with pytest.raises(Refused, match="same functional group"):
        ask_for_plan(order=small_property, user=owner, swaps=[(oats.pk, species("crimson_clover").pk)])
