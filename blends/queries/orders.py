"""The seed order as it was computed, the plots behind its figures and the costs by plot and by blend."""

from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

import numpy as np
from django.db.models import Count, Q, Sum
from django.utils import timezone
from django.utils.formats import date_format

from blends.calc.money import cost_usd_per_acre, from_cents
from blends.calc.needs import seed_order
from blends.models import Blend, Offer, Planting, SeedOrder
from blends.queries.offers import is_open
from blends.queries.on_hand import seed_on_hand
from blends.queries.order_inputs import COUNTED, PLANTED_OR_MAPPED_ACRES, order_inputs
from blends.queries.substitutions import standing_plan, substitutions_of, taken_lines
from blends.queries.versions import version_ids
from plots.models import Plot


def order_lines(order):
    """The lines of the order, species first, each group by name; two queries.

    Returns
    -------
    list of OrderLine
        With species, blend, offer and supplier loaded; `is_by_way` says that the way to buy that was taken decides what
        is bought, be it from several offers, and `each_usd` what a pack costs at the number that is bought.
    """
    lines = told_of_way(
        taken_lines(order), order.orderlines.select_related("species", "blend", "offer__supplier")
    )
    return sorted(lines, key=lambda line: (line.blend_id is not None, str(line.item).casefold()))


def told_of_way(taken, lines):
    """Lines that know whether the way that was taken decides what is bought, and what a pack then costs; a list."""
    lines = list(lines)
    for line in lines:
        line.is_by_way = (line.species_id, line.blend_id) in taken
        line.each_usd = line.offer and line.offer.price_usd
        if line.packs and line.cost_bought_usd is not None and not line.is_by_way:
            line.each_usd = line.cost_bought_usd / line.packs
    return lines


def order_notes(lines):
    """What a reader of the order has to know: costs that are unknown, tags that are assumed."""
    without = [str(line.item) for line in lines if line.offer is None and line.to_buy_lb > 0]
    in_shed = [str(line.item) for line in lines if line.offer is None and line.to_buy_lb == 0]
    assumed = [str(line.item) for line in lines if line.is_pls_assumed]
    notes = []
    if without:
        notes.append(f"No offer is chosen for {_listed(without)}: packs and costs are unknown.")
    if in_shed:
        notes.append(f"All on hand and without an offer: {_listed(in_shed)}. The cost used is unknown.")
    if assumed:
        notes.append(f"Pure live seed is assumed, not read from a tag, for {_listed(assumed)}.")
    return notes


def offers_by_item(order, lines):
    """Offers that each line can be bought from today, as `open_offers` has them; three queries.

    Returns
    -------
    dict
        Lists of Offer by the line's id; the one that was chosen is among them even when it is withdrawn or expired.
    """
    property = order.season.property
    blends = [line.blend for line in lines if line.blend_id]
    versions = version_ids(property, blends) if blends else {}
    species_ids = [line.species_id for line in lines if line.species_id]
    blend_ids = [version for ids in versions.values() for version in ids]
    offers = Offer.objects.filter(
        Q(species__in=species_ids) | Q(blend__in=blend_ids), property=property
    ).select_related("supplier", "species", "blend")
    offers = offers.prefetch_related("breaks")
    today = timezone.localdate()
    found = {line.pk: [] for line in lines}
    for offer in offers:
        for line in lines:
            is_its = (
                offer.species_id == line.species_id
                if line.species_id
                else offer.blend_id in versions[line.blend_id]
            )
            if is_its and (is_open(offer, today) or offer.pk == line.offer_id):
                found[line.pk].append(offer)
    return found


@dataclass(frozen=True)
class OrderPlot:
    """A plot's part of one item: acres × rate ÷ pure live fraction = pounds; costs are its cents of the item's.

    Attributes
    ----------
    plot : Plot
    blend : Blend
    method : str
    acres : float
    lb_per_acre : float
        PLS of a species; bulk of a bought mix.
    planted_lb : float
        Bulk pounds.
    cost_used_usd, cost_bought_usd : Decimal or None
    """

    plot: Plot
    blend: Blend
    method: str
    acres: float
    lb_per_acre: float
    planted_lb: float
    cost_used_usd: Decimal | None
    cost_bought_usd: Decimal | None


def order_plots(order, item, inputs=None):
    """The plots behind a figure, by name, worked out from the inputs as they are now.

    Parameters
    ----------
    order : SeedOrder
    item : Species or Blend
    inputs : OrderInputs, optional
        Of the order, where they have been read already.

    Returns
    -------
    list of OrderPlot
        Empty where the item is not in the order or something stops it.
    """
    inputs = inputs or order_inputs(order)
    wanted = (None, item.pk) if isinstance(item, Blend) else (item.pk, None)
    keys = [(one.species_id, one.blend_id) for one in inputs.items]
    if inputs.problems or wanted not in keys:
        return []
    lines = seed_order(*inputs.tables, inputs.overage_fraction).lines
    plantings, components, _ = inputs.tables
    plots = Plot.objects.filter(plantings__season=order.season_id).only("name").in_bulk()
    found = []
    for row in np.flatnonzero(lines.item == keys.index(wanted)):
        planting = lines.planting[row]
        blend_id, method = inputs.recipes[plantings.recipe[planting]]
        found.append(
            OrderPlot(
                plot=plots[inputs.plot_ids[planting]],
                blend=inputs.blends[blend_id],
                method=method,
                acres=float(plantings.acres[planting]),
                lb_per_acre=float(components.lb_per_acre[lines.component[row]]),
                planted_lb=float(lines.planted_lb[row]),
                cost_used_usd=from_cents(lines.used_cents[row]),
                cost_bought_usd=from_cents(lines.bought_cents[row]),
            )
        )
    return sorted(found, key=lambda part: part.plot.name.casefold())


@dataclass(frozen=True)
class Cost:
    """Acres and costs of a plot, of a blend or of the property; what is not known is None.

    Attributes
    ----------
    of : SownPlot, Blend or Property
    acres : float or None
    plots : int
    used_usd, bought_usd : Decimal or None
    """

    of: object
    acres: float | None
    plots: int
    used_usd: Decimal | None
    bought_usd: Decimal | None

    @property
    def used_usd_per_acre(self):
        return cost_usd_per_acre(self.used_usd, np.nan if self.acres is None else self.acres)

    @property
    def bought_usd_per_acre(self):
        return cost_usd_per_acre(self.bought_usd, np.nan if self.acres is None else self.acres)


class SownPlot(NamedTuple):
    """A plot of the order with what it gets; plain values, since a file or the API lists thousands."""

    plot_id: int
    plot: str
    blend: Blend
    method: str

    @property
    def method_label(self):
        return Planting.Method(self.method).label


class PlotCosts:
    """Costs by plot, for a paginator: counted and sliced in the database, one query a page."""

    _COLUMNS = ("plot_id", "plot__name", "blend_id", "method", "acres", "cost_used_usd", "cost_bought_usd")

    def __init__(self, plantings, blends):
        plantings = plantings.annotate(acres=PLANTED_OR_MAPPED_ACRES).order_by("plot__name", "pk")
        self.rows, self.blends = plantings.values_list(*self._COLUMNS), blends

    def __len__(self):
        return self.rows.count()

    count = __len__

    def __getitem__(self, page):
        return [
            Cost(SownPlot(plot_id, name, self.blends[blend_id], method), acres, 1, used_usd, bought_usd)
            for plot_id, name, blend_id, method, acres, used_usd, bought_usd in self.rows[page]
        ]

    def __iter__(self):
        return iter(self[:])


@dataclass(frozen=True)
class OrderCosts:
    """Costs of an order: `by_plot` is a sequence for a paginator, `by_blend` a list, `property` one Cost."""

    by_plot: PlotCosts
    by_blend: list
    property: Cost


def order_costs(order):
    """Costs as the order's task stored them; two queries, and one for each page of plots."""
    season = order.season
    plantings = Planting.objects.filter(COUNTED, season=season)
    groups = list(
        plantings.values("blend").annotate(
            acres=Sum(PLANTED_OR_MAPPED_ACRES),
            plots=Count("pk"),
            used_usd=Sum("cost_used_usd"),
            bought_usd=Sum("cost_bought_usd"),
            # a sum passes over what is null: a blend with one unknown cost has an unknown cost
            used_known=Count("cost_used_usd"),
            bought_known=Count("cost_bought_usd"),
            acres_known=Count(PLANTED_OR_MAPPED_ACRES),
        )
    )
    blends = Blend.objects.in_bulk([group["blend"] for group in groups])
    by_blend = [
        Cost(
            blends[group["blend"]],
            _whole(group, "acres", "acres_known"),
            group["plots"],
            _whole(group, "used_usd", "used_known"),
            _whole(group, "bought_usd", "bought_known"),
        )
        for group in groups
    ]
    by_blend.sort(key=lambda cost: str(cost.of).casefold())
    total = Cost(
        season.property,
        order.acres,
        sum(cost.plots for cost in by_blend),
        order.cost_used_usd,
        order.cost_bought_usd,
    )
    return OrderCosts(PlotCosts(plantings, blends), by_blend, total)


@dataclass(frozen=True)
class OrderFigures:
    """All figures of an order, for the files and the API."""

    order: SeedOrder
    lines: list
    notes: list
    costs: OrderCosts


def order_figures(order):
    """All figures of an order as its task stored them; eleven queries at most, and one for the plots."""
    lines = order_lines(order)
    notes = [
        *order_notes(lines),
        *_stock_notes(order, lines),
        *_way_notes(order),
        *_substitution_notes(order),
    ]
    return OrderFigures(order, lines, notes, order_costs(order))


def _stock_notes(order, lines):
    """Lots that count nothing, since nobody knows how alive they are."""
    said = set(order.orderchoices.filter(on_hand_lb__isnull=False).values_list("species_id", "blend_id"))
    stock = seed_on_hand(order.season.property)
    keys = [(line.species_id, line.blend_id) for line in lines]
    lots = [str(lot) for key in keys if key in stock and key not in said for lot in stock[key].unknown]
    if not lots:
        return []
    counts = "counts" if len(lots) == 1 else "count"
    return [
        f"{_listed(lots)} {counts} nothing as on hand: purity or germination is not known. Enter the tag or a test."
    ]


def _day(moment):
    return date_format(timezone.localtime(moment), "j M Y")


def _way_notes(order):
    plan = standing_plan(order)
    if plan is None:
        return []
    if plan.inputs_version == order.inputs_version:
        return [f"Bought as in the way to buy of {_day(plan.created_at)}; freight is not in these figures."]
    return [
        f"The order has changed since the way to buy of {_day(plan.created_at)} was taken; these figures go by the "
        "chosen offers again."
    ]


def _substitution_notes(order):
    notes = []
    for row in substitutions_of(order):
        if row.factor is None:
            notes.append(
                f"{row.instead} cannot be counted instead of {row.species}: the seeds in a pound of one of them are not "
                "known any more."
            )
        else:
            notes.append(
                f"{row.instead} is sown instead of {row.species}, {row.factor:.3f} lb for each pound: {row.reason}"
            )
    return notes


def _whole(group, name, known):
    return group[name] if group[known] == group["plots"] else None


def _listed(names):
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
