"""What an owner changes of the protocols. What a change replaces stays on the row."""

from django.db import transaction
from django.utils import timezone
from django.utils.text import slugify

from config.errors import Refused, refuse
from fieldlog.kinds import KINDS
from fieldlog.models import Protocol
from fieldlog.queries.protocols import protocol_of
from plots.models import Plot
from plots.services.earlier import keep_earlier
from plots.services.locking import lock_property
from plots.services.rows import save_clean

MOST_DAYS = 366
MOST_OWN = 40
LONGEST_NAME = Protocol._meta.get_field("name").max_length
LONGEST_INSTRUCTIONS = Protocol._meta.get_field("instructions").max_length


@transaction.atomic
def change_protocol(
    *, property, user, key, name, instructions, settings, is_on=True, plot_ids=None, every_days=None
):
    """Say how something is measured here.

    Parameters
    ----------
    property : Property
    user : User
    key : str
        Of a protocol of the property, or of one that comes with the tool.
    name : str
    instructions : str
        Left empty they are the tool's.
    settings : dict
        {name: value}, by the settings of its kind; what is left out is as the tool has it.
    is_on : bool
        Whether visits ask for it.
    plot_ids : iterable of int, optional
        On which plots; None is all of them.
    every_days : int, optional

    Returns
    -------
    ProtocolNow

    Raises
    ------
    Refused
        Something that cannot be used; `fields` says which.
    """
    lock_property(property.pk)
    now = protocol_of(property, key)
    if now is None:
        refuse("key", f"The protocol is {key[:40]!r}; accepted are those of the list.")
    wanted = _checked(now.kind, name, instructions, settings, is_on, every_days)
    plots = _plots(property, plot_ids)
    row = now.row or Protocol(
        property=property,
        key=key,
        kind=now.kind.key,
        name=now.name,
        settings=now.settings,
        instructions=now.instructions,
    )
    _store(row, user, wanted, plots)
    return protocol_of(property, key)


@transaction.atomic
def add_protocol(*, property, user, kind, name, **said):
    """Add a protocol of a kind beside the tool's, such as a second place for the rain gauge.

    Parameters
    ----------
    kind : str
        A key of `KINDS`.
    said
        As for `change_protocol`.

    Returns
    -------
    ProtocolNow

    Raises
    ------
    Refused
    """
    lock_property(property.pk)
    if kind not in KINDS:
        refuse("kind", f"The kind of reading is {str(kind)[:40]!r}; accepted are {', '.join(KINDS)}.")
    taken = set(Protocol.objects.filter(property=property).values_list("key", flat=True)) | set(KINDS)
    if len(taken - set(KINDS)) >= MOST_OWN:
        refuse("name", f"There are {MOST_OWN} protocols of your own, which is the most that is accepted.")
    plot_ids = said.pop("plot_ids", None)
    said = {"instructions": "", "settings": {}, "is_on": True, "every_days": None} | said
    wanted = _checked(KINDS[kind], name, **said)
    row = Protocol(property=property, key=_free_key(wanted["name"], taken), kind=kind, position=len(taken))
    _store(row, user, wanted, _plots(property, plot_ids), is_new=True)
    return protocol_of(property, row.key)


def reset_protocol(*, property, user, key):
    """Take a protocol back to how the tool has it; what it said stays on its row.

    Raises
    ------
    Refused
        The protocol is the property's own.
    """
    kind = KINDS.get(key)
    if kind is None:
        refuse("key", f"The protocol {key[:40]!r} is your own, and the tool has none to go back to.")
    return change_protocol(
        property=property,
        user=user,
        key=key,
        name=kind.title,
        instructions=kind.instructions,
        settings=kind.defaults,
    )


def _checked(kind, name, instructions, settings, is_on, every_days):
    name = " ".join(str(name or "").split())
    if not 0 < len(name) <= LONGEST_NAME:
        refuse("name", f"The name has {len(name)} characters; 1 to {LONGEST_NAME} are accepted.")
    instructions = str(instructions or "").strip()
    if len(instructions) > LONGEST_INSTRUCTIONS:
        refuse(
            "instructions",
            f"The instructions have {len(instructions):,} characters; at most {LONGEST_INSTRUCTIONS:,} are accepted.",
        )
    if any("\x00" in text for text in (name, instructions)):
        refuse("name", "The name or the instructions have a character that is no text (NUL).")
    kept, wrong = kind.read_settings(settings)
    if wrong:
        raise Refused(
            " ".join(f"{sentence}." for sentence in wrong.values()),
            fields={f"settings.{name}": [f"{sentence}."] for name, sentence in wrong.items()},
        )
    if every_days is not None and not 1 <= every_days <= MOST_DAYS:
        refuse("every_days", f"How often is every {every_days} days; every 1 to {MOST_DAYS} are accepted.")
    return {
        "name": name,
        "instructions": instructions or kind.instructions,
        "settings": kept,
        "is_on": bool(is_on),
        "every_days": every_days,
    }


def _plots(property, plot_ids):
    """The plots, or None for all of them."""
    if plot_ids is None:
        return None
    wanted = set(plot_ids)
    plots = list(Plot.objects.filter(property=property, pk__in=wanted))
    if missing := wanted - {plot.pk for plot in plots}:
        refuse("plots", f"There is no plot {min(missing)} here; accepted are the property's plots, by id.")
    return plots


def _store(row, user, wanted, plots, is_new=False):
    before = None if row.pk is None or row.on_all_plots else {plot.pk: plot.name for plot in row.plots.all()}
    after = None if plots is None else {plot.pk: plot.name for plot in plots}
    wanted = wanted | {"on_all_plots": plots is None}
    if is_new:
        for name, value in wanted.items():
            setattr(row, name, value)
    elif not _has_changed(row, user, wanted, before, after):
        return
    row.changed_by = user
    save_clean(row, known=("property", "changed_by"))
    row.plots.set(plots or [])


def _has_changed(row, user, wanted, before, after):
    """Set what is wanted and keep what it replaces; plots are kept by their names."""
    is_changed = keep_earlier(row, user, wanted)
    if before is None or before == after:
        return is_changed or before != after
    if not is_changed:
        row.earlier = [
            *row.earlier,
            {"at": timezone.now().isoformat(), "by": user.shown_name, "was": {}},
        ]
    row.earlier[-1]["was"]["plots"] = ", ".join(sorted(before.values()))
    return True


def _free_key(name, taken):
    base = slugify(name)[:32] or "protocol"
    key, number = base, 2
    while key in taken or key == "new":  # the address of the page that adds one
        key, number = f"{base}-{number}", number + 1
    return key
