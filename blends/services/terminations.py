"""Terminations: how a stand was ended, what was clipped and sprayed, and what is corrected later."""

from django.db import transaction

from blends.models import COUNTS, Planting, Termination
from blends.services.field_entries import (
    check_day,
    check_holds,
    check_same,
    content,
    lock_planting,
    replace,
    strike,
)
from blends.services.termination_said import PRODUCT, SAID, termination_from
from config.errors import Conflict, refuse
from plots.services.rows import save_clean

WHAT = "termination"


@transaction.atomic
def record_termination(*, id, planting, user, said, products=()):
    """Record how a stand was ended. The same sent again, by its id, changes nothing.

    Parameters
    ----------
    id : uuid.UUID
    planting : Planting
        Planted, or fallow ground on which something grew.
    user : User
    said : dict
        Columns named in `SAID`.
    products : list of dict
        Columns named in `PRODUCT`; for a herbicide one or more. `grazing_days` and `planting_days` are None where the
        label gives none.

    Returns
    -------
    Termination, bool
        The termination, and whether it is new.

    Raises
    ------
    Refused
        Something that cannot be used; `fields` says which.
    Conflict
        The id says something else already; the plot has not been planted.
    """
    planting = lock_planting(planting)
    row, rows = termination_from(planting, user, said, products)
    stored = Termination.objects.filter(pk=id).first()
    if stored is not None:
        is_same = stored.created_by_id == user.pk and _says_the_same(stored, row, rows)
        check_same(is_same, id, WHAT)
        return stored, False
    row.id = id
    _check_planted(planting, row)
    _store(planting, row, rows)
    return row, True


@transaction.atomic
def correct_termination(*, termination, id, user, said, products=()):
    """Put another termination in the place of one that counts; the old one stays.

    Parameters
    ----------
    termination : Termination
    id : uuid.UUID
        Of the new one. Sent again, it changes nothing.
    user, said, products
        As `record_termination`, the whole of it.

    Returns
    -------
    Termination
        The new one; the old one where nothing is changed by it.

    Raises
    ------
    Refused
        As `record_termination`.
    Conflict
        Somebody else has corrected or struck it since.
    """
    planting = lock_planting(termination.planting)
    old = Termination.objects.select_related("replaced_by__created_by").get(pk=termination.pk)
    new, rows = termination_from(planting, user, said, products)
    stored = Termination.objects.filter(pk=id).first()
    if stored is not None:
        check_same(old.replaced_by_id == id and _says_the_same(stored, new, rows), id, WHAT)
        return stored
    check_holds(old, WHAT)
    if _says_the_same(old, new, rows):
        return old
    new.id = id
    new.follow_up_done_on = old.follow_up_done_on if new.follow_up == old.follow_up else None
    _check_planted(planting, new)
    _store(planting, new, rows, old)
    return new


@transaction.atomic
def strike_termination(*, termination, user, reason):
    """Say that it was entered by mistake: a stand without another stands again.

    Raises
    ------
    Refused
        No reason.
    Conflict
        It has been corrected or struck already.
    """
    planting = lock_planting(termination.planting)
    row = Termination.objects.select_related("replaced_by__created_by").get(pk=termination.pk)
    check_holds(row, WHAT)
    strike(row, reason, WHAT)
    _settle(planting)
    return row


@transaction.atomic
def finish_follow_up(*, termination, on):
    """Say on which day what was to follow was done; None takes that back.

    Raises
    ------
    Refused
        Nothing was to follow, a day to come or before the termination.
    Conflict
        The termination has been corrected or struck.
    """
    lock_planting(termination.planting)
    row = Termination.objects.select_related("replaced_by__created_by").get(pk=termination.pk)
    check_holds(row, WHAT)
    if on is not None:
        if not row.follow_up:
            refuse("follow_up_done_on", "Nothing is noted to follow this termination.")
        check_day(on, "follow_up_done_on", "it was done")
        if on < row.done_on:
            refuse(
                "follow_up_done_on",
                f"{on} is before the termination on {row.done_on}; a later day is accepted.",
            )
    row.follow_up_done_on = on
    row.save(update_fields=["follow_up_done_on"])
    return row


def given_of(termination):
    """The `said` and `products` of a stored termination, for a correction that changes a part."""
    said = {name: getattr(termination, name) for name in SAID}
    return said, [{name: getattr(row, name) for name in PRODUCT} for row in termination.products.all()]


def _says_the_same(stored, row, rows):
    if content(stored, [*SAID, "planting_id"]) != content(row, [*SAID, "planting_id"]):
        return False
    return [content(each, PRODUCT) for each in stored.products.all()] == [
        content(each, PRODUCT) for each in rows
    ]


def _store(planting, row, rows, old=None):
    save_clean(row, force_insert=True)
    if old is not None:
        replace(old, row)
    for product in rows:
        product.termination = row
        save_clean(product)
    _settle(planting)


def _check_planted(planting, row):
    if planting.is_fallow:
        return
    if planting.state == Planting.State.PLANNED:
        raise Conflict(
            f"{planting.plot} is not recorded as planted in the {planting.season}; record that first, or end the stand "
            "of the season in which it was sown."
        )
    latest = planting.records.filter(COUNTS).order_by("-done_on").first()
    planted_on = latest.done_on if latest is not None else planting.planted_on
    if row.done_on < planted_on:
        refuse("done_on", f"{row.done_on} is before {planted_on}, when {planting.plot} was planted.")


def _settle(planting):
    """Let the planting's state follow its terminations. Fallow ground has no stand to end."""
    if planting.is_fallow:
        return
    if planting.terminations.filter(COUNTS).exists():
        planting.state = Planting.State.TERMINATED
    elif planting.state == Planting.State.TERMINATED:
        planting.state = Planting.State.DRILLED
    save_clean(planting)
