"""What holds for every order, what stops one, and what an unknown price does. Figures: test_needs_by_hand."""

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blends.calc.needs import Components, Gap, Items, Missing, Plantings, blockers, seed_order

ITEM_COUNT, RECIPE_COUNT = 4, 3


@st.composite
def orders(draw):
    """Inputs of an order: up to 20 plots, every recipe with one to four items, some pounds on hand."""
    plots = draw(
        st.lists(st.tuples(st.floats(0.1, 40), st.integers(0, RECIPE_COUNT - 1)), min_size=1, max_size=20)
    )
    acres, recipe = zip(*plots, strict=True)
    contents = [
        (recipe_row, item, draw(st.floats(0.5, 120)))
        for recipe_row in range(RECIPE_COUNT)
        for item in sorted(draw(st.sets(st.integers(0, ITEM_COUNT - 1), min_size=1)))
    ]
    per_item = {"min_size": ITEM_COUNT, "max_size": ITEM_COUNT}
    items = Items(
        pure_live_fraction=draw(st.lists(st.floats(0.3, 1), **per_item)),
        on_hand_lb=draw(st.lists(st.sampled_from([0, 7.5, 300]), **per_item)),
        pack_lb=draw(st.lists(st.sampled_from([5, 25, 50]), **per_item)),
        pack_price_usd=draw(st.lists(st.decimals(0, 900, places=2), **per_item)),
    )
    return Plantings(acres, recipe), Components(*zip(*contents, strict=True)), items


@given(orders(), st.floats(0, 0.5))
def test_plots_add_up_to_the_order_in_pounds_and_cents(inputs, overage):
    order = seed_order(*inputs, overage)
    pounds_by_item = np.bincount(order.lines.item, order.lines.planted_lb, ITEM_COUNT)
    assert pounds_by_item == pytest.approx(order.items.planted_lb)
    assert order.plantings.total.used_usd == [sum(order.items.used_usd)]
    assert order.plantings.total.bought_usd == [sum(order.items.bought_usd)]


@given(orders(), st.floats(0, 0.5))
def test_cents_add_up_within_every_item(inputs, overage):
    order = seed_order(*inputs, overage)
    for of_lines, of_items in (
        (order.lines.used_cents, order.items.used_cents),
        (order.lines.bought_cents, order.items.bought_cents),
    ):
        assert np.bincount(order.lines.item, of_lines, ITEM_COUNT).tolist() == of_items.tolist()


@given(orders(), st.floats(0, 0.5))
def test_what_is_on_hand_and_bought_covers_what_is_needed(inputs, overage):
    needs = seed_order(*inputs, overage).items
    have_lb = inputs[2].on_hand_lb + needs.bought_lb
    assert (have_lb >= needs.needed_lb - 0.002).all()
    assert (needs.left_over_lb >= 0).all()


@given(orders(), st.randoms())
def test_order_does_not_depend_on_the_order_of_plots(inputs, random):
    plantings, components, items = inputs
    rows = random.sample(range(len(plantings.acres)), len(plantings.acres))
    shuffled = seed_order(Plantings(plantings.acres[rows], plantings.recipe[rows]), components, items)
    order = seed_order(plantings, components, items)
    assert shuffled.items.planted_lb == pytest.approx(order.items.planted_lb)
    assert shuffled.items.packs.tolist() == order.items.packs.tolist()
    assert shuffled.items.bought_usd == order.items.bought_usd


@given(orders())
def test_halving_every_plot_changes_no_pounds_and_no_packs(inputs):
    plantings, components, items = inputs
    halves = Plantings(np.repeat(plantings.acres / 2, 2), np.repeat(plantings.recipe, 2))
    order, halved = seed_order(*inputs), seed_order(halves, components, items)
    assert halved.items.planted_lb == pytest.approx(order.items.planted_lb)
    assert halved.items.packs.tolist() == order.items.packs.tolist()
    assert halved.plantings.total.used_usd == order.plantings.total.used_usd


@given(orders())
def test_pounds_are_those_of_adding_up_plot_by_plot(inputs):
    plantings, components, items = inputs
    planted_lb = [0.0] * ITEM_COUNT
    for acres, planted in zip(plantings.acres, plantings.recipe, strict=True):
        for recipe, item, rate in zip(
            components.recipe, components.item, components.lb_per_acre, strict=True
        ):
            if recipe == planted:
                planted_lb[item] += acres * rate / items.pure_live_fraction[item]
    assert seed_order(*inputs).items.planted_lb == pytest.approx(planted_lb)


@settings(deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_a_large_order_adds_up_to_the_cent(random_seed):
    random = np.random.default_rng(random_seed)
    plantings = Plantings(random.uniform(0.3, 9, 2_000), random.integers(0, 2, 2_000))
    components = Components([0, 0, 1], [0, 1, 1], random.uniform(1, 60, 3))
    order = seed_order(
        plantings, components, Items([0.8, 0.7], [0, 10], [50, 25], [Decimal("22.49")] * 2), 0.1
    )
    assert order.plantings.total.bought_usd == [sum(order.items.bought_usd)]


TWO_PLOTS = (
    Plantings(acres=[2, 1], recipe=[0, 1]),
    Components(recipe=[0, 1, 1], item=[0, 0, 1], lb_per_acre=[10, 10, 5]),
    Items([0.8, 0.9], [0, 0], [50, 25], [Decimal("31.00"), Decimal("62.50")]),
)


def two_plots_with(acres=None, lb_per_acre=None, **items):
    plantings, components, priced = TWO_PLOTS
    return (
        replace(plantings, acres=acres) if acres else plantings,
        replace(components, lb_per_acre=lb_per_acre) if lb_per_acre else components,
        replace(priced, **items),
    )


def test_unknown_price_makes_unknown_what_hangs_on_it_and_nothing_else():
    order = seed_order(*two_plots_with(pack_price_usd=[Decimal("31.00"), None]))
    assert order.items.bought_usd == [Decimal("31.00"), None]
    assert order.plantings.bought_usd[1] is None
    assert order.plantings.used_usd == [Decimal("15.50"), None]
    assert order.plantings.total.used_usd_per_acre == [None]
    assert order.items.packs.tolist() == [1, 1]


def test_unknown_price_is_listed():
    order = seed_order(*two_plots_with(pack_price_usd=[Decimal("31.00"), None]))
    assert [(missing.gap, missing.row) for missing in order.unknown] == [(Gap.PRICE, 1)]


def test_unknown_pack_leaves_the_pounds_known():
    order = seed_order(*two_plots_with(pack_lb=[None, 25]))
    assert order.items.to_buy_lb[0] == pytest.approx(37.5)
    assert np.isnan([order.items.packs[0], order.items.left_over_lb[0], order.items.used_cents[0]]).all()


def test_seed_that_is_all_on_hand_costs_nothing_to_buy_at_any_price():
    order = seed_order(
        *two_plots_with(on_hand_lb=[100, 100], pack_lb=[None, None], pack_price_usd=[None, None])
    )
    assert order.items.bought_usd == [Decimal("0.00"), Decimal("0.00")]
    assert order.items.used_usd == [None, None]
    assert order.items.left_over_lb == pytest.approx([62.5, 100 - 5 / 0.9])


def test_an_item_that_nothing_uses_needs_neither_price_nor_pure_live_seed():
    plantings, components, _ = TWO_PLOTS
    items = Items([0.8, 0.9, None], [0, 0, 3], [50, 25, None], [Decimal("31.00"), Decimal("62.50"), None])
    order = seed_order(plantings, components, items)
    assert order.unknown == []
    assert order.items.left_over_lb[2] == 3
    assert None not in order.plantings.total.bought_usd


def test_a_recipe_that_is_not_planted_may_lack_rates():
    plantings, _, items = TWO_PLOTS
    with_spare = Components([0, 1, 2], [0, 1, 1], [10, 5, None])
    assert blockers(plantings, with_spare, items) == []
    assert seed_order(plantings, with_spare, items).items.planted_lb == pytest.approx([25, 5 / 0.9])


@pytest.mark.parametrize(
    ("change", "gap", "row"),
    [
        ({"acres": [2, None]}, Gap.ACRES, 1),
        ({"acres": [0, 1]}, Gap.ACRES, 0),
        ({"lb_per_acre": [10, 10, None]}, Gap.RATE, 2),
        ({"lb_per_acre": [0, 10, 5]}, Gap.RATE, 0),
        ({"pure_live_fraction": [0.8, None]}, Gap.PURE_LIVE_FRACTION, 1),
        ({"pure_live_fraction": [80, 0.9]}, Gap.PURE_LIVE_FRACTION, 0),
    ],
)
def test_what_is_missing_stops_the_order_and_is_named(change, gap, row):
    inputs = two_plots_with(**change)
    (missing,) = blockers(*inputs)
    assert (missing.gap, missing.row) == (gap, row)
    with pytest.raises(ValueError, match=str(missing)[:20]):
        seed_order(*inputs)


def test_a_blend_without_components_stops_the_order():
    plantings, _, items = TWO_PLOTS
    only_the_first = Components([0], [0], [10])
    assert blockers(plantings, only_the_first, items) == [Missing(Gap.COMPONENTS, 1, 0)]


def test_everything_that_is_missing_is_listed_at_once():
    inputs = two_plots_with(acres=[None, None], lb_per_acre=[None, 10, 5], pure_live_fraction=[0.8, None])
    assert [missing.gap for missing in blockers(*inputs)] == [
        Gap.ACRES,
        Gap.ACRES,
        Gap.RATE,
        Gap.PURE_LIVE_FRACTION,
    ]


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: two_plots_with(on_hand_lb=[-1, 0]), "on_hand_lb is -1; accepted is 0 or more"),
        (lambda: two_plots_with(on_hand_lb=[None, 0]), "on_hand_lb is nan"),
        (lambda: two_plots_with(pack_lb=[0, 25]), "pack_lb is 0; accepted is more than 0"),
        (lambda: two_plots_with(pack_price_usd=[Decimal("-1"), None]), "pack_price_usd is -1"),
        (
            lambda: two_plots_with(pack_price_usd=[Decimal("1.005"), None]),
            "1.005; accepted is .* whole cents",
        ),
        (lambda: two_plots_with(pack_lb=[50]), "columns differ in length"),
        (lambda: seed_order(*TWO_PLOTS, overage_fraction=10), "overage_fraction is 10; accepted is 0 to 1"),
        (lambda: blockers(TWO_PLOTS[0], Components([0], [2], [1]), TWO_PLOTS[2]), "item of a component is 2"),
    ],
)
def test_what_cannot_be_is_refused_with_its_name_and_value(build, words):
    with pytest.raises(ValueError, match=words):
        build()


def test_no_plantings_need_no_seed():
    order = seed_order(Plantings([], []), TWO_PLOTS[1], TWO_PLOTS[2])
    assert order.items.packs.tolist() == [0, 0]
    assert order.plantings.total.bought_usd == [Decimal("0.00")]
    assert order.plantings.total.bought_usd_per_acre == [None]
