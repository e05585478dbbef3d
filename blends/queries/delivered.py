"""Target against delivered on the plots of a season: per seed and in all, with what the seed has cost."""

from collections import defaultdict
from dataclasses import dataclass
from decimal import Decimal

from blends.calc.delivered import Difference, difference, explained, mean_target
from blends.calc.money import cost_usd_per_acre
from blends.models import COUNTS, Component, Planting, PlantingRecord
from blends.queries.fieldwork import with_seeds
from blends.queries.substitutions import substitutes_in

MACHINE = {Planting.Method.DRILLED: "drill", Planting.Method.BROADCAST: "spreader"}


@dataclass(frozen=True)
class SeedDelivered:
    """A species, or the mix that was bought, on one plot.

    Attributes
    ----------
    item : Species or Blend
    lots : list of (Lot or None, Decimal)
        Where it came from, with the pounds used of each; None is a lot that nobody knows. [bulk lb]
    found : Difference
    words : str
    cost_usd : Decimal or None
    """

    item: object
    lots: list
    found: Difference
    words: str
    cost_usd: Decimal | None


@dataclass(frozen=True)
class PlotDelivered:
    """What a plot got, over all days on which it was planted.

    Attributes
    ----------
    planting : Planting
        With plot, blend and season.
    records : list of PlantingRecord
        Those that hold; none where only day and acres are known.
    seeds : list of SeedDelivered
    not_recorded : list of str
        Species of the blend of which no seed is recorded.
    total : Difference or None
        All seed together; None without acres. Its target is None while one seed's is not known.
    words : str
    cost_usd, cost_usd_per_acre : Decimal or None
    """

    planting: Planting
    records: list
    seeds: list
    not_recorded: list
    total: Difference | None
    words: str
    cost_usd: Decimal | None
    cost_usd_per_acre: Decimal | None


def delivered(season, shows_costs, plot_ids=None):
    """The planted plots of a season by name, or some of them; nine queries at most.

    Parameters
    ----------
    season : Season
    shows_costs : bool
    plot_ids : list of int, optional

    Returns
    -------
    list of PlotDelivered
    """
    rows = Planting.objects.filter(season=season, blend__isnull=False).exclude(state=Planting.State.PLANNED)
    if plot_ids is not None:
        rows = rows.filter(plot__in=plot_ids)
    rows = rows.select_related("plot", "blend", "boundary").defer("boundary__geometry").order_by("plot__name")
    plantings = list(rows)
    records = _records(plantings, shows_costs)
    names = _names({planting.blend_id for planting in plantings}, substitutes_in(season))
    found = []
    for planting in plantings:
        planting.season = season
        found.append(_of_plot(planting, records[planting.pk], names[planting.blend_id]))
    return found


def _records(plantings, shows_costs):
    rows = PlantingRecord.objects.filter(COUNTS, planting__in=plantings).select_related(
        "created_by", "machine"
    )
    by_planting = defaultdict(list)
    for record in with_seeds(list(rows.order_by("done_on", "created_at")), shows_costs):
        by_planting[record.planting_id].append(record)
    return by_planting


def _names(blend_ids, instead):
    """{blend id: {id of the species that is sown: name of the species in the blend}}, of blends mixed here."""
    found = defaultdict(dict)
    rows = Component.objects.filter(blend__in=blend_ids, blend__kind="mixed").select_related("species")
    for row in rows:
        sown = instead[row.species_id][0].pk if row.species_id in instead else row.species_id
        found[row.blend_id][sown] = row.species.common_name
    return found


def _of_plot(planting, records, names):
    machine = MACHINE[planting.method]
    acres = float(sum((record.acres for record in records), Decimal(0)) or planting.planted_acres or 0)
    mapped = _mapped_acres(planting, records)
    is_seed_known = bool(records) and all(record.told_seeds for record in records)
    by_item = defaultdict(list)
    for record in records:
        for seed in record.told_seeds:
            by_item[seed.species_id, seed.blend_id].append((record, seed))
    seeds = [_of_seed(parts, records, acres, mapped, machine) for parts in by_item.values()]
    missing = [name for pk, name in names.items() if (pk, None) not in by_item] if is_seed_known else []
    targets = [seed.found.target_lb_per_acre for seed in seeds]
    is_target_known = is_seed_known and not missing and None not in targets
    used = sum(seed.found.used_lb for seed in seeds) if is_seed_known else None
    total = difference(used, sum(targets) if is_target_known else None, acres, mapped) if acres else None
    costs = [record.cost_usd for record in records]
    cost = sum(costs, Decimal(0)) if costs and None not in costs else None
    return PlotDelivered(
        planting=planting,
        records=records,
        seeds=seeds,
        not_recorded=missing,
        total=total,
        words=_words(records, is_seed_known, missing, total, machine),
        cost_usd=cost,
        cost_usd_per_acre=cost_usd_per_acre(cost, acres),
    )


def _of_seed(parts, records, acres, mapped, machine):
    """One item over all days: a day that lacks it was asked for as much as the days that have it."""
    lots, by_record = defaultdict(Decimal), defaultdict(list)
    for record, seed in parts:
        lots[seed.lot] += seed.used_lb
        by_record[record].append(seed.target_lb_per_acre)
    days = [record for record in records if record in by_record]
    target = mean_target(
        [None if None in by_record[day] else sum(by_record[day]) for day in days],
        [float(day.acres) for day in days],
    )
    found = difference(float(sum(lots.values())), target, acres, mapped)
    costs = [seed.cost_usd for _, seed in parts]
    seed = parts[0][1]
    return SeedDelivered(
        item=seed.species or seed.blend,
        lots=list(lots.items()),
        found=found,
        words=explained(found, machine),
        cost_usd=None if None in costs else sum(costs, Decimal(0)),
    )


def _mapped_acres(planting, records):
    """What the plot's boundary held on the first day; else what the planting's boundary holds."""
    if records and records[0].mapped_acres is not None:
        return records[0].mapped_acres
    boundary = planting.boundary
    return None if boundary is None else boundary.acres


def _words(records, is_seed_known, missing, total, machine):
    if not records:
        return "The day and the acres are recorded, the seed is not."
    if not is_seed_known:
        return "Of a day that it was planted on, the seed is not recorded."
    if missing:
        return f"No seed is recorded of {', '.join(missing)}, so the whole cannot be set against its target."
    return explained(total, machine) if total is not None else ""
