"""Covers: packs of one item's offers that meet its need. The cheapest of them, and all that cost little more."""

from math import ceil
from typing import NamedTuple

import numpy as np

_NOISE = 1e-9
_SOON = 400  # steps after which a search is begun again with a table of what the rest costs at least
_CELLS = 6000  # of that table


class TooMany(Exception):
    """More covers than can be gone through."""


class Cover(NamedTuple):
    """Packs by the offer's row, and what they cost at the rates that were asked."""

    cost: float
    packs: tuple  # of (offer's row, packs)


class Packs(NamedTuple):
    """An offer as a cover sees it: its row, supplier, pounds in a pack as they count and in bulk, bands, most packs."""

    row: int
    supplier: int
    lb: float
    bulk_lb: float
    bands: tuple  # of (from packs, to packs, price)


def offers_by_item(problem, most):
    """Lists of Packs for each item; `most` limits the packs of each offer."""
    found = [[] for _ in problem.items]
    for row, offer in enumerate(problem.offers):
        bands = tuple(
            (start, most[row] if end is None else min(end, most[row]), float(usd))
            for start, end, usd in offer.tiers
            if start <= most[row]
        )
        if bands and offer.lb > 0:
            found[offer.item].append(Packs(row, offer.supplier, offer.lb, float(offer.pack_lb), bands))
    return found


def cheapest_cover(offers, short_lb, rates, below=float("inf")):
    """The cheapest cover at some rates.

    Parameters
    ----------
    offers : list of Packs
    short_lb : float
        What has to be covered.
    rates : sequence of (float, float) or None
        By supplier: what counts of each dollar of goods, and dollars a bulk pound; None where it sells nothing.
    below : float
        Only a cheaper one is looked for.

    Returns
    -------
    Cover or None
    """
    if short_lb <= 0:
        return Cover(0.0, ())
    ways = _sorted_ways(offers, rates, short_lb, below, is_least=True)
    if not ways:
        return None
    search = _Cheapest(ways, below)
    try:
        search.go(0, short_lb, 0.0)
    except _Long:
        search = _Cheapest(ways, below, _Rest(ways, short_lb))
        search.go(0, short_lb, 0.0)
    return search.best


def covers_within(offers, short_lb, rates, limit, most):
    """Every cover that costs `limit` or less, those with packs to spare too.

    Raises
    ------
    TooMany
        They are more than `most`, or too long to look for.
    """
    if short_lb <= 0:
        raise ValueError(f"{short_lb:g} lb to cover; accepted is more than 0")
    ways = _sorted_ways(offers, rates, short_lb, limit)
    rest = _Rest(ways, short_lb)
    found, packs, steps = [], [], [0]

    def go(place, short, cost):
        steps[0] += 1
        if steps[0] > 20 * most:
            raise TooMany
        if place == len(ways):
            if short <= 0:
                found.append(Cover(cost, tuple(packs)))
                if len(found) > most:
                    raise TooMany
            return
        row, lb, bands, _ = ways[place]
        if cost + rest.usd(place + 1, short) <= limit:
            go(place + 1, short, cost)
        for start, end, each in bands:
            for count in range(start, end + 1):
                left, now = short - count * lb, cost + count * each
                if now > limit:
                    break
                if now + rest.usd(place + 1, left) <= limit:
                    packs.append((row, count))
                    go(place + 1, left, now)
                    packs.pop()

    go(0, short_lb, 0.0)
    return found


def _sorted_ways(offers, rates, short_lb, limit, is_least=False):
    """(row, lb, [(from, to, each)], least each), the cheapest by the pound last; bands beyond `limit` are left out."""
    ways = []
    for offer in offers:
        rate = rates[offer.supplier]
        if rate is not None:
            of_goods, of_lb = rate
            bands = [(start, end, of_goods * usd + of_lb * offer.bulk_lb) for start, end, usd in offer.bands]
            ways.append((offer.row, offer.lb, bands))
    if is_least:
        limit = min(limit, _of_one_offer(ways, short_lb))
    found = []
    for row, lb, bands in ways:
        bands = [band for band in bands if band[0] * band[2] <= limit + _NOISE]
        if bands:
            found.append((row, lb, bands, min(each for _, _, each in bands)))
    return sorted(found, key=lambda way: (-way[3] / way[1], way[0]))


def _of_one_offer(ways, short_lb):
    """What the cheapest cover by one offer alone costs."""
    return min(
        (
            max(start, ceil(short_lb / lb - _NOISE)) * each
            for _, lb, bands in ways
            for start, end, each in bands
            if max(start, ceil(short_lb / lb - _NOISE)) <= end
        ),
        default=float("inf"),
    )


class _Rest:
    """What the ways from a place on cost at least for so many pounds.

    Pounds of a pack are rounded up to cells and those that are short down, so that it is never more than it costs.
    """

    def __init__(self, ways, short_lb):
        cells = _CELLS
        self.cell_lb = short_lb / cells
        table = np.full(cells + 1, np.inf)
        table[0] = 0.0
        self.tables, self.rates = [table], [float("inf")]
        for _, lb, _, each in reversed(ways):
            table = table.copy()
            step, usd = ceil(lb / self.cell_lb - _NOISE), each
            while True:  # one pack more, two, four …: every number of them
                shifted = table[np.maximum(np.arange(cells + 1) - step, 0)] + usd
                np.minimum(table, shifted, out=table)
                if step > cells:
                    break
                step, usd = 2 * step, 2 * usd
            self.tables.append(table)
            self.rates.append(min(self.rates[-1], each / lb))
        self.tables.reverse()
        self.rates.reverse()

    def usd(self, place, short_lb):
        if short_lb <= 0:
            return 0.0
        return max(self.tables[place][int(short_lb / self.cell_lb)], short_lb * self.rates[place]) - _NOISE


class _Long(Exception):
    pass


class _Cheapest:
    """Depth first; what cannot be cheaper than the best so far is left."""

    def __init__(self, ways, below, rest=None):
        self.ways, self.limit, self.best, self.rest = ways, below, None, rest
        self.packs, self.steps = [], 0
        after = [each / lb for _, lb, _, each in ways]
        for place in range(len(after) - 2, -1, -1):
            after[place] = min(after[place], after[place + 1])
        self.rates = [*after, float("inf")]

    def least(self, place, short):
        if short <= 0:
            return 0.0
        return short * self.rates[place] if self.rest is None else self.rest.usd(place, short)

    def go(self, place, short, cost):
        self.steps += 1
        if self.rest is None and self.steps > _SOON:
            raise _Long
        row, lb, bands, _ = self.ways[place]
        is_last = place == len(self.ways) - 1
        enough = ceil(short / lb - _NOISE)
        if not is_last and cost + self.least(place + 1, short) < self.limit - _NOISE:
            self.go(place + 1, short, cost)
        for start, end, each in bands:
            # enough of this one ends the cover; a band that begins beyond is taken at its beginning
            last = max(enough, start)
            if last <= end and cost + last * each < self.limit - _NOISE:
                self.limit = cost + last * each
                self.best = Cover(self.limit, (*self.packs, (row, last)))
            if is_last:
                continue
            for count in range(start, min(end, enough - 1) + 1):
                left, now = short - count * lb, cost + count * each
                if now >= self.limit - _NOISE:
                    break
                if now + self.least(place + 1, left) < self.limit - _NOISE:
                    self.packs.append((row, count))
                    self.go(place + 1, left, now)
                    self.packs.pop()
