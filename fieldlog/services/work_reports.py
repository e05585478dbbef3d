"""Reports of work: that somebody worked on it, for how long, and whether it is done."""

from django.db import transaction
from django.utils import timezone

from blends.services.field_entries import check_columns, content, fill
from config.errors import Conflict, refuse
from fieldlog.models import WorkItem, WorkReport
from fieldlog.services.clocks import check_moment, clock_of
from fieldlog.services.work import lock_item, set_state
from plots.services.rows import save_clean

SAID = ("minutes", "is_finished", "note", "lon", "lat", "accuracy_m")


@transaction.atomic
def report_work(*, id, item, user, done_at, said, sent_at=None):
    """Report work. The same sent again, by its id, changes nothing.

    Parameters
    ----------
    id : uuid.UUID
        Made where it is reported.
    item : WorkItem
        One that was dropped too: the phone may not have heard of it.
    user : User
    done_at : datetime
        By the clock of whoever reports.
    said : dict
        Columns named in `SAID`. `minutes` None is not known.
    sent_at : datetime, optional
        By the same clock; where that is off by more than two minutes, `done_at` is corrected by the difference and what
        was said is kept.

    Returns
    -------
    WorkReport, bool
        The report, and whether it is new.

    Raises
    ------
    Refused
        Something that cannot be used; `fields` says which.
    Conflict
        The id says something else already.
    """
    said_at = done_at.replace(microsecond=0)
    locked = lock_item(item)
    report = _report_from(WorkReport(id=id, item=locked, reported_by=user), said)
    stored = WorkReport.objects.filter(pk=id).first()
    if stored is not None:
        _check_same(stored, report, said_at)
        return stored, False
    report.done_at = clock_of(sent_at).right(said_at)
    report.said_at = None if report.done_at == said_at else said_at
    check_moment(report.done_at, "done_at", "The work was done")
    save_clean(report, force_insert=True)
    if report.is_finished:
        set_state(locked, user, WorkItem.State.DONE)
    return report, True


@transaction.atomic
def strike_report(*, report, user):
    """Say that a report was entered by mistake. Without another that says so, the work is not done."""
    locked = lock_item(report.item)
    row = WorkReport.objects.select_for_update(of=("self",)).get(pk=report.pk)
    if row.struck_at is not None:
        return row
    row.struck_at = timezone.now()
    row.save(update_fields=["struck_at"])
    is_done = locked.reports.filter(struck_at__isnull=True, is_finished=True).exists()
    if row.is_finished and not is_done and locked.state == WorkItem.State.DONE:
        set_state(locked, user, WorkItem.State.OPEN, "The report of it was struck.")
    return row


def _report_from(report, said):
    fill(report, said, SAID)
    if (report.lon is None) != (report.lat is None):
        refuse("lon", "A place needs longitude and latitude; one of them alone says nothing.")
    check_columns(report, but=("id", "item", "reported_by", "done_at"))
    return report


def _check_same(stored, report, said_at):
    is_same = (
        (stored.item_id, stored.reported_by_id) == (report.item_id, report.reported_by_id)
        and (stored.said_at or stored.done_at) == said_at
        and content(stored, SAID) == content(report, SAID)
    )
    if not is_same:
        raise Conflict(
            f"A report with the id {report.id} is here already and says something else; a new report needs a new id."
        )
