"""The cheapest way to buy, proven quickly: suppliers are branched on, and each item is covered by itself.

Once it is settled which suppliers are used and how each charges its freight, only the suppliers' thresholds (smallest
orders, goods from which freight is free) tie the items together. Without them every item has its own cheapest cover,
whose costs add up to a bound. A settlement whose covers keep the thresholds is solved by that; for the others HiGHS
chooses among all covers that can matter, by reduced costs.
"""

import heapq
from dataclasses import replace
from itertools import count, product
from typing import NamedTuple

from blends.calc.buying import Solution, costs_of, is_enough, wanted_lb
from blends.calc.buying_covers import TooMany, cheapest_cover, offers_by_item
from blends.calc.buying_master import NOISE, Limit, Settled, cheapest_of_settled
from blends.calc.buying_model import cheapest, most_packs
from blends.calc.packs import SHORTFALL_LB

LEAST_USD = 0.004  # two costs in whole cents differ by more, or not at all
_MOST_SWAPS = 64  # ways to swap that are gone through one by one


class State(NamedTuple):
    """How a supplier is used: its rates [of goods, USD/lb bulk], its charge, what its goods and pounds must reach, and of
    a least charge the `Limit` up to which it holds."""

    rates: tuple | None
    charge_usd: float = 0.0
    least_usd: float = 0.0
    least_lb: float = 0.0
    limit: Limit | None = None


OUT = State(None)


def search(problem, *, stop=lambda: False, told=lambda solution: None, seconds=30.0):
    """The cheapest way to buy.

    Parameters
    ----------
    problem : Problem
        Of which every need can be met (`split_uncovered`).
    stop : callable
        Asked now and then; the best so far is answered once it says True.
    told : callable
        Called with each better Solution.
    seconds : float
        For HiGHS over the whole programme at once, where branching leaves something open.

    Returns
    -------
    Solution
    """
    ways = _ways_to_swap(problem)
    if ways is None:  # too many to go through one by one
        return cheapest(problem, seconds=seconds)
    found = _Search(problem, stop, told).run(ways)
    return found if found.state != "stopped" or stop() else _finished(problem, found, seconds)


def _finished(problem, found, seconds):
    """What branching left open, by the whole programme: something cheaper, or the proof that there is nothing."""
    more = cheapest(problem, seconds=seconds, below_usd=found.total_usd)
    if more.state == "impossible":
        if found.packs is None:
            return more
        return replace(found, state="proven", bound_usd=float(found.total_usd))
    if more.packs is not None:
        return replace(more, bound_usd=max(more.bound_usd, found.bound_usd))
    return replace(found, bound_usd=max(more.bound_usd, found.bound_usd))


def states_of(supplier, is_limited=False):
    """The ways in which a supplier can be used; the last may be not at all.

    No state has anything too cheap, or it would hide what is cheapest: a least charge holds up to the goods or pounds for
    which the rate asks as much, and beyond them the rate is paid. Too dear it may be, where another state has the true
    cost.
    """
    least = float(supplier.min_order_usd or 0)
    charge = float(supplier.charge_usd or 0)
    found = [State((1.0, 0.0), charge if supplier.freight_kind == "flat" else 0.0, least)]
    if not supplier.has_known_freight or supplier.freight_kind == "none":
        found = [State((1.0, 0.0), 0.0, least)]
    elif supplier.freight_kind in ("weight", "value"):
        by_lb = supplier.freight_kind == "weight"
        rate = float(supplier.usd_per_lb) if by_lb else float(supplier.pct) / 100
        rates = (1.0, rate) if by_lb else (1.0 + rate, 0.0)
        if not charge:
            found = [State(rates, 0.0, least)]
        elif not rate:
            found = [State((1.0, 0.0), charge, least)]
        else:
            even = charge / rate
            by_rate = (0.0, even) if by_lb else (even, 0.0)
            found = [
                State(rates, 0.0, max(least, by_rate[0]), by_rate[1]),
                State((1.0, 0.0), charge, least, 0.0, Limit(int(by_lb), even, rate)),
            ]
    is_charged = supplier.has_known_freight and supplier.freight_kind != "none"
    if is_charged and supplier.free_from_usd is not None:
        found.append(State((1.0, 0.0), 0.0, max(least, float(supplier.free_from_usd))))
    if is_limited or len(found) > 1 or found[0].charge_usd or found[0].least_usd or found[0].least_lb:
        found.append(OUT)
    return found


def _ways_to_swap(problem):
    """Every choice of what is sown for the needs with swaps; None where they are too many."""
    free = [row for row, item in enumerate(problem.items) if item.swaps and item.lb > 0]
    options = [[row, *(swap.item for swap in problem.items[row].swaps)] for row in free]
    size = 1
    for each in options:
        size *= len(each)
    if size > _MOST_SWAPS:
        return None
    found = []
    for chosen in product(*options):
        swaps = {row: other for row, other in zip(free, chosen, strict=True) if other != row}
        if all(other not in swaps for other in swaps.values()):  # what stands in for another is sown itself
            found.append(swaps)
    return found


class _Search:
    def __init__(self, problem, stop, told):
        self.problem, self.stop, self.told = problem, stop, told
        self.best = Solution("impossible")
        self.best_usd = float("inf")
        most = most_packs(problem)
        self.offers = offers_by_item(problem, most)
        limit = problem.most_suppliers
        self.limit = len(problem.suppliers) if limit is None else limit
        is_limited = self.limit < len(problem.suppliers)
        self.states = [states_of(supplier, is_limited) for supplier in problem.suppliers]
        # before a supplier is settled: whatever is best of its states
        self.hoped = [
            State(tuple(min(rates) for rates in zip(*(s.rates for s in states if s.rates), strict=True)))
            for states in self.states
        ]
        self.known = {}
        self.ticket = count()
        self.open, self.left_usd = [], float("inf")

    def run(self, ways):
        for swaps in ways:
            wanted = wanted_lb(self.problem, swaps)
            short = [
                lb - item.on_hand_lb - SHORTFALL_LB
                for lb, item in zip(wanted, self.problem.items, strict=True)
            ]
            self._put(swaps, short, {})
        while self.open:
            low, _, swaps, short, settled, covers = heapq.heappop(self.open)
            if low > self.best_usd - LEAST_USD:
                break
            if self.stop():
                return self._stopped(low)
            supplier = self._next(settled, covers)
            if supplier is None:
                if not self._settled(swaps, short, settled, covers, low):
                    self.left_usd = min(self.left_usd, low)
                continue
            for state in self.states[supplier]:
                self._put(swaps, short, settled | {supplier: state})
        if self.left_usd <= self.best_usd - LEAST_USD:
            return self._stopped(self.left_usd)
        if self.best.packs is None:
            return self.best
        return Solution("proven", self.best.packs, self.best.swaps, self.best.total_usd, self.best_usd)

    def _stopped(self, low):
        low = min(low, self.left_usd, self.best_usd)
        return Solution("stopped", self.best.packs, self.best.swaps, self.best.total_usd, low)

    def _put(self, swaps, short, settled):
        if sum(state is not OUT for state in settled.values()) > self.limit:
            return
        rates = tuple(settled.get(row, hoped).rates for row, hoped in enumerate(self.hoped))
        covers = []
        low = sum(state.charge_usd for state in settled.values())
        for item, lb in enumerate(short):
            cover = self._cover(item, lb, rates)
            if cover is None:
                return
            covers.append(cover)
            low += cover.cost
        low = max(low, self._beyond_limits(swaps, short, settled, covers))
        if low > self.best_usd - LEAST_USD:
            return
        self._try(swaps, covers)
        heapq.heappush(self.open, (low, next(self.ticket), swaps, short, settled, covers))

    def _beyond_limits(self, swaps, short, settled, covers):
        """The same bound where the rate is paid instead of each least charge whose limit the covers pass."""
        passed = _passed(self.problem, settled, covers)
        if not passed:
            return 0.0
        free = {row: State(_with_limit(settled[row])) for row in passed}
        states = settled | free
        rates = tuple(states.get(row, hoped).rates for row, hoped in enumerate(self.hoped))
        others = [self._cover(item, lb, rates) for item, lb in enumerate(short)]
        self._try(swaps, others)
        return sum(state.charge_usd for state in states.values()) + sum(cover.cost for cover in others)

    def _cover(self, item, short_lb, rates):
        offers = self.offers[item]
        key = (item, short_lb, tuple(rates[row] for row in sorted({offer.supplier for offer in offers})))
        if key not in self.known:
            self.known[key] = cheapest_cover(offers, short_lb, rates)
        return self.known[key]

    def _next(self, settled, covers):
        """The supplier to settle next: of those that are used now the one with the highest charge or threshold."""
        used = {self.problem.offers[row].supplier for cover in covers for row, _ in cover.packs}
        free = [row for row, states in enumerate(self.states) if row not in settled and len(states) > 1]
        weight = {
            row: (row in used, max(max(s.charge_usd, s.least_usd) for s in self.states[row]), -row)
            for row in free
        }
        return max(free, key=weight.get, default=None)

    def _try(self, swaps, covers):
        packs = {row: number for cover in covers for row, number in cover.packs}
        self._take(packs, swaps)

    def _take(self, packs, swaps):
        usd = costs_of(self.problem, packs).total_usd
        if float(usd) < self.best_usd - LEAST_USD and is_enough(self.problem, packs, swaps):
            self.best, self.best_usd = Solution("stopped", packs, swaps, usd), float(usd)
            self.told(self.best)

    def _settled(self, swaps, short, settled, covers, low):
        """Solve what is left when every supplier is settled; False where it was too much."""
        states = [settled.get(row, states[0]) for row, states in enumerate(self.states)]
        if not _misses(self.problem, states, covers):
            return True  # its cost is the bound, and it has been tried
        case = Settled(self.problem, self.offers, short, states)
        try:
            for packs in cheapest_of_settled(case, lambda: self.best_usd - LEAST_USD, self.stop):
                self._take(packs, swaps)
        except TooMany:
            return False
        return True


def _bought(problem, covers):
    """[(goods, pounds)] by supplier."""
    found = [(0.0, 0.0)] * len(problem.suppliers)
    packs = {row: number for cover in covers for row, number in cover.packs}
    for row in costs_of(problem, packs).suppliers:
        found[row.supplier] = (float(row.goods_usd), float(row.lb))
    return found


def _passed(problem, settled, covers):
    """Suppliers whose limit the covers pass."""
    limited = {row: state.limit for row, state in settled.items() if state.limit is not None}
    if not limited:
        return []
    bought = _bought(problem, covers)
    return [row for row, limit in limited.items() if bought[row][limit.kind] > limit.most + NOISE]


def _with_limit(state):
    """The state's rates with that beyond its limit."""
    of_goods, of_lb = state.rates
    return (of_goods, of_lb + state.limit.rate) if state.limit.kind else (of_goods + state.limit.rate, of_lb)


def _misses(problem, states, covers):
    """Suppliers whose threshold the covers do not reach, or whose limit they pass."""
    bought = _bought(problem, covers)
    return _passed(problem, dict(enumerate(states)), covers) or [
        row
        for row, state in enumerate(states)
        if bought[row][0] < state.least_usd - LEAST_USD or bought[row][1] < state.least_lb - NOISE
    ]
