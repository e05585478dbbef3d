"""What an order is computed from: the rows of a few queries in the tables of `calc.needs`."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from django.db.models import F, FloatField, Q
from django.db.models.functions import Cast, Coalesce

from blends.calc.needs import Bought, Components, Gap, Items, Plantings, blockers
from blends.calc.seed import pure_live_fraction
from blends.models import Blend, Component, Offer, OrderChoice, Planting, Species
from blends.queries.on_hand import OnHand, joined, seed_on_hand
from blends.queries.substitutions import substitutes, taken_lines
from blends.queries.versions import version_ids
from plots.calc.units import M2_PER_ACRE
from plots.models import Plot

PLANTED_OR_MAPPED_ACRES = Coalesce(
    Cast("planted_acres", FloatField()), F("plot__boundary__area_m2") / M2_PER_ACRE
)
"""The acres of a planting: what was planted, and until then what the plot's boundary holds; else null."""

COUNTED = Q(blend__isnull=False) & ~Q(plot__is_archived=True, state=Planting.State.PLANNED)
"""Plantings that need seed: an archived plot counts only where it was planted before."""


class Item(NamedTuple):
    """One item of the order: a species or a bought blend, with what was chosen for it."""

    species_id: int | None
    blend_id: int | None
    offer: Offer | None
    on_hand_lb: float  # bulk at the item's own pure live fraction, however alive the lots are
    pure_live_fraction: float | None  # None for a bought blend, which is sown and bought by the bulk pound
    is_pls_assumed: bool
    stock: OnHand | None = None  # the lots behind it; None where somebody said what is on hand
    bought: Bought | None = None  # by the way to buy that was taken


@dataclass(frozen=True)
class OrderInputs:
    """The rows behind an order.

    Attributes
    ----------
    planting_ids, plot_ids : ndarray of int, shape (n,)
    recipes : list of (blend_id, method)
    blends : dict
        Those of the recipes, by id.
    items : list of Item
    stored_cents : ndarray, shape (n, 2)
        Cost used and bought as they are stored now. [cents, NaN unknown]
    tables : (Plantings, Components, Items) of `calc.needs`
    overage_fraction : float
    problems : list of dict
        What stops the order: `sentence`, and the `plot_id`, `blend_id` or `species_id` to go to.
    taken : dict
        TakenLine by item, of the way to buy that stands.
    """

    planting_ids: np.ndarray
    plot_ids: np.ndarray
    recipes: list
    blends: dict
    items: list
    stored_cents: np.ndarray
    tables: tuple
    overage_fraction: float
    problems: list
    taken: dict


def order_inputs(order):
    """Read the inputs of an order; sixteen queries at most, whatever the number of plots."""
    ids, plot_ids, acres, stored_cents, recipe, recipes = _plantings(order)
    blends = Blend.objects.in_bulk({blend_id for blend_id, _ in recipes})
    component_recipe, component_item, rates, keys = _components(order, recipes, blends)
    taken = taken_lines(order)
    items = _items(order, keys, blends, taken)
    tables = (
        Plantings(acres, recipe),
        Components(component_recipe, component_item, rates),
        Items(
            [1.0 if item.pure_live_fraction is None else item.pure_live_fraction for item in items],
            [item.on_hand_lb for item in items],
            [float(item.offer.pack_lb) if item.offer else np.nan for item in items],
            [item.offer.price_usd if item.offer else None for item in items],
            {
                row: [(each.from_packs, each.price_usd) for each in item.offer.breaks.all()]
                for row, item in enumerate(items)
                if item.offer
            },
            {row: item.bought for row, item in enumerate(items) if item.bought},
        ),
    )
    missing = blockers(*tables)
    say = _Problems(order, missing, plot_ids, recipes, blends, items, tables[1])
    problems = [say.said(gap) for gap in missing]
    overage_fraction = float(order.overage_pct) / 100
    return OrderInputs(
        ids, plot_ids, recipes, blends, items, stored_cents, tables, overage_fraction, problems, taken
    )


def _plantings(order):
    rows = (
        Planting.objects.filter(COUNTED, season=order.season_id)
        .order_by("pk")  # shares of a cent fall the same way every time
        .values_list(
            "pk",
            "plot_id",
            "blend_id",
            "method",
            PLANTED_OR_MAPPED_ACRES,
            Cast("cost_used_usd", FloatField()),
            Cast("cost_bought_usd", FloatField()),
        )
    )
    columns = list(zip(*rows, strict=True)) or [()] * 7
    ids, plot_ids = np.array(columns[0], dtype=int), np.array(columns[1], dtype=int)
    acres = np.array(columns[4], dtype=float)
    stored_cents = np.round(np.array(columns[5:], dtype=float).T * 100)
    numbers = {}
    recipe = [numbers.setdefault(pair, len(numbers)) for pair in zip(columns[2], columns[3], strict=True)]
    return ids, plot_ids, acres, stored_cents, recipe, list(numbers)


def _components(order, recipes, blends):
    """Columns of `calc.needs.Components`, and the (species_id, blend_id) of every item.

    A species that is sown instead of another stands in its place, with the pounds of as many live seeds.
    """
    instead = substitutes(order) if any(not blend.is_bought for blend in blends.values()) else {}
    by_blend = {}
    fields = ("blend_id", "species_id", "drilled_pls_lb_per_acre", "broadcast_pls_lb_per_acre")
    mixed_ids = [blend.pk for blend in blends.values() if not blend.is_bought]
    for blend_id, *values in Component.objects.filter(blend__in=mixed_ids).values_list(*fields):
        by_blend.setdefault(blend_id, []).append(values)
    recipe, item, rates, numbers = [], [], [], {}
    for row, (blend_id, method) in enumerate(recipes):
        blend = blends[blend_id]
        is_drilled = method == Planting.Method.DRILLED
        if blend.is_bought:
            rate = blend.drilled_bulk_lb_per_acre if is_drilled else blend.broadcast_bulk_lb_per_acre
            entries = [((None, blend_id), rate)]
        else:
            entries = [
                _sown(instead, species_id, drilled if is_drilled else broadcast)
                for species_id, drilled, broadcast in by_blend.get(blend_id, [])
            ]
        for key, rate in entries:
            recipe.append(row)
            item.append(numbers.setdefault(key, len(numbers)))
            rates.append(np.nan if rate is None else float(rate))
    return recipe, item, rates, list(numbers)


def _sown(instead, species_id, rate):
    """The item's key and rate of a component, with what is sown instead of its species."""
    species, factor = instead.get(species_id, (None, 1.0))
    key = (species_id if species is None else species.pk, None)
    return key, None if rate is None else float(rate) * factor


def _items(order, keys, blends, taken):
    rows = OrderChoice.objects.filter(order=order).select_related("offer").prefetch_related("offer__breaks")
    choices = {(choice.species_id, choice.blend_id): choice for choice in rows}
    said = {key for key, choice in choices.items() if choice.on_hand_lb is not None}
    stock = stock_by_item(order, keys, blends) if set(keys) - said else {}
    items = []
    for species_id, blend_id in keys:
        key = (species_id, blend_id)
        choice = choices.get(key)
        offer = choice.offer if choice else None
        bought = taken.get(key)
        live, is_assumed = (1.0, False) if blend_id else _live(order, offer, bought)
        if key in said:
            on_hand_lb, lots = float(choice.on_hand_lb), None
        else:
            lots = stock.get(key, OnHand())
            on_hand_lb = lots.lb / live if live else 0.0
        items.append(
            Item(
                species_id,
                blend_id,
                offer,
                on_hand_lb,
                None if blend_id else live,
                is_assumed,
                lots,
                bought and Bought(bought.packs, bought.lb, bought.usd),
            )
        )
    return items


def _live(order, offer, bought):
    """(pure live fraction of a species' line, whether a part of it is assumed)."""
    if bought is not None and bought.packs:
        return bought.live_lb / bought.lb, bought.is_assumed
    live = None if offer is None else tag_fraction(offer)
    return (assumed_fraction(order), True) if live is None else (live, False)


def stock_by_item(order, keys, blends=None):
    """OnHand by item: what the lots hold now and what this season's plots have taken from them.

    Seed that the season has taken was on hand for it, so an order does not grow while it is sown.
    """
    property = order.season.property
    stock = seed_on_hand(property, order.season)
    found = {key: stock[key] for key in keys if key in stock}
    mixes = [blend_id for _, blend_id in keys if blend_id is not None]
    if mixes and any(blend_id is not None for _, blend_id in stock):
        rows = Blend.objects.in_bulk(mixes) if blends is None else blends
        for blend_id, versions in version_ids(property, [rows[pk] for pk in mixes]).items():
            found[None, blend_id] = joined(stock[None, pk] for pk in versions if (None, pk) in stock)
    return found


def tag_fraction(offer):
    """Pure live fraction of an offer's tag; None where purity or germination is not known."""
    if offer.purity_pct is None or offer.germination_pct is None:
        return None
    tag = (offer.purity_pct, offer.germination_pct, offer.hard_pct or 0, offer.dormant_pct or 0)
    return float(pure_live_fraction(*map(float, tag)))


def assumed_fraction(order):
    """Pure live fraction that stands in until a chosen offer brings a tag."""
    return float(pure_live_fraction(float(order.assumed_purity_pct), float(order.assumed_germination_pct)))


class _Problems:
    """Says what is missing in the words of the property: which plot, which blend, which species."""

    def __init__(self, order, missing, plot_ids, recipes, blends, items, components):
        self.plot_ids, self.recipes, self.blends = plot_ids, recipes, blends
        self.items, self.components = items, components
        # By the season, not by their ids: there may be thousands, and one query holds some hundreds.
        plots = Plot.objects.filter(plantings__season=order.season_id).select_related("boundary")
        plots = plots.only("name", "boundary__area_m2")
        is_without_acres = any(gap.gap is Gap.ACRES for gap in missing)
        self.plots = {plot.pk: plot for plot in plots} if is_without_acres else {}
        species_ids = {item.species_id for item in items if item.species_id is not None}
        self.species = Species.objects.in_bulk(species_ids if missing else [])

    def said(self, missing):
        how = {
            Gap.ACRES: self._acres,
            Gap.COMPONENTS: self._components,
            Gap.RATE: self._rate,
            Gap.PURE_LIVE_FRACTION: self._live,
        }
        sentence, where = how[missing.gap](missing.row)
        return {"sentence": sentence} | where

    def _acres(self, planting):
        plot = self.plots[int(self.plot_ids[planting])]
        if plot.boundary is None:
            why = "it has no boundary."
        elif plot.boundary.area_m2 is None:
            why = "its boundary has not been measured yet."
        else:
            why = "its boundary encloses 0 acres."
        return f"{plot} has no acreage: {why}", {"plot_id": plot.pk}

    def _components(self, recipe):
        blend = self.blends[self.recipes[recipe][0]]
        return f"{blend} has no components; it needs one or more.", {"blend_id": blend.pk}

    def _rate(self, component):
        blend_id, method = self.recipes[self.components.recipe[component]]
        species_id = self.items[self.components.item[component]].species_id
        of = "" if species_id is None else f" for {self.species[species_id]}"
        sentence = f"{self.blends[blend_id]} has no {method} rate{of}, and a plot of this season is {method}."
        return sentence, {"blend_id": blend_id}

    def _live(self, item):
        species_id = self.items[item].species_id
        sentence = f"{self.species[species_id]}: the tag holds no live seed, so pounds cannot be worked out."
        return sentence, {"species_id": species_id}
