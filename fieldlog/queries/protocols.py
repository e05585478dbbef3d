"""What a visit asks for on a property: the tool's protocols as the owner has changed them, and the owner's own."""

from collections import defaultdict
from dataclasses import dataclass, field

from django.db.models import Max
from django.utils import timezone

from fieldlog.kinds import KINDS
from fieldlog.kinds.described import Kind
from fieldlog.models import Protocol, Reading
from plots.models import Plot


@dataclass(frozen=True)
class ProtocolNow:
    """A protocol as it counts on a property.

    Attributes
    ----------
    key : str
        The kind's own for one that comes with the tool.
    kind : Kind
    name, instructions : str
    settings : dict
        {name: value} of all settings of the kind.
    is_on : bool
    plot_ids : frozenset of int or None
        On which plots it is asked; None is all of them.
    every_days : int or None
        How often; None is whenever somebody likes to.
    row : Protocol or None
        What was changed of it.
    """

    key: str
    kind: Kind
    name: str
    instructions: str
    settings: dict
    is_on: bool = True
    plot_ids: frozenset | None = None
    every_days: int | None = None
    row: Protocol | None = field(default=None, compare=False)

    @property
    def is_own(self):
        """Whether the property has made it, beside those of the tool."""
        return self.key not in KINDS

    @property
    def is_changed(self):
        return not self.is_own and self != as_the_tool_has_it(self.kind)

    @property
    def steps(self):
        """The steps that are asked with these settings; one that hangs on an answer is among them."""
        return [step for step in self.kind.steps if step.is_asked(self.settings)]


def as_the_tool_has_it(kind):
    return ProtocolNow(
        key=kind.key,
        kind=kind,
        name=kind.title,
        instructions=kind.instructions,
        settings=kind.defaults,
    )


def protocols_of(property):
    """The protocols of a property, those that are off too: the tool's in its order, then its own; two queries.

    Returns
    -------
    list of ProtocolNow
    """
    rows = list(
        Protocol.objects.filter(property=property).select_related("changed_by").prefetch_related("plots")
    )
    by_key = {row.key: row for row in rows}
    found = [
        _as_changed(by_key[key]) if key in by_key else as_the_tool_has_it(kind) for key, kind in KINDS.items()
    ]
    return found + [_as_changed(row) for row in rows if row.key not in KINDS and row.kind in KINDS]


def protocol_of(property, key):
    """The protocol of that key, or None."""
    return next((each for each in protocols_of(property) if each.key == key), None)


def _as_changed(row):
    kind = KINDS[row.kind]
    kept, _ = kind.read_settings({name: row.settings[name] for name in kind.defaults if name in row.settings})
    return ProtocolNow(
        key=row.key,
        kind=kind,
        name=row.name,
        instructions=row.instructions,
        settings=kept,
        is_on=row.is_on,
        plot_ids=None if row.on_all_plots else frozenset(plot.pk for plot in row.plots.all()),
        every_days=row.every_days,
        row=row,
    )


def protocols_known(protocols):
    """What a phone knows of protocols that are on: plain values, as JSON has them.

    Instructions are empty where they are the kind's, which the phone has once already.
    """
    return [
        {
            "key": each.key,
            "kind": each.kind.key,
            "name": each.name,
            "instructions": "" if each.instructions == each.kind.instructions else each.instructions,
            "settings": each.settings,
            "plots": None if each.plot_ids is None else sorted(each.plot_ids),
            "every_days": each.every_days,
        }
        for each in protocols
        if each.is_on
    ]


def due_known(property, protocols, today=None):
    """Which protocols are due where; two queries.

    A protocol is due where it has never been read, or not for as many days as it says. One without days is offered and
    never due.

    Parameters
    ----------
    property : Property
    protocols : list of ProtocolNow
    today : date, optional

    Returns
    -------
    dict
        {id of a plot in use: [keys]}, without the plots where nothing is due.
    """
    timed = [each for each in protocols if each.is_on and each.every_days]
    if not timed:
        return {}
    today = today or timezone.localdate()
    last, found = last_read(property), defaultdict(list)
    for plot_id in Plot.objects.filter(property=property, is_archived=False).values_list("pk", flat=True):
        for each in timed:
            if each.plot_ids is not None and plot_id not in each.plot_ids:
                continue
            day = last.get((plot_id, each.key))
            if day is None or (today - day).days >= each.every_days:
                found[plot_id].append(each.key)
    return dict(found)


def last_read(property):
    """{(id of the plot, key of the protocol): day} of the last reading that counts; one query.

    A reading that names no protocol was taken by the tool's of its kind.
    """
    rows = (
        Reading.objects.filter(Reading.COUNTS, visit__plot__property=property)
        .order_by()
        .values_list("visit__plot_id", "protocol_key", "kind")
        .annotate(last=Max("taken_at"))
    )
    found = {}
    for plot_id, key, kind, last in rows:
        day = timezone.localdate(last)
        found[plot_id, key or kind] = max(day, found.get((plot_id, key or kind), day))
    return found
