"""Planting records: what was drilled or broadcast, where its seed came from, and what is corrected later."""

from collections import defaultdict
from datetime import datetime, time
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from blends.models import COUNTS, Planting, PlantingRecord, StockEntry
from blends.services import stock
from blends.services.field_entries import check_holds, check_same, content, lock_planting, replace, strike
from blends.services.planting_said import SAID, record_from
from blends.services.seed_used import as_given, said_of, seeds_from
from blends.services.stale import mark_orders_stale
from config.errors import Conflict, Refused
from plots.services.rows import save_clean

WHAT = "planting record"


@transaction.atomic
def record_planting(*, id, planting, user, said, seeds):
    """Record that a plot, or a part of it, was planted. The same sent again, by its id, changes nothing.

    Parameters
    ----------
    id : uuid.UUID
        Made where it is recorded, before it is sent.
    planting : Planting
        Of a plot with a blend; planned, or planted already in part.
    user : User
    said : dict
        Columns named in `SAID`; `machine_id`; `hopper_left_lb`, what was left of the mix as a whole, or
        `boxes_left_lb`, by box [bulk lb];
        `is_counted`, that somebody weighed the bags: what the book lacks is then entered as found.
    seeds : list of dict
        As `seed_used.seeds_from` takes them; empty where nobody knows the seed.

    Returns
    -------
    PlantingRecord, bool
        The record, and whether it is new.

    Raises
    ------
    Refused
        Something that cannot be used; `fields` says which.
    Conflict
        The id says something else already; more seed than the lot had; the stand was ended before that day.
    """
    planting = lock_planting(planting)
    record, rows = _read(planting, user, said, seeds)
    stored = PlantingRecord.objects.filter(pk=id).first()
    if stored is not None:
        check_same(_is_same(stored, record, rows), id, WHAT)
        return stored, False
    record.id = id
    _check_state(planting, record)
    _store(planting, record, rows, user, said)
    return record, True


@transaction.atomic
def correct_planting(*, record, id, user, said, seeds):
    """Put another record in the place of one that counts. The old one stays; its seed goes back to its lots.

    The pounds of the new one stand in the ledger where those of the old one stood, and their cost follows.

    Parameters
    ----------
    record : PlantingRecord
    id : uuid.UUID
        Of the new one. Sent again, it changes nothing.
    user, said, seeds
        As `record_planting`, the whole of it.

    Returns
    -------
    PlantingRecord
        The new one; the old one where nothing is changed by it.

    Raises
    ------
    Refused
        As `record_planting`.
    Conflict
        Somebody else has corrected or struck it since; otherwise as `record_planting`.
    """
    planting = lock_planting(record.planting)
    old = PlantingRecord.objects.select_related("replaced_by__created_by").get(pk=record.pk)
    new, rows = _read(planting, user, said, seeds)
    stored = PlantingRecord.objects.filter(pk=id).first()
    if stored is not None:
        check_same(old.replaced_by_id == id and _is_same(stored, new, rows), id, WHAT)
        return stored
    check_holds(old, WHAT)
    if _says_the_same(old, new, rows):
        return old
    new.id = id
    _check_ended(planting, new)
    _store(planting, new, rows, user, said, old)
    return new


@transaction.atomic
def strike_planting(*, record, user, reason):
    """Say that a record was entered by mistake: its seed goes back, and a plot without another is planned again.

    Raises
    ------
    Refused
        No reason.
    Conflict
        It has been corrected or struck already; the stand was ended, or its seed was counted on since.
    """
    planting = lock_planting(record.planting)
    row = PlantingRecord.objects.select_related("replaced_by__created_by").get(pk=record.pk)
    check_holds(row, WHAT)
    others = planting.records.filter(COUNTS).exclude(pk=row.pk)
    if not others.exists() and planting.terminations.filter(COUNTS).exists():
        raise Conflict(f"{planting.plot} is recorded as terminated; strike its termination first.")
    strike(row, reason, WHAT)
    entries = _entries_of(row)
    stock.lock_lots(entries)
    for of_lot in entries.values():
        stock.take_back(entries=of_lot, user=user, reason=row.struck_because)
    _settle(planting)
    return row


def given_of(record):
    """The `said` and `seeds` of a stored record, for a correction that changes a part."""
    said = {name: getattr(record, name) for name in SAID} | {"machine_id": record.machine_id}
    return said, [as_given(row) for row in record.seeds.all()]


def _read(planting, user, said, seeds):
    """A record and its seeds, not saved, of what was said."""
    if planting.blend_id is None:
        raise Refused(f"{planting.plot} is fallow in the {planting.season}; there is nothing to plant.")
    record = record_from(planting, user, said)
    record.mapped_acres = boundary_acres(boundary_of_day(planting.plot, record.done_on))
    return record, seeds_from(planting, seeds, said.get("hopper_left_lb"), said.get("boxes_left_lb"))


def _is_same(stored, record, rows):
    return stored.created_by_id == record.created_by_id and _says_the_same(stored, record, rows)


def _says_the_same(stored, record, rows):
    columns = [*SAID, "planting_id", "machine_id"]
    if content(stored, columns) != content(record, columns):
        return False
    return {said_of(row) for row in stored.seeds.all()} == {said_of(row) for row in rows}


def _store(planting, record, rows, user, said, old=None):
    """Save the record with its seeds, and let the lots give their pounds."""
    entries = {} if old is None else _entries_of(old)
    stock.lock_lots([*entries, *(row.lot_id for row in rows if row.lot_id)])
    for of_lot in entries.values():
        stock.take_back(
            entries=of_lot, user=user, reason="The planting record was corrected.", work_through=False
        )
    save_clean(record, force_insert=True)
    if old is not None:
        replace(old, record)
    used = set()
    for row in sorted(rows, key=lambda row: row.lot_id or 0):
        row.record = record
        save_clean(row, known=("record", "lot") if row.lot_id else ("record",))
        if row.lot_id and row.used_lb:
            used.add(row.lot_id)
            before = entries.get(row.lot_id, [])
            stock.use(
                lot=row.lot,
                lb=row.used_lb,
                on=record.done_on,
                user=user,
                record_seed=row,
                stands_at=min((entry.stands_at for entry in before), default=None),
                is_counted=bool(said.get("is_counted"))
                or any(entry.kind == StockEntry.Kind.COUNTED for entry in before),
            )
    for lot_id in sorted(set(entries) - used):
        stock.refresh(entries[lot_id][0].lot)
    _settle(planting)


def _entries_of(record):
    """{lot id: the ledger's entries of a record that count}, lots in the order of their ids."""
    found = defaultdict(list)
    rows = StockEntry.objects.filter(record_seed__record=record, is_taken_back=False)
    for entry in rows.select_related("lot").order_by("lot_id", "pk"):
        found[entry.lot_id].append(entry)
    return found


def _settle(planting):
    """Let the planting say what its records come to: first day, acres in sum, the boundary of that day."""
    rows = list(planting.records.filter(COUNTS).order_by("done_on", "created_at"))
    if rows:
        if planting.state == Planting.State.PLANNED:
            planting.state = Planting.State.DRILLED
        planting.planted_on = rows[0].done_on
        planting.planted_acres = sum((row.acres for row in rows), Decimal(0))
        planting.boundary = boundary_of_day(planting.plot, rows[0].done_on)
    elif planting.state == Planting.State.DRILLED:
        planting.state = Planting.State.PLANNED
        planting.planted_on = planting.planted_acres = planting.boundary = None
    save_clean(planting)
    mark_orders_stale(season=planting.season_id)


def boundary_of_day(plot, on):
    """The boundary that held at the end of a day; the current one where none is so old."""
    end = timezone.make_aware(datetime.combine(on, time.max))
    rows = plot.boundaries.defer("geometry").order_by("-created_at", "-pk")
    return rows.filter(created_at__lte=end).first() or plot.boundary


def boundary_acres(boundary):
    return None if boundary is None else boundary.acres


def _check_state(planting, record):
    """A stand that was ended takes what was planted before its end: a phone may send late."""
    _check_ended(planting, record)
    has_records = planting.records.filter(COUNTS).exists()
    if planting.state == Planting.State.TERMINATED and not (
        has_records or planting.terminations.filter(COUNTS).exists()
    ):
        raise Conflict(f"{planting.plot} is recorded as terminated already.")


def _check_ended(planting, record):
    ended = planting.terminations.filter(COUNTS).order_by("done_on").first()
    if ended is not None and record.done_on > ended.done_on:
        raise Conflict(
            f"{planting.plot} was terminated on {ended.done_on}, and this says that it was planted on "
            f"{record.done_on}; accepted is that day or one before."
        )
