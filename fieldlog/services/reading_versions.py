"""Readings put right by another version, struck, and chosen between where two were put in. Nothing is erased."""

from django.db import transaction
from django.utils import timezone

from config.errors import Conflict
from fieldlog.models import Reading, Visit
from fieldlog.queries.planted_facts import facts_at
from fieldlog.queries.protocols import protocols_of
from fieldlog.services.clocks import clock_of
from fieldlog.services.phones import check_sender
from fieldlog.services.readings import LONGEST_WHY, is_same, prepare
from fieldlog.services.rules import consider
from fieldlog.services.said import PLACE, check_text
from plots.services.locking import lock_plots
from plots.services.rows import save_clean

_KEPT = ("settings", "note", "taken_at", *PLACE)  # of the version before, where nothing else is said
# looked up or read already
_KNOWN = ("visit", "planting", "recorded_by", "replaces", "replaced_by", "rival_of", "values")


@transaction.atomic
def add_reading(*, visit, user, said, sent_at=None, phone_id=None, recorded_by=None):
    """Add a reading to a visit that is here. The same sent again, by its id, changes nothing.

    Parameters
    ----------
    visit : Visit
    user : User
    said : dict
        As for `readings.prepare`.
    sent_at, phone_id, recorded_by
        As for `taking_in.take_in`.

    Returns
    -------
    Reading, bool
        The reading, and whether it is new.

    Raises
    ------
    Refused, Conflict, OtherPerson, PhoneEnded
    """
    clock = _sender(user, sent_at, phone_id, recorded_by)
    visit = _locked_visit(visit.pk)
    reading = _prepared(said, visit, user, clock)
    if (stored := _stored(reading)) is not None:
        return stored, False
    save_clean(reading, _KNOWN, force_insert=True)
    consider(reading)
    return reading, True


@transaction.atomic
def correct_reading(*, reading, user, id, said, why, sent_at=None, phone_id=None, recorded_by=None):
    """Put a version in the place of a reading. The same sent again, by its id, changes nothing.

    Where another version has taken its place meanwhile, both count, each the other's rival, until `choose_reading`. One
    that says the same as that other is kept and does not count.

    Parameters
    ----------
    reading : Reading
        The version that the person had before them.
    user : User
    id : uuid.UUID
        Of the new version.
    said : dict
        Its values; sure_of, settings, note, taken_at and place where they are others than before.
    why : str
        May be empty.

    Returns
    -------
    Reading, bool
        The version, and whether it is new.

    Raises
    ------
    Refused
        A value that cannot be.
    Conflict
        The reading was struck, or the id says something else.
    OtherPerson, PhoneEnded
    """
    clock = _sender(user, sent_at, phone_id, recorded_by)
    visit = _locked_visit(reading.visit_id)
    before = Reading.objects.get(pk=reading.pk)
    kept = {name: getattr(before, name) for name in _KEPT if name not in said}
    taken_at = kept.pop("taken_at", None)  # by this server's clock already
    if isinstance(said.get("settings"), dict):
        said = said | {"settings": before.settings | said["settings"]}
    wanted = {"kind": before.kind, "protocol": before.protocol_key, "id": id} | kept | said
    version = _prepared(wanted, visit, user, clock)
    version.taken_at = taken_at or version.taken_at
    version.replaces, version.why = before, check_text(why, "why", LONGEST_WHY, "The reason")
    if (stored := _stored(version)) is not None:
        return stored, False
    if before.struck_at is not None:
        raise Conflict("This reading was struck; it is taken up again before it is corrected.")
    _put_in_place(before, version)
    return version, True


@transaction.atomic
def strike_reading(*, reading, user, is_struck=True):
    """Say that a reading was entered by mistake, or take it up again. It stays to be read."""
    _locked_visit(reading.visit_id)
    locked = Reading.objects.select_related("visit__plot__property").get(pk=reading.pk)
    if locked.replaced_by_id is not None:
        raise Conflict("Another version has taken this reading's place; strike that one.")
    if is_struck != (locked.struck_at is not None):
        locked.struck_at, locked.struck_by = (timezone.now(), user) if is_struck else (None, None)
        locked.save(update_fields=["struck_at", "struck_by"])
        if is_struck:
            _let_others_be_rivals(locked)
        consider(locked)
    return locked


@transaction.atomic
def choose_reading(*, reading, user):
    """Let one of several rivals count alone; the others are replaced by it.

    Raises
    ------
    Conflict
        It does not count itself.
    """
    visit = _locked_visit(reading.visit_id)
    chosen = Reading.objects.get(pk=reading.pk)
    if not chosen.counts:
        raise Conflict(
            "This version counts no more, since somebody has chosen or struck; look again and repeat."
        )
    others = rivals_of(chosen, Reading.objects.filter(Reading.COUNTS, visit=visit))
    chosen.rival_of = None
    chosen.save(update_fields=["rival_of"])
    for other in others:
        other.replaced_by, other.rival_of = chosen, None
        other.save(update_fields=["replaced_by", "rival_of"])
    for each in (*others, chosen):
        each.visit = visit
        consider(each)
    return chosen


def rivals_of(reading, counting):
    """The readings among `counting` that stand beside this one as versions of the same."""
    first = reading.rival_of_id or reading.pk
    return [each for each in counting if each.pk != reading.pk and first in (each.pk, each.rival_of_id)]


def _put_in_place(before, version):
    head = _head(before)
    if head.pk == before.pk:
        version.rival_of_id = before.rival_of_id
    elif is_same(head, version) and head.counts:
        version.replaced_by = head
    elif head.counts:
        version.rival_of_id = head.rival_of_id or head.pk
    save_clean(version, _KNOWN, force_insert=True)
    if head.pk == before.pk:
        before.replaced_by = version
        before.save(update_fields=["replaced_by"])
        Reading.objects.filter(rival_of=before).update(rival_of=version)
        before.visit = version.visit
        consider(before)
    consider(version)


def _let_others_be_rivals(struck):
    """Of three or more versions that stood beside each other one is gone; the rest still ask."""
    first, *others = Reading.objects.filter(Reading.COUNTS, rival_of=struck).order_by("received_at") or [None]
    if others:
        first.rival_of = None
        first.save(update_fields=["rival_of"])
        Reading.objects.filter(pk__in=[each.pk for each in others]).update(rival_of=first)


def _head(reading):
    """The version that took a reading's place, or the one that took that one's."""
    while reading.replaced_by_id is not None:
        reading = reading.replaced_by
    return reading


def _prepared(said, visit, user, clock):
    [known] = facts_at(visit.plot.property, {(visit.plot_id, timezone.localdate(visit.visited_at))}).values()
    protocols = protocols_of(visit.plot.property)
    return prepare(said, visit=visit, user=user, clock=clock, known=known, protocols=protocols)


def _stored(reading):
    """The same reading if it is here already."""
    stored = Reading.objects.select_related("recorded_by").filter(pk=reading.pk).first()
    if stored is None:
        return None
    if stored.replaces_id != reading.replaces_id or not is_same(stored, reading):
        raise Conflict(
            f"A reading with the id {reading.pk} is here already and says something else; another needs a new id."
        )
    return stored


def _locked_visit(visit_id):
    """Corrections of one visit come one after the other, and those of a plot."""
    lock_plots(Visit.objects.filter(pk=visit_id).values_list("plot_id", flat=True))
    rows = Visit.objects.select_for_update(of=("self",)).select_related("plot__property", "recorded_by")
    return rows.get(pk=visit_id)


def _sender(user, sent_at, phone_id, recorded_by):
    check_sender(user, recorded_by=recorded_by, phone_id=phone_id, did="recorded this")
    return clock_of(sent_at)
