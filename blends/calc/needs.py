"""The seed order: what the plots take, what has to be bought, what it costs and who bears which cent.

An *item* is what is bought, a species or a bought blend; a *recipe* is a blend with the rates of one method,
drilled or broadcast; a *planting* is a recipe on a plot. One figure, followed by hand:

    2 acres at 10 lb PLS/acre of seed that is 80 % pure live seed    2 × 10 ÷ 0.80    =  25 lb planted
    10 % overage on the whole order                                  25 × 1.10        =  27.5 lb needed
    4 lb on hand                                                     27.5 − 4         =  23.5 lb to buy
    10-lb packs at 31.00 USD                                         23.5 ÷ 10, up    =   3 packs
                                                                     3 × 31.00        =  93.00 USD bought
    at the pack's price per pound                                    25 × 3.10        =  77.50 USD used
    if the plots take exactly their rate                             4 + 30 − 25      =   9 lb left over

Pounds add up over the plots before anything is rounded. Cents are rounded once per item; the plots' shares of
them are split so that they add up to the item, and so to the order, exactly.
"""

from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from typing import NamedTuple

import numpy as np

from blends.calc.money import cost_usd_per_acre, from_cents, split_cents, to_cents
from blends.calc.pack_price import price_for_packs
from blends.calc.packs import SHORTFALL_LB, packs_needed

_PRICED_LB_DECIMALS = 6  # float noise in the pounds must not decide half a cent


@dataclass(frozen=True)
class Plantings:
    """Recipes on plots, one row each.

    Attributes
    ----------
    acres : ndarray, shape (n,)
        Planted acres; NaN where unknown. [acres]
    recipe : ndarray of int, shape (n,)
        Which recipe, from 0.
    """

    acres: np.ndarray
    recipe: np.ndarray

    def __post_init__(self):
        _set_columns(self, acres=float, recipe=int)


@dataclass(frozen=True)
class Components:
    """What the recipes hold, one row for each item of each recipe.

    Attributes
    ----------
    recipe, item : ndarray of int, shape (c,)
        Which recipe and which item, from 0.
    lb_per_acre : ndarray, shape (c,)
        PLS for a species; for a bought blend the bulk rate, with 1 as its pure live fraction. NaN where there
        is none for the recipe's method. [lb/acre]
    """

    recipe: np.ndarray
    item: np.ndarray
    lb_per_acre: np.ndarray

    def __post_init__(self):
        _set_columns(self, recipe=int, item=int, lb_per_acre=float)


class Bought(NamedTuple):
    """Packs of one item that are bought as a way to buy has them, in all. [packs, lb bulk, USD]"""

    packs: int
    lb: float
    usd: Decimal


@dataclass(frozen=True)
class Items:
    """What is bought, one row each.

    Attributes
    ----------
    pure_live_fraction : ndarray, shape (i,)
        Above 0, at most 1; 1 for a bought blend; NaN where unknown. [-]
    on_hand_lb : ndarray, shape (i,)
        Seed in the shed that will be used, 0 or more. [lb bulk]
    pack_lb : ndarray, shape (i,)
        Above 0; NaN where no pack is chosen. [lb bulk]
    pack_price_usd : sequence of Decimal or None, length i
        0 or more, whole cents; None where unknown. [USD]
    breaks : dict
        By row: (from so many packs, what each then costs) pairs.
    settled : dict
        By row: Bought, where it is settled what is bought, be it several packs of several sizes.
    """

    pure_live_fraction: np.ndarray
    on_hand_lb: np.ndarray
    pack_lb: np.ndarray
    pack_price_usd: tuple
    breaks: dict = field(default_factory=dict)
    settled: dict = field(default_factory=dict)

    def __post_init__(self):
        _set_columns(self, pure_live_fraction=float, on_hand_lb=float, pack_lb=float, pack_price_usd=object)
        _refuse("on_hand_lb", self.on_hand_lb, ~(self.on_hand_lb >= 0), "0 or more")
        _refuse("pack_lb", self.pack_lb, self.pack_lb <= 0, "more than 0, or NaN where no pack is chosen")
        for price_usd in self.pack_price_usd:
            if price_usd is not None and (to_cents(price_usd) < 0 or to_cents(price_usd) != price_usd * 100):
                raise ValueError(
                    f"pack_price_usd is {price_usd}; accepted is 0 or more in whole cents, or None"
                )


class Gap(StrEnum):
    """What can be missing. The first four stop an order; the last two leave its costs unknown."""

    ACRES = "acres"
    COMPONENTS = "components"
    RATE = "rate"
    PURE_LIVE_FRACTION = "pure live fraction"
    PACK = "pack"
    PRICE = "price"


_ROW_AND_NEED = {
    Gap.ACRES: ("planting", "acreage is {:g}; it must be more than 0 acres"),
    Gap.COMPONENTS: ("recipe", "has {:g} components; it must have one or more"),
    Gap.RATE: ("component", "rate is {:g}; it must be more than 0 lb/acre"),
    Gap.PURE_LIVE_FRACTION: ("item", "pure live fraction is {:g}; it must be above 0 and at most 1"),
    Gap.PACK: ("item", "pack is {:g}; it must be more than 0 lb"),
    Gap.PRICE: ("item", "pack price is {:g}; it must be known in USD"),
}


@dataclass(frozen=True)
class Missing:
    """One thing that is missing: what, in which row (planting, recipe, component or item), and its value."""

    gap: Gap
    row: int
    value: float

    def __str__(self):
        kind, need = _ROW_AND_NEED[self.gap]
        return f"{kind} {self.row}: {need.format(self.value)}"


@dataclass(frozen=True)
class ItemNeeds:
    """The order, item by item; every array has shape (i,).

    Attributes
    ----------
    planted_lb : what the plots take at their rates, no overage. [lb bulk]
    needed_lb : planted and overage. [lb bulk]
    to_buy_lb : needed less what is on hand, never below 0. [lb bulk]
    packs : whole packs; NaN where there is something to buy and no pack is chosen.
    bought_lb : what the packs hold; NaN with `packs`. [lb bulk]
    left_over_lb : on hand and bought, less planted; NaN with `packs`. [lb bulk]
    used_cents : planted pounds at the pack's price per pound, those from the shed too. [cents, NaN unknown]
    bought_cents : packs at their price. [cents, NaN unknown]
    """

    planted_lb: np.ndarray
    needed_lb: np.ndarray
    to_buy_lb: np.ndarray
    packs: np.ndarray
    bought_lb: np.ndarray
    left_over_lb: np.ndarray
    used_cents: np.ndarray
    bought_cents: np.ndarray

    @property
    def used_usd(self):
        """Decimal or None for each item. [USD]"""
        return [from_cents(cents) for cents in self.used_cents]

    @property
    def bought_usd(self):
        """Decimal or None for each item. [USD]"""
        return [from_cents(cents) for cents in self.bought_cents]


@dataclass(frozen=True)
class Lines:
    """The plots behind each figure: a row for each component of each planting, item by item; shape (m,).

    Attributes
    ----------
    item, planting, component : ndarray of int
        Rows of the inputs.
    planted_lb : this plot's part of the item's pounds. [lb bulk]
    used_cents, bought_cents : this plot's part of the item's cents, whole. [cents, NaN unknown]
    """

    item: np.ndarray
    planting: np.ndarray
    component: np.ndarray
    planted_lb: np.ndarray
    used_cents: np.ndarray
    bought_cents: np.ndarray


@dataclass(frozen=True)
class Costs:
    """Acres and cents of plantings, or of groups of them; every array has the same length.

    Attributes
    ----------
    acres : [acres]
    used_cents, bought_cents : whole cents. [cents, NaN unknown]
    """

    acres: np.ndarray
    used_cents: np.ndarray
    bought_cents: np.ndarray

    def grouped(self, group, size):
        """Sums by group: totals over totals, so that costs per acre stay those of the ground.

        Parameters
        ----------
        group : array_like of int, same length
            Group of each row, 0 to `size` − 1.
        size : int
            Number of groups; one without rows has no acres and no cost.

        Returns
        -------
        Costs
            One row per group; a cost is NaN where one of its rows is.
        """
        return Costs(
            *(np.bincount(group, column, size) for column in (self.acres, self.used_cents, self.bought_cents))
        )

    @property
    def total(self):
        """One row: everything together."""
        return self.grouped(np.zeros(len(self.acres), dtype=int), 1)

    @property
    def used_usd(self):
        """Decimal or None for each row. [USD]"""
        return [from_cents(cents) for cents in self.used_cents]

    @property
    def bought_usd(self):
        """Decimal or None for each row. [USD]"""
        return [from_cents(cents) for cents in self.bought_cents]

    @property
    def used_usd_per_acre(self):
        """Decimal or None for each row. [USD/acre]"""
        return [cost_usd_per_acre(*row) for row in zip(self.used_usd, self.acres, strict=True)]

    @property
    def bought_usd_per_acre(self):
        """Decimal or None for each row. [USD/acre]"""
        return [cost_usd_per_acre(*row) for row in zip(self.bought_usd, self.acres, strict=True)]


@dataclass(frozen=True)
class SeedOrder:
    """What `seed_order` returns.

    Attributes
    ----------
    items : ItemNeeds
    lines : Lines
    plantings : Costs
        One row per planting; `plantings.total` is the property, `plantings.grouped(blend, n)` the blends.
    unknown : list of Missing
        Packs and prices for want of which a cost is unknown.
    """

    items: ItemNeeds
    lines: Lines
    plantings: Costs
    unknown: list


def blockers(plantings, components, items):
    """What has to be mended before the seed can be ordered. Only what the plantings use is looked at.

    Parameters
    ----------
    plantings : Plantings
    components : Components
    items : Items

    Returns
    -------
    list of Missing
        Plantings without acres, recipes without components, components without a rate, items whose pure live
        fraction is unknown, in this order; empty where nothing stands in the way. A value of 0 is missing too.

    Raises
    ------
    ValueError
        A component of an item that is not there; a recipe or item below 0.

    Examples
    --------
    >>> plantings = Plantings(acres=[2, None], recipe=[0, 0])
    >>> components = Components(recipe=[0], item=[0], lb_per_acre=[10])
    >>> items = Items([0.8], [0], [50], [None])
    >>> [str(missing) for missing in blockers(plantings, components, items)]
    ['planting 1: acreage is nan; it must be more than 0 acres']
    """
    _refuse("recipe of a planting", plantings.recipe, plantings.recipe < 0, "0 or more")
    _refuse("recipe of a component", components.recipe, components.recipe < 0, "0 or more")
    item_count = len(items.on_hand_lb)
    outside = (components.item < 0) | (components.item >= item_count)
    _refuse("item of a component", components.item, outside, f"0 to {item_count - 1}")

    is_planted = np.isin(components.recipe, plantings.recipe)
    is_bought = np.isin(np.arange(item_count), components.item[is_planted])
    recipes = np.unique(plantings.recipe)
    component_count = np.bincount(components.recipe, minlength=recipes.max(initial=0) + 1)[recipes]
    live = items.pure_live_fraction
    checks = (
        (Gap.ACRES, plantings.acres, _not_positive(plantings.acres), None),
        (Gap.COMPONENTS, component_count, component_count == 0, recipes),
        (Gap.RATE, components.lb_per_acre, is_planted & _not_positive(components.lb_per_acre), None),
        (Gap.PURE_LIVE_FRACTION, live, is_bought & (_not_positive(live) | (live > 1)), None),
    )
    return [
        Missing(gap, int(row if names is None else names[row]), float(values[row]))
        for gap, values, is_missing, names in checks
        for row in np.flatnonzero(is_missing)
    ]


def seed_order(plantings, components, items, overage_fraction=0.0):
    """Pounds, packs and costs of the seed for all plantings, and each planting's part of them.

    Parameters
    ----------
    plantings : Plantings
    components : Components
    items : Items
    overage_fraction : float
        Seed beyond what the plots take, of the whole order, 0 to 1. [-]

    Returns
    -------
    SeedOrder

    Raises
    ------
    ValueError
        Anything that `blockers` finds: a missing acreage or rate is never counted as 0. An overage outside
        0 to 1.

    References
    ----------
    Pounds: "Reclamation seed mixture and cultural practices", Colorado Division of Reclamation, Mining and
    Safety (PLS rate ÷ PLS = bulk rate, times acres). Whole packs, overage and shares: by definition.

    Examples
    --------
    >>> order = seed_order(
    ...     Plantings(acres=[1.5, 0.5], recipe=[0, 0]),
    ...     Components(recipe=[0], item=[0], lb_per_acre=[10]),
    ...     Items(pure_live_fraction=[0.8], on_hand_lb=[4], pack_lb=[10], pack_price_usd=[Decimal("31.00")]),
    ...     overage_fraction=0.10,
    ... )
    >>> order.items.packs, order.items.left_over_lb, order.items.bought_usd
    (array([3.]), array([9.]), [Decimal('93.00')])
    >>> order.plantings.bought_usd
    [Decimal('69.75'), Decimal('23.25')]

    No plantings need nothing:

    >>> seed_order(Plantings([], []), Components([], [], []), Items([], [], [], [])).plantings.total.bought_usd
    [Decimal('0.00')]
    """
    if not 0 <= overage_fraction <= 1:
        raise ValueError(f"overage_fraction is {overage_fraction:g}; accepted is 0 to 1")
    missing = blockers(plantings, components, items)
    if missing:
        raise ValueError(str(missing[0]))

    item, planting, component, planted_lb = _lines(plantings, components, items)
    needs, unknown = _item_needs(
        np.bincount(item, planted_lb, len(items.on_hand_lb)), items, overage_fraction
    )
    used_cents = _shared_cents(needs.used_cents, item, planted_lb)
    bought_cents = _shared_cents(needs.bought_cents, item, planted_lb)
    lines = Lines(item, planting, component, planted_lb, used_cents, bought_cents)
    count = len(plantings.acres)
    costs = Costs(
        plantings.acres, np.bincount(planting, used_cents, count), np.bincount(planting, bought_cents, count)
    )
    return SeedOrder(needs, lines, costs, unknown)


def _lines(plantings, components, items):
    """Every planting with every component of its recipe, sorted by item, without a loop over either."""
    recipe_count = max(plantings.recipe.max(initial=-1), components.recipe.max(initial=-1)) + 1
    size = np.bincount(plantings.recipe, minlength=recipe_count)
    start = np.cumsum(size) - size
    by_recipe = np.argsort(plantings.recipe, kind="stable")

    by_item = np.argsort(components.item, kind="stable")
    repeats = size[components.recipe[by_item]]
    component = np.repeat(by_item, repeats)
    nth_of_recipe = np.arange(len(component)) - np.repeat(np.cumsum(repeats) - repeats, repeats)
    planting = by_recipe[start[components.recipe[component]] + nth_of_recipe]

    bulk_lb_per_acre = components.lb_per_acre / items.pure_live_fraction[components.item]
    planted_lb = plantings.acres[planting] * bulk_lb_per_acre[component]
    return components.item[component], planting, component, planted_lb


def _item_needs(planted_lb, items, overage_fraction):
    needed_lb = planted_lb * (1 + overage_fraction)
    short_lb = needed_lb - items.on_hand_lb
    to_buy_lb = np.where(short_lb > SHORTFALL_LB, short_lb, 0.0)
    packs = packs_needed(to_buy_lb, items.pack_lb)
    bought_lb = np.where(packs == 0, 0.0, packs * items.pack_lb)
    for i, bought in items.settled.items():
        packs[i], bought_lb[i] = bought.packs, bought.lb
    left_over_lb = np.maximum(items.on_hand_lb + bought_lb - planted_lb, 0.0)  # below 0 by noise alone

    unknown = []
    used_cents, bought_cents = np.zeros((2, len(planted_lb)))
    for i in np.flatnonzero(planted_lb):
        used_cents[i] = bought_cents[i] = np.nan
        if i in items.settled and items.settled[i].packs:
            bought = items.settled[i]
            priced_lb = _decimal(planted_lb[i].round(_PRICED_LB_DECIMALS))
            used_cents[i] = to_cents(priced_lb * bought.usd / _decimal(bought.lb))
            bought_cents[i] = to_cents(bought.usd)
            continue
        gaps = [Missing(Gap.PACK, int(i), np.nan)] if np.isnan(items.pack_lb[i]) else []
        gaps += [Missing(Gap.PRICE, int(i), np.nan)] if items.pack_price_usd[i] is None else []
        unknown += gaps
        if not gaps:
            price_usd = price_for_packs(
                int(packs[i]), Decimal(items.pack_price_usd[i]), items.breaks.get(int(i), ())
            )
            priced_lb = _decimal(planted_lb[i].round(_PRICED_LB_DECIMALS))
            used_cents[i] = to_cents(priced_lb * price_usd / _decimal(items.pack_lb[i]))
            bought_cents[i] = to_cents(int(packs[i]) * price_usd)
        elif packs[i] == 0:  # nothing is bought, and that costs nothing at any price
            bought_cents[i] = 0
    needs = ItemNeeds(
        planted_lb, needed_lb, to_buy_lb, packs, bought_lb, left_over_lb, used_cents, bought_cents
    )
    return needs, unknown


def _shared_cents(item_cents, item, planted_lb):
    """Each line's whole cents; `item` is sorted, so that an item's lines are one slice."""
    cents = np.full(len(item), np.nan)
    ends = np.searchsorted(item, np.arange(len(item_cents) + 1))
    for total_cents, start, stop in zip(item_cents, ends[:-1], ends[1:], strict=True):
        if start < stop and not np.isnan(total_cents):
            cents[start:stop] = split_cents(int(total_cents), planted_lb[start:stop])
    return cents


def _decimal(number):
    return Decimal(repr(float(number)))


def _not_positive(values):
    return ~((values > 0) & np.isfinite(values))


def _refuse(name, values, is_wrong, accepted):
    if is_wrong.any():
        raise ValueError(f"{name} is {values[is_wrong][0]:g}; accepted is {accepted}")


def _set_columns(table, **kinds):
    """Make each column an array of its kind; all of one length."""
    for name, kind in kinds.items():
        values = getattr(table, name)
        column = np.array(values if kind is not object else [*values], dtype=kind)
        if column.ndim != 1:
            raise ValueError(f"{name} has {column.ndim} dimensions; accepted is 1")
        object.__setattr__(table, name, column)
    lengths = {name: len(getattr(table, name)) for name in kinds}
    if len(set(lengths.values())) > 1:
        raise ValueError(f"columns differ in length: {lengths}; accepted is one length")
