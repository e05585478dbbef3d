"""What rules propose, and what was decided on it."""

from django.db.models import F, Q
from django.utils import timezone

from fieldlog.models import Proposal
from fieldlog.rules import RULES

_OPEN = Proposal.State.OPEN


def proposals_for(property):
    """Of all plots, what is due soonest first; thoughts for the next blend come last."""
    rows = Proposal.objects.filter(property=property)
    rows = rows.select_related("plot", "reading", "reading__recorded_by", "decided_by", "work_item")
    return rows.order_by(F("due_on").asc(nulls_last=True), "-made_at", "pk")


def open_proposals(property, plot=None):
    """Those to be decided, as a list with `.title` of the rule and `.thresholds_told`; `.is_thought` has no work."""
    rows = proposals_for(property).filter(state=_OPEN)
    return told(rows if plot is None else rows.filter(plot=plot))


def count_open(property):
    return Proposal.objects.filter(property=property, state=_OPEN).count()


def noted_thoughts(property, plot_ids=None):
    """What was accepted as a thought for the next blend, the latest first."""
    rows = proposals_for(property).filter(state=Proposal.State.ACCEPTED, work_kind="")
    if plot_ids is not None:
        rows = rows.filter(plot_id__in=plot_ids)
    return told(rows.order_by("-decided_at", "pk"))


def proposals_of(plot):
    """What a plot's page shows: `proposals` to decide, and `thoughts` that were noted; one query."""
    noted = Q(state=Proposal.State.ACCEPTED, work_kind="")
    rows = told(proposals_for(plot.property).filter(Q(state=_OPEN) | noted, plot=plot))
    return {
        "proposals": [row for row in rows if row.state == _OPEN],
        "thoughts": [row for row in rows if row.state != _OPEN],
    }


def told(rows):
    """The rows with what their rule is called and from where on it spoke; `.due_from_now` is no day that has passed."""
    rows = list(rows)
    today = timezone.localdate()
    for row in rows:
        rule = RULES.get(row.rule)
        row.title = rule.title if rule else row.rule
        row.is_thought = not row.work_kind
        row.due_from_now = row.due_on and max(row.due_on, today)
        row.thresholds_told = thresholds_told(rule, row.thresholds) if rule else []
    return rows


def thresholds_told(rule, thresholds):
    """['Ground covered, at least 30 %', …]."""
    return [
        f"{step.label}: {thresholds[step.name]:g} {'day' if _is_one_day(step, thresholds) else step.unit}"
        for step in rule.thresholds
        if isinstance(thresholds.get(step.name), int | float)
    ]


def _is_one_day(step, thresholds):
    return step.unit == "days" and thresholds[step.name] == 1
