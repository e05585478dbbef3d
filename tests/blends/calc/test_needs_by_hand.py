"""The order of an invented 14-plot property, worked by hand to the pound and to the cent.

The arithmetic is by definition; prices, tags and plots are invented.

Four items                 pure live   on hand   pack     price       per lb
    0 rye                      80 %      30 lb    50 lb   22.50 USD   0.45
    1 clover                   75 %       0 lb    25 lb   62.50 USD   2.50
    2 radish                   90 %      12 lb    10 lb   34.99 USD   3.499
    3 meadow, bought mixed      1         5 lb    40 lb  119.00 USD   2.975

Three blends; A is drilled on five plots and broadcast on two. lb/acre PLS, and ÷ pure live = bulk:
    0 A drilled       rye 60 → 75     clover  9 → 12    radish 3.6 → 4
    1 A broadcast     rye 80 → 100    clover 12 → 16    radish 4.5 → 5
    2 B drilled       rye 40 → 50     clover 15 → 20
    3 C drilled       meadow 20 bulk

Acres                                                              sum
    A drilled     2.4   1.5   0.6   3.1   0.9                       8.5
    A broadcast   0.3   1.2                                         1.5
    B             4.2   0.7   2.6                                   7.5
    C             9.0   0.5   1.7   3.3                            14.5
                                                                   32.0
"""

from decimal import Decimal

import pytest

from blends.calc.needs import Components, Items, Plantings, seed_order

A_DRILLED, A_BROADCAST, B, C = range(4)
RYE, CLOVER, RADISH, MEADOW = range(4)


def usd(*amounts):
    return [Decimal(amount) for amount in amounts]


@pytest.fixture(scope="module")
def order():
    return seed_order(
        Plantings(
            acres=[2.4, 1.5, 0.6, 3.1, 0.9, 0.3, 1.2, 4.2, 0.7, 2.6, 9.0, 0.5, 1.7, 3.3],
            recipe=[A_DRILLED] * 5 + [A_BROADCAST] * 2 + [B] * 3 + [C] * 4,
        ),
        Components(
            recipe=[A_DRILLED] * 3 + [A_BROADCAST] * 3 + [B] * 2 + [C],
            item=[RYE, CLOVER, RADISH, RYE, CLOVER, RADISH, RYE, CLOVER, MEADOW],
            lb_per_acre=[60, 9, 3.6, 80, 12, 4.5, 40, 15, 20],
        ),
        Items(
            pure_live_fraction=[0.80, 0.75, 0.90, 1],
            on_hand_lb=[30, 0, 12, 5],
            pack_lb=[50, 25, 10, 40],
            pack_price_usd=usd("22.50", "62.50", "34.99", "119.00"),
        ),
        overage_fraction=0.10,
    )


def test_pounds_that_the_plots_take(order):
    # rye     8.5 × 75 + 1.5 × 100 + 7.5 × 50 = 637.5 + 150 + 375
    # clover  8.5 × 12 + 1.5 × 16 + 7.5 × 20 = 102 + 24 + 150
    # radish  8.5 × 4 + 1.5 × 5 = 34 + 7.5
    # meadow  14.5 × 20
    assert order.items.planted_lb == pytest.approx([1162.5, 276, 41.5, 290])


def test_overage_comes_on_top_and_what_is_on_hand_comes_off(order):
    # 1162.5 × 1.1 = 1278.75, − 30;   276 × 1.1;   41.5 × 1.1 = 45.65, − 12;   290 × 1.1 = 319, − 5
    assert order.items.needed_lb == pytest.approx([1278.75, 303.6, 45.65, 319])
    assert order.items.to_buy_lb == pytest.approx([1248.75, 303.6, 33.65, 314])


def test_whole_packs_are_rounded_up_once(order):
    # 1248.75 ÷ 50 = 24.975;   303.6 ÷ 25 = 12.144;   33.65 ÷ 10 = 3.365;   314 ÷ 40 = 7.85
    assert order.items.packs.tolist() == [25, 13, 4, 8]
    assert order.items.bought_lb.tolist() == [1250, 325, 40, 320]


def test_seed_left_over_once_the_plots_took_their_rate(order):
    # 30 + 1250 − 1162.5;   0 + 325 − 276;   12 + 40 − 41.5;   5 + 320 − 290
    assert order.items.left_over_lb == pytest.approx([117.5, 49, 10.5, 35])


def test_cost_of_the_packs(order):
    # 25 × 22.50;   13 × 62.50;   4 × 34.99;   8 × 119.00
    assert order.items.bought_usd == usd("562.50", "812.50", "139.96", "952.00")


def test_cost_of_the_seed_used(order):
    # 1162.5 × 0.45 = 523.125, half a cent up;   276 × 2.50;   41.5 × 3.499 = 145.2085;   290 × 2.975
    assert order.items.used_usd == usd("523.13", "690.00", "145.21", "862.75")


def test_plots_behind_the_radish(order):
    rows = order.lines.item == RADISH
    # Plots 1 to 5 at 4 lb/acre, plots 6 and 7 at 5 lb/acre.
    assert order.lines.planting[rows].tolist() == [0, 1, 2, 3, 4, 5, 6]
    assert order.lines.planted_lb[rows] == pytest.approx([9.6, 6.0, 2.4, 12.4, 3.6, 1.5, 6.0])
    # 145.21 × 9.6 ÷ 41.5 = 33.59|075, 20.99|422, 8.39|769, 43.38|805, 12.59|653, 5.24|855, 20.99|422:
    # rounded down 145.17, so four cents are left; to plots 6, 4, 3 and 5, which lost most.
    assert order.lines.used_cents[rows].tolist() == [3359, 2099, 840, 4339, 1260, 525, 2099]
    # 139.96 likewise: 32.37|629, 20.23|518, 8.09|407, 41.81|937, 12.14|111, 5.05|880, 20.23|518 make 139.92;
    # four cents to plots 4, 6 and 1, then plots 2 and 7 lost the same and the earlier one has it.
    assert order.lines.bought_cents[rows].tolist() == [3238, 2024, 809, 4182, 1214, 506, 2023]


def test_cost_of_the_seed_used_on_each_plot(order):
    # plot    rye      clover   radish
    #   1    81.00  +  72.00  +  33.59      8   94.50 + 210.00       11   180 lb × 2.975
    #   2    50.63  +  45.00  +  20.99      9   15.75 +  35.00       12    10 lb
    #   3    20.25  +  18.00  +   8.40     10   58.50 + 130.00       13    34 lb
    #   4   104.63  +  93.00  +  43.39                               14    66 lb
    #   5    30.37  +  27.00  +  12.60     (rye at 0.45 is 81.00, 50.625, 20.25, 104.625, 30.375, 13.50,
    #   6    13.50  +  12.00  +   5.25      54.00, 94.50, 15.75, 58.50: with the half cent that rounding the
    #   7    54.00  +  48.00  +  20.99      total gained, plots 4 and 2 have the two cents left.)
    assert order.plantings.used_usd == usd(
        *("186.59", "116.62", "46.65", "241.02", "69.97", "30.75", "122.99"),
        *("304.50", "50.75", "188.50"),
        *("535.50", "29.75", "101.15", "196.35"),
    )


def test_cost_of_the_seed_bought_for_each_plot(order):
    # plot    rye      clover   radish
    #   1    87.10  +  84.78  +  32.38      8  101.61 + 247.28       11   952.00 × 180 ÷ 290 = 590.90
    #   2    54.44  +  52.99  +  20.24      9   16.94 +  41.22       12              10        32.83
    #   3    21.77  +  21.20  +   8.09     10   62.90 + 153.08       13              34       111.61
    #   4   112.50  + 109.51  +  41.82                               14              66       216.66
    #   5    32.66  +  31.79  +  12.14
    #   6    14.52  +  14.13  +   5.06
    #   7    58.06  +  56.52  +  20.23
    assert order.plantings.bought_usd == usd(
        *("204.26", "127.67", "51.06", "263.83", "76.59", "33.71", "134.81"),
        *("348.89", "58.16", "215.98"),
        *("590.90", "32.83", "111.61", "216.66"),
    )


def test_cost_per_acre_of_each_plot(order):
    # 186.59 ÷ 2.4 = 77.745…, 116.62 ÷ 1.5 = 77.746…, …
    assert order.plantings.used_usd_per_acre == usd(
        *("77.75", "77.75", "77.75", "77.75", "77.74", "102.50", "102.49"),
        *("72.50", "72.50", "72.50"),
        *("59.50", "59.50", "59.50", "59.50"),
    )


def test_cost_of_each_blend(order):
    blends = order.plantings.grouped([0] * 7 + [1] * 3 + [2] * 4, 3)
    assert blends.acres == pytest.approx([10, 7.5, 14.5])
    assert blends.used_usd == usd("814.59", "543.75", "862.75")
    assert blends.bought_usd == usd("891.93", "623.03", "952.00")
    # 891.93 ÷ 10;   623.03 ÷ 7.5 = 83.0706…;   952.00 ÷ 14.5 = 65.6551…
    assert blends.bought_usd_per_acre == usd("89.19", "83.07", "65.66")


def test_cost_of_the_property(order):
    # 562.50 + 812.50 + 139.96 + 952.00;   523.13 + 690.00 + 145.21 + 862.75;   both ÷ 32 acres
    total = order.plantings.total
    assert total.bought_usd == usd("2466.96")
    assert total.used_usd == usd("2221.09")
    assert total.bought_usd_per_acre == usd("77.09")
    assert total.used_usd_per_acre == usd("69.41")
