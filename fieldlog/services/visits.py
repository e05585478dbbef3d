"""Recording that somebody was at a plot, and correcting what they wrote."""

from datetime import UTC

from django.db import transaction
from django.utils import timezone

from config.errors import refuse
from fieldlog.models import Visit
from fieldlog.services.clocks import check_moment
from fieldlog.services.readings import move_readings
from fieldlog.services.said import LONGEST_NOTE, SaidVisit, check_text
from fieldlog.services.taking_in import take_in
from plots.services.locking import lock_plots
from plots.services.rows import save_clean

__all__ = ["LONGEST_NOTE", "correct_visit", "record_visit"]

LONGEST_WHY = Visit._meta.get_field("why_corrected").max_length


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
    said = SaidVisit(id=id, plot=plot, visited_at=visited_at, note=note)
    [taken] = take_in(property=plot.property, user=user, visits=[said])
    if taken.error is not None:
        raise taken.error
    return taken.visit, taken.is_new


@transaction.atomic
def correct_visit(*, visit, user, visited_at, note, plot=None, why=""):
    """Correct when the visit was, what was written, and which plot it was to; what came first is kept beside it.

    Parameters
    ----------
    visit : Visit
    user : User
        Who corrects it.
    visited_at : datetime
    note : str
    plot : Plot, optional
        Of the same property, where it was booked on the wrong one; it needs a `why`. Its readings go with it.
    why : str

    Raises
    ------
    Refused
        As `record_visit`; another property's plot; another plot without a reason.
    """
    lock_plots([visit.plot_id, *([plot.pk] if plot else [])])
    locked = Visit.objects.select_for_update(of=("self",)).select_related("plot").get(pk=visit.pk)
    visited_at = visited_at.replace(microsecond=0)
    check_moment(visited_at, "visited_at", "The visit was")
    note = check_text(note, "note", LONGEST_NOTE, "The note")
    why = check_text(why, "why", LONGEST_WHY, "The reason")
    plot = plot or locked.plot
    if plot.property_id != locked.plot.property_id:
        refuse("plot_id", "This plot belongs to another property.")
    is_moved = plot.pk != locked.plot_id
    if is_moved and not why:
        refuse("why", "Another plot is given without a reason; a few words that say why are accepted.")
    if not is_moved and (visited_at, note) == (locked.visited_at, locked.note):
        return visit
    visit.first_said = _kept(locked, is_moved)
    visit.visited_at, visit.note, visit.plot = visited_at, note, plot
    visit.corrected_by, visit.corrected_at, visit.why_corrected = user, timezone.now(), why
    columns = ["visited_at", "note", "plot", "first_said", "corrected_by", "corrected_at", "why_corrected"]
    save_clean(visit, update_fields=columns)
    if is_moved:
        move_readings(visit)
    return visit


def _kept(visit, is_moved):
    """What it said before anybody corrected it; the plot too once that is another."""
    said_at = (visit.said_at or visit.visited_at).astimezone(UTC).isoformat()
    kept = visit.first_said or {"visited_at": said_at, "note": visit.note}
    return {"plot_id": visit.plot_id, "plot": visit.plot.name} | kept if is_moved else kept
