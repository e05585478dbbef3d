"""What the blend bench shows of a blend, stored or typed: figures, judgement and pictures."""

from dataclasses import dataclass
from functools import cached_property

from blends.forms.bench import JudgedForm
from blends.models import Planting
from blends.pictures.cn import cn_picture
from blends.pictures.cover import cover_picture
from blends.pictures.months import calendar_picture
from blends.pictures.seeds import seeds_picture
from blends.queries.blends import FULL_RATE
from blends.queries.judgement import judge
from blends.queries.judgement.shapes import Judgement
from plots.access import COSTS

WEIGHTS = ("stop", "warn", "note")


@dataclass
class Bench:
    """A judgement as the templates read it."""

    judgement: Judgement
    asked: JudgedForm

    @property
    def leafy(self):
        return self.judgement.residues["leafy"]

    @property
    def mature(self):
        return self.judgement.residues["mature"]

    @property
    def gap(self):
        return self.mature.gap

    @property
    def method_label(self):
        return Planting.Method(self.judgement.method).label.lower()

    @property
    def findings(self):
        """The gravest first."""
        return sorted(self.judgement.findings, key=lambda each: WEIGHTS.index(each.weight))

    @property
    def grave(self):
        """Findings that stop or warn."""
        return [each for each in self.findings if each.weight != "note"]

    @property
    def stops(self):
        return [each for each in self.findings if each.weight == "stop"]

    @property
    def weed_thresholds(self):
        """The two kinds told apart: (heading, thresholds)."""
        of = self.judgement.cover.thresholds
        kinds = [("Weeds weigh less (biomass)", "biomass"), ("Fewer weeds come up (numbers)", "numbers")]
        return [(head, [each for each in of if each.what == what]) for head, what in kinds]

    @property
    def missing(self):
        residue = [*self.leafy.missing, *self.mature.missing]
        return list(dict.fromkeys([*residue, *self.judgement.cover.missing]))

    @property
    def available(self):
        """Nitrogen for the next crop over all published ways, (leafy, mature), each (least, most)."""
        return [_over_all(residue.available) for residue in (self.leafy, self.mature)]

    @property
    def ways(self):
        """Each published way: (leafy, mature)."""
        return list(zip(self.leafy.available, self.mature.available, strict=True))

    @property
    def cn_workings(self):
        """Of dry matter and C:N, the mature stand first."""
        return [
            each
            for residue in (self.mature, self.leafy)
            for each in residue.workings
            if not _is_nitrogen(each)
        ]

    @property
    def nitrogen_workings(self):
        return [
            each for residue in (self.mature, self.leafy) for each in residue.workings if _is_nitrogen(each)
        ]

    @property
    def finding_sources(self):
        return list(dict.fromkeys(source for each in self.findings for source in each.sources))

    @property
    def cn_picture(self):
        gap = self.gap
        return cn_picture("cn", [self.leafy, self.mature], gap.zone_low, gap.zone_high, gap.label)

    @property
    def seeds_picture(self):
        method = self.judgement.method
        rows = self.judgement.figures.rows
        return seeds_picture(
            "seeds", [(str(row.species), getattr(row, method).seeds_per_sqft) for row in rows]
        )

    @cached_property
    def months_picture(self):
        """None where there is no row to draw."""
        calendar = self.judgement.calendar
        rows = [(str(species), cells) for species, cells in calendar.rows]
        return calendar_picture("months", calendar.months, rows, calendar.holes) if rows else None

    @property
    def cover_picture(self):
        cover = self.judgement.cover
        return cover_picture("cover", cover.weeks, cover.days_above_30_pct)


def _over_all(ways):
    known = [way for way in ways if way.low is not None and way.high is not None]
    return (min(way.low for way in known), max(way.high for way in known)) if known else (None, None)


def _is_nitrogen(working):
    return working.key.startswith(("nitrogen", "available"))


def bench_context(property, draft, data=None):
    """The context of the bench's templates: `bench`, and the figures by method and by species.

    Parameters
    ----------
    property : Property
        With `.allowed` of the person who asks.
    draft : dict
        As for `blend_figures`.
    data : QueryDict or None
        What was asked to judge for.
    """
    asked = JudgedForm(data)
    judgement = judge(property, draft, with_costs=COSTS in property.allowed, **asked.asked)
    asked.initial["objective"] = judgement.objective
    return {"bench": Bench(judgement, asked), **shown(judgement.figures)}


def shown(figures):
    """Figures by method, by species, and what they rest on."""
    methods = []
    for value, label in Planting.Method.choices:
        totals = getattr(figures, value)
        if not totals.is_used:
            continue
        low, high = FULL_RATE[value]
        rows = [
            {
                "species": row.species,
                "facts": row.facts,
                "given": row.given,
                "rate": getattr(row, value),
                "full_low": row.facts.facts[low],
                "full_high": row.facts.facts[high],
            }
            for row in figures.rows
        ]
        methods.append({"name": value, "label": label, "totals": totals, "rows": rows})
    names = ["seeds_per_lb", *(name for method in methods for name in FULL_RATE[method["name"]])]
    sources = {
        source.pk: source
        for row in figures.rows
        for name in names
        for source in row.facts.facts[name].sources
    }
    return {
        "figures": figures,
        "methods": methods,
        "missing": list(dict.fromkeys(said for method in methods for said in method["totals"].missing)),
        "by_species": [_by_method(row, [method["name"] for method in methods]) for row in figures.rows],
        "sources": list(sources.values()),
    }


def _by_method(row, methods):
    facts = row.facts.facts
    return {
        "species": row.species,
        "rates": [getattr(row, method) for method in methods],
        "full_rates": [
            {"low": facts[low], "high": facts[high]}
            for low, high in (FULL_RATE[method] for method in methods)
        ],
    }
