"""The work list: writing down what is to be done, changing it, dropping it and taking it up again."""

import uuid

from django.db import transaction

from blends.services.field_entries import check_columns, content, fill
from config.errors import Conflict, SwardbookError, refuse
from fieldlog.models import WorkItem
from plots.models import Membership, Plot
from plots.services.earlier import keep_earlier
from plots.services.rows import save_clean

SAID = (
    *("kind", "title", "how", "tools", "lon", "lat", "accuracy_m", "starts_on", "due_on"),
    *("plot_id", "assigned_to_id"),
)
"""What a person says of work. Numbers are stored as the columns have them."""

_COLUMNS = [name for name in SAID if not name.endswith("_id")]
State = WorkItem.State


@transaction.atomic
def add_work(*, property, user, said, id=None):
    """Write down something to be done. The same sent again, by its id, changes nothing.

    Parameters
    ----------
    property : Property
    user : User
    said : dict
        Columns named in `SAID`; what is left out is as the column has it.
    id : uuid.UUID, optional
        Made where it is written down.

    Returns
    -------
    WorkItem, bool
        The item, and whether it is new.

    Raises
    ------
    Refused
        Something that cannot be used; `fields` says which.
    Conflict
        The id says something else already.
    """
    item = _item_from(WorkItem(id=id or uuid.uuid4(), property=property, created_by=user), said)
    if stored := _stored(item):
        return stored, False
    try:
        with transaction.atomic():
            return save_clean(item, force_insert=True), True
    except SwardbookError:
        # a second sending of the same item may have been quicker
        if stored := _stored(item):
            return stored, False
        raise


@transaction.atomic
def change_work(*, item, user, wanted):
    """Change what is said of work; what it said before is kept beside it.

    Parameters
    ----------
    item : WorkItem
    user : User
    wanted : dict
        Some of `SAID`.

    Raises
    ------
    Refused
        As `add_work`.
    """
    locked = lock_item(item)
    told = {name: getattr(locked, name) for name in SAID} | wanted
    checked = _item_from(WorkItem(property=locked.property), told)
    if keep_earlier(locked, user, {name: getattr(checked, name) for name in wanted}):
        save_clean(locked)
    return locked


@transaction.atomic
def take_work(*, item, user):
    """Say that one does it oneself. Of two who take it at once the first has it.

    Raises
    ------
    Conflict
        Somebody else has it, or it is done or dropped.
    """
    locked = lock_item(item)
    if locked.state != State.OPEN:
        raise Conflict(f"“{locked.title}” is {locked.get_state_display().lower()}; reopen it to take it.")
    if locked.assigned_to_id not in (None, user.pk):
        raise Conflict(f"{locked.assigned_to.shown_name} has “{locked.title}” already.")
    if keep_earlier(locked, user, {"assigned_to_id": user.pk}):
        save_clean(locked)
    return locked


@transaction.atomic
def drop_work(*, item, user, why):
    """Say that it will not be done, and why. It stays to be read.

    Raises
    ------
    Refused
        No reason.
    Conflict
        It is done.
    """
    why = (why or "").strip()
    if not why or len(why) > 300 or "\x00" in why:
        refuse(
            "why",
            "Dropping work needs a reason of at most 300 characters: rain did it, another plot was meant.",
        )
    locked = lock_item(item)
    if locked.state == State.DONE:
        raise Conflict(f"“{locked.title}” is done; it is reopened before it is dropped.")
    set_state(locked, user, State.DROPPED, why)
    return locked


@transaction.atomic
def reopen_work(*, item, user):
    """Take up again what was done or dropped. What was reported stays."""
    locked = lock_item(item)
    set_state(locked, user, State.OPEN)
    return locked


def lock_item(item):
    """The item as it is now, held until the transaction ends; it keeps the property that was asked for."""
    locked = WorkItem.objects.select_for_update(of=("self",)).get(pk=item.pk)
    locked.property = item.property
    return locked


def set_state(locked, user, state, why=""):
    """Put a locked item into another state, with who and why."""
    if keep_earlier(locked, user, {"state": str(state)}):
        if why:
            locked.earlier[-1]["why"] = why
        save_clean(locked)


def first_said(item):
    """What an item said before anybody changed it, as text by column."""
    said = _text(content(item, SAID))
    for change in reversed(item.earlier):
        said |= {
            name: None if was is None else str(was) for name, was in change["was"].items() if name in SAID
        }
    return said


def _stored(item):
    stored = WorkItem.objects.filter(pk=item.pk).first()
    if stored is None:
        return None
    is_theirs = (stored.property_id, stored.created_by_id) == (item.property_id, item.created_by_id)
    if not is_theirs or first_said(stored) != _text(content(item, SAID)):
        raise Conflict(
            f"Work with the id {item.pk} is here already and says something else; new work needs a new id."
        )
    return stored


def _item_from(item, said):
    fill(item, said, _COLUMNS)
    item.plot_id, item.assigned_to_id = said.get("plot_id"), said.get("assigned_to_id")
    if (item.lon is None) != (item.lat is None):
        refuse("lon", "A place needs longitude and latitude; one of them alone says nothing.")
    if item.lon is None:
        item.accuracy_m = None
    if item.starts_on and item.due_on and item.due_on < item.starts_on:
        refuse(
            "due_on", f"{item.due_on} is before {item.starts_on}, when it starts; a later day is accepted."
        )
    for name in ("starts_on", "due_on"):
        day = getattr(item, name)
        if day is not None and not 1950 <= day.year <= 2150:
            refuse(name, f"{day} is out of reach; a day from 1950 to 2150 is accepted.")
    if not item.title:
        item.title = item.get_kind_display() if item.kind in WorkItem.Kind.values else ""
    check_columns(item, but=("id", "property", "plot", "assigned_to", "created_by"))
    _check_ours(item)
    return item


def _check_ours(item):
    """Plot and person belong to the property."""
    if item.plot_id and not Plot.objects.filter(pk=item.plot_id, property=item.property_id).exists():
        refuse("plot_id", f"Plot {item.plot_id} is not one that this property has.")
    if not item.assigned_to_id:
        return
    if not Membership.objects.filter(user_id=item.assigned_to_id, property=item.property_id).exists():
        refuse("assigned_to_id", f"Person {item.assigned_to_id} does not belong to this property.")


def _text(said):
    return {name: None if value is None else str(value) for name, value in said.items()}
