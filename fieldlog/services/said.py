"""What is said of a visit where it is recorded, and what became of it here."""

from dataclasses import dataclass, field
from datetime import UTC, datetime
from uuid import UUID

from config.errors import refuse
from fieldlog.models import Visit
from plots.models import Plot

LONGEST_NOTE = Visit._meta.get_field("note").max_length
READING, PHOTO = "reading", "photo"
PLACE = ("lon", "lat", "accuracy_m")


@dataclass(frozen=True)
class SaidVisit:
    """A visit in the words of whoever recorded it, moments by their clock.

    `readings` and `photos` are dicts by the names of the columns, with an `id` each; see `readings.prepare` and
    `photos.prepare`.
    """

    id: UUID
    plot: Plot
    visited_at: datetime
    note: str = ""
    place: dict = field(default_factory=dict)
    readings: tuple = ()
    photos: tuple = ()
    recorded_by: int | None = None


@dataclass(frozen=True)
class RefusedPart:
    """A reading or a picture that was not taken in while the rest was."""

    id: str
    what: str
    code: str
    sentence: str
    fields: dict


@dataclass
class Taken:
    """What became of a visit: it is here, or `error` says why not."""

    visit: Visit | None = None
    is_new: bool = False
    refused: list = field(default_factory=list)
    error: Exception | None = None


def refused_part(part_id, what, error):
    return RefusedPart(str(part_id), what, error.code, error.sentence, error.fields)


def place_of(said):
    """{"lon", "lat", "accuracy_m"} as they are stored, null where nobody knows.

    Raises
    ------
    Refused
        Only one of longitude and latitude, or an accuracy of no place.
    """
    place = {name: said.get(name) for name in PLACE}
    if (place["lon"] is None) != (place["lat"] is None):
        refuse("lon", "A place needs longitude and latitude; one of them alone says nothing.")
    if place["lon"] is None:
        place["accuracy_m"] = None
    return place


def check_text(text, field_name, most, what):
    """The text without blanks around it.

    Raises
    ------
    Refused
        It is too long, or has what is no text.
    """
    text = text.strip()
    if len(text) > most:
        refuse(field_name, f"{what} has {len(text):,} characters; at most {most:,} are accepted.")
    if "\x00" in text:
        refuse(field_name, f"{what} has a character that is no text (NUL); without it it is accepted.")
    return text


def first_said(visit):
    """What a visit said when it was recorded, by the clock of then: {"visited_at", "note", "plot_id", "lon", …}."""
    said = {
        "visited_at": (visit.said_at or visit.visited_at).astimezone(UTC).isoformat(),
        "note": visit.note,
        "plot_id": visit.plot_id,
    }
    said |= {name: getattr(visit, name) for name in PLACE}
    return said | {name: value for name, value in (visit.first_said or {}).items() if name in said}
