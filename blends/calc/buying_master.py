"""Covers chosen together: which of them, when suppliers' goods and pounds have to reach thresholds.

    least   Σ cost of the covers chosen
    where   one cover an item; goods and pounds of each supplier ≥ its thresholds; beyond its limit its rate is paid

A linear programme over the covers found so far prices the thresholds and limits; the cheapest cover of each item at those prices
joins it, until none helps. What then costs at most the known gap more than its item's cheapest is every cover that an
optimum can have, and HiGHS chooses among these.
"""

from collections import defaultdict
from typing import NamedTuple

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import csr_array

from blends.calc.buying_covers import TooMany, cheapest_cover, covers_within

_ROUNDS, _MOST_COVERS, _SECONDS = 60, 20_000, 20.0
_NOISE_USD = 1e-6
NOISE = 1e-6  # of dollars and pounds against a threshold or a limit
_PARTS = (0.05, 0.25, 1.0)  # of the gap, one after the other


class Limit(NamedTuple):
    """Goods (`kind` 0) or pounds (1) for which a least charge holds; for what is beyond, a rate is paid."""

    kind: int
    most: float
    rate: float


class Settled(NamedTuple):
    """Suppliers with their states, the offers of each item, and what each item is short of. [lb]"""

    problem: object
    offers: list
    short: list
    states: list


class _Column(NamedTuple):
    item: int
    cost: float
    packs: tuple
    reached: np.ndarray  # of each threshold
    taken: np.ndarray  # of each limit


def cheapest_of_settled(case, below, stop):
    """Give packs that are better and better; when it ends, nothing of this case costs less than `below()`.

    Raises
    ------
    TooMany
        Too many covers could matter, or the time was over.
    """
    master = _Master(case)
    if not master.can_be_reached:
        return
    low = master.bound(below, stop)
    if low >= below():
        return
    found = master.chosen(below())
    if found is not None:
        yield found
    for part in _PARTS:  # a better one that is found early leaves fewer covers that matter
        gap = below() - low
        if gap <= 0:
            return
        master.add_all_within(gap * part)
        found = master.chosen(below())
        if found is not None:
            yield found


class _Master:
    def __init__(self, case):
        self.case = case
        self.rates = tuple(state.rates for state in case.states)
        self.charge_usd = sum(state.charge_usd for state in case.states)
        self.thresholds = [
            (row, kind, least)
            for row, state in enumerate(case.states)
            for kind, least in ((0, state.least_usd), (1, state.least_lb))
            if least > 0
        ]
        self.least = np.array([least for _, _, least in self.thresholds])
        self.limits = [(row, *state.limit) for row, state in enumerate(case.states) if state.limit]
        self.most = np.array([most for _, _, most, _ in self.limits])
        self.beyond = np.array([rate for _, _, _, rate in self.limits])
        self.items = [item for item, lb in enumerate(case.short) if lb > 0]
        self.columns, self.known = [], set()
        self.prices, self.dues = np.zeros(len(self.thresholds)), np.zeros(len(self.limits))
        self.base = {}
        self.can_be_reached = self._start()

    def _start(self):
        """The cheapest covers, and the most goods and pounds of every offer; False where they are not enough."""
        for item in self.items:
            self._add(item, cheapest_cover(self.case.offers[item], self.case.short[item], self.rates).packs)
        most = np.zeros(len(self.thresholds))
        for item in self.items:
            offers = [offer for offer in self.case.offers[item] if self.rates[offer.supplier] is not None]
            for kind in (0, 1):
                packs = dict(self.columns[self._place(item)].packs)
                for offer in offers:
                    _, packs[offer.row] = _most_of(offer, kind)
                    self._add(item, tuple(packs.items()))
            for place, (row, kind, _) in enumerate(self.thresholds):
                most[place] += sum(_most_of(offer, kind)[0] for offer in offers if offer.supplier == row)
        return bool((most >= self.least - NOISE).all())

    def _place(self, item):
        return next(place for place, column in enumerate(self.columns) if column.item == item)

    def _add(self, item, packs):
        key = (item, tuple(sorted(packs)))
        if key in self.known:
            return False
        self.known.add(key)
        goods, pounds = defaultdict(float), defaultdict(float)
        offers = {offer.row: offer for offer in self.case.offers[item]}
        for row, number in packs:
            offer = offers[row]
            each = next(usd for start, end, usd in offer.bands if start <= number <= end)
            goods[offer.supplier] += number * each
            pounds[offer.supplier] += number * offer.bulk_lb
        cost = sum(self.rates[row][0] * usd + self.rates[row][1] * pounds[row] for row, usd in goods.items())
        reached, taken = (
            np.array([(pounds if kind else goods)[row] for row, kind, *_ in marks])
            for marks in (self.thresholds, self.limits)
        )
        self.columns.append(_Column(item, cost, key[1], reached, taken))
        return True

    def _matrices(self):
        """Costs, one cover an item, what reaches thresholds and what counts for limits; what is beyond these comes last."""
        at = {item: place for place, item in enumerate(self.items)}
        rows = np.array([at[column.item] for column in self.columns])
        size = (len(self.items), len(self.columns) + len(self.limits))
        one = csr_array((np.ones(len(rows)), (rows, np.arange(len(rows)))), shape=size)
        reached = np.zeros((len(self.least), size[1]))
        taken = np.zeros((len(self.limits), size[1]))
        for place, column in enumerate(self.columns):
            reached[:, place], taken[:, place] = column.reached, column.taken
        taken[:, len(self.columns) :] = -np.eye(len(self.limits))
        return np.array([*(column.cost for column in self.columns), *self.beyond]), one, reached, taken

    def bound(self, below, stop):
        """The most that the prices of thresholds and limits prove."""
        best_low = -np.inf
        for _ in range(_ROUNDS):
            cost, one, reached, taken = self._matrices()
            found = linprog(
                cost,
                A_ub=np.vstack([-reached, taken]),
                b_ub=[*-self.least, *self.most],
                A_eq=one,
                b_eq=np.ones(len(self.items)),
                method="highs",
            )
            if found.status != 0:
                raise TooMany
            marginals = np.maximum(-found.ineqlin.marginals, 0.0)
            prices, dues = marginals[: len(self.least)], np.minimum(marginals[len(self.least) :], self.beyond)
            rates = self._priced(prices, dues)
            low = self.charge_usd + float(prices @ self.least) - float(dues @ self.most)
            base, is_new = {}, False
            for item in self.items:
                cover = cheapest_cover(self.case.offers[item], self.case.short[item], rates)
                base[item] = cover.cost
                low += cover.cost
                is_new |= self._add(item, cover.packs)
            if low > best_low:
                best_low, self.prices, self.dues, self.base = low, prices, dues, base
            if best_low >= below() or not is_new or found.fun + self.charge_usd - best_low < _NOISE_USD:
                break
            if stop():
                raise TooMany
        return best_low

    def _priced(self, prices, dues):
        """The rates with what each dollar and pound owes for a limit, less what it earns towards a threshold.

        A price above its rate would pay for buying without end; it is lowered to the rate, in `prices` too.
        """
        rates = [None if rate is None else list(rate) for rate in self.rates]
        for place, (row, kind, *_) in enumerate(self.limits):
            rates[row][kind] += dues[place]
        for place, (row, kind, _) in enumerate(self.thresholds):
            prices[place] = min(prices[place], rates[row][kind])
            rates[row][kind] -= prices[place]
        return tuple(None if rate is None else tuple(rate) for rate in rates)

    def add_all_within(self, gap):
        rates = self._priced(self.prices.copy(), self.dues)
        left = _MOST_COVERS
        for item in self.items:
            limit = self.base[item] + gap + _NOISE_USD
            covers = covers_within(self.case.offers[item], self.case.short[item], rates, limit, left)
            left -= len(covers)
            for cover in covers:
                self._add(item, cover.packs)

    def chosen(self, below):
        """The best covers of those that are known, by HiGHS; None where they cost `below` or more."""
        cost, one, reached, taken = self._matrices()
        rows = [
            LinearConstraint(one, 1, 1),
            LinearConstraint(cost[None, :], -np.inf, below - self.charge_usd),
        ]
        if len(self.least):
            rows.append(LinearConstraint(reached, self.least - NOISE, np.inf))
        if self.limits:
            rows.append(LinearConstraint(taken, -np.inf, self.most))
        is_cover = np.arange(len(cost)) < len(self.columns)
        found = milp(
            cost,
            integrality=is_cover.astype(int),
            bounds=Bounds(0, np.where(is_cover, 1.0, np.inf)),
            constraints=rows,
            options={"mip_rel_gap": 0.0, "time_limit": _SECONDS},
        )
        if found.status == 1:
            raise TooMany
        if found.x is None:
            return None
        chosen = [column for column, x in zip(self.columns, found.x, strict=False) if x > 0.5]
        return {row: number for column in chosen for row, number in column.packs if number}


def _most_of(offer, kind):
    """(most that an offer brings, packs of it): of goods (kind 0) a band's end may be more than the last one's."""
    return max((end * (offer.bulk_lb if kind else usd), end) for _, end, usd in offer.bands)
