"""The seed order through the services, worked by hand."""

from decimal import Decimal

import pytest

from blends import queries
from blends.services.orders import choose, recompute_order, set_terms
from blends.services.seasons import assign

USD = Decimal


@pytest.fixture
def small_property(order, season, owner, make_plot, make_mixed, make_bought, make_offer, species):
    """Three plots, two blends, three offers.

    Grain is 60 lb PLS/ac of oats and 5 of crimson clover drilled; 75 and 8 broadcast. The bag is sown at
    20 bulk lb/ac.

    North 2 ac drilled and South 0.5 ac broadcast with Grain, Creek 1.5 ac with the bag; 10 % overage.

    Oats, tag 98 % × 90 % = 0.882, 50-lb packs at 22.00, 30 lb on hand:
        planted (2 × 60 + 0.5 × 75) ÷ 0.882 = 157.5 ÷ 0.882 = 178.571 lb
        needed 196.429, to buy 166.429, 4 packs = 200 lb at 88.00; left over 30 + 200 − 178.571 = 51.429
        used 178.571 × 0.44 = 78.57
    Crimson clover, no tag, so 98 % × 85 % = 0.833 assumed, 25-lb packs at 60.00:
        planted (2 × 5 + 0.5 × 8) ÷ 0.833 = 14 ÷ 0.833 = 16.807 lb
        needed 18.487, 1 pack = 25 lb at 60.00; left over 8.193; used 16.807 × 2.40 = 40.34
    Bag, 10-lb packs at 35.00:
        planted 30, needed 33, 4 packs at 140.00, left over 10; used 30 × 3.50 = 105.00

    Bought 288.00 on 4 acres = 72.00/ac; used 223.91 = 55.98/ac.
    """
    north, south = make_plot("North", acres=2), make_plot("South", acres=0.5)
    creek = make_plot("Creek", acres=1.5)
    oats, clover = species("oats"), species("crimson_clover")
    grain = make_mixed("Grain", {"oats": ("60", "75"), "crimson_clover": ("5", "8")})
    bag = make_bought("Bag", "20", {"chicory": ("50", "80"), "white_clover": ("45", "90")})
    assign(
        season=season,
        user=owner,
        assignments=[
            {"plot_id": north.pk, "blend_id": grain.pk, "method": "drilled"},
            {"plot_id": south.pk, "blend_id": grain.pk, "method": "broadcast"},
            {"plot_id": creek.pk, "blend_id": bag.pk},
        ],
    )
    terms = {"assumed_purity_pct": Decimal(98), "assumed_germination_pct": Decimal(85)}
    set_terms(order=order, overage_pct=Decimal(10), **terms)
    oats_offer = make_offer(oats, "50", "22.00", tag=("98", "90"))
    choose(order=order, species=oats, offer=oats_offer, on_hand_lb=Decimal(30))
    choose(order=order, species=clover, offer=make_offer(clover, "25", "60.00"))
    choose(order=order, blend=bag, offer=make_offer(bag, "10", "35.00"))
    recompute_order(order.pk)
    order.refresh_from_db()
    return order


def test_order_comes_out_as_by_hand(small_property):
    lines = {str(line.item): line for line in queries.order_lines(small_property)}
    found = {
        name: (
            round(line.planted_lb, 3),
            round(line.needed_lb, 3),
            round(line.to_buy_lb, 3),
            line.packs,
            line.bought_lb,
            round(line.left_over_lb, 3),
            line.cost_used_usd,
            line.cost_bought_usd,
            line.is_pls_assumed,
        )
        for name, line in lines.items()
    }
    assert found == {
        "Oats": (178.571, 196.429, 166.429, 4, 200, 51.429, USD("78.57"), USD("88.00"), False),
        "Crimson clover": (16.807, 18.487, 18.487, 1, 25, 8.193, USD("40.34"), USD("60.00"), True),
        "Bag": (30, 33, 33, 4, 40, 10, USD("105.00"), USD("140.00"), False),
    }
    assert (small_property.acres, small_property.cost_bought_usd) == (4.0, USD("288.00"))
    assert (small_property.cost_used_usd, small_property.problems) == (USD("223.91"), [])
