"""What is said of a seed lot: its tag, its photo, later tests; and its ledger as a person at the shed works with it."""

from decimal import Decimal

from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.utils import timezone

from blends.models import LotTest, StockEntry
from blends.services import stock
from blends.services.stale import mark_stock_changed
from blends.services.tag_photos import keep_photo
from config.errors import Conflict, Refused, refuse
from plots.access import EDIT, RECORD
from plots.services.earlier import keep_earlier
from plots.services.rows import save_clean

LIVE_FIELDS = ("purity_pct", "germination_pct", "hard_pct", "dormant_pct")
TAG_FIELDS = (
    "variety", "lot_number", "origin", *LIVE_FIELDS[:1], "other_crop_pct", "weed_seed_pct", "inert_pct", "noxious",
    *LIVE_FIELDS[1:], "test_month", "treatment",
)  # fmt: skip
LOT_FIELDS = (*TAG_FIELDS, "note")
_ALIVE = ("germination_pct", "hard_pct", "dormant_pct")
TEST_FIELDS = ("kind", "tested_on", "germination_pct", "hard_pct", "dormant_pct", "seeds_tested", "tested_by")


@transaction.atomic
def correct_lot(*, lot, user, **values):
    """Correct what was copied wrongly from the tag, or the note; what it said before stays in `earlier`.

    Parameters
    ----------
    lot : Lot
    user : User
    **values
        LOT_FIELDS; what is left out stays. None is not on the tag, or not read.

    Raises
    ------
    Refused
        A value that cannot be.
    """
    lot = stock.lock_lots([lot.pk])[lot.pk]
    wanted = {name: _tidy(value) for name, value in values.items()}
    if wanted.get("test_month") is not None:
        wanted["test_month"] = wanted["test_month"].replace(day=1)
        _check_day("test_month", "The month of the test", wanted["test_month"])
    was = [getattr(lot, name) for name in LIVE_FIELDS]
    if not keep_earlier(lot, user, wanted):
        return lot
    if any(name in values for name in _ALIVE):
        _check_alive(*(getattr(lot, name) for name in _ALIVE))
    save_clean(lot)
    if was != [getattr(lot, name) for name in LIVE_FIELDS]:
        mark_stock_changed(lot.property_id)
    return lot


@transaction.atomic
def set_tag_photo(lot, file, user):
    """Keep a photo of the tag. The one before stays in the uploads, and `earlier` names it.

    Parameters
    ----------
    lot : Lot
    file : django.core.files.File
        JPEG, PNG or WebP of at most 12 MB, known by its first bytes.
    user : User

    Raises
    ------
    Refused
        Another kind of file, an empty one, one that is too large.
    """
    lot = stock.lock_lots([lot.pk])[lot.pk]
    return keep_photo(lot, file, user)


@transaction.atomic
def add_test(*, lot, user, **values):
    """Enter a test made since: the latest that counts goes before the tag.

    Parameters
    ----------
    **values
        TEST_FIELDS. A tetrazolium test reads all that is alive in `germination_pct`, so it has no hard or dormant seed.
    """
    lot = stock.lock_lots([lot.pk])[lot.pk]
    test = LotTest(lot=lot, created_by=user, **{name: _tidy(value) for name, value in values.items()})
    if test.tested_on is not None:
        _check_day("tested_on", "The day of the test", test.tested_on)
    if test.germination_pct is None:
        refuse("germination_pct", "The test needs what came up, or what was alive; 0 to 100 % is accepted.")
    for name, words in (("hard_pct", "Hard"), ("dormant_pct", "Dormant")):
        if test.kind == LotTest.Kind.TETRAZOLIUM and getattr(test, name) is not None:
            refuse(
                name,
                f"{words} seed is {getattr(test, name):f} %; a tetrazolium test reads it as alive, so it is left empty.",
            )
    if test.seeds_tested == 0:
        refuse("seeds_tested", "0 seeds were tested; 1 or more is accepted, or nothing while not known.")
    _check_alive(test.germination_pct, test.hard_pct, test.dormant_pct)
    save_clean(test)
    mark_stock_changed(lot.property_id)
    return test


@transaction.atomic
def strike_test(*, test, user, is_struck=True):
    """Let a test that was entered by mistake count no more, or again. It stays to be read."""
    lot = stock.lock_lots([test.lot_id])[test.lot_id]
    test = LotTest.objects.select_for_update(of=("self",)).get(pk=test.pk)
    if test.is_struck != is_struck:
        test.is_struck = is_struck
        test.save(update_fields=["is_struck"])
        mark_stock_changed(lot.property_id)
    return test


def may_take_back(user, property, entry):
    """Whether the person may: whoever edits, and who entered it on the day of entering it."""
    is_own = entry.created_by_id == user.pk and timezone.localdate(entry.created_at) == timezone.localdate()
    return EDIT in property.allowed or (RECORD in property.allowed and is_own)


def check_may_take_back(user, property, entry):
    """Let nobody else pass.

    Raises
    ------
    PermissionDenied
    """
    if not may_take_back(user, property, entry):
        raise PermissionDenied(
            "An entry is taken back by who entered it, on that day, or by a manager or the owner."
        )


def why_not_taken_back(entry):
    """Why an entry is not taken back on its own; empty where it can be."""
    if entry.is_taken_back:
        by = f" by {entry.taken_back_by.shown_name}" if entry.taken_back_by else ""
        return f"This entry was taken back{by} already."
    if entry.record_seed_id is not None:
        return "This entry belongs to a planting record; correct or strike that, and the entry follows."
    if entry.kind == StockEntry.Kind.RECEIVED and entry.lot.receipt_id is not None:
        return "These pounds came with a delivery; correct that, or enter what you counted."
    return ""


@transaction.atomic
def take_back_entry(*, entry, user, reason):
    """Take back an entry that was made by mistake, a move with both halves; needs a reason.

    Raises
    ------
    Conflict
        It is taken back already, belongs to a planting record or a delivery, or a later day needs its pounds.
    """
    reason = reason.strip()
    if not reason:
        refuse("reason", "Taking back needs a reason in words: another lot was meant, entered twice.")
    if len(reason) > stock.REASON_LONGEST:
        refuse(
            "reason", f"The reason has {len(reason)} characters; at most {stock.REASON_LONGEST} are accepted."
        )
    stock.lock_lots([entry.lot_id])
    entry = StockEntry.objects.select_related("taken_back_by", "lot").get(pk=entry.pk)
    if why := why_not_taken_back(entry):
        raise Conflict(why)
    stock.take_back(entries=[entry], user=user, reason=reason)
    entry.refresh_from_db()
    return entry


@transaction.atomic
def count_several(*, counts, on, user):
    """Store what was counted on a walk through the shed: all of it or nothing.

    Parameters
    ----------
    counts : list of (Lot, str, Decimal)
        Lot, place and pounds. [bulk lb]
    on : date
    user : User

    Returns
    -------
    list of StockEntry
        In the order given; `lb` is what each differs from the book.

    Raises
    ------
    Refused, Conflict
        With `position` on the error: which of the counts it is about.
    """
    lots = stock.lock_lots([lot.pk for lot, _, _ in counts])
    stored = {}
    # lot by lot as they are locked, so that the answer does not hang on the order of the page
    for position in sorted(range(len(counts)), key=lambda each: (counts[each][0].pk, each)):
        lot, place, lb = counts[position]
        try:
            stored[position] = stock.count(lot=lots[lot.pk], lb=lb, on=on, user=user, place=place)
        except (Refused, Conflict) as error:
            error.position = position
            raise
    return [stored[position] for position in range(len(counts))]


def _tidy(value):
    return value.strip() if isinstance(value, str) else value


def _check_alive(germination_pct, hard_pct, dormant_pct):
    alive = sum((part for part in (germination_pct, hard_pct, dormant_pct) if part is not None), Decimal(0))
    if alive > 100:
        refuse(
            "germination_pct",
            f"Germination, hard and dormant seed come to {alive:f} % of the pure seed; at most 100 % is accepted.",
        )


def _check_day(field, what, day):
    today = timezone.localdate()
    if not stock.EARLIEST <= day <= today:
        refuse(field, f"{what} is {day}; a day from {stock.EARLIEST} to today, {today}, is accepted.")
