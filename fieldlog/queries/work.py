"""What is to be done, by whom and when."""

from decimal import Decimal

from django.db.models import Count, F, OuterRef, Prefetch, Q, Subquery, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from fieldlog.models import Proposal, WorkItem, WorkReport
from plots.models import Property

MOST_KNOWN = 150  # what a phone carries along
COUNTS = Q(struck_at__isnull=True)
"""Reports that hold."""

_MINUTES = Sum("reports__minutes", filter=Q(reports__struck_at__isnull=True))
_SOONEST = (F("due_on").asc(nulls_last=True), "created_at", "pk")


def work_for(property):
    """The work of a property with `.minutes` spent so far (None: nobody said), the soonest first."""
    rows = WorkItem.objects.filter(property=property).select_related("plot", "assigned_to", "created_by")
    return rows.annotate(minutes=_MINUTES).order_by(*_SOONEST)


def open_work(property):
    return work_for(property).filter(state=WorkItem.State.OPEN)


def mine_or_nobodys(user):
    return Q(assigned_to=user) | Q(assigned_to__isnull=True)


def with_reports(rows):
    """The same rows with `.told_reports`, those that were struck too."""
    reports = WorkReport.objects.select_related("reported_by").prefetch_related("photos")
    return rows.prefetch_related(Prefetch("reports", reports, to_attr="told_reports"))


def work_known(property, user):
    """The open work as a phone carries it along: what is the person's own or nobody's goes before the others'.

    Returns
    -------
    list of dict
        id, kind, title, plot_id, lon, lat, due_on, is_overdue, assigned_to (a name), is_mine, tools, how, minutes
        (spent so far; None: nobody said); at most `MOST_KNOWN`, in two queries.
    """
    to_do = open_work(property)
    ours = list(to_do.filter(mine_or_nobodys(user))[:MOST_KNOWN])
    left = MOST_KNOWN - len(ours)
    rows = ours + (list(to_do.exclude(mine_or_nobodys(user))[:left]) if left else [])
    today = timezone.localdate()
    return [
        {
            "id": str(item.pk),
            "kind": item.kind,
            "title": item.title,
            "plot_id": item.plot_id,
            "lon": item.lon,
            "lat": item.lat,
            "due_on": item.due_on and item.due_on.isoformat(),
            "is_overdue": is_overdue(item, today),
            "assigned_to": item.assigned_to.shown_name if item.assigned_to else None,
            "is_mine": item.assigned_to_id == user.pk,
            "tools": item.tools,
            "how": item.how,
            "minutes": None if item.minutes is None else float(item.minutes),
        }
        for item in rows
    ]


def is_overdue(item, today=None):
    """Whether open work should have been done before today."""
    is_open = item.state == WorkItem.State.OPEN
    return is_open and item.due_on is not None and item.due_on < (today or timezone.localdate())


def work_counts(property):
    """How much is open, how much of that is overdue, in one query: {"open", "late"}."""
    late = Q(due_on__lt=timezone.localdate())
    rows = WorkItem.objects.filter(property=property, state=WorkItem.State.OPEN)
    return rows.aggregate(open=Count("pk"), late=Count("pk", filter=late))


def waiting_counts(property):
    """What asks for somebody, in one query: {"late": overdue items, "to_decide": proposals}."""
    late = WorkItem.objects.filter(
        property=OuterRef("pk"), state=WorkItem.State.OPEN, due_on__lt=timezone.localdate()
    )
    open_ones = Proposal.objects.filter(property=OuterRef("pk"), state=Proposal.State.OPEN)
    rows = Property.objects.filter(pk=property.pk)
    return rows.values(late=_counted(late), to_decide=_counted(open_ones)).get()


def _counted(rows):
    return Coalesce(Subquery(rows.order_by().values("property").annotate(n=Count("pk")).values("n")), 0)


def minutes_by_plot(property, plot_ids=None):
    """Minutes that people reported, by plot; a plot of which nobody said any is not in it.

    Returns
    -------
    dict
        {plot_id: Decimal}. [min]
    """
    rows = WorkReport.objects.filter(
        COUNTS, item__property=property, item__plot__isnull=False, minutes__isnull=False
    )
    if plot_ids is not None:
        rows = rows.filter(item__plot_id__in=plot_ids)
    told = rows.order_by().values_list("item__plot_id").annotate(sum=Sum("minutes"))
    return {plot_id: Decimal(minutes) for plot_id, minutes in told}


PLOT_SHOWN = 5


def work_of_plot(plot):
    """What a plot's page shows of its work: `plot_work` (the next items), `plot_work_count`, `plot_minutes`."""
    rows = list(open_work(plot.property).filter(plot=plot)[: PLOT_SHOWN + 1])
    for item in rows:
        item.is_late = is_overdue(item)
    more = len(rows) > PLOT_SHOWN
    return {
        "plot_work": rows[:PLOT_SHOWN],
        "plot_work_count": open_work(plot.property).filter(plot=plot).count() if more else len(rows),
        "plot_minutes": minutes_by_plot(plot.property, [plot.pk]).get(plot.pk),
    }


_COLUMNS = {
    "kind": "the kind of work",
    "title": "the words",
    "how": "how it is done",
    "tools": "what to take along",
    "lon": "the place",
    "lat": "the place",
    "accuracy_m": "how exact the place is",
    "starts_on": "not before",
    "due_on": "the day",
    "plot_id": "the plot",
    "assigned_to_id": "who does it",
    "state": "the state",
}
_SHOWN = ("title", "due_on", "starts_on", "tools")


def changes_told(item):
    """What was changed of an item, the latest first: at, by, said, why."""
    told = []
    for change in reversed(item.earlier):
        names = dict.fromkeys(_COLUMNS.get(name, name) for name in change["was"])
        words = "changed " + ", ".join(names)
        was = [str(value) for name, value in change["was"].items() if name in _SHOWN and value]
        words += f" (before: {', '.join(was)})." if was else "."
        told.append({"at": change["at"], "by": change["by"], "said": words, "why": change.get("why", "")})
    return told
