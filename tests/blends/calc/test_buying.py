"""The cheapest way to buy, against going through every possibility, and by hand."""

from dataclasses import replace
from decimal import Decimal
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blends.calc.buying import (
    Item,
    Offer,
    Problem,
    Supplier,
    Swap,
    costs_of,
    from_plain,
    is_enough,
    split_uncovered,
    to_plain,
)
from blends.calc.buying_model import cheapest
from blends.calc.buying_search import search

USD = Decimal
MILL = Supplier(1, "Mill", freight_kind="none")
MOST_PACKS = 3


def exhaustive(problem):
    """The least that any packs and swaps cost, by trying all of them; None where nothing is enough."""
    ways = [
        [{}, *({row: swap.item} for swap in item.swaps if item.lb)] for row, item in enumerate(problem.items)
    ]
    counts = [range((MOST_PACKS if offer.most is None else offer.most) + 1) for offer in problem.offers]
    best = None
    for chosen in product(*ways):
        swaps = {row: other for way in chosen for row, other in way.items()}
        if any(other in swaps for other in swaps.values()):
            continue
        for numbers in product(*counts):
            packs = dict(enumerate(numbers))
            if is_enough(problem, packs, swaps):
                usd = costs_of(problem, packs).total_usd
                best = usd if best is None else min(best, usd)
    return best


cents = st.integers(100, 6000).map(lambda n: Decimal(n) / 100)
maybe_usd = st.none() | st.integers(1, 150).map(Decimal)


@st.composite
def suppliers(draw, key):
    kind = draw(st.sampled_from(["", "none", "flat", "weight", "value"]))
    return Supplier(
        key,
        f"Supplier {key}",
        draw(maybe_usd),
        kind,
        draw(st.integers(1, 40).map(Decimal))
        if kind == "flat"
        else draw(st.none() | st.integers(1, 40).map(Decimal)),
        draw(st.sampled_from([Decimal("0.05"), Decimal("0.4")])),
        draw(st.sampled_from([Decimal(4), Decimal("12.5")])),
        draw(maybe_usd),
    )


@st.composite
def problems(draw):
    """Up to three needs with two offers each and two suppliers; at most three packs of an offer."""
    needs = draw(st.integers(1, 3))
    sellers = tuple(draw(suppliers(key)) for key in range(draw(st.integers(1, 2))))
    items, offers = [], []
    for row in range(needs):
        others = [other for other in range(needs) if other != row]
        swaps = draw(st.lists(st.sampled_from(others), max_size=1)) if others else []
        factor = draw(st.sampled_from([0.5, 1.25]))
        lb = float(draw(st.integers(1, 120)))
        on_hand = float(draw(st.sampled_from([0, 0, 5, 60])))
        items.append(
            Item(f"Seed {row}", lb, lb / 1.25, on_hand, tuple(Swap(other, factor) for other in swaps))
        )
        for _ in range(draw(st.integers(0, 2))):
            price = draw(cents)
            first = draw(st.sampled_from([None, 2, 3]))
            breaks = () if first is None else ((first, (price * Decimal("0.8")).quantize(Decimal("0.01"))),)
            offers.append(
                Offer(
                    len(offers),
                    row,
                    draw(st.integers(0, len(sellers) - 1)),
                    Decimal(draw(st.sampled_from([5, 25, 50]))),
                    draw(st.sampled_from([0.6, 0.8, 1.0])),
                    price,
                    breaks,
                    draw(st.sampled_from([1, 1, 2])),
                    draw(st.integers(2, MOST_PACKS)),
                )
            )
    limit = draw(st.sampled_from([None, 1, 2]))
    return Problem(tuple(items), tuple(offers), sellers, limit)


@settings(max_examples=250, deadline=None)
@given(problems())
def test_nothing_is_cheaper_than_what_is_found(problem):
    """Within a cent: freight by weight or value is rounded when it is billed, in the programme it is not."""
    problem, _ = split_uncovered(problem)
    true_usd = exhaustive(problem)
    for found in (search(problem), cheapest(problem)):
        if true_usd is None:
            assert found.state == "impossible"
            continue
        assert found.state == "proven"
        assert is_enough(problem, found.packs, found.swaps)
        assert costs_of(problem, found.packs).total_usd == found.total_usd
        assert abs(found.total_usd - true_usd) <= Decimal("0.01") * len(problem.suppliers)


def rye(price="40.00", pack="50", live=0.88, supplier=0, item=0, key=0, **more):
    return Offer(key, item, supplier, Decimal(pack), live, USD(price), **more)


@pytest.mark.parametrize("find", [search, cheapest])
def test_what_is_on_hand_in_full_is_not_bought_to_reach_a_smallest_order(find):
    """Oats are on hand; two bags of rye reach the 2.00, dearer than a bag of each that nobody needs."""
    mill = Supplier(0, "Mill", USD("2.00"))
    items = (Item("Oats", 1, on_hand_lb=5), Item("Rye", 1))
    found = find(Problem(items, (rye("1.00", "5", item=0), rye("1.02", "5", item=1, key=1)), (mill,)))
    assert (found.state, found.packs, found.total_usd) == ("proven", {1: 2}, USD("2.04"))


def test_two_bags_reach_the_break_and_beat_the_small_ones():
    """As in the module's text: 88 lb PLS, 2 × 36.00 and 25.00 freight."""
    mill = Supplier(1, "Mill", freight_kind="flat", charge_usd=USD("25.00"))
    offers = (rye(breaks=((2, USD("36.00")),)), rye("11.00", "10", 0.9, key=1))
    found = search(Problem((Item("Rye", 100, on_hand_lb=12),), offers, (mill,)))
    assert (found.packs, found.total_usd, found.gap_usd) == ({0: 2}, USD("97.00"), 0)


def test_live_seed_is_compared_and_not_the_price_of_a_bag():
    """45 lb PLS: two bags of 25 lb PLS for 60.00, or one dearer bag of 46 lb PLS for 50.00."""
    offers = (rye("30.00", live=0.5), rye("50.00", live=0.92, key=1))
    assert search(Problem((Item("Rye", 45),), offers, (MILL,))).packs == {1: 1}


def test_a_bag_more_is_bought_where_it_makes_freight_free():
    """One bag at 50.00 and 60.00 freight is more than two that come free; with 30.00 freight it is less."""
    mill = Supplier(1, "Mill", freight_kind="flat", charge_usd=USD(60), free_from_usd=USD(100))
    problem = Problem((Item("Rye", 44),), (rye("50.00"),), (mill,))
    assert search(problem).packs == {0: 2}  # 100.00 instead of 50.00 + 60.00
    dear = replace(mill, charge_usd=USD(30))
    assert search(problem.with_(suppliers=(dear,))).packs == {0: 1}  # 80.00 instead of 100.00


def test_the_smallest_order_is_reached_or_the_supplier_left_out():
    mill = replace(MILL, min_order_usd=USD(150))
    other = Supplier(2, "Barn", freight_kind="none")
    offers = (rye("40.00"), rye("45.00", supplier=1, key=1))
    found = search(Problem((Item("Rye", 44),), offers, (mill, other)))
    assert (found.packs, found.total_usd) == ({1: 1}, USD("45.00"))


def test_an_item_with_one_cover_alone_counts_for_the_smallest_order():
    """3 × 45.61 + 24.69 = 161.52 reaches the Coop's 150.00; + 10.00 freight + 9.38 + 7.5 % of it = 181.60."""
    fodder = Supplier(1, "Fodder", freight_kind="value", pct=USD("7.5"), free_from_usd=USD(200))
    coop = Supplier(2, "Coop", USD(150), "flat", USD(10))
    problem = Problem(
        (Item("Peas", 70.0), Item("Rye", 66.0)),
        (
            rye("57.01", live=0.9, supplier=1, breaks=((2, USD("45.61")),), least=3, most=3),
            rye("24.69", live=0.83, supplier=1, item=1, key=1, breaks=((2, USD("19.75")),), most=5),
            rye("9.38", live=0.83, item=1, key=2, breaks=((2, USD("7.50")),), most=4),
        ),
        (fodder, coop),
    )
    for found in (search(problem), cheapest(problem)):
        assert (found.state, found.total_usd) == ("proven", USD("181.60"))
        assert found.packs == {0: 3, 1: 1, 2: 1}


def test_fewer_bags_below_a_break_may_reach_the_smallest_order():
    """Four bags at the break are 60.00, three below it 66.00, and the smallest order is 65.00."""
    coop = Supplier(1, "Coop", USD(65), "none")
    dear = replace(MILL, key=2)
    offers = (
        rye("22.00", breaks=((4, USD("15.00")),), most=4),
        rye("80.00", supplier=1, key=1),
    )
    problem = Problem((Item("Rye", 40),), offers, (coop, dear))
    assert exhaustive(replace(problem, offers=(offers[0], replace(offers[1], most=1)))) == USD("66.00")
    found = search(problem)
    assert (found.state, found.packs, found.total_usd) == ("proven", {0: 3}, USD("66.00"))


def test_a_least_charge_hides_no_cheaper_packs():
    """2 × 9.01 + 4 × 29.76 + 18.97 = 156.03 reaches 150.00; 190 lb × 0.07 = 13.30, so 15.00 freight: 171.03.

    3 × 9.01 + 3 × 29.76 + 2 × 18.97 = 154.25 is less in goods, and its 280 lb cost 19.60 freight: 173.85.
    """
    coop = Supplier(1, "Coop", USD(150), "weight", USD(15), USD("0.07"))
    offers = (
        rye("11.26", live=0.61, breaks=((2, USD("9.01")), (4, USD("7.88"))), most=4),
        rye("29.76", "10", live=0.61, key=1, least=3, most=4),
        rye("18.97", live=0.9, item=1, key=2, most=4),
    )
    problem = Problem((Item("Rye", 60), Item("Oats", 21)), offers, (coop,))
    for found in (search(problem), cheapest(problem)):
        assert (found.state, found.packs, found.total_usd) == ("proven", {0: 2, 1: 4, 2: 1}, USD("171.03"))


def test_a_limit_of_suppliers_is_kept():
    items = (Item("Rye", 44), Item("Oats", 44))
    offers = (rye("40.00"), rye("20.00", item=1, supplier=1, key=1), rye("90.00", item=1, key=2))
    problem = Problem(items, offers, (MILL, Supplier(2, "Barn", freight_kind="none")))
    assert search(problem).total_usd == USD("60.00")
    assert search(problem.with_(most_suppliers=1)).total_usd == USD("130.00")


def test_a_swap_is_taken_whole_and_at_its_factor():
    """100 lb of rye or, at half the seeds a pound, 200 lb of oats: 5 bags at 10.00 instead of 3 at 40.00."""
    items = (Item("Rye", 100, swaps=(Swap(1, 2.0),)), Item("Oats", 0))
    offers = (rye("40.00"), rye("10.00", item=1, key=1))
    found = search(Problem(items, offers, (MILL,)))
    assert (found.packs, found.swaps, found.total_usd) == ({1: 5}, {0: 1}, USD("50.00"))


def test_freight_that_is_not_known_is_in_no_sum():
    mill = Supplier(1, "Mill")
    problem = Problem((Item("Rye", 44),), (rye("40.00"),), (mill,))
    [row] = costs_of(problem, search(problem).packs).suppliers
    assert (row.freight_usd, row.total_usd) == (None, USD("40.00"))


def test_what_nobody_offers_is_listed_and_the_rest_is_planned():
    items = (Item("Rye", 44), Item("Oats", 30), Item("Vetch", 500))
    offers = (rye("40.00"), rye("90.00", item=2, key=2, most=2))
    problem, uncovered = split_uncovered(Problem(items, offers, (MILL,)))
    assert [(one.item, one.wanted_lb, one.offered_lb) for one in uncovered] == [(1, 30, 0), (2, 500, 88)]
    assert search(problem).packs == {0: 1}


def test_seed_on_hand_buys_nothing():
    found = search(Problem((Item("Rye", 44, on_hand_lb=44),), (rye(),), (MILL,)))
    assert (found.packs, found.total_usd, found.state) == ({}, USD("0.00"), "proven")


@settings(max_examples=30, deadline=None)
@given(problems())
def test_a_problem_comes_back_from_its_plain_values(problem):
    assert from_plain(to_plain(problem)) == problem


def test_cut_packs_cost_no_more_than_whole_ones():
    problem = Problem((Item("Rye", 66),), (rye("40.00"),), (MILL,))
    cut = cheapest(problem, whole_packs=False)
    assert cut.total_usd == pytest.approx(USD("60.00"), abs=USD("0.01"))
    assert search(problem).total_usd == USD("80.00")
