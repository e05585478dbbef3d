"""Deciding on what rules propose: accept, dismiss, and take either back."""

from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format

from config.errors import Conflict, refuse
from fieldlog.models import Proposal, WorkItem
from fieldlog.rules import RULES
from fieldlog.rules.described import A_STAND
from fieldlog.services.rules import consider
from fieldlog.services.work import add_work, change_work, set_state
from plots.services.locking import lock_plots
from plots.services.rows import save_clean

State = Proposal.State
TITLES = {"pull": "Pull weeds", "recount": "Count again", "overseed": "Overseed"}


@transaction.atomic
def accept_proposal(*, proposal, user, assigned_to_id=None, due_on=None):
    """Put what is proposed on the work list; a thought for the next blend is noted for it.

    Parameters
    ----------
    proposal : Proposal
    user : User
    assigned_to_id : int, optional
        Who is to do it.
    due_on : date, optional
        Another last day than the proposed one.

    Returns
    -------
    Proposal
        With its `work_item`, None of a thought.

    Raises
    ------
    Refused
        The person does not belong to the property.
    Conflict
        Somebody else has decided on it, or the readings no longer say so.
    """
    locked = _lock(proposal)
    if locked.state == State.ACCEPTED and locked.decided_by_id == user.pk:
        return locked
    _check_open(locked)
    if locked.work_kind:
        locked.work_item = _work_of(locked, user, assigned_to_id, due_on)
    return _decide(locked, user, State.ACCEPTED)


@transaction.atomic
def dismiss_proposal(*, proposal, user, why):
    """Say that nothing comes of it, and why.

    Raises
    ------
    Refused
        No reason.
    Conflict
        As `accept_proposal`.
    """
    why = (why or "").strip()
    if not why or len(why) > 300 or "\x00" in why:
        refuse(
            "why",
            "Dismissing needs a reason of at most 300 characters: seen again and gone, it is a good weed.",
        )
    locked = _lock(proposal)
    if locked.state == State.DISMISSED and locked.decided_by_id == user.pk:
        return locked
    _check_open(locked)
    return _decide(locked, user, State.DISMISSED, why)


@transaction.atomic
def undo_decision(*, proposal, user):
    """Leave it to be decided again. Work that came of it is dropped, unless somebody has worked on it.

    Raises
    ------
    Conflict
        Somebody has worked on it already.
    """
    lock_plots([proposal.plot_id])  # for what the readings say now
    locked = _lock(proposal)
    if locked.state in (State.OPEN, State.GONE):
        return locked
    if locked.work_item_id is not None:
        item = WorkItem.objects.select_for_update(of=("self",)).get(pk=locked.work_item_id)
        if item.state == WorkItem.State.DONE or item.reports.filter(struck_at__isnull=True).exists():
            raise Conflict(f"Somebody has worked on “{item.title}” already; it stays on the work list.")
        set_state(item, user, WorkItem.State.DROPPED, "The proposal is to be decided again.")
    locked.state, locked.decided_by, locked.decided_at, locked.why = State.OPEN, None, None, ""
    save_clean(locked)
    rule = RULES.get(locked.rule)
    if not locked.reading.counts or (rule and rule.looks_at == A_STAND):
        # what was read of the stand meanwhile left a decision alone
        consider(locked.reading)
        locked.refresh_from_db(fields=["state"])
    return locked


def _work_of(proposal, user, assigned_to_id, due_on):
    rule, kind, reading = RULES.get(proposal.rule), proposal.work_kind, proposal.reading
    due_on = due_on or proposal.due_on
    if proposal.work_item_id is not None:
        # it was accepted before, and that was taken back
        item = change_work(
            item=proposal.work_item, user=user, wanted={"assigned_to_id": assigned_to_id, "due_on": due_on}
        )
        set_state(item, user, WorkItem.State.OPEN)
        return item
    said = {
        "kind": kind,
        "title": _title(proposal)[:120],
        "how": f"{proposal.sentence}\n\n{rule.how.get(kind, '') if rule else ''}".strip()[:2000],
        "tools": rule.tools.get(kind, "") if rule else "",
        "plot_id": proposal.plot_id,
        "lon": reading.lon,
        "lat": reading.lat,
        "accuracy_m": reading.accuracy_m,
        "due_on": due_on,
        "assigned_to_id": assigned_to_id,
    }
    return add_work(property=proposal.property, user=user, said=said)[0]


def _title(proposal):
    """'Pull pigweed on North Bench'."""
    words = TITLES.get(proposal.work_kind, proposal.get_work_kind_display())
    weed = (proposal.reading.values.get("species") or {}).get("name")
    if proposal.work_kind == "pull" and weed:
        words = f"Pull {weed}"
    return f"{words}: {proposal.plot.name}"


def _decide(locked, user, state, why=""):
    locked.state, locked.decided_by, locked.decided_at, locked.why = state, user, timezone.now(), why
    return save_clean(locked)


def _lock(proposal):
    locked = Proposal.objects.select_for_update(of=("self",)).get(pk=proposal.pk)
    locked.property = proposal.property
    return locked


def _check_open(locked):
    if locked.state == State.OPEN:
        return
    if locked.state == State.GONE:
        raise Conflict(f"This is no longer proposed: {locked.why or 'the readings say otherwise.'}")
    on = date_format(timezone.localtime(locked.decided_at), "j M Y, H:i")
    raise Conflict(
        f"{locked.decided_by.shown_name} has {locked.get_state_display().lower()} this on {on}; "
        "take that back to decide anew."
    )
