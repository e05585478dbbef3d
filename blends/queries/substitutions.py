"""What an order sows instead of what its blends name, and what it buys by the way that was taken."""

from decimal import Decimal
from typing import NamedTuple

from blends.queries.species import species_facts


def substitutes(order):
    """{species id: (Species that is sown instead, pounds of it for each pound)}, at equal live seeds.

    A substitution whose seeds per pound are not known any more has no factor and is left out; the order's page says so.
    """
    rows = [] if order.pk is None else list(order.substitutions.select_related("species", "instead"))
    if not rows:
        return {}
    seeds = seeds_per_lb(
        order.season.property, {pk for row in rows for pk in (row.species_id, row.instead_id)}
    )
    return {
        row.species_id: (row.instead, seeds[row.species_id] / seeds[row.instead_id])
        for row in rows
        if row.species_id in seeds and row.instead_id in seeds
    }


def substitutes_in(season):
    """`substitutes` of the season's order; none where it has no order yet."""
    order = getattr(season, "order", None)
    return {} if order is None else substitutes(order)


def seeds_per_lb(property, species_ids):
    """Seeds per pound by species id, the property's own value first; what is not known is left out."""
    facts = species_facts(property, list(species_ids))
    known = {row.species.pk: row.seeds_per_lb.value for row in facts}
    return {pk: float(value) for pk, value in known.items() if value}


def could_stand_in(property, species_ids):
    """{species id: [(Species, factor)]}: those of its functional group, where both numbers of seeds are known."""
    facts = species_facts(property)
    by_id = {row.species.pk: row for row in facts}
    found = {}
    for pk in species_ids:
        mine = by_id.get(pk)
        if mine is None or not mine.seeds_per_lb.value:
            continue
        seeds = float(mine.seeds_per_lb.value)
        found[pk] = [
            (row.species, seeds / float(row.seeds_per_lb.value))
            for row in facts
            if row.species.group == mine.species.group and row.species.pk != pk and row.seeds_per_lb.value
        ]
    return found


class TakenLine(NamedTuple):
    """What the way that was taken buys of one item, in all."""

    packs: int
    lb: float
    live_lb: float
    usd: Decimal
    is_assumed: bool


def taken_lines(order):
    """TakenLine by (species id, blend id) of the way to buy that stands; empty where none does, or it is out of date."""
    plan = standing_plan(order)
    if plan is None or plan.inputs_version != order.inputs_version:
        return {}
    found = {}
    for row in plan.found.get("lines", []):
        key = (row["species_id"], row["blend_id"])
        before = found.get(key, TakenLine(0, 0.0, 0.0, Decimal(0), False))
        found[key] = TakenLine(
            before.packs + row["packs"],
            before.lb + row["lb"],
            before.live_lb + row["live_lb"],
            before.usd + row["packs"] * Decimal(row["price_usd"]),
            before.is_assumed or row["is_assumed"],
        )
    return found


def standing_plan(order):
    """The way to buy that was taken last for the order and not given up since; None where there is none."""
    return order.plans.filter(taken_at__isnull=False).order_by("-taken_at", "-pk").first()


def substitutions_of(order):
    """The order's substitutions for its pages: rows with species, instead and `factor`, None where it is not known."""
    rows = list(order.substitutions.select_related("species", "instead", "created_by").order_by("pk"))
    known = substitutes(order) if rows else {}
    for row in rows:
        row.factor = known[row.species_id][1] if row.species_id in known else None
    return rows
