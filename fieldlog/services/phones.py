"""The phones that people record with: what they last said of themselves, and ending what somebody can do from one."""

from datetime import UTC, datetime
from importlib import import_module

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from config.errors import SwardbookError, refuse
from fieldlog.models import Phone
from fieldlog.services.clocks import clock_of
from plots.access import OWN
from plots.models import Membership
from plots.services.recorders import check_recorder
from plots.services.rows import save_clean

MOST_WAITING = 500
LONGEST_NAME = Phone._meta.get_field("name").max_length
_LONGEST_AGENT = Phone._meta.get_field("user_agent").max_length
_BEGAN, _LONG_AGO = "signed_in_at", datetime.min.replace(tzinfo=UTC)
_LONGEST = {"kind": 20, "title": 120, "slug": 60, "refused": 600}
# What a manager may end; the owner may end every phone.
_BELOW_A_MANAGER = {Membership.Role.RECORDER, Membership.Role.VIEWER}


class PhoneEnded(SwardbookError):
    """Nothing is taken from this phone any more."""

    code = "phone_ended"
    http_status = 403


@transaction.atomic
def hear_from_phone(*, user, phone_id, waiting, sent_at=None, name="", user_agent="", session=None):
    """Keep what a phone says of itself. One whose access was ended is heard too, since what waits on it matters then; a
    session that is older than that and was not known when it was ended goes then.

    Parameters
    ----------
    user : User
        Who is signed in on it; two people's phone is a row for each.
    phone_id : uuid.UUID
        Made on the phone.
    waiting : list of dict
        {"id", "kind", "title", "slug", "started_at", "refused", "recorded_by"} of what has not been sent, the oldest
        first. What another person recorded is left out, and what comes after the first 500.
    sent_at : datetime, optional
        By the phone's clock.
    name, user_agent : str
        Cut to what is kept.
    session : SessionBase, optional
        In which it was said; None with a token.

    Returns
    -------
    Phone

    Raises
    ------
    Refused
        `sent_at` cannot be used, or something of `waiting` is too long.
    """
    clock = clock_of(sent_at)
    phone = _locked(_phone_of(user, phone_id))
    own = [each for each in waiting if each.get("recorded_by") in (None, user.pk)]
    phone.waiting = [_waiting(each) for each in own[:MOST_WAITING]]
    phone.clock_ahead_s = clock.ahead_s
    phone.name = name[:LONGEST_NAME] or phone.name
    phone.user_agent = user_agent[:_LONGEST_AGENT]
    phone.session_key = (session and session.session_key) or phone.session_key
    phone.last_seen_at = timezone.now()
    if session is not None and phone.ended_at is not None and _began(session) < phone.ended_at:
        _end_session(phone)
    return save_clean(phone, ("user", "ended_by", "clock_ahead_s"))


def check_phone(user, phone_id):
    """The phone that a person sends from, if it may.

    Parameters
    ----------
    user : User
    phone_id : uuid.UUID or None
        None where something else than a phone sends.

    Returns
    -------
    Phone or None

    Raises
    ------
    PhoneEnded
    """
    if phone_id is None:
        return None
    phone = _phone_of(user, phone_id)
    if phone.ended_at is not None:
        raise PhoneEnded(
            f"This phone's access was ended on {timezone.localtime(phone.ended_at):%Y-%m-%d}, so nothing is taken "
            f"from it for {user.shown_name}. The owner or a manager can let it in again."
        )
    return phone


def check_sender(user, *, recorded_by, phone_id, did):
    """Let nobody send what another person recorded, nor anything from a phone whose access was ended.

    Parameters
    ----------
    user : User
        Who is signed in.
    recorded_by : int or None
    phone_id : uuid.UUID or None
    did : str
        As for `check_recorder`.

    Raises
    ------
    OtherPerson, PhoneEnded
    """
    check_recorder(user, recorded_by, did)
    check_phone(user, phone_id)


@transaction.atomic
def end_phone(*, phone, by, property):
    """Sign the person out on this phone and take nothing from it any more. What waits on it stays listed.

    Parameters
    ----------
    phone : Phone
        Of a person of the property.
    by : User
    property : Property
        Through the door, with what `by` may do there.

    Raises
    ------
    PermissionDenied
        A manager ends those of recorders and viewers, and their own.
    """
    check_may_end(phone, by, property)
    locked = _locked(phone)
    _end_session(locked)
    if locked.ended_at is None:
        locked.ended_at, locked.ended_by = timezone.now(), by
    locked.save(update_fields=["session_key", "ended_at", "ended_by"])
    return locked


@transaction.atomic
def let_phone_in(*, phone, by, property):
    """Take what comes from this phone again, once its person has signed in on it.

    Raises
    ------
    PermissionDenied
        As `end_phone`.
    """
    check_may_end(phone, by, property)
    locked = _locked(phone)
    locked.ended_at = locked.ended_by = None
    locked.save(update_fields=["ended_at", "ended_by"])
    return locked


def may_end(phone, by, property):
    """Whether `by` may end the phone of this person of the property."""
    if phone.user_id == by.pk or OWN in property.allowed:
        return True
    roles = Membership.objects.filter(user_id=phone.user_id, property=property)
    return roles.filter(role__in=_BELOW_A_MANAGER).exists()


def check_may_end(phone, by, property):
    if not may_end(phone, by, property):
        raise PermissionDenied("The phone of a manager or an owner is ended by the owner, or by its person.")


def _phone_of(user, phone_id):
    """The row of the person's phone, made when it is first heard of."""
    return Phone.objects.get_or_create(
        user=user, phone_id=phone_id, defaults={"last_seen_at": timezone.now()}
    )[0]


def _locked(phone):
    """The row as it is now: what is said of a phone while it is ended does not let it in again."""
    return Phone.objects.select_for_update(of=("self",)).select_related("user").get(pk=phone.pk)


def _waiting(said):
    """One thing that waits, as it is kept."""
    for name, longest in _LONGEST.items():
        if len(said.get(name) or "") > longest:
            refuse(
                "waiting",
                f"{name} of what waits has {len(said[name])} characters; at most {longest} are accepted.",
            )
    kept = {name: said.get(name) or "" for name in _LONGEST}
    return kept | {"id": str(said["id"]), "started_at": said["started_at"].isoformat()}


def remember_sign_in(sender, request, **_):
    """Keep in a session when it began."""
    request.session[_BEGAN] = timezone.now().isoformat()


def _began(session):
    """Since when the person is signed in; long ago where the session does not say."""
    return parse_datetime(session.get(_BEGAN, "")) or _LONG_AGO


def _end_session(phone):
    """Sign out there. The row is left to be saved."""
    if phone.session_key:
        import_module(settings.SESSION_ENGINE).SessionStore(phone.session_key).flush()
    phone.session_key = ""
