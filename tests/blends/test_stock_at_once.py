"""Two people at the same seed: whatever their order, it adds up, nothing is below zero and nobody waits for ever."""

import random
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection, transaction

from blends.models import Lot, LotTest, StockEntry
from blends.services import stock
from blends.services.lots import count_several
from config.errors import Conflict
from tests.blends.test_stock import check_that_it_adds_up
from tests.plots.conftest import at_once, on_disk  # noqa: F401

MONDAY = date(2026, 3, 2)
ACTS = [
    (stock.receive, {"place": "Cabin"}),
    (stock.use, {}),
    (stock.use, {"is_counted": True}),
    (stock.lose, {"reason": "Mice"}),
    (stock.count, {"place": "Barn"}),
    (stock.move, {"from_place": "Barn", "to_place": "Cabin"}),
]


@pytest.fixture
def lots(farm, species):
    oats = species("oats")
    return [
        Lot.objects.create(property=farm, species=oats, lot_number=number, goods_usd=Decimal("99.99"))
        for number in ("A", "B", "C")
    ]


@pytest.fixture
def stocked(lots, owner):
    for lot in lots:
        stock.receive(lot=lot, lb=100, on=MONDAY, user=owner, place="Barn")
    return lots


def refused_or_done(outcomes):
    """Conflicts are answers; anything else that was raised is none."""
    for outcome in outcomes:
        if isinstance(outcome, Exception) and not isinstance(outcome, Conflict):
            raise outcome
    return [not isinstance(outcome, Exception) for outcome in outcomes]


def test_of_two_who_want_the_last_seed_one_gets_it(stocked, owner, recorder, at_once):  # noqa: F811
    lot = stocked[0]
    done = refused_or_done(
        at_once(
            *(
                lambda user=user: stock.use(lot=lot, lb=60, on=MONDAY, user=user)
                for user in (owner, recorder, owner, recorder)
            )
        )
    )
    assert sorted(done) == [False, False, False, True]
    check_that_it_adds_up(lot)
    assert lot.on_hand_lb == 40


def test_everybody_does_something_to_the_same_lots(stocked, owner, recorder, at_once):  # noqa: F811
    people = (owner, recorder)

    def work(seed):
        chance = random.Random(seed)  # noqa: S311

        def run():
            for _ in range(6):
                how = {
                    "lot": chance.choice(stocked),
                    "user": people[seed % 2],
                    "on": MONDAY + timedelta(days=chance.randrange(4)),
                    "lb": Decimal(chance.randrange(1, 60_000)) / 1000,
                }
                try:
                    act, more = chance.choice(ACTS)
                    act(**how, **more)
                except Conflict:
                    continue

        return run

    refused_or_done(at_once(*(work(seed) for seed in range(4))))
    assert StockEntry.objects.filter(lot__in=stocked).count() > 6
    for lot in stocked:
        check_that_it_adds_up(lot)


def test_who_takes_crossing_lots_waits_in_turn(stocked, owner, recorder, at_once):  # noqa: F811
    """One sows from A, B and C, the other from C, B and A; both lock all before they store anything."""

    def sow(user, order):
        def run():
            for _ in range(4):
                with transaction.atomic():
                    stock.lock_lots([lot.pk for lot in order])
                    for lot in order:
                        stock.use(lot=lot, lb=5, on=MONDAY, user=user)

        return run

    assert refused_or_done(at_once(sow(owner, stocked), sow(recorder, stocked[::-1]))) == [True, True]
    for lot in stocked:
        check_that_it_adds_up(lot)
        assert lot.on_hand_lb == 60


def test_two_walks_through_the_shed_cross(stocked, owner, recorder, at_once):  # noqa: F811
    def walk(user, order, lb):
        counts = [(lot, "Barn", lb) for lot in order]
        return lambda: count_several(counts=counts, on=MONDAY, user=user)

    done = refused_or_done(at_once(walk(owner, stocked, 90), walk(recorder, stocked[::-1], 80)))
    assert done == [True, True]
    for lot in stocked:
        check_that_it_adds_up(lot)
    assert len({lot.on_hand_lb for lot in stocked}) == 1  # one walk after the other, never half of each


def test_the_same_entry_is_taken_back_by_two(stocked, owner, recorder, at_once):  # noqa: F811
    lot = stocked[0]
    entries = stock.use(lot=lot, lb=30, on=MONDAY, user=owner)

    def correct(user, lb):
        def run():
            with transaction.atomic():
                stock.lock_lots([lot.pk])
                if StockEntry.objects.get(pk=entries[0].pk).is_taken_back:
                    raise Conflict("Somebody else corrected it.")
                stock.take_back(entries=entries, user=user, work_through=False)
                return stock.use(lot=lot, lb=lb, on=MONDAY, user=user, stands_at=entries[0].stands_at)

        return run

    done = refused_or_done(at_once(correct(owner, 35), correct(recorder, 25)))
    assert sorted(done) == [False, True]
    check_that_it_adds_up(lot)
    assert lot.on_hand_lb == (65 if done[0] else 75)


@pytest.mark.postgis
def test_who_stored_what_names_a_lot_does_not_wait_for_another_who_did(
    stocked,
    owner,
    recorder,
    at_once,  # noqa: F811
):
    """A row that names the lot holds its key; were the lot locked whole, both would wait for each other."""
    if connection.vendor == "sqlite":
        pytest.skip("the database is SQLite, which lets nobody write beside another")
    import threading

    lot, both = stocked[0], threading.Barrier(2)

    def test_and_use(user):
        def run():
            with transaction.atomic():
                LotTest.objects.create(lot=lot, tested_on=MONDAY, germination_pct=80, created_by=user)
                both.wait(20)
                return stock.use(lot=lot, lb=10, on=MONDAY, user=user)

        return run

    assert refused_or_done(at_once(test_and_use(owner), test_and_use(recorder))) == [True, True]
    check_that_it_adds_up(lot)
    assert lot.on_hand_lb == 80
