"""Somebody works alone and says by when they will be back: beginning, putting it off and coming back."""

from datetime import timedelta

from django.db import transaction
from django.http import Http404
from django.utils import timezone

from config.errors import refuse
from fieldlog.models import CheckIn
from fieldlog.services.clocks import check_moment, clock_of
from fieldlog.services.said import check_text, place_of
from plots.services.locking import lock_property
from plots.services.recorders import check_recorder
from plots.services.rows import save_clean

LONGEST = timedelta(hours=24)  # ours: who is longer away needs more than this
LONGEST_NOTE = CheckIn._meta.get_field("note").max_length


@transaction.atomic
def receive_check_in(
    *,
    id,
    property,
    user,
    began_at,
    back_by,
    ended_at=None,
    plot=None,
    place=None,
    note="",
    recorded_by=None,
    sent_at=None,
):
    """Take in that somebody is out alone, that it takes longer, or that they are back.

    Requests may be lost, doubled and overtaken by one another. So what is sent again moves `back_by` later and never
    earlier, and who is back stays back: the order in which they come does not matter. The rest stays as it came first.

    Parameters
    ----------
    id : uuid.UUID
        Made on the phone.
    property : Property
    user : User
    began_at, back_by, ended_at : datetime
        By the phone's clock; `ended_at` None while they are out.
    plot : Plot, optional
        Of the same property.
    place : dict, optional
        {"lon", "lat", "accuracy_m"}
    note : str
    recorded_by : int, optional
        Id of who was signed in then.
    sent_at : datetime, optional
        By the same clock; where that is off by more than two minutes all moments are put right.

    Returns
    -------
    CheckIn, bool
        And whether it is new.

    Raises
    ------
    Refused
        Moments in the wrong order, more than a day apart or out of reach; a place, plot or note that cannot be used.
    OtherPerson
        `recorded_by`, or who sent it first, is another person.
    Http404
        The id belongs to another property.
    """
    check_recorder(user, recorded_by, "said this")
    clock = clock_of(sent_at)
    moments = {"began_at": began_at, "back_by": back_by, "ended_at": ended_at}
    moments = {name: moment and clock.right(moment) for name, moment in moments.items()}
    _check(**moments)
    lock_property(property.pk)
    stored = CheckIn.objects.select_for_update(of=("self",)).filter(pk=id).first()
    if stored is not None:
        return _carried_on(stored, property, user, moments), False
    if plot is not None and plot.property_id != property.pk:
        refuse("plot_id", "This plot belongs to another property.")
    check_in = CheckIn(
        id=id,
        property=property,
        user=user,
        plot=plot,
        note=check_text(note, "note", LONGEST_NOTE, "The note"),
        ended_by=user if ended_at else None,
        **moments,
        **place_of(place or {}),
    )
    return save_clean(check_in, force_insert=True), True


@transaction.atomic
def end_check_in(*, check_in, user):
    """Say at the desk that somebody is back. Said twice it is as it was said first."""
    locked = CheckIn.objects.select_for_update(of=("self",)).get(pk=check_in.pk)
    if locked.ended_at is None:
        locked.ended_at, locked.ended_by = max(timezone.now(), locked.began_at), user
        locked.save(update_fields=["ended_at", "ended_by"])
    return locked


def _carried_on(stored, property, user, moments):
    if stored.property_id != property.pk:
        raise Http404
    check_recorder(user, stored.user_id, "said this")
    stored.back_by = max(stored.back_by, moments["back_by"])
    if stored.ended_at is None and moments["ended_at"]:
        stored.ended_at, stored.ended_by = max(moments["ended_at"], stored.began_at), user
    stored.save(update_fields=["back_by", "ended_at", "ended_by"])
    return stored


def _check(began_at, back_by, ended_at):
    check_moment(began_at, "began_at", "The check-in began")
    if not began_at < back_by <= began_at + LONGEST:
        refuse(
            "back_by",
            f"Back by {back_by:%Y-%m-%d %H:%M}, begun {began_at:%Y-%m-%d %H:%M}; accepted is later than that, and "
            "within 24 hours of it.",
        )
    if ended_at is None:
        return
    check_moment(ended_at, "ended_at", "The check-in ended")
    if ended_at < began_at:
        refuse(
            "ended_at",
            f"Back at {ended_at:%Y-%m-%d %H:%M}, begun {began_at:%Y-%m-%d %H:%M}; not before it is accepted.",
        )
