"""A way to buy as its page and the API show it."""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import NamedTuple

from django.utils import timezone

from blends.models import BuyingPlan, Species
from blends.queries.buying import plan_lines
from blends.queries.buying_problem import is_out_of_date
from blends.queries.offers import open_offers
from blends.queries.order_inputs import order_inputs
from blends.queries.substitutions import could_stand_in, standing_plan

_RULES = {
    "limit": "At most {most} supplier{s}",
    "minimum": "Smallest order of {supplier}",
    "freight": "Freight",
    "packs": "Whole packs",
    "overage": "The overage of {overage} %",
}


class Rule(NamedTuple):
    """A rule in words, and how much less it would cost without it; None is not known."""

    words: str
    costs_usd: Decimal | None


@dataclass
class SupplierPart:
    """What one supplier gets: lines and sums. `freight_usd` None is not known."""

    name: str
    supplier_id: int
    goods_usd: Decimal
    freight_usd: Decimal | None
    lb: float
    lines: list = field(default_factory=list)

    @property
    def total_usd(self):
        return self.goods_usd + (self.freight_usd or 0)


@dataclass
class Way:
    """A plan with its figures in place of its text.

    Attributes
    ----------
    plan : BuyingPlan
    state : str
        Of the plan where one is found, else "" .
    total_usd, gap_usd : Decimal or None
    is_out_of_date, is_standing : bool
    suppliers : list of SupplierPart
    rules : list of Rule
    """

    plan: BuyingPlan
    is_out_of_date: bool
    is_standing: bool
    suppliers: list
    rules: list

    @property
    def found(self):
        return self.plan.found

    @property
    def state(self):
        return self.found.get("state", "")

    @property
    def job_state(self):
        return self.plan.job.state if self.plan.job else ""

    @property
    def is_searching(self):
        return self.plan.job is not None and not self.plan.job.is_finished

    @property
    def has_plan(self):
        return "lines" in self.found

    @property
    def total_usd(self):
        return _usd(self.found.get("total_usd"))

    @property
    def gap_usd(self):
        return _usd(self.found.get("gap_usd"))

    @property
    def gap_pct(self):
        if self.gap_usd is None or not self.total_usd:
            return None
        return float(self.gap_usd / self.total_usd * 100)

    @property
    def so_far_usd(self):
        return _usd(self.found.get("so_far_usd"))

    @property
    def alone(self):
        """[{…, "total_usd", "more_usd"}] of each supplier alone, the cheapest first."""
        rows = [
            row | {"total_usd": _usd(row["total_usd"]), "more_usd": _more(row["total_usd"], self.total_usd)}
            for row in self.found.get("alone", [])
        ]
        return sorted(rows, key=lambda row: (row["total_usd"] is None, row["total_usd"] or 0, row["name"]))

    @property
    def unknown_freight(self):
        return [part.name for part in self.suppliers if part.freight_usd is None]

    @property
    def assumed(self):
        return sorted(
            {str(line.item) for part in self.suppliers for line in part.lines if self._is_assumed(line)}
        )

    def _is_assumed(self, line):
        return any(row["is_assumed"] for row in self.found["lines"] if row["offer_id"] == line.offer.pk)


def way_of(plan):
    """A plan's Way; six queries at most."""
    standing = standing_plan(plan.order)
    parts = {
        row["supplier_id"]: SupplierPart(
            row["name"], row["supplier_id"], _usd(row["goods_usd"]), _usd(row["freight_usd"]), row["lb"]
        )
        for row in plan.found.get("suppliers", [])
    }
    for line in plan_lines(plan):
        parts[line.supplier.pk].lines.append(line)
    suppliers = sorted(parts.values(), key=lambda part: part.name.casefold())
    is_standing = standing is not None and standing.pk == plan.pk
    return Way(plan, is_out_of_date(plan), is_standing, suppliers, _rules(plan))


def ways_of(order):
    """The plans of an order, the latest first."""
    return order.plans.select_related("job", "created_by")


def listed(plans):
    """Plans with `found_usd`, what their way costs as far as it is known."""
    plans = list(plans)
    for plan in plans:
        plan.found_usd = _usd(plan.found.get("total_usd"))
    return plans


def possible_swaps(order):
    """[(Species, Species that may stand in, factor)] for what the order has, where somebody offers it; seven queries more."""
    species_ids = [item.species_id for item in order_inputs(order).items if item.species_id]
    rows = open_offers(order.season.property, timezone.localdate())
    offered = {row.species_id for row in rows if row.species_id}
    ways = could_stand_in(order.season.property, species_ids)
    species = Species.objects.in_bulk(species_ids)
    fixed = {pk for pair in order.substitutions.values_list("species_id", "instead_id") for pk in pair}
    return [
        (species[pk], other, factor)
        for pk in sorted(ways, key=lambda pk: str(species[pk]))
        if pk not in fixed
        for other, factor in ways[pk]
        if other.pk in offered and other.pk not in fixed
    ]


def substitute_groups(order):
    """[(Species of the order, [(Species, factor)])] of what may stand in for each."""
    components = Species.objects.filter(
        components__blend__plantings__season=order.season_id, components__blend__kind="mixed"
    ).distinct()
    species = {row.pk: row for row in components}
    ways = could_stand_in(order.season.property, list(species))
    found = [(species[pk], rows) for pk, rows in ways.items() if rows]
    return sorted(found, key=lambda pair: str(pair[0]))


def _rules(plan):
    most = plan.asked.get("most_suppliers")
    found = []
    for row in plan.found.get("rules", []):
        if row["key"] == "swaps":
            continue  # the page says it in words: what is not made costs nothing
        words = _RULES[row["key"]].format(
            most=most,
            s="" if most == 1 else "s",
            supplier=row["supplier"],
            overage=f"{plan.order.overage_pct.normalize():f}",
        )
        found.append(Rule(words, _usd(row["saves_usd"])))
    return found


def _usd(text):
    return None if text is None else Decimal(text)


def _more(text, total_usd):
    return None if text is None or total_usd is None else Decimal(text) - total_usd
