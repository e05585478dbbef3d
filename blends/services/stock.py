"""The ledger of the seed lots: received, used, lost, counted, moved.

A lot's ledger is read in the order of its days. Its entries are worked through from the first after every change: what
a count differs from the book, what lies where, what each pound cost. So an entry that comes late, from a phone
without signal, or one that stands for another falls into its place, and a count after it still holds.

At any time: received + found = used + lost + short + on hand, and the cents of what went out and of what is on hand
are the lot's cost. No pounds leave that are not there; where the bag held more, somebody counts it.
"""

from datetime import date
from decimal import Decimal, InvalidOperation

from django.db import transaction
from django.utils import timezone

from blends.models import Lot, StockEntry
from blends.queries.stock_book import worked_through
from blends.services.stale import mark_stock_changed
from config.errors import refuse
from plots.services.rows import save_clean

LEAST_LB = Decimal("0.001")
MOST_LB = Decimal(1_000_000)  # of one entry; ours
EARLIEST = date(1950, 1, 1)
REASON_LONGEST = 300


def lock_lots(lot_ids):
    """The lots, locked in the order of their ids so that two people never wait for each other.

    Call it in a transaction, after the locks of seasons, blends and plots and before any other. Rows that merely name
    a lot are let through, since two people who had both stored one would then wait for each other.

    Returns
    -------
    dict
        Lot by its id.
    """
    rows = Lot.objects.select_for_update(of=("self",), no_key=True).filter(pk__in=set(lot_ids)).order_by("pk")
    return {lot.pk: lot for lot in rows}


@transaction.atomic
def receive(*, lot, lb, on, user, place="", reason="", stands_at=None):
    """Pounds that came. [bulk lb] `stands_at` is that of the entry which this one stands for."""
    entry = _entry(lot, StockEntry.Kind.RECEIVED, on, _pounds(lb), place=place, reason=reason)
    entry.stands_at = stands_at
    return _enter(lot, user, entry)


@transaction.atomic
def use(*, lot, lb, on, user, place=None, record_seed=None, stands_at=None, is_counted=False):
    """Pounds that were sown.

    Parameters
    ----------
    lot : Lot
    lb : Decimal
        [bulk lb]
    on : date
    user : User
    place : str or None
        Where they were taken; None takes from where most lies, then from the next.
    record_seed : RecordSeed, optional
    stands_at : int, optional
        Of the entry that this one stands for.
    is_counted : bool
        Somebody weighed it: what the book lacks that day is entered as found by a count, which belongs to the same
        `record_seed` and goes with it when it is taken back.

    Returns
    -------
    list of StockEntry
        One for each place; before it what was found there.

    Raises
    ------
    Refused
        Pounds that are not above 0, a day in the future.
    Conflict
        More than the lot had that day, or than a later day needs.
    """
    return _take(
        lot, user, StockEntry.Kind.USED, lb, on, place, stands_at, is_counted, record_seed=record_seed
    )


@transaction.atomic
def lose(*, lot, lb, on, user, reason, place=None):
    """Pounds that were spilled, spoiled, eaten by mice, given away. Raises as `use`; needs a reason."""
    if not reason.strip():
        refuse("reason", "A loss needs a reason in words: spilled, spoiled, eaten by mice, given away.")
    return _take(lot, user, StockEntry.Kind.LOST, lb, on, place, None, False, reason=reason.strip())


@transaction.atomic
def count(*, lot, lb, on, user, place=None, reason=""):
    """What was weighed or counted at a place that day; it goes before the book from then on.

    Parameters
    ----------
    lb : Decimal
        0 or more. [bulk lb]
    place : str or None
        None is the place where the lot lies that day; empty is seed whose place was not said.

    Raises
    ------
    Refused
        Pounds below 0, a day in the future, no place where the lot lies at several.
    Conflict
        Less than a later day needs.
    """
    counted = _number(lb)
    if not 0 <= counted <= MOST_LB:
        refuse("lb", f"{counted:f} lb were counted; accepted is 0 to {MOST_LB:,f}.")
    if place is None:
        lot = lock_lots([lot.pk])[lot.pk]
        lying = worked_through(_before(_counting(lot), on), None, lot).by_place
        if len(lying) > 1:
            named = ", ".join(f"“{each}”" if each else "a place not said" for each in lying)
            refuse("place", f"{lot} lies at {named}; say at which of them it was counted.")
        place = next(iter(lying), "")
    entry = _entry(lot, StockEntry.Kind.COUNTED, on, Decimal(0), place=place, reason=reason)
    entry.counted_lb = counted
    return _enter(lot, user, entry)


@transaction.atomic
def move(*, lot, lb, on, user, from_place, to_place, reason=""):
    """Carry pounds from one place to another; two entries, which together change nothing but the places.

    Both halves stand at the same place in the ledger, by which `move_of` finds them.
    """
    if _known_place(lot, from_place) == _known_place(lot, to_place):
        refuse("to_place", f"The seed lies at “{to_place}” already; name another place.")
    lb = _pounds(lb)
    out = _entry(lot, StockEntry.Kind.MOVED, on, -lb, place=from_place, reason=reason)
    into = _entry(lot, StockEntry.Kind.MOVED, on, lb, place=to_place, reason=reason)
    return _enter(lot, user, out, into)


def move_of(entry):
    """Both halves of the move that an entry belongs to."""
    return StockEntry.objects.filter(
        lot=entry.lot_id, kind=StockEntry.Kind.MOVED, on=entry.on, stands_at=entry.stands_at
    )


@transaction.atomic
def take_back(*, entries, user, reason="", work_through=True):
    """Let entries of one lot count no more; they stay to be read, with why. The other half of a move goes too.

    What was taken back before stays as it is.

    Parameters
    ----------
    entries : list of StockEntry
        Of one lot.
    work_through : bool
        False where entries of the same lot that stand for them, or `refresh`, follow in the same transaction.

    Raises
    ------
    Conflict
        What is left would not have been enough on a later day.
    """
    if not entries:
        return
    if len({entry.lot_id for entry in entries}) > 1:
        raise ValueError(
            "entries of several lots; accepted are those of one, lot by lot in the order of their ids"
        )
    lot = lock_lots([entries[0].lot_id])[entries[0].lot_id]
    wanted = {entry.pk for entry in entries}
    for entry in entries:
        if entry.kind == StockEntry.Kind.MOVED:
            wanted.update(move_of(entry).values_list("pk", flat=True))
    StockEntry.objects.filter(pk__in=wanted, is_taken_back=False).update(
        is_taken_back=True,
        taken_back_by=user,
        taken_back_at=timezone.now(),
        taken_back_because=reason.strip()[:REASON_LONGEST],
    )
    for entry in entries:
        entry.is_taken_back = True
    if work_through:
        refresh(lot, new=())


def refresh(lot, new=None, entries=None):
    """Work through the ledger of a locked lot and store what follows: counts, costs, pounds on hand.

    A bounded number of queries, however long the ledger is: what does not change is not written.

    Parameters
    ----------
    lot : Lot
    new : collection of int, optional
        As `worked_through`.
    entries : list of StockEntry, optional
        Those that count, in the order of the ledger, where the caller has read them since the lock.
    """
    entries = _counting(lot) if entries is None else entries
    book = worked_through(entries, lot.cost_usd, lot, new)
    changed = [entry for entry in entries if book.figures[entry.pk] != (entry.lb, entry.cost_usd)]
    for entry in changed:
        entry.lb, entry.cost_usd = book.figures[entry.pk]
    StockEntry.objects.bulk_update(changed, ["lb", "cost_usd"], batch_size=500)
    lot.on_hand_lb = book.on_hand_lb
    # against what is stored: the row in hand may have been read before the lock
    stored = Lot.objects.filter(pk=lot.pk).exclude(on_hand_lb=book.on_hand_lb)
    if stored.update(on_hand_lb=book.on_hand_lb):
        mark_stock_changed(lot.property_id)
    return book


def _counting(lot):
    return list(lot.entries.filter(is_taken_back=False))


def _before(entries, on, stands_at=None):
    """Those up to a day, or on it up to a place in the ledger."""
    if stands_at is None:
        return [entry for entry in entries if entry.on <= on]
    return [entry for entry in entries if (entry.on, entry.stands_at) < (on, stands_at)]


def _take(lot, user, kind, lb, on, place, stands_at, is_counted, **values):
    lb = _pounds(lb)
    lot = lock_lots([lot.pk])[lot.pk]
    _check_day(on)
    counting = _counting(lot)
    lying = worked_through(_before(counting, on, stands_at), None, lot).by_place
    parts = _from_places(lying, lb) if place is None else [(_known_place(lot, place), lb)]
    entries = []
    for at, part in parts:
        if is_counted and lying.get(at, 0) < part:
            found = StockEntry(kind=StockEntry.Kind.COUNTED, on=on, lb=Decimal(0), place=at)
            found.counted_lb, found.reason = part, "The bag held more than the book."
            found.record_seed = values.get("record_seed")
            entries.append(found)
        entries.append(StockEntry(kind=kind, on=on, lb=-part, place=at, **values))
    for entry in entries:
        entry.stands_at = stands_at
    _enter_locked(lot, user, entries, counting)
    return entries


def _from_places(lying, lb):
    """Where so many pounds are taken from: most first. What is too much falls on the first, to be refused there."""
    parts, left = [], lb
    for place, there in sorted(lying.items(), key=lambda item: (-item[1], item[0])):
        part = min(there, left)
        if part > 0:
            parts.append([place, part])
            left -= part
    if left > 0:
        parts = [[parts[0][0], parts[0][1] + left], *parts[1:]] if parts else [["", lb]]
    return parts


def _enter(lot, user, *entries):
    lot = lock_lots([lot.pk])[lot.pk]
    _enter_locked(lot, user, entries, _counting(lot))
    return list(entries) if len(entries) > 1 else entries[0]


def _enter_locked(lot, user, entries, counting):
    """Store entries in the ledger of a locked lot, of which `counting` counted before."""
    shared = None
    for entry in entries:
        _check_day(entry.on)
        entry.lot, entry.created_by = lot, user
        is_placed = entry.stands_at is not None
        entry.stands_at = entry.stands_at if is_placed else 0
        save_clean(entry, known=("lot", "created_by", "record_seed"))
        if not is_placed:
            # both halves of a move stand where its first does
            is_half = entry.kind == StockEntry.Kind.MOVED and shared is not None
            entry.stands_at = shared = shared if is_half else entry.pk
            StockEntry.objects.filter(pk=entry.pk).update(stands_at=entry.stands_at)
    ledger = sorted([*counting, *entries], key=lambda entry: (entry.on, entry.stands_at, entry.pk))
    refresh(lot, new={entry.pk for entry in entries}, entries=ledger)


def _entry(lot, kind, on, lb, **values):
    values["place"] = _known_place(lot, values.get("place"))
    return StockEntry(lot=lot, kind=kind, on=on, lb=lb, stands_at=None, **values)


def _known_place(lot, place):
    """The place as it was first written on the property, so that “barn” and “Barn ” are no two places."""
    said = " ".join((place or "").split())
    if not said:
        return ""
    known = StockEntry.objects.filter(lot__property=lot.property_id, place__iexact=said).order_by("pk")
    return known.values_list("place", flat=True).first() or said


def _check_day(on):
    if on > timezone.localdate():
        refuse("on", f"{on} is in the future; accepted is today or a day before.")
    if on < EARLIEST:
        refuse("on", f"{on} is before {EARLIEST:%Y}; accepted is a day since then.")


def _pounds(lb):
    number = _number(lb)
    if not LEAST_LB <= number <= MOST_LB:
        refuse(
            "lb", f"{lb} lb; accepted is more than 0, to a thousandth of a pound, and at most {MOST_LB:,f}."
        )
    return number


def _number(lb):
    try:
        number = Decimal(str(lb))
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite() or abs(number) > MOST_LB * 1000:
        refuse("lb", f"{lb} lb is no number of pounds; a number such as 37.5 is accepted.")
    return number.quantize(LEAST_LB)
