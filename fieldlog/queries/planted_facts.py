"""What grows on plots on given days, as the figures of readings need it."""

from collections import defaultdict
from functools import cached_property

from django.db.models import Prefetch
from django.utils import timezone

from blends.calc.seed import mixture_pls_lb_per_acre, seeds_per_sqft
from blends.models import COUNTS, Blend, LotTest, Planting, PlantingRecord, RecordSeed
from blends.queries.blends import figures_of_blends
from blends.queries.lots import live_fraction
from blends.queries.species import species_facts
from fieldlog.kinds.described import NOTHING_KNOWN, Facts, Sown
from fieldlog.kinds.parts import known
from fieldlog.models import Reading
from plots.models import Plot

_AGAIN = 1.2  # ours: an acre meter counts overlaps and turns, but hardly a fifth of the plot


def facts_at(property, when):
    """What was known of plots on days.

    Parameters
    ----------
    property : Property
    when : iterable of (int, date)
        Id of a plot of the property, and a day; None in place of a day is passed over.

    Returns
    -------
    dict
        {(id, day): (id of the planting or None, Facts)}, in the same number of queries for any number of them.
    """
    when = {(plot_id, day) for plot_id, day in when if day is not None}
    if not when:
        return {}
    planted = PlantedFacts(property, {plot_id for plot_id, _ in when})
    return {key: planted.on(*key) for key in when}


def planted_known(property):
    """What a phone knows of what grows today, by id of the plot in use; plots without a planting are not in it.

    Returns
    -------
    dict
        {id: {season, blend, state, planted_on, age_days, row_spacing_in, sown}}; `sown` is a list of
        {id, name, live_seeds_per_ft2}. What is only planned has no day.
    """
    plot_ids = set(Plot.objects.filter(property=property, is_archived=False).values_list("pk", flat=True))
    planted, today = PlantedFacts(property, plot_ids), timezone.localdate()
    found = {}
    for plot_id in sorted(plot_ids):
        planting = planted.planting_on(plot_id, today) or planted.planned.get(plot_id)
        if planting is not None:
            found[plot_id] = _told(planting, planted.facts_of(planting, plot_id, today))
    return found


def _told(planting, facts):
    return {
        "season": str(planting.season),
        "blend": str(planting.blend or "Fallow"),
        "state": planting.state,
        "planted_on": planting.planted_on and planting.planted_on.isoformat(),
        "age_days": facts.age_days,
        "row_spacing_in": facts.row_spacing_in,
        "sown": [
            {
                "id": each.species_id,
                "name": each.name,
                "live_seeds_per_ft2": known(each.live_seeds_per_ft2, 2),
            }
            for each in facts.sown
        ],
    }


class PlantedFacts:
    """Plantings of some plots with all that figures need of them, read once.

    Seed that was recorded as sown goes before the rates of the blend: pounds used × pure live fraction of their lots on
    the day of sowing ÷ acres. Of a seed that is recorded without its lot the live seed is not known. Records of more
    ground than the plot has went over it more than once, and each seed is on the ground of its own.
    """

    def __init__(self, property, plot_ids):
        self.property, self.plot_ids = property, plot_ids
        rows = Planting.objects.filter(plot__in=plot_ids, plot__property=property)
        rows = rows.select_related("season", "blend").order_by("season__year", "-season__kind", "planted_on")
        self.by_plot, self.planned = defaultdict(list), {}
        for row in rows:
            if row.state == Planting.State.PLANNED or row.planted_on is None:
                self.planned[row.plot_id] = row
            elif not row.is_fallow:
                self.by_plot[row.plot_id].append(row)
        self._sown = {}

    def planting_on(self, plot_id, day):
        """The planting that was sown last up to that day, ended or not: its residue is still what lies there."""
        before = [row for row in self.by_plot.get(plot_id, ()) if row.planted_on <= day]
        return max(before, key=lambda row: row.planted_on) if before else None

    def on(self, plot_id, day):
        """(id of the planting or None, Facts)."""
        planting = self.planting_on(plot_id, day)
        return planting and planting.pk, self.facts_of(planting, plot_id, day)

    def facts_of(self, planting, plot_id, day):
        ground = {"texture": self._textures.get(plot_id, ""), "acres": self._acres.get(plot_id)}
        if planting is None:
            return Facts(**ground) if any(ground.values()) else NOTHING_KNOWN
        is_planted = planting.state != Planting.State.PLANNED
        if planting.planted_acres is not None:
            ground["acres"] = self._ground_of(planting)
        return Facts(
            sown=self._sown_of(planting),
            age_days=(day - planting.planted_on).days if is_planted else None,
            row_spacing_in=self._row_spacing_in(planting),
            is_drilled=planting.method == Planting.Method.DRILLED,
            **ground,
        )

    def _ground_of(self, planting):
        """Acres that a planting covers: as planted, and the plot's where it was gone over more than once."""
        planted, mapped = float(planting.planted_acres), self._mapped_acres(planting)
        return planted if mapped is None or planted <= mapped * _AGAIN else mapped

    def _mapped_acres(self, planting):
        """The plot's acres on the day of sowing, else now; None where it was never measured."""
        of_day = [record.mapped_acres for record in self._records.get(planting.pk, ()) if record.mapped_acres]
        return max(of_day, default=self._acres.get(planting.plot_id))

    def _row_spacing_in(self, planting):
        spacings = [
            record.machine.spacing_in
            for record in self._records.get(planting.pk, ())
            if record.machine is not None and record.machine.spacing_in is not None
        ]
        return float(spacings[-1]) if spacings else None

    def _sown_of(self, planting):
        if planting.pk not in self._sown:
            self._sown[planting.pk] = self._recorded(planting) or self._planned(planting)
        return self._sown[planting.pk]

    def _planned(self, planting):
        figures = self._blends.get(planting.blend_id)
        if figures is None:
            return ()
        rows = [(row.facts, getattr(row, planting.method).seeds_per_sqft) for row in figures.rows]
        return tuple(_sown(facts, live_seeds) for facts, live_seeds in rows)

    def _recorded(self, planting):
        """By the records of the planting; None where one of them has no seed."""
        records = self._records.get(planting.pk, ())
        acres = float(sum(record.acres for record in records))
        if not acres or not all(record.seeds.all() for record in records):
            return None
        live_lb, ground = {}, defaultdict(dict)
        for record in records:
            for seed in record.seeds.all():
                for species_id, lb in self._live_lb(seed, record.done_on):
                    before = live_lb.get(species_id, 0)
                    live_lb[species_id] = None if None in (lb, before) else before + lb
                    ground[species_id][record.pk] = float(record.acres)
        mapped = self._mapped_acres(planting)
        on_acres = dict.fromkeys(live_lb, acres)
        if mapped is not None and acres > mapped * _AGAIN:
            on_acres = {pk: min(sum(parts.values()), mapped) for pk, parts in ground.items()}
        return tuple(
            _sown(facts, _live_seeds(live_lb[pk], on_acres[pk], facts))
            for pk, facts in self._species.items()
            if pk in live_lb
        )

    def _live_lb(self, seed, done_on):
        """(species id, live pounds or None) of a line of seed; of a mix one for each species on its tag."""
        if seed.blend_id is None:
            fraction = live_fraction(seed.lot, done_on) if seed.lot_id else None
            return [(seed.species_id, None if fraction is None else float(seed.used_lb) * fraction)]
        figures = self._blends.get(seed.blend_id)
        rows = [row for row in figures.rows if row.given] if figures else []
        if not rows:
            return []
        shares, alive = (
            [_float(row.given[name]) for row in rows] for name in ("tag_pct_by_weight", "tag_germination_pct")
        )
        lb = mixture_pls_lb_per_acre(float(seed.used_lb), shares, alive)
        return [(row.species.pk, known(each, 9)) for row, each in zip(rows, lb, strict=True)]

    @cached_property
    def _records(self):
        tests = Prefetch("lot__tests", LotTest.objects.filter(is_struck=False), to_attr="counting_tests")
        seeds = Prefetch("seeds", RecordSeed.objects.select_related("lot").prefetch_related(tests))
        rows = PlantingRecord.objects.filter(COUNTS, planting__plot__in=self.plot_ids)
        found = defaultdict(list)
        for record in (
            rows.select_related("machine").prefetch_related(seeds).order_by("done_on", "created_at")
        ):
            found[record.planting_id].append(record)
        return dict(found)

    def _seeds(self):
        return [
            seed for records in self._records.values() for record in records for seed in record.seeds.all()
        ]

    @cached_property
    def _blends(self):
        """{blend id: BlendFigures} of what is planted or planned, and of mixes that went in."""
        ids = {row.blend_id for rows in self.by_plot.values() for row in rows}
        ids |= {row.blend_id for row in self.planned.values()} | {seed.blend_id for seed in self._seeds()}
        rows = Blend.objects.filter(pk__in=ids - {None})
        return {
            blend.pk: figures for blend, figures in figures_of_blends(self.property, rows, with_costs=False)
        }

    @cached_property
    def _species(self):
        ids = {seed.species_id for seed in self._seeds()} - {None}
        ids |= {row.species.pk for figures in self._blends.values() for row in figures.rows}
        return {one.species.pk: one for one in species_facts(self.property, ids)}

    @cached_property
    def _acres(self):
        rows = (
            Plot.objects.filter(pk__in=self.plot_ids).select_related("boundary").defer("boundary__geometry")
        )
        return {plot.pk: plot.mapped_acres for plot in rows}

    @cached_property
    def _textures(self):
        """{plot id: texture}: the soil's texture as it was last felt there; it does not change with the day."""
        rows = Reading.objects.filter(
            Reading.COUNTS, kind="moisture", visit__plot__in=self.plot_ids, values__texture__isnull=False
        )
        return dict(rows.order_by("taken_at").values_list("visit__plot_id", "values__texture"))


def _sown(facts, live_seeds_per_ft2):
    return Sown(
        species_id=facts.species.pk,
        name=facts.species.common_name,
        live_seeds_per_ft2=live_seeds_per_ft2,
        group=facts.species.group,
        days_to_bloom=_span(facts, "days_to_bloom"),
        days_to_seed=_span(facts, "days_to_seed"),
    )


def _span(facts, name):
    low, high = (facts.facts[f"{name}_{end}"].value for end in ("low", "high"))
    return None if None in (low, high) else (float(low), float(high))


def _live_seeds(live_lb, acres, facts):
    seeds_per_lb = facts.seeds_per_lb.value
    if live_lb is None or not seeds_per_lb:
        return None
    return float(seeds_per_sqft(live_lb / acres, float(seeds_per_lb)))


def _float(value):
    return None if value is None else float(value)
