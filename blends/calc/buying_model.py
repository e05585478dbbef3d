"""The cheapest way to buy as a mixed-integer linear programme, solved by HiGHS through SciPy.

    least   Σ packs × price + Σ freight
    where   packs of an offer are whole, none or from its fewest to its most, in one band of its price breaks
            Σ packs × live pounds + on hand ≥ Σ needs that the item meets, itself or by a swap
            goods of a supplier that is used ≥ its smallest order; suppliers used ≤ the limit
            freight ≥ charge, ≥ rate × pounds, ≥ % × goods, unless goods ≥ what makes it free

Freight is rounded to cents when it is billed and not in the programme, so the cheapest is so to half a cent a supplier.
"""

from decimal import Decimal
from math import ceil

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from blends.calc.buying import NOISE_LB, Solution, costs_of, is_enough
from blends.calc.packs import SHORTFALL_LB

_STOPPED, _IMPOSSIBLE = 1, 2  # states of scipy.optimize.milp
_CENT_USD = Decimal("0.01")


def cheapest(problem, *, seconds=None, below_usd=None, whole_packs=True):
    """The cheapest way to buy.

    Parameters
    ----------
    problem : Problem
        Of which every need can be met (`split_uncovered`).
    seconds : float, optional
        After which the best so far is answered; None is until it is proven.
    below_usd : Decimal, optional
        A way of this cost is known; only cheaper ones are looked for.
    whole_packs : bool
        False lets packs be cut: no plan, but what whole packs cost.

    Returns
    -------
    Solution
        "impossible" with `below_usd` means that nothing is cheaper.
    """
    model = _Model(problem, whole_packs)
    if below_usd is not None:
        model.require(model.costs, high=float(below_usd) - 0.004)
    if not model.cost:
        return Solution("proven", {}, {}, Decimal("0.00"), 0.0)
    options = {"mip_rel_gap": 0.0}
    if seconds is not None:
        options["time_limit"] = seconds
    found = milp(
        model.cost,
        integrality=model.whole,
        bounds=Bounds(model.low, model.high),
        constraints=model.constraint(),
        options=options,
    )
    if found.status == _IMPOSSIBLE:
        return Solution("impossible")
    if found.status not in (0, _STOPPED):
        raise RuntimeError(f"the solver stopped with state {found.status}: {found.message}")
    bound = found.mip_dual_bound if found.mip_dual_bound is not None else 0.0
    bound = max(float(bound), 0.0) if np.isfinite(bound) else 0.0
    if found.x is None:
        return Solution("stopped", bound_usd=bound)
    state = "proven" if found.status == 0 else "stopped"
    if not whole_packs:
        return Solution(state, None, {}, Decimal(repr(float(found.fun))).quantize(_CENT_USD), bound)
    packs, swaps = model.read(found.x)
    if not is_enough(problem, packs, swaps):
        raise RuntimeError("the solver's packs do not meet the needs; this is a fault of the programme")
    return Solution(state, packs, swaps, costs_of(problem, packs).total_usd, bound)


class _Model:
    """Columns and rows of the programme."""

    def __init__(self, problem, whole_packs=True):
        self.problem, self.whole_packs = problem, whole_packs
        self.cost, self.whole, self.low, self.high = [], [], [], []
        self.rows, self.row_low, self.row_high = [], [], []
        self.costs = {}
        self.most_packs = most_packs(problem)
        self.used = {row: None for row in range(len(problem.suppliers))}
        self._suppliers_used()
        self.packs = [self._offer(row) for row in range(len(problem.offers))]
        self._needs()
        self._suppliers()

    def column(self, cost=0.0, low=0.0, high=np.inf, whole=False):
        self.cost.append(cost)
        self.low.append(low)
        self.high.append(high)
        self.whole.append(1 if whole else 0)
        if cost:
            self.costs[len(self.cost) - 1] = cost
        return len(self.cost) - 1

    def require(self, terms, low=-np.inf, high=np.inf):
        """A row: low ≤ Σ terms ≤ high."""
        if terms:
            self.rows.append(dict(terms))
            self.row_low.append(low)
            self.row_high.append(high)

    def constraint(self):
        at = np.array([row for row, terms in enumerate(self.rows) for _ in terms], dtype=int)
        columns = np.array([column for terms in self.rows for column in terms], dtype=int)
        values = np.array([value for terms in self.rows for value in terms.values()], dtype=float)
        shape = (len(self.rows), len(self.cost))
        return LinearConstraint(csr_array((values, (at, columns)), shape=shape), self.row_low, self.row_high)

    def read(self, x):
        packs = {}
        for row, bands in enumerate(self.packs):
            count = sum(round(x[column]) for column, _ in bands)
            if count:
                packs[row] = count
        swaps = {}
        for row, ways in self.ways.items():
            stands_in = max(ways, key=lambda other: x[ways[other]])
            if stands_in != row:
                swaps[row] = stands_in
        return packs, swaps

    def _suppliers_used(self):
        problem = self.problem
        is_limited = problem.most_suppliers is not None and problem.most_suppliers < len(problem.suppliers)
        for row, supplier in enumerate(problem.suppliers):
            has_charge = supplier.freight_kind in ("flat", "weight", "value") and supplier.charge_usd
            if is_limited or has_charge or supplier.min_order_usd or supplier.free_from_usd:
                self.used[row] = self.column(high=1, whole=True)
        if is_limited:
            self.require(dict.fromkeys(self.used.values(), 1), high=problem.most_suppliers)

    def _offer(self, row):
        """[(column of packs, price)] for each band of prices; one band at most is used."""
        offer, most = self.problem.offers[row], self.most_packs[row]
        used = self.used[offer.supplier]
        bands, switches = [], []
        tiers = [tier for tier in offer.tiers if tier[0] <= most]
        for start, end, usd in tiers:
            top = most if end is None else min(end, most)
            packs = self.column(float(usd), high=top, whole=self.whole_packs)
            bands.append((packs, usd))
            if len(tiers) > 1 or start > 1:
                switch = self.column(high=1, whole=True)
                switches.append(switch)
                self.require({packs: 1, switch: -top}, high=0)
                if start > 1:
                    self.require({packs: 1, switch: -start}, low=0)
            elif used is not None:
                self.require({packs: 1, used: -top}, high=0)
        if switches:
            terms = dict.fromkeys(switches, 1)
            self.require(terms if used is None else terms | {used: -1}, high=1 if used is None else 0)
        return bands

    def _needs(self):
        """Every item is there in the pounds that it has to meet."""
        items = self.problem.items
        self.ways = {}
        for row, item in enumerate(items):
            if item.swaps and item.lb > 0:
                others = dict.fromkeys([row, *(swap.item for swap in item.swaps)])
                self.ways[row] = {other: self.column(high=1, whole=True) for other in others}
                self.require(dict.fromkeys(self.ways[row].values(), 1), low=1, high=1)
        for row, ways in self.ways.items():  # what stands in for another is sown itself
            for other in set(ways) - {row}:
                if other in self.ways:
                    self.require({ways[other]: 1, self.ways[other][other]: -1}, high=0)
        for row, item in enumerate(items):
            terms = {
                column: offer.lb
                for offer, bands in zip(self.problem.offers, self.packs, strict=True)
                if offer.item == row
                for column, _ in bands
            }
            fixed = item.lb if row not in self.ways else 0.0
            for need, ways in self.ways.items():
                if row in ways:
                    factor = 1.0 if need == row else _factor(items[need], row)
                    terms[ways[row]] = terms.get(ways[row], 0.0) - factor * items[need].lb
            self.require(terms, low=fixed - item.on_hand_lb - SHORTFALL_LB)
            self._only_what_is_lacking(row, fixed)

    def _only_what_is_lacking(self, row, fixed):
        """No packs of an item to reach a smallest order where what is on hand is enough of it, swaps made."""
        columns = [
            (column, most)
            for offer, bands, most in zip(self.problem.offers, self.packs, self.most_packs, strict=True)
            if offer.item == row
            for column, _ in bands
        ]
        short = fixed - self.problem.items[row].on_hand_lb - SHORTFALL_LB - NOISE_LB
        if not columns or short > 0:
            return
        lacking = self.column(high=1, whole=True)
        for column, most in columns:
            self.require({column: 1, lacking: -most}, high=0)
        wants = {
            ways[row]: (1.0 if need == row else _factor(self.problem.items[need], row))
            * self.problem.items[need].lb
            for need, ways in self.ways.items()
            if row in ways
        }
        # lacking only where the wants come to more than `short` leaves over
        self.require(wants | {lacking: short}, low=0)

    def _suppliers(self):
        for row, supplier in enumerate(self.problem.suppliers):
            used = self.used[row]
            goods, pounds, most_usd, most_lb = {}, {}, 0.0, 0.0
            for offer, bands, most in zip(self.problem.offers, self.packs, self.most_packs, strict=True):
                if offer.supplier == row and bands:
                    goods |= {column: float(usd) for column, usd in bands}
                    pounds |= {column: float(offer.pack_lb) for column, _ in bands}
                    most_usd += most * max(float(usd) for _, usd in bands)
                    most_lb += most * float(offer.pack_lb)
            if not goods:
                continue
            if supplier.min_order_usd:
                self.require(goods | {used: -float(supplier.min_order_usd)}, low=0)
            self._freight(supplier, used, goods, pounds, most_usd, most_lb)

    def _freight(self, supplier, used, goods, pounds, most_usd, most_lb):
        if not supplier.has_known_freight or supplier.freight_kind == "none":
            return
        free = None
        if supplier.free_from_usd is not None:
            if supplier.free_from_usd <= 0:
                return
            free = self.column(high=1, whole=True)
            self.require({free: 1, used: -1}, high=0)
            self.require(goods | {free: -float(supplier.free_from_usd)}, low=0)
        charge = float(supplier.charge_usd or 0)
        if supplier.freight_kind == "flat":
            if free is None:
                self.cost[used] = charge
                self.costs[used] = charge
                return
            freight = self.column(1.0)
        else:
            freight = self.column(1.0)
            by_lb = supplier.freight_kind == "weight"
            rate = float(supplier.usd_per_lb) if by_lb else float(supplier.pct) / 100
            terms = {column: -rate * value for column, value in (pounds if by_lb else goods).items()}
            if rate:
                top = rate * (most_lb if by_lb else most_usd)
                self.require({freight: 1, **terms} | ({} if free is None else {free: top}), low=0)
        if charge:
            self.require({freight: 1, used: -charge} | ({} if free is None else {free: charge}), low=0)


def most_packs(problem):
    """More packs of an offer than this never help: they meet all needs, reach every break, charge and smallest order."""
    worth_lb = [item.lb for item in problem.items]
    for row, item in enumerate(problem.items):
        for swap in item.swaps:
            if swap.item != row:
                worth_lb[swap.item] += swap.factor * item.lb
    most = []
    for offer in problem.offers:
        if worth_lb[offer.item] <= 0:  # nothing wants it
            most.append(0)
            continue
        supplier = problem.suppliers[offer.supplier]
        short = worth_lb[offer.item] - problem.items[offer.item].on_hand_lb
        packs = ceil(short / offer.lb - 1e-9) if short > SHORTFALL_LB and offer.lb > 0 else 0
        marks = [offer.least, *(start for start, _, _ in offer.tiers)]
        cheapest_usd = min((usd for _, _, usd in offer.tiers), default=Decimal(0))
        for usd in (supplier.min_order_usd, supplier.free_from_usd):
            if usd and cheapest_usd > 0:
                marks.append(ceil(usd / cheapest_usd))
        packs = max(packs, *marks)
        most.append(packs if offer.most is None else min(packs, offer.most))
    return most


def _factor(item, other):
    return next(swap.factor for swap in item.swaps if swap.item == other)
