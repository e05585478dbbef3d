"""What a blend holds and costs, as it is typed or as it is stored."""

from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation

import numpy as np

from blends.calc import seed
from blends.calc.money import total_usd
from blends.models import Blend, Planting, Species
from blends.queries.prices import NO_PRICES, Price, prices
from blends.queries.species import SpeciesFacts, species_facts

METHODS = Planting.Method.values
FULL_RATE = {
    Planting.Method.DRILLED: ("drill_lb_ac_low", "drill_lb_ac_high"),
    Planting.Method.BROADCAST: ("broadcast_lb_ac_low", "broadcast_lb_ac_high"),
}
"""Columns of Species with the range of the full rate, by method."""
MOST_LB_PER_ACRE = 99_999
"""Of a rate; what its column holds."""


@dataclass
class RateFigures:
    """One component sown by one method; every figure is None where it is not known.

    Attributes
    ----------
    pls_lb_per_acre : float
    seeds_per_sqft : float
        Live seeds.
    full_rate_low_lb_per_acre, full_rate_high_lb_per_acre : float
        The species alone, PLS.
    share_of_full_rate : float
        Rate ÷ the middle of that range. [-]
    share_by_weight, share_by_seed_count : float
        Of the blend's PLS pounds and of its live seeds. [-]
    cost_usd_per_acre : Decimal
    """

    pls_lb_per_acre: float | None = None
    seeds_per_sqft: float | None = None
    full_rate_low_lb_per_acre: float | None = None
    full_rate_high_lb_per_acre: float | None = None
    share_of_full_rate: float | None = None
    share_by_weight: float | None = None
    share_by_seed_count: float | None = None
    cost_usd_per_acre: Decimal | None = None


@dataclass
class ComponentFigures:
    """A species of the blend, by either method, with what its figures rest on.

    Attributes
    ----------
    species : Species
    facts : SpeciesFacts
    given : dict
        The component as it is in the draft.
    drilled, broadcast : RateFigures
    price : Price or None
    """

    species: Species
    facts: SpeciesFacts
    given: dict
    drilled: RateFigures
    broadcast: RateFigures
    price: Price | None = None


@dataclass
class MethodTotals:
    """The blend sown by one method; a sum is None while a part of it is not known.

    Attributes
    ----------
    is_used : bool
        A rate is given for the method.
    pls_lb_per_acre, seeds_per_sqft, share_of_full_rate : float
    bulk_lb_per_acre : float
        Bought mixed only.
    cost_usd_per_acre : Decimal
    missing : list of str
        What is not known, in sentences.
    """

    is_used: bool = False
    pls_lb_per_acre: float | None = None
    bulk_lb_per_acre: float | None = None
    seeds_per_sqft: float | None = None
    share_of_full_rate: float | None = None
    cost_usd_per_acre: Decimal | None = None
    missing: list = field(default_factory=list)


@dataclass
class BlendFigures:
    """Rows by component and the totals by method; `notes` are sentences about the whole."""

    kind: str
    rows: list
    drilled: MethodTotals
    broadcast: MethodTotals
    price: Price | None = None
    notes: list = field(default_factory=list)

    @property
    def is_bought(self):
        return self.kind == Blend.Kind.BOUGHT


def draft_of(blend):
    """A stored blend as a draft for `blend_figures`."""
    fields = (
        "species_id",
        "drilled_pls_lb_per_acre",
        "broadcast_pls_lb_per_acre",
        "tag_pct_by_weight",
        "tag_germination_pct",
    )
    return {
        "kind": blend.kind,
        "blend": blend,
        "drilled_bulk_lb_per_acre": blend.drilled_bulk_lb_per_acre,
        "broadcast_bulk_lb_per_acre": blend.broadcast_bulk_lb_per_acre,
        "components": [{name: getattr(row, name) for name in fields} for row in blend.components.all()],
    }


def blend_figures(property, draft, with_costs=True):
    """What a blend holds and costs.

    Parameters
    ----------
    property : Property
        Its own values count before the table's.
    draft : dict
        `kind`; `components`, dicts as for `services.blends.save_blend`; for a bought mix the bag's rates, and
        `blend` where it is stored, for its offers. Values may be text as typed.
    with_costs : bool
        Leave costs out for people whose role does not include them.

    Returns
    -------
    BlendFigures
        What cannot be read or is not known stays None and is named; nothing is taken for 0.
    """
    [figures] = _figures_of(property, [draft], with_costs)
    return figures


def figures_of_blends(property, blends, with_costs=True):
    """[(blend, its figures)] of stored blends, a queryset; the same few queries for any number of them."""
    blends = list(blends.prefetch_related("components"))
    return list(
        zip(blends, _figures_of(property, [draft_of(blend) for blend in blends], with_costs), strict=True)
    )


def _figures_of(property, drafts, with_costs):
    species_ids = {int(row["species_id"]) for draft in drafts for row in _typed_rows(draft)}
    facts = {one.species.pk: one for one in species_facts(property, species_ids)}
    stored = [draft["blend"] for draft in drafts if draft.get("blend")]
    found = prices(property, list(facts), stored) if with_costs else NO_PRICES
    return [_figures(draft, facts, found, with_costs) for draft in drafts]


def _typed_rows(draft):
    """The rows in which a species is chosen."""
    return [row for row in draft.get("components", []) if str(row.get("species_id") or "").isdecimal()]


def _figures(draft, facts, found, with_costs):
    reader = _Reader()
    typed = [row for row in _typed_rows(draft) if reader.is_known(int(row["species_id"]), facts)]
    chosen = [facts[int(row["species_id"])] for row in typed]
    blend = draft.get("blend")
    figures = BlendFigures(
        kind=draft.get("kind") or Blend.Kind.MIXED_HERE,
        rows=[
            ComponentFigures(
                species=one.species,
                facts=one,
                given=row,
                drilled=RateFigures(),
                broadcast=RateFigures(),
                price=found.by_species.get(one.species.pk),
            )
            for one, row in zip(chosen, typed, strict=True)
        ],
        drilled=MethodTotals(),
        broadcast=MethodTotals(),
        price=found.by_blend.get(blend.pk) if blend else None,
    )
    for method in METHODS:
        if figures.is_bought:
            _rates_from_tag(figures, method, draft, typed, reader)
        else:
            _rates_as_typed(figures, method, typed, reader)
        _method_figures(figures, method, chosen)
        if with_costs:
            _costs(figures, method)
    figures.notes = [*dict.fromkeys(reader.notes), *_notes(figures)]
    return figures


class _Reader:
    """Reads what was typed; what is not a usable number is unknown and named."""

    def __init__(self):
        self.notes = []

    def is_known(self, species_id, facts):
        if species_id not in facts:
            self.notes.append(f"Species {species_id} is not in this property's list.")
        return species_id in facts

    def number(self, value, what, most=MOST_LB_PER_ACRE):
        if value is None or str(value).strip() == "":
            return np.nan
        try:
            number = float(Decimal(str(value).strip()))
        except InvalidOperation:
            number = np.nan
        if 0 < number <= most:
            return number
        accepted = f"a number above 0, at most {most:,}"
        self.notes.append(f"{what} is “{value}”; accepted is {accepted}.")
        return np.nan


def _rates_as_typed(figures, method, typed, reader):
    totals = getattr(figures, method)
    for row, values in zip(figures.rows, typed, strict=True):
        rate = reader.number(values.get(f"{method}_pls_lb_per_acre"), f"{row.species}, {method}")
        getattr(row, method).pls_lb_per_acre = _known(rate)
        totals.is_used |= not np.isnan(rate)
    if totals.is_used:
        totals.missing += [
            f"{row.species} has no {method} rate."
            for row in figures.rows
            if getattr(row, method).pls_lb_per_acre is None
        ]


def _rates_from_tag(figures, method, draft, typed, reader):
    totals = getattr(figures, method)
    bulk = reader.number(draft.get(f"{method}_bulk_lb_per_acre"), f"Bag, {method}")
    totals.is_used = not np.isnan(bulk)
    totals.bulk_lb_per_acre = _known(bulk)
    names = [str(row.species) for row in figures.rows]
    shares = [
        reader.number(row.get("tag_pct_by_weight"), f"{name}, share of the bag", 100)
        for name, row in zip(names, typed, strict=True)
    ]
    germination = [
        reader.number(row.get("tag_germination_pct"), f"{name}, germination", 100)
        for name, row in zip(names, typed, strict=True)
    ]
    if np.nansum(shares) > 100:
        reader.notes.append(
            f"The shares of the bag add up to {np.nansum(shares):g} %; accepted is 100 % at most."
        )
        return
    rates = seed.mixture_pls_lb_per_acre(bulk, shares, germination) if names else []
    for row, rate in zip(figures.rows, rates, strict=True):
        getattr(row, method).pls_lb_per_acre = _known(rate)
    if totals.is_used:
        for name, share, alive in zip(names, shares, germination, strict=True):
            totals.missing += [f"{name} has no share on the tag."] if np.isnan(share) else []
            totals.missing += [f"{name} has no germination on the tag."] if np.isnan(alive) else []


def _method_figures(figures, method, chosen):
    rows = [getattr(row, method) for row in figures.rows]
    if not rows:
        return
    totals = getattr(figures, method)
    rate = _column(row.pls_lb_per_acre for row in rows)
    seeds_per_lb = _column(one.seeds_per_lb.value for one in chosen)
    low, high = (_column(one.facts[name].value for one in chosen) for name in FULL_RATE[method])
    columns = {
        "seeds_per_sqft": seed.seeds_per_sqft(rate, seeds_per_lb),
        "full_rate_low_lb_per_acre": low,
        "full_rate_high_lb_per_acre": high,
        "share_of_full_rate": seed.share_of_full_rate(rate, (low + high) / 2),
        "share_by_weight": seed.share_by_weight(rate),
        "share_by_seed_count": seed.share_by_seed_count(rate, seeds_per_lb),
    }
    for name, values in columns.items():
        for row, value in zip(rows, values, strict=True):
            setattr(row, name, _known(value))
    totals.pls_lb_per_acre = _known(rate.sum())
    totals.seeds_per_sqft = _known(columns["seeds_per_sqft"].sum())
    totals.share_of_full_rate = _known(columns["share_of_full_rate"].sum())
    if totals.is_used:
        for one, seeds, full in zip(chosen, seeds_per_lb, low + high, strict=True):
            totals.missing += [f"{one.species} has no seeds per pound."] if np.isnan(seeds) else []
            totals.missing += [f"{one.species} has no full rate {method}."] if np.isnan(full) else []


def _costs(figures, method):
    """Each component's cost rounded to the cent as it is shown; the total is the sum of those."""
    totals = getattr(figures, method)
    if not totals.is_used:
        return
    if figures.is_bought:
        totals.cost_usd_per_acre = _cost(totals.bulk_lb_per_acre, figures.price)
        totals.missing += ["There is no offer for this mix."] if figures.price is None else []
        return
    for row in figures.rows:
        rate = getattr(row, method)
        rate.cost_usd_per_acre = _cost(rate.pls_lb_per_acre, row.price)
        totals.missing += [f"{row.species} has no offer."] if row.price is None else []
    totals.cost_usd_per_acre = total_usd(getattr(row, method).cost_usd_per_acre for row in figures.rows)


def _cost(lb_per_acre, price):
    if lb_per_acre is None or price is None:
        return None
    return Decimal(repr(lb_per_acre * price.usd_per_lb)).quantize(Decimal("0.01"), ROUND_HALF_UP)


def _notes(figures):
    if not figures.rows:
        return ["There are no components yet."]
    assumed = [str(row.species) for row in figures.rows if row.price and row.price.is_pls_assumed]
    return [f"Costs rest on an assumed tag for {', '.join(assumed)}."] if assumed else []


def _column(values):
    return np.array([np.nan if value is None else float(value) for value in values])


def _known(value):
    return None if np.isnan(value) else float(value)
