"""Deliveries: lots with their tags, pounds in the ledger, and freight that adds up to the cent."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from blends.calc.sharing import shared_freight
from blends.models import Lot, PurchaseOrder, Receipt, StockEntry
from blends.queries.purchases import is_undone, over_delivered, receipts_of
from blends.services import stock
from blends.services.purchase_drafts import draft_purchases
from blends.services.purchases import close_purchase, send_purchase
from blends.services.receiving import (
    add_lot,
    correct_delivery,
    receive_delivery,
    undo_delivery,
)
from config.errors import Conflict, Refused

pytestmark = pytest.mark.django_db
CENTS = st.integers(0, 10_000_000).map(lambda cents: Decimal(cents) / 100)
POUNDS = st.decimals("0.001", "5000", places=3)


@pytest.fixture
def sent(small_property, owner):
    """Bag 4 × 10 lb at 35.00, crimson clover 1 × 25 lb at 60.00, oats 4 × 50 lb at 22.00."""
    [draft] = draft_purchases(order=small_property, user=owner)
    return send_purchase(purchase=draft, user=owner)


@pytest.fixture
def receive(farm, owner):
    """receive(row, …, freight_usd=…) -> a delivery of today."""

    def receive(*rows, **how):
        how = {"received_on": timezone.localdate(), "user": owner, "property": farm} | how
        return receive_delivery(rows=list(rows), **how)

    return receive


@pytest.fixture
def line(sent):
    """line("Oats") -> that line of the purchase order."""
    lines = {str(each.item): each for each in sent.lines.all()}
    return lines.__getitem__


def lots_of(receipt):
    return list(receipt.lots.order_by("pk"))


def again(receipt):
    return receipts_of(receipt.property).get(pk=receipt.pk)


def test_packs_of_a_line_become_pounds_and_dollars(receive, sent, line):
    tag = {"lot_number": "OA-7", "purity_pct": Decimal("98.5"), "test_month": date(2026, 5, 17)}
    receipt = receive(
        {"line": line("Oats"), "packs": 3, "place": "Barn", **tag}, purchase=sent, freight_usd=Decimal(12)
    )
    [lot] = lots_of(receipt)
    assert (lot.on_hand_lb, lot.goods_usd, lot.freight_usd, lot.cost_usd) == (150, 66, 12, 78)
    assert (lot.purity_pct, lot.test_month, lot.lot_number) == (Decimal("98.5"), date(2026, 5, 1), "OA-7")
    assert lot.earlier == []
    assert [(entry.lb, entry.place) for entry in lot.entries.all()] == [(150, "Barn")]
    sent.refresh_from_db()
    assert sent.state == PurchaseOrder.State.PART_RECEIVED
    assert sent.changes.last().said.endswith("Oats. Now part received.")


def test_pounds_without_packs_are_priced_by_the_pound(receive, sent, line):
    [lot] = lots_of(receive({"line": line("Oats"), "lb": Decimal("33.333")}, purchase=sent))
    # 22.00 ÷ 50 × 33.333 = 14.66652
    assert (lot.goods_usd, lot.packs, lot.freight_usd) == (Decimal("14.67"), None, None)


def test_freight_is_shared_by_pounds_to_the_cent(receive, sent, line):
    rows = [
        {"line": line("Oats"), "packs": 1},
        {"line": line("Oats"), "packs": 1},
        {"line": line("Oats"), "packs": 1},
    ]
    receipt = receive(*rows, purchase=sent, freight_usd=Decimal("10.00"))
    assert [str(lot.freight_usd) for lot in lots_of(receipt)] == ["3.34", "3.33", "3.33"]
    assert sum(lot.freight_usd for lot in again(receipt).all_lots) == receipt.freight_usd


def test_freight_goes_by_value_where_the_supplier_charges_so(receive, sent, line):
    sent.supplier.freight_kind, sent.supplier.freight_pct = "value", Decimal(10)
    sent.supplier.save()
    rows = [{"line": line("Oats"), "packs": 4}, {"line": line("Crimson clover"), "packs": 1}]
    receipt = receive(*rows, purchase=sent, freight_usd=Decimal("14.80"))
    assert [lot.freight_usd for lot in lots_of(receipt)] == [
        Decimal("8.80"),
        Decimal("6.00"),
    ]  # 88.00 and 60.00


def test_freight_that_is_not_known_stays_unknown(receive, sent, line):
    [lot] = lots_of(receive({"line": line("Oats"), "packs": 1}, purchase=sent))
    assert (lot.freight_usd, lot.cost_usd) == (None, 22)


@settings(max_examples=200)
@given(
    st.lists(st.tuples(POUNDS, st.one_of(st.none(), CENTS)), min_size=1, max_size=40),
    CENTS,
    st.sampled_from(["", "none", "flat", "weight", "value"]),
)
def test_shares_of_any_freight_add_up_and_lie_within_a_cent(lots, freight_usd, kind):
    pounds, goods = [lb for lb, _ in lots], [usd for _, usd in lots]
    shares, by = shared_freight(freight_usd, pounds, goods, kind)
    assert sum(shares) == freight_usd
    weights = goods if by == "value" else pounds
    exact = [freight_usd * weight / sum(weights) for weight in weights]
    assert all(abs(share - wanted) <= Decimal("0.01") for share, wanted in zip(shares, exact, strict=True))
    assert by == ("value" if kind == "value" and None not in goods and sum(goods) else "pounds")


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.tuples(st.integers(1, 30), st.one_of(st.none(), CENTS)), min_size=1, max_size=6), CENTS, CENTS
)
def test_cents_of_a_delivery_add_up_however_it_is_corrected(
    receive, owner, species, rows, freight_usd, corrected_usd
):
    oats = species("oats")
    rows = [{"species": oats, "lb": packs * 50, "goods_usd": usd} for packs, usd in rows]
    receipt = receive(*rows, freight_usd=freight_usd)
    assert sum(lot.freight_usd for lot in lots_of(receipt)) == freight_usd
    correct_delivery(
        receipt=receipt,
        user=owner,
        freight_usd=corrected_usd,
        lots=[{"lot": lots_of(receipt)[0], "lb": Decimal("7.125")}],
    )
    lots = lots_of(receipt)
    assert sum(lot.freight_usd for lot in lots) == corrected_usd
    assert lots[0].on_hand_lb == Decimal("7.125")
    known = [row["goods_usd"] for row in rows if row["goods_usd"] is not None]
    assert sum(lot.goods_usd for lot in lots if lot.goods_usd is not None) == sum(known)


def test_more_than_ordered_is_said_and_stored(receive, sent, line):
    receive({"line": line("Oats"), "packs": 5}, purchase=sent)
    assert over_delivered(sent) == ["Oats, 50 lb: 5 packs came, 4 were ordered."]


def test_seed_from_elsewhere_needs_no_order(receive, species):
    receipt = receive(
        {"species": species("oats"), "lb": 40, "lot_number": "OLD"}, note="Left of last year", supplier=None
    )
    [lot] = lots_of(receipt)
    assert (lot.on_hand_lb, lot.goods_usd, lot.cost_usd) == (40, None, None)


@pytest.mark.parametrize(
    ("row", "field", "said"),
    [
        (lambda s, line: {"species": s("oats")}, "rows.1.lb", "Packs or pounds are needed"),
        (lambda s, line: {"species": s("oats"), "packs": 2}, "rows.1.lb", "how heavy a pack is is not known"),
        (lambda s, line: {"species": s("oats"), "lb": 0}, "rows.1.lb", "0 lb; accepted is more than 0"),
        (lambda s, line: {"species": s("oats"), "lb": "a few"}, "rows.1.lb", "a few lb is no number"),
        (lambda s, line: {"lb": 5}, "rows.1.seed", "a species, or a bought mix"),
        (
            lambda s, line: {"species": s("oats"), "lb": 5, "purity_pct": Decimal(101)},
            "rows.1.purity_pct",
            "100",
        ),
        (
            lambda s, line: {
                "species": s("oats"),
                "lb": 5,
                "germination_pct": Decimal(90),
                "hard_pct": Decimal(11),
            },
            "rows.1.germination_pct",
            "come to 101 %",
        ),
        (lambda s, line: {"line": line("Oats"), "packs": 1}, "rows.1.line", "another purchase order"),
    ],
)
def test_what_cannot_be_is_refused_with_its_row(receive, species, line, row, field, said):
    with pytest.raises(Refused, match=said) as refused:
        receive({"species": species("oats"), "lb": 5}, row(species, line))
    assert list(refused.value.fields) == [field]
    assert not Receipt.objects.exists()
    assert not StockEntry.objects.exists()


def test_delivery_of_tomorrow_is_refused(receive, species):
    with pytest.raises(Refused, match="a day from 1950-01-01 to today is"):
        receive({"species": species("oats"), "lb": 5}, received_on=timezone.localdate() + timedelta(days=1))


def test_what_was_not_sent_is_not_received(receive, small_property, owner):
    [draft] = draft_purchases(order=small_property, user=owner)
    with pytest.raises(Conflict, match="Purchase order 1 is draft; say that it was sent"):
        receive({"line": draft.lines.first(), "packs": 1}, purchase=draft)


def test_closed_purchase_is_reopened_before_it_is_received(receive, sent, owner, line):
    close_purchase(purchase=sent, user=owner, because="Sold out")
    with pytest.raises(Conflict, match="is closed; reopen it"):
        receive({"line": line("Oats"), "packs": 1}, purchase=sent)


def test_seed_of_another_property_is_refused(receive, elsewhere, make_bought, species):
    theirs = make_bought("Theirs", "20", {"chicory": ("50", "80")}, property=elsewhere)
    with pytest.raises(Refused, match="not one of this property"):
        receive({"blend": theirs, "lb": 5})


def test_correction_keeps_what_was_before_and_its_place_in_the_ledger(receive, sent, line, owner):
    receipt = receive({"line": line("Oats"), "packs": 4}, purchase=sent, freight_usd=Decimal(20))
    [lot] = lots_of(receipt)
    used = stock.use(lot=lot, lb=100, on=timezone.localdate(), user=owner)
    was = lot.entries.get(kind="received")
    correct_delivery(
        receipt=receipt,
        user=owner,
        freight_usd=Decimal(26),
        invoice="I-9",
        lots=[{"lot": lot, "packs": 3, "lb": 150, "goods_usd": Decimal(66), "lot_number": "OA-8"}],
    )
    lot.refresh_from_db()
    was.refresh_from_db()
    stands = lot.entries.get(kind="received", is_taken_back=False)
    assert (was.is_taken_back, stands.stands_at, stands.lb) == (True, was.stands_at, 150)
    assert (lot.on_hand_lb, lot.freight_usd, lot.cost_usd, lot.lot_number) == (50, 26, 92, "OA-8")
    used[0].refresh_from_db()
    assert used[0].cost_usd == Decimal("61.33")  # 92.00 × 100 ÷ 150
    told = [entry["was"] for entry in lot.earlier]
    assert {"lot_number": ""} in told
    assert {"packs": "4", "goods_usd": "88.00"} in told
    assert {"delivery_freight_usd": "20.00", "delivery_invoice": ""} in told
    sent.refresh_from_db()
    assert sent.state == PurchaseOrder.State.PART_RECEIVED


def test_day_of_a_delivery_is_corrected_in_every_lot(receive, species, owner):
    receipt = receive({"species": species("oats"), "lb": 5}, {"species": species("okra"), "lb": 6})
    earlier = timezone.localdate() - timedelta(days=9)
    correct_delivery(receipt=receipt, user=owner, received_on=earlier)
    days = StockEntry.objects.filter(is_taken_back=False).values_list("on", flat=True)
    assert list(days) == [earlier, earlier]


def test_pounds_that_were_sown_are_not_corrected_away(receive, species, owner):
    receipt = receive({"species": species("oats"), "lb": 50})
    [lot] = lots_of(receipt)
    stock.use(lot=lot, lb=40, on=timezone.localdate(), user=owner)
    with pytest.raises(Conflict, match="40 lb"):
        correct_delivery(receipt=receipt, user=owner, lots=[{"lot": lot, "lb": 30}])
    lot.refresh_from_db()
    assert lot.on_hand_lb == 10


def test_lot_that_was_forgotten_is_added_and_shares_the_freight(receive, sent, line, owner):
    receipt = receive({"line": line("Oats"), "packs": 2}, purchase=sent, freight_usd=Decimal(10))
    add_lot(receipt=receipt, row={"line": line("Oats"), "packs": 2, "lot_number": "B"}, user=owner)
    assert [lot.freight_usd for lot in lots_of(receipt)] == [5, 5]


def test_whole_delivery_is_taken_back_while_nothing_was_used(receive, sent, line, owner):
    receipt = receive({"line": line("Oats"), "packs": 4}, purchase=sent, freight_usd=Decimal(10))
    undo_delivery(receipt=receipt, user=owner, reason="Entered twice")
    sent.refresh_from_db()
    assert (sent.state, Lot.objects.get().on_hand_lb) == (PurchaseOrder.State.SENT, 0)
    assert is_undone(again(receipt))
    assert sent.changes.last().said.endswith("taken back: Entered twice. Now sent.")
    with pytest.raises(Conflict, match="was taken back"):
        correct_delivery(receipt=receipt, user=owner, invoice="X")


def test_delivery_that_was_worked_with_is_not_taken_back(receive, species, owner):
    receipt = receive({"species": species("oats"), "lb": 50}, {"species": species("okra"), "lb": 5})
    stock.use(lot=lots_of(receipt)[1], lb=1, on=timezone.localdate(), user=owner)
    with pytest.raises(Conflict, match="has been worked with on"):
        undo_delivery(receipt=receipt, user=owner, reason="Entered twice")
    with pytest.raises(Refused, match="needs a reason"):
        undo_delivery(receipt=receipt, user=owner, reason=" ")


def test_deliveries_take_the_same_queries_however_many(receive, species, farm, django_assert_num_queries):
    for _ in range(4):
        receive({"species": species("oats"), "lb": 5}, {"species": species("okra"), "lb": 6})
    with django_assert_num_queries(2):
        assert [len(each.all_lots) for each in receipts_of(farm)] == [2] * 4
