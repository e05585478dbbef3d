"""What else is asked about a way to buy: each supplier alone, and what each rule costs."""

from dataclasses import replace
from typing import NamedTuple

from blends.calc.buying import Problem, split_uncovered


class Question(NamedTuple):
    """A problem that differs from the one asked in one rule.

    Attributes
    ----------
    key : str
        "supplier", "limit", "minimum", "freight", "packs", "overage" or "swaps".
    row : int or None
        The supplier that it is about.
    problem : Problem or None
        None where it cannot be met, as when one supplier has not everything.
    lacks : tuple of int
        Items that it cannot meet.
    whole_packs : bool
    """

    key: str
    row: int | None
    problem: Problem | None
    lacks: tuple = ()
    whole_packs: bool = True


def questions(problem):
    """The questions that make sense for a problem of which every need can be met, each supplier alone first."""
    found = [_alone(problem, row) for row in range(len(problem.suppliers))]
    if problem.most_suppliers is not None and problem.most_suppliers < len(problem.suppliers):
        found.append(Question("limit", None, problem.with_(most_suppliers=None)))
    for row, supplier in enumerate(problem.suppliers):
        if supplier.min_order_usd:
            found.append(Question("minimum", row, _with_supplier(problem, row, min_order_usd=None)))
    if any(supplier.has_known_freight and supplier.freight_kind != "none" for supplier in problem.suppliers):
        free = tuple(replace(supplier, freight_kind="none") for supplier in problem.suppliers)
        found.append(Question("freight", None, problem.with_(suppliers=free)))
    found.append(Question("packs", None, problem, whole_packs=False))
    if any(item.bare_lb < item.lb for item in problem.items):
        bare = tuple(replace(item, lb=min(item.lb, item.bare_lb)) for item in problem.items)
        found.append(Question("overage", None, problem.with_(items=bare)))
    if any(item.swaps and item.lb for item in problem.items):
        itself = tuple(replace(item, swaps=()) for item in problem.items)
        plain, lacking = split_uncovered(problem.with_(items=itself))
        found.append(Question("swaps", None, None if lacking else plain, tuple(one.item for one in lacking)))
    return found


def _alone(problem, row):
    offers = tuple(offer for offer in problem.offers if offer.supplier == row)
    alone, lacking = split_uncovered(problem.with_(offers=offers, most_suppliers=None))
    if lacking:
        return Question("supplier", row, None, tuple(one.item for one in lacking))
    return Question("supplier", row, alone)


def _with_supplier(problem, row, **changes):
    suppliers = list(problem.suppliers)
    suppliers[row] = replace(suppliers[row], **changes)
    return problem.with_(suppliers=tuple(suppliers))
