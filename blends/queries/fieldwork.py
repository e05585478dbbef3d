"""Planting records and terminations, as pages and the API show them."""

from decimal import Decimal

from django.db.models import F, Prefetch

from blends.models import COUNTS, PlantingRecord, RecordSeed, StockEntry, Termination
from plots.calc.units import g_per_ft2_to_lb_per_acre

BROADLEAF = {
    Termination.Stage.STEMS: "Stems growing",
    Termination.Stage.HEADING: "Bud",
    Termination.Stage.BLOOM: "Bloom",
    Termination.Stage.MILK: "First pods",
    Termination.Stage.DOUGH: "Full pods",
}
GRASS = {
    Termination.Stage.STEMS: "Jointing",
    Termination.Stage.HEADING: "Heading",
    Termination.Stage.BLOOM: "Anthesis",
    Termination.Stage.MILK: "Milk",
    Termination.Stage.DOUGH: "Dough",
}
"""Stages in the words of one kind of crop; a mix keeps both."""


def stage_choices(groups):
    """The stages in the words that suit the crop.

    Parameters
    ----------
    groups : set of str
        Species.Group of what was sown; empty where it is not known.
    """
    is_grass = {group.endswith("_grass") for group in groups}
    words = {frozenset([True]): GRASS, frozenset([False]): BROADLEAF}.get(frozenset(is_grass), {})
    left_out = {Termination.Stage.BOOT} if is_grass == {False} else set()
    return [
        (value, words.get(value, label))
        for value, label in Termination.Stage.choices
        if value not in left_out
    ]


def groups_of(planting):
    """Species.Group of what the planting's blend has."""
    if planting.blend_id is None:
        return set()
    return set(planting.blend.components.values_list("species__group", flat=True))


def terminations_for(property, season=None, plot_ids=None, every=False):
    """The property's terminations, the latest first; each with `dry_lb_per_acre` and `holds`."""
    rows = _chosen(Termination.objects.filter(planting__plot__property=property), season, plot_ids, every)
    rows = rows.select_related("planting__season", "planting__plot", "planting__blend", "created_by")
    return rows.prefetch_related("products").order_by("-done_on", "-created_at")


def dry_lb_per_acre(termination):
    """Dry matter that was clipped; None where nothing was. [lb/ac]"""
    if None in (termination.dry_g, termination.frames, termination.frame_ft2):
        return None
    ft2 = termination.frames * float(termination.frame_ft2)
    return g_per_ft2_to_lb_per_acre(float(termination.dry_g) / ft2)


def follow_ups(property, season=None, plot_ids=None):
    """What is still to follow terminations, by its day; what has no day stands last."""
    rows = terminations_for(property, season, plot_ids).exclude(follow_up="")
    return rows.filter(follow_up_done_on=None).order_by(F("follow_up_on").asc(nulls_last=True), "done_on")


def _chosen(rows, season, plot_ids, every):
    if season is not None:
        rows = rows.filter(planting__season=season)
    if plot_ids is not None:
        rows = rows.filter(planting__plot__in=plot_ids)
    return rows if every else rows.filter(COUNTS)


def records_for(property, shows_costs, season=None, plot_ids=None, every=False):
    """The property's planting records, the latest first, with `told_seeds` (see `with_seeds`).

    Parameters
    ----------
    shows_costs : bool
        Whether the costs of the seed may be shown; they are None otherwise.
    every : bool
        Those too that were corrected or struck.
    """
    rows = _chosen(PlantingRecord.objects.filter(planting__plot__property=property), season, plot_ids, every)
    rows = rows.select_related(
        "planting__season", "planting__plot", "planting__blend", "machine", "created_by"
    )
    return RecordsWithSeeds(rows.order_by("-done_on", "-created_at"), shows_costs)


class RecordsWithSeeds:
    """Planting records with their seeds and costs, for a paginator: counted and sliced in the database."""

    def __init__(self, rows, shows_costs):
        self.rows, self.shows_costs = rows, shows_costs

    def __len__(self):
        return self.rows.count()

    count = __len__

    def __getitem__(self, page):
        return with_seeds(list(self.rows[page]), self.shows_costs)

    def __iter__(self):
        return iter(self[:])


def with_seeds(records, shows_costs):
    """The records, each with `told_seeds` (each with `name` and `cost_usd`), `used_lb`, `cost_usd` and `holds`.

    A seed's cost is what the ledger gave it; None while the lot or its cost is not known. A sum is None while a part
    of it is not known, or no seed is. Three queries.
    """
    entries = StockEntry.objects.filter(is_taken_back=False, kind=StockEntry.Kind.USED)
    seeds = RecordSeed.objects.select_related("lot__species", "lot__blend", "species", "blend")
    by_record = {}
    for seed in seeds.filter(record__in=records).prefetch_related(
        Prefetch("entries", entries, to_attr="counting_entries")
    ):
        by_record.setdefault(seed.record_id, []).append(seed)
    for record in records:
        record.holds = record.replaced_by_id is None and not record.is_struck
        record.told_seeds = by_record.get(record.pk, [])
        for seed in record.told_seeds:
            seed.name = str(seed.lot or seed.species or seed.blend)
            seed.cost_usd = _cost_usd(seed) if shows_costs and record.holds else None
        record.used_lb = _sum([seed.used_lb for seed in record.told_seeds])
        record.cost_usd = _sum([seed.cost_usd for seed in record.told_seeds])
    return records


def _cost_usd(seed):
    if seed.lot_id and not seed.used_lb:
        return Decimal("0.00")
    return _sum([entry.cost_usd for entry in seed.counting_entries])


def _sum(values):
    """None of nothing, and while one is not known."""
    return None if not values or None in values else sum(values, Decimal(0))


def history_of(model, row):
    """The rows that this one took the place of, the latest first, and the one that took its place, if any.

    A correction of a correction has all before it; each step is one query.
    """
    before, step = [], row
    while (step := model.objects.filter(replaced_by=step).select_related("created_by").first()) is not None:
        before.append(step)
    after = None
    if row.replaced_by_id is not None:
        after = model.objects.select_related("created_by").get(pk=row.replaced_by_id)
    return {"before": before, "after": after}
