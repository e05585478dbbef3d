"""Seed lots as they are now: how alive, how much, where."""

from typing import NamedTuple

from django.db.models import Prefetch

from blends.calc.seed import pure_live_fraction
from blends.models import Lot, LotTest


class LiveSeed(NamedTuple):
    """What is known of how alive a lot is. [%]

    `fraction` is the pure live fraction, None while purity or germination is not known; `tested_on` is the day of a
    test made here or the first of the tag's month, None while neither is known.
    """

    purity_pct: float | None
    alive_pct: float | None
    fraction: float | None
    tested_on: object
    is_retested: bool


def lots_of(property, **lookup):
    """Lots with what they are of and the tests that count, for `live_seed`; two queries."""
    tests = Prefetch("tests", LotTest.objects.filter(is_struck=False), to_attr="counting_tests")
    rows = Lot.objects.filter(property=property, **lookup).select_related(
        "species", "blend", "receipt__supplier"
    )
    return rows.prefetch_related(tests)


def live_seed(lot, on=None):
    """How alive a lot is by its latest test, else by its tag; with a day, as it was then.

    Of a day in the past a test made later says nothing, unless neither the tag nor an earlier test says anything: then
    it is the first of them.

    A test from before the month on the tag was made of other seed or typed late, and the tag goes before it. A
    tetrazolium test reads germination, hard and dormant seed together; hard and dormant seed of the tag stay beside a
    germination test that does not name them, but no more than leaves as much alive as the tag said: seed that lies does
    not come to life, and hard seed that softened is among what germinated.
    """
    tests = getattr(lot, "counting_tests", None)
    if tests is None:
        tests = list(lot.tests.filter(is_struck=False))
    counting = [row for row in tests if _counts(row, lot)]
    if on is not None:
        earlier = [row for row in counting if row.tested_on <= on]
        counting = earlier or (counting[-1:] if lot.germination_pct is None else [])
    test = next(iter(counting), None)
    if test is None:
        parts = (lot.germination_pct, lot.hard_pct, lot.dormant_pct)
        tested_on = lot.test_month
    elif test.kind == LotTest.Kind.TETRAZOLIUM:
        parts, tested_on = (test.germination_pct, None, None), test.tested_on
    else:
        parts, tested_on = (test.germination_pct, *_hard_and_dormant(test, lot)), test.tested_on
    purity = None if lot.purity_pct is None else float(lot.purity_pct)
    alive = None if parts[0] is None else min(sum(float(part or 0) for part in parts), 100.0)
    fraction = None
    if purity is not None and alive is not None:
        fraction = float(pure_live_fraction(purity, alive))
    return LiveSeed(purity, alive, fraction, tested_on, test is not None)


def _hard_and_dormant(test, lot):
    """What a germination test says of them, and of what it does not name as much of the tag's as can still be."""
    said = [part for part in (test.hard_pct, test.dormant_pct) if part is not None]
    silent = [
        tag
        for seen, tag in ((test.hard_pct, lot.hard_pct), (test.dormant_pct, lot.dormant_pct))
        if seen is None
    ]
    stays = sum(part or 0 for part in silent)
    if stays and lot.germination_pct is not None:
        alive = lot.germination_pct + (lot.hard_pct or 0) + (lot.dormant_pct or 0)
        stays = min(stays, max(alive - test.germination_pct - sum(said), 0))
    return [*said, stays]


def _counts(test, lot):
    is_earlier = lot.test_month is not None and test.tested_on < lot.test_month
    return test.germination_pct is not None and not (is_earlier and lot.germination_pct is not None)


def live_fraction(lot, on=None):
    """Pure live fraction of a lot of one species; None while unknown, and for a bought mix, sown by the bulk pound.

    `on` is as in `live_seed`.
    """
    return None if lot.blend_id else live_seed(lot, on).fraction
