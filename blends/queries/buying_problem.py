"""The problem of buying an order, from its rows: what is wanted, on hand and offered today."""

import hashlib
import json
from dataclasses import dataclass, field

from django.utils import timezone

from blends.calc import buying
from blends.calc.needs import seed_order
from blends.models import Blend, Species
from blends.queries.offers import open_offers
from blends.queries.order_inputs import assumed_fraction, order_inputs, stock_by_item, tag_fraction
from blends.queries.substitutions import could_stand_in
from blends.queries.versions import version_ids
from config.errors import Refused


@dataclass
class Asked:
    """A problem, and what its rows are.

    Attributes
    ----------
    problem : buying.Problem
    keys : list of (species_id, blend_id)
        Of the items.
    is_assumed : list of bool
        By offer: its tag is not known, and the order's assumed one stands in.
    mark : str
        Changes with every offer and supplier that it rests on.
    """

    problem: buying.Problem
    keys: list
    is_assumed: list = field(default_factory=list)
    mark: str = ""


def problem_of(order, *, most_suppliers=None, swaps=()):
    """What there is to buy for an order as it is now.

    Parameters
    ----------
    order : SeedOrder
    most_suppliers : int or None
    swaps : iterable of (species_id, instead_id)
        That may be made.

    Raises
    ------
    Refused
        Something stops the order.
    """
    inputs = order_inputs(order)
    if inputs.problems:
        raise Refused(f"The order is stopped. {inputs.problems[0]['sentence']}")
    planted_lb = seed_order(*inputs.tables, 0.0).items.planted_lb
    keys = [(item.species_id, item.blend_id) for item in inputs.items]
    wanted, on_hand = {}, {}
    for item, key, lb in zip(inputs.items, keys, planted_lb, strict=True):
        live = item.pure_live_fraction or 1.0
        wanted[key], on_hand[key] = float(lb) * live, item.on_hand_lb * live
    allowed = _allowed(order, keys, swaps)
    keys += sorted({(other, None) for ways in allowed.values() for other, _ in ways} - set(keys))
    more = [key for key in keys if key not in wanted]
    for key, row in (stock_by_item(order, more) if more else {}).items():
        on_hand[key] = row.lb
    return _with_offers(order, keys, wanted, on_hand, allowed, 1 + inputs.overage_fraction, most_suppliers)


def _with_offers(order, keys, wanted, on_hand, allowed, times, most_suppliers):
    names = _names(keys)
    at = {key: row for row, key in enumerate(keys)}
    items = tuple(
        buying.Item(
            names[key],
            wanted.get(key, 0.0) * times,
            wanted.get(key, 0.0),
            on_hand.get(key, 0.0),
            tuple(buying.Swap(at[other, None], factor) for other, factor in allowed.get(key, [])),
        )
        for key in keys
    )
    property = order.season.property
    mixes = [blend_id for _, blend_id in keys if blend_id]
    versions = version_ids(property, list(Blend.objects.filter(pk__in=mixes))) if mixes else {}
    place = dict(at) | {(None, pk): at[None, mix] for mix, ids in versions.items() for pk in ids}
    assumed = assumed_fraction(order)
    offers, is_assumed, suppliers = [], [], {}
    rows = list(open_offers(property, timezone.localdate()))
    for row in sorted(rows, key=lambda row: row.pk):
        key = (row.species_id, row.blend_id)
        live = 1.0 if row.blend_id else tag_fraction(row)
        if key not in place or live == 0:
            continue
        seller = suppliers.setdefault(row.supplier_id, (len(suppliers), row.supplier))[0]
        offers.append(
            buying.Offer(
                row.pk,
                place[key],
                seller,
                row.pack_lb,
                assumed if live is None else live,
                row.price_usd,
                tuple((each.from_packs, each.price_usd) for each in row.breaks.all()),
                row.least_packs,
                row.most_packs,
            )
        )
        is_assumed.append(live is None)
    sellers = tuple(_supplier(row) for _, row in suppliers.values())
    problem = buying.Problem(items, tuple(offers), sellers, most_suppliers)
    return Asked(problem, keys, is_assumed, offers_mark(property, rows))


def _supplier(row):
    return buying.Supplier(
        row.pk,
        row.name,
        row.min_order_usd,
        row.freight_kind,
        row.freight_usd,
        row.freight_usd_per_lb,
        row.freight_pct,
        row.freight_free_from_usd,
    )


def _names(keys):
    species = Species.objects.in_bulk([pk for pk, _ in keys if pk])
    blends = Blend.objects.in_bulk([pk for _, pk in keys if pk])
    return {key: str(species[key[0]] if key[0] else blends[key[1]]) for key in keys}


def _allowed(order, keys, swaps):
    """{item's key: [(species id, factor)]} of the swaps that can be made now."""
    wanted = {}
    for species_id, instead_id in swaps:
        if (species_id, None) in keys:
            wanted.setdefault(species_id, []).append(instead_id)
    known = could_stand_in(order.season.property, wanted) if wanted else {}
    return {
        (pk, None): [(row.pk, factor) for row, factor in known.get(pk, []) if row.pk in others]
        for pk, others in wanted.items()
    }


def is_out_of_date(plan):
    """Whether the order, or what is offered, has changed since a way to buy was found; three queries."""
    if plan.inputs_version != plan.order.inputs_version:
        return True
    mark = plan.found.get("mark")
    return mark is not None and mark != offers_mark(plan.order.season.property)


def offers_mark(property, rows=None):
    """A mark of all that is offered today and of who offers it; another one as soon as any of it changes.

    Three queries without `rows`, none with them.
    """
    rows = list(open_offers(property, timezone.localdate())) if rows is None else rows
    values = sorted(
        [
            row.pk,
            *(str(getattr(row, name)) for name in _OFFER_COLUMNS),
            *(f"{each.from_packs}:{each.price_usd}" for each in row.breaks.all()),
            *(str(getattr(row.supplier, name)) for name in _SUPPLIER_COLUMNS),
        ]
        for row in rows
    )
    return hashlib.sha256(json.dumps(values).encode()).hexdigest()[:32]


_OFFER_COLUMNS = (
    *("supplier_id", "species_id", "blend_id", "pack_lb", "price_usd", "least_packs", "most_packs"),
    *("purity_pct", "germination_pct", "hard_pct", "dormant_pct"),
)
_SUPPLIER_COLUMNS = (
    *("min_order_usd", "freight_kind", "freight_usd", "freight_usd_per_lb", "freight_pct"),
    "freight_free_from_usd",
)
