"""The ledger of a seed lot: whatever happens in whatever order, its pounds and cents add up."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from blends.models import Lot, StockEntry
from blends.queries.stock_book import worked_through
from blends.services import stock
from config.errors import Conflict, Refused

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 3, 2)


@pytest.fixture
def lot(farm, species):
    return Lot.objects.create(
        property=farm, species=species("oats"), lot_number="A7", goods_usd=Decimal("100")
    )


def day(number):
    return MONDAY + timedelta(days=number)


def test_pounds_go_out_and_cents_with_them(lot, owner):
    stock.receive(lot=lot, lb=300, on=day(0), user=owner, place="Barn")
    [first] = stock.use(lot=lot, lb=100, on=day(1), user=owner)
    [second] = stock.use(lot=lot, lb=100, on=day(2), user=owner)
    lost = stock.lose(lot=lot, lb=50, on=day(3), user=owner, reason="Mice")[0]
    lot.refresh_from_db()
    assert lot.on_hand_lb == 50
    # 100.00 over 300 lb: 33.33, then 66.67 − 33.33, then 83.33 − 66.67
    assert [row.cost_usd for row in (first, second, lost)] == [
        Decimal("33.33"),
        Decimal("33.34"),
        Decimal("16.66"),
    ]


def test_more_than_there_is_is_refused_until_it_was_counted(lot, owner):
    stock.receive(lot=lot, lb=40, on=day(0), user=owner, place="Barn")
    with pytest.raises(Conflict, match="had 40 lb at Barn on 2026-03-03, and 45 lb were to be taken"):
        stock.use(lot=lot, lb=45, on=day(1), user=owner)
    stock.use(lot=lot, lb=45, on=day(1), user=owner, is_counted=True)
    lot.refresh_from_db()
    assert lot.on_hand_lb == 0
    assert lot.entries.get(kind="counted").lb == 5


def test_count_holds_when_what_came_before_it_is_entered_later(lot, owner):
    stock.receive(lot=lot, lb=100, on=day(0), user=owner)
    counted = stock.count(lot=lot, lb=60, on=day(5), user=owner)
    assert counted.lb == -40
    stock.use(lot=lot, lb=38, on=day(3), user=owner)
    counted.refresh_from_db()
    lot.refresh_from_db()
    assert (counted.lb, lot.on_hand_lb) == (-2, 60)


def test_entry_that_is_taken_back_gives_its_pounds_back(lot, owner):
    stock.receive(lot=lot, lb=100, on=day(0), user=owner)
    used = stock.use(lot=lot, lb=30, on=day(1), user=owner)
    stock.take_back(entries=used, user=owner, reason="Another lot was drilled.")
    lot.refresh_from_db()
    assert lot.on_hand_lb == 100
    assert StockEntry.objects.get(pk=used[0].pk).is_taken_back


def test_receipt_cannot_be_taken_back_when_its_seed_was_sown(lot, owner):
    received = stock.receive(lot=lot, lb=100, on=day(0), user=owner)
    stock.use(lot=lot, lb=30, on=day(1), user=owner)
    with pytest.raises(Conflict, match="had 0 lb on 2026-03-03"):
        stock.take_back(entries=[received], user=owner)


def test_move_changes_places_alone(lot, owner):
    stock.receive(lot=lot, lb=100, on=day(0), user=owner, place="Barn")
    stock.move(lot=lot, lb=30, on=day(1), user=owner, from_place="Barn", to_place="Cabin")
    lot.refresh_from_db()
    book = worked_through(list(lot.entries.all()), lot.cost_usd)
    assert (lot.on_hand_lb, book.by_place) == (100, {"Barn": 70, "Cabin": 30})
    # most lies in the barn, so it is taken from first, and the rest from the cabin
    used = stock.use(lot=lot, lb=80, on=day(2), user=owner)
    assert [(row.place, row.lb) for row in used] == [("Barn", -70), ("Cabin", -10)]


@pytest.mark.parametrize(
    ("act", "said"),
    [
        (lambda **how: stock.receive(lb=0, on=MONDAY, **how), "more than 0"),
        (
            lambda **how: stock.receive(lb=5, on=timezone.localdate() + timedelta(days=1), **how),
            "is in the future",
        ),
        (lambda **how: stock.lose(lb=5, on=MONDAY, reason=" ", **how), "needs a reason"),
        (lambda **how: stock.count(lb=-1, on=MONDAY, **how), "-1.000 lb were counted"),
        (
            lambda **how: stock.move(lb=1, on=MONDAY, from_place="A", to_place="A ", **how),
            "lies at “A ” already",
        ),
    ],
)
def test_what_cannot_be_is_refused(lot, owner, act, said):
    with pytest.raises(Refused, match=said):
        act(lot=lot, user=owner)
    assert not lot.entries.exists()


POUNDS = st.decimals("0.001", "200", places=3)
PLACE = st.sampled_from(["", "Barn", "Cabin"])
STEPS = st.one_of(
    st.tuples(st.just("receive"), POUNDS, PLACE),
    st.tuples(st.just("use"), POUNDS, st.sampled_from([None, "Barn"])),
    st.tuples(st.just("counted use"), POUNDS, st.none()),
    st.tuples(st.just("lose"), POUNDS, st.none()),
    st.tuples(st.just("count"), st.decimals("0", "300", places=3), PLACE),
    st.tuples(st.just("move"), POUNDS, PLACE),
    st.tuples(st.just("take back"), st.integers(0, 20), st.none()),
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    steps=st.lists(st.tuples(STEPS, st.integers(0, 9)), max_size=14), cost=st.decimals("0", "5000", places=2)
)
def test_any_sequence_of_operations_adds_up(farm, owner, species, steps, cost):
    lot = Lot.objects.create(property=farm, species=species("oats"), goods_usd=cost)
    for (act, amount, place), on in steps:
        how = {"lot": lot, "user": owner, "on": day(on)}
        try:
            if act == "receive":
                stock.receive(lb=amount, place=place, **how)
            elif act in ("use", "counted use"):
                stock.use(lb=amount, place=place, is_counted=act == "counted use", **how)
            elif act == "lose":
                stock.lose(lb=amount, reason="Spilled", **how)
            elif act == "count":
                stock.count(lb=amount, place=place, **how)
            elif act == "move":
                stock.move(lb=amount, from_place=place, to_place="Shed", **how)
            else:
                live = list(lot.entries.filter(is_taken_back=False))
                chosen = live[amount % len(live)] if live else None
                group = [e for e in live if chosen and (e.pk == chosen.pk or _other_half(e, chosen))]
                stock.take_back(entries=group, user=owner)
        except (Conflict, Refused):
            pass
        check_that_it_adds_up(lot)


def _other_half(entry, chosen):
    return entry.kind == chosen.kind == "moved" and entry.lb == -chosen.lb and abs(entry.pk - chosen.pk) == 1


def check_that_it_adds_up(lot):
    lot.refresh_from_db()
    live = list(lot.entries.filter(is_taken_back=False))
    by_kind = {
        kind: sum((e.lb for e in live if e.kind == kind), Decimal(0)) for kind in StockEntry.Kind.values
    }
    assert by_kind["moved"] == 0
    assert lot.on_hand_lb == sum((e.lb for e in live), Decimal(0)) >= 0
    assert by_kind["received"] + by_kind["counted"] == -by_kind["used"] - by_kind["lost"] + lot.on_hand_lb
    book = worked_through(live, lot.cost_usd)
    assert all(lb > 0 for lb in book.by_place.values())
    out_usd = sum((e.cost_usd for e in live if e.cost_usd is not None), Decimal(0))
    assert out_usd + book.on_hand_usd == lot.cost_usd


def test_weighed_use_draws_on_every_place_before_it_finds_any(lot, owner):
    stock.receive(lot=lot, lb=40, on=day(0), user=owner, place="Barn")
    stock.receive(lot=lot, lb=20, on=day(0), user=owner, place="Cabin")
    entries = stock.use(lot=lot, lb=50, on=day(1), user=owner, is_counted=True)
    assert [(row.kind, row.place, row.lb) for row in entries] == [
        ("used", "Barn", -40),
        ("used", "Cabin", -10),
    ]
    entries = stock.use(lot=lot, lb=15, on=day(2), user=owner, is_counted=True)
    assert [(row.kind, row.place, row.lb) for row in entries] == [
        ("counted", "Cabin", 5),
        ("used", "Cabin", -15),
    ]


def test_both_halves_of_a_move_are_taken_back_together(lot, owner):
    stock.receive(lot=lot, lb=100, on=day(0), user=owner, place="Barn")
    _, into = stock.move(lot=lot, lb=30, on=day(1), user=owner, from_place="Barn", to_place="Cabin")
    stock.take_back(entries=[into], user=owner, reason="Another lot was carried.")
    assert worked_through(list(lot.entries.filter(is_taken_back=False)), None).by_place == {"Barn": 100}
    assert {row.taken_back_because for row in stock.move_of(into)} == {"Another lot was carried."}


def test_why_a_loss_was_entered_stays_when_it_is_taken_back(lot, owner, manager):
    stock.receive(lot=lot, lb=100, on=day(0), user=owner)
    [lost] = stock.lose(lot=lot, lb=10, on=day(1), user=owner, reason="Mice")
    stock.take_back(entries=[lost], user=owner, reason="The bag was found.")
    stock.take_back(entries=[lost], user=manager, reason="Again")
    lost.refresh_from_db()
    assert (lost.reason, lost.taken_back_because, lost.taken_back_by) == ("Mice", "The bag was found.", owner)


def test_entries_of_two_lots_are_not_taken_back_at_once(lot, owner, farm, species):
    other = Lot.objects.create(property=farm, species=species("oats"))
    entries = [stock.receive(lot=each, lb=1, on=day(0), user=owner) for each in (lot, other)]
    with pytest.raises(ValueError, match="several lots"):
        stock.take_back(entries=entries, user=owner)


def test_correction_at_its_place_is_judged_by_what_lay_there_then(lot, owner):
    """Used 30, then counted 60 the same day: the count still holds when 30 becomes 38."""
    stock.receive(lot=lot, lb=100, on=day(0), user=owner)
    [used] = stock.use(lot=lot, lb=30, on=day(1), user=owner)
    counted = stock.count(lot=lot, lb=60, on=day(1), user=owner)
    stock.take_back(entries=[used], user=owner, work_through=False)
    stock.use(lot=lot, lb=38, on=day(1), user=owner, stands_at=used.stands_at)
    counted.refresh_from_db()
    lot.refresh_from_db()
    assert (counted.lb, lot.on_hand_lb) == (-2, 60)


def test_refusal_says_which_later_entry_lacks_the_seed(lot, owner):
    stock.receive(lot=lot, lb=100, on=day(0), user=owner)
    stock.use(lot=lot, lb=80, on=day(5), user=owner)
    with pytest.raises(
        Conflict, match=r"Then .* had 70 lb on 2026-03-07, too little for the 80 lb used that day"
    ):
        stock.use(lot=lot, lb=30, on=day(1), user=owner)


def test_count_without_a_place_is_of_the_place_where_the_lot_lies(lot, owner):
    stock.receive(lot=lot, lb=100, on=day(0), user=owner, place="Barn")
    assert stock.count(lot=lot, lb=60, on=day(1), user=owner).place == "Barn"
    stock.move(lot=lot, lb=10, on=day(1), user=owner, from_place="Barn", to_place="Cabin")
    with pytest.raises(Refused, match="lies at “Barn”, “Cabin”; say at which"):
        stock.count(lot=lot, lb=40, on=day(2), user=owner)


def test_place_is_written_as_it_was_first(lot, owner):
    stock.receive(lot=lot, lb=100, on=day(0), user=owner, place="Seed  room")
    assert stock.count(lot=lot, lb=100, on=day(1), user=owner, place="seed room ").place == "Seed room"
    with pytest.raises(Refused, match="lies at “SEED ROOM” already"):
        stock.move(lot=lot, lb=10, on=day(1), user=owner, from_place="Seed room", to_place="SEED ROOM")


def test_cents_come_back_with_seed_that_was_short_and_spread_over_seed_that_never_came(lot, owner):
    """100.00 for 100 lb. By definition of a share of the cost; worked by hand."""
    stock.receive(lot=lot, lb=100, on=day(0), user=owner)
    short = stock.count(lot=lot, lb=60, on=day(1), user=owner)
    again = stock.count(lot=lot, lb=100, on=day(2), user=owner)
    assert (short.cost_usd, again.cost_usd) == (Decimal("40.00"), Decimal("-40.00"))
    beyond = stock.count(lot=lot, lb=125, on=day(3), user=owner)
    [used] = stock.use(lot=lot, lb=50, on=day(4), user=owner)
    assert (beyond.cost_usd, used.cost_usd) == (0, Decimal("40.00"))  # 100.00 ÷ 125 lb × 50 lb


@pytest.mark.parametrize("lb", ["NaN", "Infinity", "much", "1e40", "1000000.001"])
def test_what_is_no_number_of_pounds_is_refused(lot, owner, lb):
    with pytest.raises(Refused, match="accepted"):
        stock.receive(lot=lot, lb=lb, on=day(0), user=owner)


def test_use_asks_no_more_of_a_lot_with_a_thousand_entries(lot, owner, django_assert_max_num_queries):
    stock.receive(lot=lot, lb=5000, on=day(0), user=owner)
    StockEntry.objects.bulk_create(
        StockEntry(lot=lot, kind="used", on=day(number % 300), lb=-1, stands_at=10_000 + number)
        for number in range(1000)
    )
    stock.use(lot=lot, lb=1, on=day(1), user=owner)
    with django_assert_max_num_queries(16):
        stock.use(lot=lot, lb=1, on=day(1), user=owner)
    lot.refresh_from_db()
    assert lot.on_hand_lb == 3998


def test_pounds_are_stored_though_the_row_in_hand_is_an_old_one(lot, owner):
    stock.receive(lot=lot, lb=100, on=day(0), user=owner)
    old = Lot.objects.get(pk=lot.pk)
    used = stock.use(lot=lot, lb=40, on=day(1), user=owner)
    stock.take_back(entries=used, user=owner, work_through=False)
    stock.refresh(old)
    assert Lot.objects.get(pk=lot.pk).on_hand_lb == 100
