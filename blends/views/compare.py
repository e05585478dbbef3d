"""Up to four blends side by side, figure by figure."""

from dataclasses import dataclass

from django.shortcuts import render
from django.views.decorators.http import require_safe

from blends.forms.bench import JudgedForm
from blends.models import Blend
from blends.pictures.cn import small_cn_picture
from blends.queries.judgement import MOST_COMPARED, judge_blends
from blends.views.bench import Bench
from config.pages import section
from plots.access import COSTS, id_in, property_for
from plots.models import Plot


@dataclass
class Column:
    """One blend of the comparison."""

    blend: Blend
    bench: Bench

    @property
    def figures(self):
        return self.bench.judgement.figures

    @property
    def totals(self):
        return getattr(self.figures, self.bench.judgement.method)

    @property
    def available(self):
        """Nitrogen for the next crop when mature, (least, most) over all published ways."""
        return self.bench.available[1]

    @property
    def thresholds(self):
        return self.bench.judgement.cover.thresholds

    @property
    def bands(self):
        """(residue, its small picture) of both stages."""
        gap = self.bench.gap
        return [
            (
                each,
                small_cn_picture(
                    f"cn-{each.stage}-{self.blend.pk}", each, gap.zone_low, gap.zone_high, gap.label
                ),
            )
            for each in (self.bench.leafy, self.bench.mature)
        ]


@section("blends")
@require_safe
def compare(request, slug):
    """The blends asked for with ?blend=1&blend=2; those of other properties are passed over."""
    property = property_for(request.user, slug)
    asked = JudgedForm(request.GET)
    asked.initial["objective"] = Plot.Objective.BALANCE
    asked_ids = map(id_in, request.GET.getlist("blend"))
    ids = list(dict.fromkeys(each for each in asked_ids if each is not None))
    rows = Blend.objects.filter(property=property)
    options = asked.asked | {"with_costs": COSTS in property.allowed}
    options["objective"] = options["objective"] or Plot.Objective.BALANCE
    found = judge_blends(property, rows.filter(pk__in=ids[:MOST_COMPARED]), **options)
    found.sort(key=lambda pair: ids.index(pair[0].pk))
    columns = [Column(blend, Bench(judgement, asked)) for blend, judgement in found]
    context = {
        "property": property,
        "columns": columns,
        "asked": asked,
        "species": _species_rows(columns),
        "most_compared": MOST_COMPARED,
        "left_out": max(0, len(ids) - MOST_COMPARED),
        "choices": rows.filter(next=None, is_archived=False),
        "chosen": [column.blend.pk for column in columns],
    }
    return render(request, "blends/compare.html", context)


def _species_rows(columns):
    """(species, its rate in each blend or None, whether every blend has it), those of all blends last."""
    by_species = {}
    for position, column in enumerate(columns):
        for row in column.figures.rows:
            cells = by_species.setdefault(row.species, [None] * len(columns))
            cells[position] = getattr(row, column.bench.judgement.method)
    rows = [(species, cells, None not in cells) for species, cells in by_species.items()]
    return sorted(rows, key=lambda row: (row[2], str(row[0])))
