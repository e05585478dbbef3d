"""What planting records and terminations share: an id made where they are written, corrections that keep what was
there, a strike with its reason."""

from datetime import date, timedelta
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone

from blends.models import Blend, Planting, Season
from config.errors import Conflict, refuse, refused_from
from plots.models import Plot

EARLIEST = date(1950, 1, 1)
CLOCK_AHEAD = timedelta(hours=1)  # of a phone


def lock_planting(planting):
    """The planting as it is now, with its season, plot, boundary and blend.

    Locks the season, the blend and the plot in this order; lots come after them (services/stock.py).
    """
    Season.objects.select_for_update(of=("self",)).get(pk=planting.season_id)
    found = Planting.objects.select_related("season").get(pk=planting.pk)
    if found.blend_id is not None:
        found.blend = Blend.objects.select_for_update(of=("self",)).get(pk=found.blend_id)
    found.plot = Plot.objects.select_for_update(of=("self",)).get(pk=found.plot_id)
    return found


def fill(row, said, columns):
    """Put what was said into the row's columns, in the form in which the database gives it back.

    Text loses the blanks around it, numbers get the column's decimals, times their seconds. What is not said is as
    the column has it when nothing is said.
    """
    for name in columns:
        column = row._meta.get_field(name)
        value = said.get(name)
        if value is None:
            value = None if column.null else column.get_default()
        if isinstance(value, str):
            value = value.strip()
            if "\x00" in value:
                refuse(
                    name,
                    f"{label_of(column)} has a character that is no text (NUL); without it, it is accepted.",
                )
        if isinstance(column, models.TimeField) and value is not None:
            value = value.replace(second=0, microsecond=0)
        if isinstance(column, models.DateTimeField) and value is not None:
            value = value.replace(microsecond=0)
        setattr(row, name, value)
    return row


def content(row, columns):
    """What a row says, to be compared: numbers without the zeros that a column pads them with."""
    return {name: _plain(getattr(row, name)) for name in columns}


def check_columns(row, but=("id",)):
    """Hold every column to what it accepts, which also brings numbers into the column's form.

    Raises
    ------
    Refused
    """
    try:
        row.clean_fields(exclude=[*but])
    except ValidationError as error:
        raise refused_from(error) from error


def check_day(on, field, what):
    """Refuse a day that is missing, to come, or before anybody could have written it down here."""
    if on is None:
        refuse(field, f"Say on which day {what}.")
    if on > timezone.localdate():
        refuse(field, f"{on} is in the future; accepted is today or a day before.")
    if on < EARLIEST:
        refuse(field, f"{on} is before {EARLIEST:%Y}; accepted is a day since then.")


def check_holds(row, what):
    """Let nobody correct or strike what somebody else has corrected or struck.

    Raises
    ------
    Conflict
    """
    if row.is_struck:
        raise Conflict(f"This {what} has been struck: {row.struck_because or 'no reason was given'}.")
    if row.replaced_by_id is not None:
        newer = row.replaced_by
        raise Conflict(
            f"This {what} was corrected by {newer.created_by.shown_name} on "
            f"{timezone.localtime(newer.created_at):%Y-%m-%d at %H:%M}; look at the newer one and correct that."
        )


def strike(row, reason, what):
    """Say that a row was entered by mistake. It stays to be read."""
    reason = (reason or "").strip()
    if not reason or "\x00" in reason:
        refuse("reason", f"Striking a {what} needs a reason in words: entered twice, another plot was meant.")
    row.is_struck, row.struck_because = True, reason
    check_columns(row)
    row.save(update_fields=["is_struck", "struck_because"])


def replace(old, new):
    """Let the new row stand for the old one, which is locked with its season."""
    type(old).objects.filter(pk=old.pk).update(replaced_by=new)
    old.replaced_by = new


def check_same(is_same, id, what):
    if not is_same:
        raise Conflict(
            f"A {what} with the id {id} is here already and says something else; a new {what} needs a new id."
        )


def label_of(column):
    return column.verbose_name[0].upper() + column.verbose_name[1:]


def _plain(value):
    if isinstance(value, Decimal):
        return value.normalize()
    return value
