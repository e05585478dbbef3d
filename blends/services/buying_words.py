"""What a search has found, in the ids of the rows and in whole cents, as `BuyingPlan.found` keeps it.

{"state": "proven" | "stopped" | "impossible", "total_usd", "gap_usd", "why": sentence where it is impossible,
 "lines": [{"offer_id", "supplier_id", "species_id", "blend_id", "packs", "price_usd", "lb", "live_lb", "is_assumed"}],
 "suppliers": [{"supplier_id", "name", "goods_usd", "freight_usd" or null, "lb"}],
 "needs": [{"species_id", "blend_id", "name", "wanted_lb", "on_hand_lb", "bought_lb", "over_lb"}], live pounds
 "swaps": [{"species_id", "instead_id", "factor", "name", "instead"}],
 "uncovered": [{"name", "wanted_lb", "offered_lb"}],
 "alone": [{"supplier_id", "name", "total_usd" or null, "lacks": [names], "state"}],
 "rules": [{"key", "supplier", "saves_usd" or null, "state"}],
 "is_complete": whether every question beside it was answered, "mark": of what was offered (queries/buying_problem.py),
 "before": the choices and substitutions that taking it replaced (services/buying.py)}
"""

from decimal import Decimal

from blends.calc.buying import Solution, costs_of, split_uncovered, wanted_lb
from blends.calc.pack_price import price_for_packs


def as_found(asked, raw):
    """`raw` is what solving/child.py writes; the problem is that of `queries.buying_problem.problem_of`."""
    problem, _ = split_uncovered(asked.problem)
    main = _solution(raw["main"])
    found = {
        "state": main.state,
        "total_usd": _text(main.total_usd),
        "gap_usd": _text(main.gap_usd),
        "uncovered": [
            {
                "name": problem.items[row["item"]].name,
                "wanted_lb": row["wanted_lb"],
                "offered_lb": row["offered_lb"],
            }
            for row in raw["uncovered"]
        ],
        "mark": asked.mark,
        "is_complete": bool(raw.get("is_done")),
    }
    if main.packs is None:
        return found | {"why": _why(problem, raw)}
    return (
        found
        | _bought(asked, problem, main)
        | {
            "alone": [_alone(problem, row) for row in raw["beside"] if row["key"] == "supplier"],
            "rules": [_rule(problem, main, row) for row in raw["beside"] if row["key"] != "supplier"],
        }
    )


def _solution(row):
    return Solution(
        row["state"],
        None if row["packs"] is None else dict(map(tuple, row["packs"])),
        dict(map(tuple, row["swaps"])),
        None if row["total_usd"] is None else Decimal(row["total_usd"]),
        row["bound_usd"],
    )


def _bought(asked, problem, main):
    lines, bought = [], [0.0] * len(problem.items)
    for row, packs in sorted(main.packs.items()):
        offer = problem.offers[row]
        species_id, blend_id = asked.keys[offer.item]
        bought[offer.item] += packs * offer.lb
        lines.append(
            {
                "offer_id": offer.key,
                "supplier_id": problem.suppliers[offer.supplier].key,
                "species_id": species_id,
                "blend_id": blend_id,
                "packs": packs,
                "price_usd": str(price_for_packs(packs, offer.price_usd, offer.breaks)),
                "lb": float(packs * offer.pack_lb),
                "live_lb": packs * offer.lb,
                "is_assumed": asked.is_assumed[row],
            }
        )
    return {
        "lines": lines,
        "suppliers": [
            {
                "supplier_id": problem.suppliers[row.supplier].key,
                "name": problem.suppliers[row.supplier].name,
                "goods_usd": str(row.goods_usd),
                "freight_usd": _text(row.freight_usd),
                "lb": float(row.lb),
            }
            for row in costs_of(problem, main.packs).suppliers
        ],
        "needs": _needs(asked, problem, main, bought),
        "swaps": [_swap(asked, problem, need, other) for need, other in sorted(main.swaps.items())],
    }


def _needs(asked, problem, main, bought):
    found = []
    for row, lb in enumerate(wanted_lb(problem, main.swaps)):
        if lb <= 0:
            continue
        item, (species_id, blend_id) = problem.items[row], asked.keys[row]
        found.append(
            {
                "species_id": species_id,
                "blend_id": blend_id,
                "name": item.name,
                "wanted_lb": lb,
                "on_hand_lb": item.on_hand_lb,
                "bought_lb": bought[row],
                "over_lb": max(item.on_hand_lb + bought[row] - lb, 0.0),
            }
        )
    return found


def _swap(asked, problem, need, other):
    factor = next(swap.factor for swap in problem.items[need].swaps if swap.item == other)
    return {
        "species_id": asked.keys[need][0],
        "instead_id": asked.keys[other][0],
        "factor": factor,
        "name": problem.items[need].name,
        "instead": problem.items[other].name,
    }


def _alone(problem, row):
    supplier = problem.suppliers[row["row"]]
    solution = row["solution"] and _solution(row["solution"])
    return {
        "supplier_id": supplier.key,
        "name": supplier.name,
        "total_usd": solution and _text(solution.total_usd),
        "state": solution.state if solution else "lacks",
        "lacks": [problem.items[item].name for item in row["lacks"]],
        "is_freight_known": supplier.has_known_freight,
    }


def _rule(problem, main, row):
    solution = row["solution"] and _solution(row["solution"])
    saves_usd = None
    if solution and solution.total_usd is not None:
        saves_usd = max(main.total_usd - solution.total_usd, Decimal("0.00"))
    if row["key"] == "swaps":  # without the swaps it is dearer: what allowing them saves
        saves_usd = (
            None if not solution or solution.total_usd is None else solution.total_usd - main.total_usd
        )
    return {
        "key": row["key"],
        "supplier": None if row["row"] is None else problem.suppliers[row["row"]].name,
        "saves_usd": _text(saves_usd),
        "state": solution.state if solution else "lacks",
    }


def _why(problem, raw):
    """Which rule stands in the way, in a sentence."""
    if raw["main"]["state"] == "stopped":
        return "The time was over before any way was found; allow more time."
    solved = {
        (row["key"], row["row"])
        for row in raw["beside"]
        if row["solution"] and row["solution"]["packs"] is not None
    }
    if ("limit", None) in solved:
        return (
            f"Not everything can be had from {problem.most_suppliers} "
            f"supplier{'' if problem.most_suppliers == 1 else 's'}; allow more."
        )
    for key, row in sorted(solved, key=str):
        if key == "minimum":
            supplier = problem.suppliers[row]
            return (
                f"{supplier.name} takes no order below {supplier.min_order_usd:,.2f} USD, which what is to be bought "
                "there does not reach."
            )
    return "The smallest orders and the packs to be had leave no way to buy everything."


def _text(usd):
    return None if usd is None else f"{usd:.2f}"
