"""The phones of a property's people, and what waits on each."""

from dataclasses import dataclass, field
from datetime import datetime

from django.utils.dateparse import parse_datetime

from fieldlog.models import Phone
from fieldlog.services.phones import may_end
from fieldlog.told import clock_words

KINDS = {
    "visit": "Visit",
    "walk": "Walk of an edge",
    "planting": "Planting record",
    "work": "Report of work",
    "workitem": "Item of work",
    "checkin": "Check-in",
}


@dataclass(frozen=True)
class Waiting:
    """Something on a phone that is not here yet. `refused` is why the server did not take it, or empty."""

    what: str
    title: str
    started_at: datetime | None
    refused: str


@dataclass(frozen=True)
class PhoneSeen:
    """A phone as the page shows it: `clock` in words where it is off, `may_end` for who asked."""

    phone: Phone
    waiting: list = field(default_factory=list)
    clock: str = ""
    may_end: bool = False


def phones_of(property):
    """Phones of the people of the property, the latest heard of first."""
    rows = Phone.objects.filter(user__memberships__property=property)
    return rows.select_related("user", "ended_by").order_by("-last_seen_at", "-pk")


def phones_for(property, asker):
    """[PhoneSeen] with what waits on each of this property alone.

    Parameters
    ----------
    property : Property
        Through the door.
    asker : User
    """
    return [
        PhoneSeen(
            phone,
            waiting_for(phone, property),
            clock_words(phone.clock_ahead_s),
            may_end(phone, asker, property),
        )
        for phone in phones_of(property)
    ]


def waiting_for(phone, property):
    """[Waiting], the oldest first, of one property: of others nobody here learns."""
    return [
        Waiting(
            KINDS.get(each["kind"], "Record"),
            each["title"],
            parse_datetime(each["started_at"]),
            each["refused"],
        )
        for each in phone.waiting
        if each["slug"] == property.slug
    ]
