"""The cheapest way to buy: what is wanted, what is offered, and what a choice of packs costs to the cent.

A *need* is pounds of live seed of one item, or bulk pounds of a bought mix. One need, followed by hand:

    100 lb PLS wanted, 12 lb PLS on hand                              88 lb PLS to be delivered
    50-lb bags at 40.00 that are 88 % alive, from 2 bags on 36.00     44 lb PLS in a bag, so 2 bags at 36.00
    10-lb bags at 11.00 that are 90 % alive                           9 lb PLS in a bag, so 10 bags, 110.00
    2 × 36.00 = 72.00 goods, 25.00 freight                            97.00 USD

`buying_search` finds the cheapest packs: it branches on suppliers, covers each item by itself (`buying_covers`) and chooses
among covers where suppliers' rules tie items together (`buying_master`). `buying_model` is the whole as one programme for
HiGHS, for what branching leaves open. `buying_explain` asks what each rule costs.
"""

from dataclasses import asdict, dataclass, field, replace
from decimal import Decimal
from math import inf

from blends.calc.freight import freight_usd
from blends.calc.pack_price import price_for_packs
from blends.calc.packs import SHORTFALL_LB

NOISE_LB = 1e-6  # of a sum of pounds in float64


@dataclass(frozen=True)
class Swap:
    """Another item that may be sown instead of a need: `factor` pounds of it for each pound of the need."""

    item: int
    factor: float


@dataclass(frozen=True)
class Item:
    """A species or a bought mix.

    Attributes
    ----------
    name : str
    lb : float
        What the plots take with the overage; 0 for one that only stands in for another. [lb PLS; bulk of a mix]
    bare_lb : float
        The same without the overage.
    on_hand_lb : float
        [lb PLS; bulk of a mix]
    swaps : tuple of Swap
        Whole: a need is met by the item itself or by one of these, never by a part of each.
    """

    name: str
    lb: float
    bare_lb: float = 0.0
    on_hand_lb: float = 0.0
    swaps: tuple = ()


@dataclass(frozen=True)
class Offer:
    """Packs of an item.

    Attributes
    ----------
    key : int
        The caller's own.
    item, supplier : int
        Rows of the problem.
    pack_lb : Decimal
        [lb bulk]
    live : float
        Pure live fraction; 1 for a mix. [-]
    price_usd : Decimal
        Below the first break. [USD]
    breaks : tuple of (int, Decimal)
        From so many packs, what each costs.
    least, most : int, int or None
        Packs, where any are bought.
    """

    key: int
    item: int
    supplier: int
    pack_lb: Decimal
    live: float
    price_usd: Decimal
    breaks: tuple = ()
    least: int = 1
    most: int | None = None

    @property
    def lb(self):
        """Pounds in a pack as they count for the need."""
        return float(self.pack_lb) * self.live

    @property
    def tiers(self):
        """[(from packs, to packs or None, price)], those that cannot be bought left out."""
        starts = [(self.least, price_for_packs(self.least, self.price_usd, self.breaks))]
        starts += sorted((n, usd) for n, usd in self.breaks if n > self.least)
        ends = [start - 1 for start, _ in starts[1:]] + [self.most]
        top = inf if self.most is None else self.most
        return [
            (start, None if end is None else min(end, top), usd)
            for (start, usd), end in zip(starts, ends, strict=True)
            if start <= top
        ]


@dataclass(frozen=True)
class Supplier:
    """Who sells, the smallest order, and the freight as `blends.calc.freight` takes it; unknown freight is not free."""

    key: int
    name: str
    min_order_usd: Decimal | None = None
    freight_kind: str = ""
    charge_usd: Decimal | None = None
    usd_per_lb: Decimal | None = None
    pct: Decimal | None = None
    free_from_usd: Decimal | None = None

    def freight(self, goods_usd, lb):
        """[USD], None where it is not known."""
        return freight_usd(
            self.freight_kind,
            goods_usd,
            lb,
            charge_usd=self.charge_usd,
            usd_per_lb=self.usd_per_lb,
            pct=self.pct,
            free_from_usd=self.free_from_usd,
        )

    @property
    def has_known_freight(self):
        """Whether its freight can be worked out for every order."""
        figure = {"none": 0, "flat": self.charge_usd, "weight": self.usd_per_lb, "value": self.pct}
        return figure.get(self.freight_kind) is not None


@dataclass(frozen=True)
class Problem:
    """Everything that a way to buy depends on. `most_suppliers` None is no limit."""

    items: tuple
    offers: tuple
    suppliers: tuple
    most_suppliers: int | None = None

    def with_(self, **changes):
        return replace(self, **changes)


@dataclass(frozen=True)
class SupplierCost:
    """What one supplier gets: exact. `freight_usd` None is not known and is in no sum."""

    supplier: int
    goods_usd: Decimal
    freight_usd: Decimal | None
    lb: Decimal

    @property
    def total_usd(self):
        return self.goods_usd + (self.freight_usd or 0)


@dataclass(frozen=True)
class Costs:
    """By supplier, those that get nothing left out."""

    suppliers: tuple = ()

    @property
    def goods_usd(self):
        return sum((row.goods_usd for row in self.suppliers), Decimal("0.00"))

    @property
    def freight_usd(self):
        """The freight that is known."""
        return sum((row.freight_usd or 0 for row in self.suppliers), Decimal("0.00"))

    @property
    def total_usd(self):
        return self.goods_usd + self.freight_usd


def costs_of(problem, packs):
    """What packs cost, exactly: breaks, freight and all.

    Parameters
    ----------
    problem : Problem
    packs : dict
        Packs by the offer's row; those with none may be left out.

    Returns
    -------
    Costs

    Examples
    --------
    >>> mill = Supplier(1, "Mill", freight_kind="flat", charge_usd=Decimal("25.00"))
    >>> rye = Offer(7, 0, 0, Decimal(50), 0.88, Decimal("40.00"), ((2, Decimal("36.00")),))
    >>> problem = Problem((Item("Rye", 100, on_hand_lb=12),), (rye,), (mill,))
    >>> costs_of(problem, {0: 2}).total_usd, costs_of(problem, {}).total_usd
    (Decimal('97.00'), Decimal('0.00'))
    """
    goods, pounds = {}, {}
    for row, count in packs.items():
        if not count:
            continue
        offer = problem.offers[row]
        each_usd = price_for_packs(count, offer.price_usd, offer.breaks)
        goods[offer.supplier] = goods.get(offer.supplier, Decimal("0.00")) + count * each_usd
        pounds[offer.supplier] = pounds.get(offer.supplier, Decimal(0)) + count * offer.pack_lb
    return Costs(
        tuple(
            SupplierCost(
                row, goods[row], problem.suppliers[row].freight(goods[row], pounds[row]), pounds[row]
            )
            for row in sorted(goods)
        )
    )


def wanted_lb(problem, swaps):
    """Pounds that have to be there of each item once the swaps are made, on hand or bought.

    Parameters
    ----------
    swaps : dict
        The item that stands in, by the row of the need; one that is left out stays itself.
    """
    wanted = [0.0] * len(problem.items)
    for row, item in enumerate(problem.items):
        stands_in = swaps.get(row, row)
        factor = 1.0 if stands_in == row else next(s.factor for s in item.swaps if s.item == stands_in)
        wanted[stands_in] += factor * item.lb
    return wanted


def is_enough(problem, packs, swaps=None):
    """Whether packs and what is on hand meet every need and every rule.

    A pound short by up to a thousandth counts as met, as for an order's packs.
    """
    there = [item.on_hand_lb for item in problem.items]
    wanted = wanted_lb(problem, swaps or {})
    short = [want - lb - SHORTFALL_LB - NOISE_LB for lb, want in zip(there, wanted, strict=True)]
    if any(count and short[problem.offers[row].item] <= 0 for row, count in packs.items()):
        return False  # what nothing lacks is not bought to reach a smallest order
    for row, count in packs.items():
        offer = problem.offers[row]
        if count and (count < offer.least or (offer.most is not None and count > offer.most)):
            return False
        there[offer.item] += count * offer.lb
    if any(lb < want - SHORTFALL_LB - NOISE_LB for lb, want in zip(there, wanted, strict=True)):
        return False
    costs = costs_of(problem, packs)
    if problem.most_suppliers is not None and len(costs.suppliers) > problem.most_suppliers:
        return False
    return all(
        row.goods_usd >= (problem.suppliers[row.supplier].min_order_usd or 0) for row in costs.suppliers
    )


@dataclass(frozen=True)
class Uncovered:
    """A need that the offers cannot meet: how much of it there is to be had. [lb PLS; bulk of a mix]"""

    item: int
    wanted_lb: float
    offered_lb: float


def split_uncovered(problem):
    """The problem without the needs that no offer, stock or allowed swap can meet, and those needs.

    Returns
    -------
    (Problem, list of Uncovered)
    """
    offered = [item.on_hand_lb for item in problem.items]
    for offer in problem.offers:
        offered[offer.item] += inf if offer.most is None else offer.most * offer.lb if offer.tiers else 0.0
    found, items = [], []
    for row, item in enumerate(problem.items):
        ways = [(row, 1.0), *((swap.item, swap.factor) for swap in item.swaps)]
        is_met = any(offered[other] >= factor * item.lb - SHORTFALL_LB for other, factor in ways)
        if is_met:
            items.append(item)
            continue
        found.append(Uncovered(row, item.lb - min(item.on_hand_lb, item.lb), offered[row] - item.on_hand_lb))
        items.append(replace(item, lb=0.0, bare_lb=0.0, swaps=()))
    return problem.with_(items=tuple(items)), found


@dataclass(frozen=True)
class Solution:
    """What the solver found.

    Attributes
    ----------
    state : {"proven", "stopped", "impossible"}
        Stopped: there is time no more; `packs` is the best so far, None where there is none yet.
    packs : dict or None
        By the offer's row.
    swaps : dict
        By the need's row.
    total_usd : Decimal or None
        Exact.
    bound_usd : float
        No way to buy costs less.
    """

    state: str
    packs: dict | None = None
    swaps: dict = field(default_factory=dict)
    total_usd: Decimal | None = None
    bound_usd: float = 0.0

    @property
    def gap_usd(self):
        """How much more this may cost than the cheapest; 0 where it is proven, None where nothing was found."""
        if self.total_usd is None:
            return None
        if self.state == "proven":
            return Decimal("0.00")
        return max(self.total_usd - Decimal(repr(self.bound_usd)).quantize(Decimal("0.01")), Decimal("0.00"))


def to_plain(problem):
    """The problem in values that JSON has; `from_plain` takes them back."""
    return _plain(asdict(problem))


def from_plain(values):
    """The problem of `to_plain`."""

    def usd(value):
        return None if value is None else Decimal(value)

    items = [
        Item(**{**row, "swaps": tuple(Swap(**swap) for swap in row["swaps"])}) for row in values["items"]
    ]
    offers = [
        Offer(
            **{
                **row,
                "pack_lb": Decimal(row["pack_lb"]),
                "price_usd": Decimal(row["price_usd"]),
                "breaks": tuple((packs, Decimal(price)) for packs, price in row["breaks"]),
            }
        )
        for row in values["offers"]
    ]
    money = ("min_order_usd", "charge_usd", "usd_per_lb", "pct", "free_from_usd")
    suppliers = [
        Supplier(**{**row, **{name: usd(row[name]) for name in money}}) for row in values["suppliers"]
    ]
    return Problem(tuple(items), tuple(offers), tuple(suppliers), values["most_suppliers"])


def _plain(value):
    if isinstance(value, dict):
        return {name: _plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    return str(value) if isinstance(value, Decimal) else value
