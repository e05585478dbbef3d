"""Recording that somebody was at a plot, and correcting what they wrote."""

from datetime import UTC, datetime, timedelta

from django.db import transaction
from django.utils import timezone

from config.errors import Conflict, SwardbookError, refuse
from fieldlog.models import Visit
from plots.services.rows import save_clean

EARLIEST = datetime(1950, 1, 1, tzinfo=UTC)
CLOCK_AHEAD = timedelta(days=1)  # phones on the road are hours off, not days
LONGEST_NOTE = Visit._meta.get_field("note").max_length


@transaction.atomic
def record_visit(*, id, plot, user, visited_at, note=""):
    """Record a visit. The same one sent again, by its id, changes nothing.

    Parameters
    ----------
    id : uuid.UUID
        Made where the visit is recorded, before it is sent.
    plot : Plot
        An archived one too: the phone may not have heard of it.
    user : User
    visited_at : datetime
        With its zone; kept to the second.
    note : str

    Returns
    -------
    Visit, bool
        The visit, and whether it is new.

    Raises
    ------
    Refused
        A day before 1950 or more than a day ahead, or a note that is too long.
    Conflict
        The id already names a visit that says something else.
    """
    said = {"visited_at": visited_at.replace(microsecond=0), "note": note.strip()}
    _check(**said)
    stored = Visit.objects.filter(pk=id).first()
    if stored is None:
        visit = Visit(id=id, plot=plot, recorded_by=user, **said)
        try:
            with transaction.atomic():
                return save_clean(visit, force_insert=True), True
        except SwardbookError:
            # a second sending of the same visit may have been quicker
            stored = Visit.objects.filter(pk=id).first()
            if stored is None:
                raise
    if (stored.plot_id, stored.recorded_by_id, _first_said(stored)) != (plot.pk, user.pk, _as_json(**said)):
        raise Conflict(
            f"A visit with the id {id} is here already and says something else; a new visit needs a new id."
        )
    return stored, False


@transaction.atomic
def correct_visit(*, visit, user, visited_at, note):
    """Correct when the visit was and what was written; what came first is kept beside it.

    Raises
    ------
    Refused
        As `record_visit`.
    """
    locked = Visit.objects.select_for_update().get(pk=visit.pk)
    said = {"visited_at": visited_at.replace(microsecond=0), "note": note.strip()}
    _check(**said)
    if said == {"visited_at": locked.visited_at, "note": locked.note}:
        return visit
    visit.first_said = _first_said(locked)
    visit.visited_at, visit.note = said["visited_at"], said["note"]
    visit.corrected_by, visit.corrected_at = user, timezone.now()
    return save_clean(
        visit, update_fields=["visited_at", "note", "first_said", "corrected_by", "corrected_at"]
    )


def _first_said(visit):
    return visit.first_said or _as_json(visit.visited_at, visit.note)


def _as_json(visited_at, note):
    return {"visited_at": visited_at.astimezone(UTC).isoformat(), "note": note}


def _check(visited_at, note):
    if not EARLIEST <= visited_at <= timezone.now() + CLOCK_AHEAD:
        refuse(
            "visited_at",
            f"The visit was on {visited_at:%Y-%m-%d %H:%M}; from {EARLIEST:%Y} to a day ahead of this server's clock "
            "is accepted.",
        )
    if len(note) > LONGEST_NOTE:
        refuse("note", f"The note has {len(note):,} characters; at most {LONGEST_NOTE:,} are accepted.")
    if "\x00" in note:
        refuse("note", "The note has a character that is no text (NUL); without it the note is accepted.")
