"""What a blend will do, judged before it is bought."""

from dataclasses import dataclass
from datetime import date

from blends.models import Planting
from blends.queries.blends import blend_figures, figures_of_blends
from blends.queries.judgement.calendar import calendar_of, seeding_of
from blends.queries.judgement.cautions import cautions_of
from blends.queries.judgement.cover import cover_of
from blends.queries.judgement.fit import findings_of
from blends.queries.judgement.parts import STAGES, parts_at
from blends.queries.judgement.rates import rate_workings
from blends.queries.judgement.records import clippings_of, history_of, latest_clipped
from blends.queries.judgement.residue import gap_of, residue_at
from blends.queries.judgement.shapes import Judgement, PlotsGap
from plots.models import Plot

MOST_COMPARED = 4


def judge(
    property,
    draft,
    *,
    method=None,
    objective=None,
    seeding_on=None,
    end_on=None,
    plot=None,
    with_costs=True,
):
    """What a blend, typed or stored, will do.

    Parameters
    ----------
    property : Property
    draft : dict
        As for `blend_figures`; with `blend` where it is stored, for its clippings and its plots.
    method : str or None
        Planting.Method; the one with rates when None, drilled before broadcast.
    objective : str or None
        Plot.Objective; balance where it is empty, as it is of a plot of which nothing was decided. When None, what
        most of the plots want on which the blend is planned.
    seeding_on : date or None
        When None the day it was sown, else by the average frosts.
    end_on : date or None
        Termination; when the season after it would be sown, by the frosts, when None.
    plot : Plot or None
        Whose past plantings count; those of the blend's plots when None.
    with_costs : bool
        Leave costs out for people whose role does not include them.

    Returns
    -------
    Judgement
        What is not known is None and named in `missing`.

    Notes
    -----
    Asks the database at most 6 times for a stored blend, and twice more for costs, however many components it has.
    """
    options = _Options(method, objective, seeding_on, end_on, plot, with_costs)
    return _judge(property, [(draft.get("blend"), blend_figures(property, draft, with_costs))], options)[0]


def judge_blends(
    property,
    blends,
    *,
    method=None,
    objective=Plot.Objective.BALANCE,
    seeding_on=None,
    end_on=None,
    with_costs=True,
):
    """Several stored blends side by side; the same few queries as for one.

    Parameters
    ----------
    property : Property
    blends : QuerySet of Blend
    objective : str
        One for all, so that they can be compared.
    method, seeding_on, end_on, with_costs
        As for `judge`.

    Returns
    -------
    list of (Blend, Judgement)
    """
    options = _Options(method, objective or Plot.Objective.BALANCE, seeding_on, end_on, None, with_costs)
    pairs = figures_of_blends(property, blends, with_costs)
    found = _judge(property, pairs, options)
    return [(blend, judgement) for (blend, _), judgement in zip(pairs, found, strict=True)]


@dataclass(frozen=True)
class _Options:
    method: str | None
    objective: str | None
    seeding_on: date | None
    end_on: date | None
    plot: Plot | None
    with_costs: bool


def _judge(property, pairs, options):
    stored = [blend for blend, _ in pairs if blend is not None and blend.pk]
    clippings = clippings_of(stored)
    history = history_of(property, stored, options.plot)
    return [
        _judged(property, blend, figures, clippings.get(blend.pk, []) if blend else [], history, options)
        for blend, figures in pairs
    ]


def _judged(property, blend, figures, clippings, history, options):
    method = options.method or method_of(figures)
    objective = options.objective
    if objective is None and blend is not None:
        objective = history.usual_objective(blend)
    objective = str(objective or Plot.Objective.BALANCE)
    clipped = latest_clipped(clippings)
    parts = {stage: parts_at(stage, figures, method, clipped) for stage in STAGES}
    residues = {stage: residue_at(parts[stage], method, objective) for stage in STAGES}
    seeding = seeding_of(property, figures, history.plantings_of(blend) if blend else [], options.seeding_on)
    return Judgement(
        method=method,
        objective=objective,
        residues=residues,
        cover=cover_of(parts["mature"], method, residues["mature"].cn),
        findings=findings_of(figures, method, history, blend, options.plot),
        cautions=cautions_of(figures),
        calendar=calendar_of(property, figures, seeding, options.end_on),
        figures=figures,
        workings=rate_workings(figures, method, options.with_costs),
        clippings=clippings,
        plots=_plots_gaps(history.plantings_of(blend) if blend else [], residues["mature"].cn),
    )


def _plots_gaps(plantings, cn):
    """The plots of the blend's latest season by what they want, those that want nothing yet last."""
    latest = [row for row in plantings if row.season == plantings[0].season]
    found = []
    for objective in (*Plot.Objective.values, ""):
        names = sorted(row.plot for row in latest if row.objective == objective)
        if names:
            found.append(PlotsGap(names, gap_of(cn, objective) if objective else None))
    return found


def method_of(figures):
    """The method that a blend has rates for, drilled before broadcast."""
    is_broadcast = figures.broadcast.is_used and not figures.drilled.is_used
    return Planting.Method.BROADCAST.value if is_broadcast else Planting.Method.DRILLED.value


__all__ = [
    "MOST_COMPARED",
    "judge",
    "judge_blends",
    "method_of",
]
