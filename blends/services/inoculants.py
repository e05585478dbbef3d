"""Inoculant on the shelf: entered, corrected, used up."""

from django.db import transaction
from django.utils import timezone

from blends.models import InoculantLot
from blends.services.stock import EARLIEST
from config.errors import refuse
from plots.services.earlier import keep_earlier
from plots.services.rows import save_clean

FIELDS = (
    "inoculant_group", "lot_number", "treats_lb", "received_on", "expires_on", "kept_at", "cost_usd", "note",
)  # fmt: skip


@transaction.atomic
def add_inoculant(*, property, user, **values):
    """Enter inoculant that came.

    Parameters
    ----------
    property : Property
    user : User
    **values
        FIELDS. The group is one of the species' own (`inoculant_group`); an expiry date that is not known stays None.

    Raises
    ------
    Refused
        A value that cannot be.
    """
    row = InoculantLot(property=property, created_by=user)
    for name, value in _tidied(values).items():
        setattr(row, name, value)
    return _checked_save(row)


@transaction.atomic
def correct_inoculant(*, inoculant, user, **values):
    """Change what was typed wrongly; what it said before stays in `earlier`."""
    row = _locked(inoculant)
    return _checked_save(row) if keep_earlier(row, user, _tidied(values)) else row


@transaction.atomic
def use_up(*, inoculant, user, on):
    """Say that nothing is left, since a day; None takes that back."""
    row = _locked(inoculant)
    if on is not None and not row.received_on <= on <= timezone.localdate():
        refuse(
            "used_up_on",
            f"Used up is {on}; a day from {row.received_on}, when it came, to today is accepted.",
        )
    if keep_earlier(row, user, {"used_up_on": on}):
        save_clean(row)
    return row


def _locked(inoculant):
    return InoculantLot.objects.select_for_update(of=("self",)).get(pk=inoculant.pk)


def _tidied(values):
    return {name: value.strip() if isinstance(value, str) else value for name, value in values.items()}


def _checked_save(row):
    today = timezone.localdate()
    if row.received_on is not None and not EARLIEST <= row.received_on <= today:
        refuse(
            "received_on",
            f"It came on {row.received_on}; a day from {EARLIEST} to today, {today}, is accepted.",
        )
    if row.expires_on is not None and row.expires_on < EARLIEST:
        refuse("expires_on", f"It expires on {row.expires_on}; a day since {EARLIEST:%Y} is accepted.")
    if row.used_up_on is not None and row.received_on is not None and row.used_up_on < row.received_on:
        refuse(
            "received_on",
            f"It came on {row.received_on} and was used up on {row.used_up_on}; a day before that is accepted.",
        )
    return save_clean(row)
