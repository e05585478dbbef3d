"""Readings: checked by their kind, put right by another version, struck, and chosen between where two were put in."""

from django.core.exceptions import ValidationError
from django.utils import timezone

from config.errors import Refused, refuse, refused_from
from fieldlog.kinds import KINDS
from fieldlog.kinds.described import NOTHING_KNOWN
from fieldlog.models import Reading
from fieldlog.queries.planted_facts import facts_at
from fieldlog.services.clocks import check_moment
from fieldlog.services.figures import figures_for
from fieldlog.services.rules import consider
from fieldlog.services.said import check_text, place_of

LONGEST_NOTE = Reading._meta.get_field("note").max_length
LONGEST_WHY = Reading._meta.get_field("why").max_length
UNKNOWN = (None, NOTHING_KNOWN)
_RELATIONS = ("visit", "planting", "recorded_by", "replaces", "replaced_by", "rival_of", "struck_by")


def prepare(said, *, visit, user, clock, known=UNKNOWN, protocols=()):
    """A reading as it will be stored, with its figures.

    Parameters
    ----------
    said : dict
        id, kind, values; and what is known of protocol, settings, sure_of, taken_at, lon, lat, accuracy_m, note.
    visit : Visit
    user : User
    clock : Clock
    known : tuple
        Id of the planting that stood on the plot then or None, and `Facts`.
    protocols : iterable of ProtocolNow
        The property's: what the sender left out of the settings is as its protocol has it.

    Returns
    -------
    Reading
        Not stored.

    Raises
    ------
    Refused
        Something in it that cannot be; `fields` says what.
    """
    kind = KINDS.get(said["kind"])
    if kind is None:
        refuse("kind", f"The kind of reading is {said['kind'][:40]!r}; accepted are {', '.join(KINDS)}.")
    values, wrong = kind.read(said.get("values") or {})
    settings, unset = kind.read_settings(_settings(said, kind, protocols))
    _refuse_all(
        {f"values.{name}": text for name, text in wrong.items()}
        | {f"settings.{name}": text for name, text in unset.items()}
    )
    if not values and not said.get("note"):
        refuse("values", f"{kind.title} has no answer; at least one step or a note is accepted.")
    taken_at = clock.right(said["taken_at"]) if said.get("taken_at") else visit.visited_at
    check_moment(taken_at, "taken_at", f"{kind.title} was read")
    reading = Reading(
        id=said["id"],
        visit=visit,
        planting_id=known[0],
        kind=kind.key,
        protocol_key=said.get("protocol") or "",
        settings=settings,
        values=values,
        sure_of=_sure_of(kind, said.get("sure_of") or ()),
        taken_at=taken_at,
        note=check_text(said.get("note") or "", "note", LONGEST_NOTE, "The note"),
        recorded_by=user,
        **place_of(said),
    )
    figures_for(reading, known[1])
    try:
        reading.clean_fields(
            exclude=(*_RELATIONS, "values")
        )  # the kind has read them; none are fine beside a note
    except ValidationError as error:
        raise refused_from(error) from error
    return reading


def _settings(said, kind, protocols):
    """Those that were sent, which `read_settings` checks, on top of those of the protocol."""
    sent, key = said.get("settings") or {}, said.get("protocol") or kind.key
    if not isinstance(sent, dict):
        return sent
    own = (each.settings for each in protocols if each.key == key and each.kind.key == kind.key)
    return next(own, {}) | sent


def is_same(stored, reading):
    """Whether the stored reading is this one, sent again. Figures and settings of the tool may have changed since."""
    return (stored.visit_id, stored.kind, stored.values, stored.note) == (
        reading.visit_id,
        reading.kind,
        reading.values,
        reading.note,
    )


def _sure_of(kind, names):
    known = {each.name for each in kind.steps}
    unknown = [str(name)[:40] for name in names if name not in known]
    if unknown:
        refuse(
            "sure_of",
            f"{kind.title} does not ask for {unknown[0]!r}; accepted are {', '.join(sorted(known))}.",
        )
    return sorted(set(names))


def _refuse_all(sentences):
    if sentences:
        raise Refused(_joined(sentences.values()), fields={name: [text] for name, text in sentences.items()})


def _joined(texts):
    return " ".join(text if text.endswith((".", "?")) else f"{text}." for text in texts)


def move_readings(visit):
    """Reckon a visit's readings by what is known of its plot, which has become another one."""
    when = {(visit.plot_id, timezone.localdate(visit.visited_at))}
    [known] = facts_at(visit.plot.property, when).values()
    for reading in visit.readings.all():
        reading.visit, reading.planting_id = visit, known[0]
        figures_for(reading, known[1])
        reading.save(update_fields=["planting", "figures", "figures_by"])
        if reading.counts:
            consider(reading)
