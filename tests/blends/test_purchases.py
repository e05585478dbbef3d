"""Purchase orders: one a supplier, numbered, with their states and what was changed after sending.

The order of `small_property` is worked by hand in conftest.py: oats 4 × 50 lb at 22.00, crimson clover 1 × 25 lb at
60.00, the bag 4 × 10 lb at 35.00; together 288.00 and 265 lb.
"""

import threading
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection, connections
from django.utils import timezone

from blends.models import Lot, Offer, OrderChoice, PriceBreak, PurchaseOrder
from blends.queries.purchases import figures_of, purchases_of
from blends.services import stock
from blends.services.offers import add_supplier
from blends.services.orders import choose, recompute_order, set_terms
from blends.services.purchase_drafts import draft_purchases, start_purchase
from blends.services.purchases import (
    add_line,
    change_details,
    change_line,
    close_purchase,
    reopen_purchase,
    send_purchase,
    take_back_sending,
)
from blends.services.receiving import receive_delivery
from blends.services.suppliers import save_supplier
from config.errors import Conflict, Refused

pytestmark = pytest.mark.django_db
State = PurchaseOrder.State


@pytest.fixture
def draft(small_property, owner):
    [draft] = draft_purchases(order=small_property, user=owner)
    return draft


@pytest.fixture
def sent(draft, owner):
    sent = send_purchase(purchase=draft, user=owner)
    recompute_order(sent.order_id)  # what is on hand was written down
    sent.order.refresh_from_db()
    return sent


def lines_of(purchase):
    return {str(line.item): line for line in purchase.lines.all()}


def said(purchase):
    return [change.said for change in purchase.changes.all()]


def receive(purchase, user, packs=None):
    """A delivery of all of it, or of so many packs of the first line."""
    lines = list(purchase.lines.all())
    rows = [{"line": line, "packs": line.packs} for line in lines]
    if packs is not None:
        rows = [{"line": lines[0], "packs": packs}]
    today = timezone.localdate()
    return receive_delivery(
        property=purchase.property, user=user, received_on=today, purchase=purchase, rows=rows
    )


def test_one_draft_a_supplier_with_what_the_order_buys(draft):
    figures = figures_of(draft)
    assert [(each.line.packs, each.line.pack_lb, each.line.price_usd) for each in figures.lines] == [
        (4, 10, Decimal("35.00")),
        (1, 25, Decimal("60.00")),
        (4, 50, Decimal("22.00")),
    ]
    assert (figures.goods_usd, figures.lb, figures.packs) == (Decimal("288.00"), 265, 9)
    assert lines_of(draft)["Oats"].germination_pct == 90
    assert (draft.number, draft.state, said(draft)) == (1, State.DRAFT, ["Drafted."])


def test_freight_that_nobody_stated_leaves_the_total_unknown(draft, owner, small_property):
    assert figures_of(draft).total_usd is None
    supplier = draft.supplier
    save_supplier(
        property=draft.property,
        supplier=supplier,
        freight_kind="weight",
        freight_usd_per_lb=Decimal("0.085"),
        min_order_usd=Decimal(300),
    )
    [draft] = draft_purchases(order=small_property, user=owner)
    figures = figures_of(draft)
    # 265 lb × 0.085 = 22.525, rounded half up
    assert (figures.freight_usd, figures.total_usd) == (Decimal("22.53"), Decimal("310.53"))
    assert figures.below_least_usd == Decimal("12.00")


def test_each_supplier_gets_a_document_of_its_own(small_property, species, farm, owner):
    other = add_supplier(property=farm, name="Ridge Seed")
    offer = Offer.objects.get(species=species("oats"))
    elsewhere = Offer.objects.create(
        property=farm, supplier=other, species=offer.species, pack_lb=50, price_usd=21
    )
    choose(order=small_property, species=offer.species, offer=elsewhere, on_hand_lb=Decimal(30))
    recompute_order(small_property.pk)
    small_property.refresh_from_db()
    drafts = draft_purchases(order=small_property, user=owner)
    assert [(draft.number, str(draft.supplier)) for draft in drafts] == [(1, "Co-op"), (2, "Ridge Seed")]
    assert list(lines_of(drafts[1])) == ["Oats"]


def test_draft_is_made_anew_under_its_number(draft, small_property, owner, species):
    change_details(purchase=draft, user=owner, note="Call before you come.")
    choose(
        order=small_property,
        species=species("oats"),
        offer=lines_of(draft)["Oats"].offer,
        on_hand_lb=Decimal(190),
    )
    recompute_order(small_property.pk)
    small_property.refresh_from_db()
    [again] = draft_purchases(order=small_property, user=owner)
    assert (again.pk, again.number, again.note) == (draft.pk, 1, "Call before you come.")
    assert lines_of(again)["Oats"].packs == 1  # 196.429 needed − 190 on hand


def test_sending_writes_down_what_was_on_hand(draft, owner, farm, species, small_property):
    clover = species("crimson_clover")
    lot = Lot.objects.create(property=farm, species=clover, purity_pct=98, germination_pct=85)
    stock.receive(lot=lot, lb=7, on=timezone.localdate(), user=owner)
    send_purchase(purchase=draft, user=owner)
    stock.lose(lot=lot, lb=5, on=timezone.localdate(), user=owner, reason="Mice")
    assert OrderChoice.objects.get(order=small_property, species=clover).on_hand_lb == 7


def test_what_was_sent_is_not_bought_again(sent, small_property, owner, species):
    small_property.refresh_from_db()
    with pytest.raises(Refused, match="There is nothing to buy"):
        draft_purchases(order=small_property, user=owner)
    choose(
        order=small_property,
        species=species("oats"),
        offer=lines_of(sent)["Oats"].offer,
        on_hand_lb=Decimal(0),
    )
    choose(
        order=small_property,
        species=species("crimson_clover"),
        offer=lines_of(sent)["Crimson clover"].offer,
        on_hand_lb=Decimal(0),
    )
    terms = {"assumed_purity_pct": Decimal(98), "assumed_germination_pct": Decimal(85)}
    set_terms(order=small_property, overage_pct=Decimal(60), **terms)
    recompute_order(small_property.pk)
    small_property.refresh_from_db()
    [more] = draft_purchases(order=small_property, user=owner)
    # oats 178.571 × 1.6 = 285.7 lb = 6 packs, 4 sent; clover 26.9 lb = 2, 1 sent; bag 48 lb = 5, 4 sent
    assert {name: line.packs for name, line in lines_of(more).items()} == {
        "Oats": 2,
        "Crimson clover": 1,
        "Bag": 1,
    }
    assert more.number == 2


def test_same_seed_sent_in_other_packs_counts_by_its_pounds(sent, small_property, owner, make_offer, species):
    smaller = make_offer(species("oats"), "25", "12.00", tag=("98", "90"))
    choose(order=small_property, species=species("oats"), offer=smaller, on_hand_lb=Decimal(0))
    recompute_order(small_property.pk)
    small_property.refresh_from_db()
    with pytest.raises(Refused, match="There is nothing to buy"):  # 196.4 lb, and 200 lb were sent
        draft_purchases(order=small_property, user=owner)


def test_draft_of_which_nothing_is_left_is_closed_and_its_number_is_gone(
    draft, small_property, owner, species
):
    for line in lines_of(draft).values():
        choose(
            order=small_property,
            species=line.species,
            blend=line.blend,
            offer=line.offer,
            on_hand_lb=Decimal(900),
        )
    recompute_order(small_property.pk)
    small_property.refresh_from_db()
    assert draft_purchases(order=small_property, user=owner) == []
    draft.refresh_from_db()
    assert (draft.state, draft.closed_because) == (State.CLOSED, "Nothing is left to buy of it.")
    assert start_purchase(order=small_property, supplier=draft.supplier, user=owner).number == 2


def test_stale_order_makes_no_documents(small_property, owner):
    small_property.inputs_version += 1
    small_property.save()
    with pytest.raises(Conflict, match="being computed again"):
        draft_purchases(order=small_property, user=owner)


def test_packs_move_the_price_to_the_break_that_they_reach(draft, owner):
    line = lines_of(draft)["Oats"]
    PriceBreak.objects.create(offer=line.offer, from_packs=5, quoted_usd=20, price_usd=20)
    assert change_line(line=line, user=owner, packs=5).price_usd == 20
    assert change_line(line=line, user=owner, packs=4).price_usd == 22
    agreed = change_line(line=line, user=owner, packs=4, price_usd=Decimal("19.50"))
    assert change_line(line=agreed, user=owner, packs=6).price_usd == Decimal("19.50")
    assert said(draft) == ["Drafted."]  # a draft is nobody's word yet


def test_freight_follows_the_lines_until_somebody_types_it(draft, owner):
    save_supplier(
        property=draft.property,
        supplier=draft.supplier,
        freight_kind="value",
        freight_pct=Decimal(10),
    )
    draft.refresh_from_db()
    change_details(purchase=draft, user=owner, freight_usd=Decimal("28.80"))  # 10 % of 288.00, by the terms
    change_line(line=lines_of(draft)["Oats"], user=owner, packs=5)
    draft.refresh_from_db()
    assert draft.freight_usd == Decimal("31.00")  # 10 % of 310.00
    change_details(purchase=draft, user=owner, freight_usd=Decimal("15.00"))
    change_line(line=lines_of(draft)["Oats"], user=owner, packs=6)
    draft.refresh_from_db()
    assert draft.freight_usd == Decimal("15.00")


def test_sending_copies_addresses_and_terms(draft, owner, farm):
    farm.address, farm.order_terms = "Tally Hollow\n1 Creek Road", "Net 30 days."
    farm.save()
    draft.supplier.address = "Co-op\n2 Mill Street"
    draft.supplier.save()
    sent = send_purchase(purchase=draft, user=owner)
    assert (sent.our_address, sent.supplier_address) == ("Tally Hollow\n1 Creek Road", "Co-op\n2 Mill Street")
    assert (sent.terms, sent.sent_on, sent.state) == ("Net 30 days.", timezone.localdate(), State.SENT)
    farm.address = "Elsewhere"
    farm.save()
    sent.refresh_from_db()
    assert sent.our_address == "Tally Hollow\n1 Creek Road"


def test_change_after_sending_keeps_what_was_said_before(sent, owner):
    line = lines_of(sent)["Oats"]
    change_line(line=line, user=owner, packs=3, price_usd=Decimal("21.50"))
    change_details(purchase=sent, user=owner, freight_usd=Decimal(40), note="By phone")
    packs, freight = sent.changes.all()[2], sent.changes.get(said__startswith="The freight")
    assert packs.said == "Oats, 50 lb: 3 packs, before 4; 21.50 USD a pack, before 22.00."
    assert packs.was == {"line": line.pk, "packs": 4, "price_usd": "22.00"}
    assert (packs.by, freight.said) == (owner, "The freight: 40.00 USD, before none.")


def test_line_taken_off_after_sending_stays_in_the_record(sent, owner):
    line = lines_of(sent)["Oats"]
    assert change_line(line=line, user=owner, packs=0) is None
    assert "Oats" not in lines_of(sent)
    assert said(sent)[-1] == "Oats, 50 lb: 4 packs taken off."
    add_line(purchase=sent, offer=line.offer, packs=4, user=owner)
    assert said(sent)[-1] == "Oats, 50 lb: 4 packs added at 22.00 USD a pack."


def test_line_of_which_seed_has_come_stays(sent, owner):
    receive(sent, owner, packs=1)
    with pytest.raises(Conflict, match="Seed has come for “Bag, 10 lb”"):
        change_line(line=sent.lines.first(), user=owner, packs=0)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda line: {"packs": -1}, "greater than or equal to 1"),
        (lambda line: {"packs": 2, "price_usd": Decimal(-1)}, "greater than or equal to 0"),
    ],
)
def test_packs_and_prices_that_cannot_be(draft, owner, change, said):
    line = draft.lines.first()
    with pytest.raises(Refused, match=said):
        change_line(line=line, user=owner, **change(line))


def test_line_is_of_an_offer_of_this_supplier(draft, owner, farm, species, elsewhere):
    other = add_supplier(property=farm, name="Ridge Seed")
    theirs = Offer.objects.create(
        property=farm, supplier=other, species=species("okra"), pack_lb=1, price_usd=1
    )
    with pytest.raises(Refused, match="no offer of Co-op"):
        add_line(purchase=draft, offer=theirs, packs=1, user=owner)
    with pytest.raises(Refused, match="has a line already"):
        add_line(purchase=draft, offer=draft.lines.first().offer, packs=1, user=owner)


STEPS = {
    "send": lambda purchase, user: send_purchase(purchase=purchase, user=user),
    "take back": lambda purchase, user: take_back_sending(purchase=purchase, user=user),
    "receive some": lambda purchase, user: receive(purchase, user, packs=1),
    "receive all": lambda purchase, user: receive(purchase, user),
    "close": lambda purchase, user: close_purchase(purchase=purchase, user=user, because="Sold out"),
    "reopen": lambda purchase, user: reopen_purchase(purchase=purchase, user=user),
    "change": lambda purchase, user: change_line(line=purchase.lines.last(), user=user, packs=9),
}
INTO = {
    State.DRAFT: [],
    State.SENT: ["send"],
    State.PART_RECEIVED: ["send", "receive some"],
    State.RECEIVED: ["send", "receive all"],
    State.CLOSED: ["send", "receive some", "close"],
}
MACHINE = {
    (State.DRAFT, "send"): State.SENT,
    (State.DRAFT, "close"): State.CLOSED,
    (State.DRAFT, "change"): State.DRAFT,
    (State.SENT, "take back"): State.DRAFT,
    (State.SENT, "receive some"): State.PART_RECEIVED,
    (State.SENT, "receive all"): State.RECEIVED,
    (State.SENT, "close"): State.CLOSED,
    (State.SENT, "change"): State.SENT,
    (State.PART_RECEIVED, "receive some"): State.PART_RECEIVED,
    (State.PART_RECEIVED, "receive all"): State.RECEIVED,
    (State.PART_RECEIVED, "close"): State.CLOSED,
    (State.PART_RECEIVED, "change"): State.PART_RECEIVED,
    (State.RECEIVED, "receive some"): State.RECEIVED,  # more than ordered is said, not refused
    (State.RECEIVED, "receive all"): State.RECEIVED,
    (State.RECEIVED, "close"): State.CLOSED,
    (State.RECEIVED, "change"): State.PART_RECEIVED,
    (State.CLOSED, "reopen"): State.PART_RECEIVED,
}


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("state", INTO)
def test_each_step_from_each_state(draft, owner, state, step):
    for each in INTO[state]:
        STEPS[each](draft, owner)
    draft.refresh_from_db()
    assert draft.state == state
    if (state, step) not in MACHINE:
        with pytest.raises(Conflict):
            STEPS[step](draft, owner)
        draft.refresh_from_db()
        assert draft.state == state
        return
    STEPS[step](draft, owner)
    draft.refresh_from_db()
    assert draft.state == MACHINE[state, step]


def test_closed_draft_is_reopened_as_a_draft(draft, owner):
    close_purchase(purchase=draft, user=owner, because="Not needed")
    assert reopen_purchase(purchase=draft, user=owner).state == State.DRAFT


def test_closing_needs_a_reason_while_something_is_out(sent, owner):
    with pytest.raises(Refused, match="Say why it is closed"):
        close_purchase(purchase=sent, user=owner)
    receive(sent, owner)
    sent.refresh_from_db()
    assert close_purchase(purchase=sent, user=owner).state == State.CLOSED


@pytest.mark.parametrize("days", [1, 400])
def test_day_of_sending_is_no_day_to_come(draft, owner, days):
    with pytest.raises(Refused, match="is in the future"):
        send_purchase(purchase=draft, user=owner, on=timezone.localdate() + timedelta(days=days))


def test_day_of_sending_is_no_slip_of_a_year(draft, owner):
    with pytest.raises(Refused, match="0001-01-01 is before 1950"):
        send_purchase(purchase=draft, user=owner, on=date.min)


def test_empty_purchase_order_is_not_sent(small_property, owner, draft):
    empty = start_purchase(order=small_property, supplier=draft.supplier, user=owner)
    with pytest.raises(Refused, match="nothing on it"):
        send_purchase(purchase=empty, user=owner)


def test_list_takes_the_same_queries_however_long(small_property, draft, owner, django_assert_num_queries):
    for _ in range(3):
        start_purchase(order=small_property, supplier=draft.supplier, user=owner)
    with django_assert_num_queries(4):
        rows = [figures_of(purchase) for purchase in purchases_of(draft.property)]
        assert [str(each.purchase.order.season) for each in rows] == ["Cool season 2027"] * 4


@pytest.mark.skipif(connection.vendor != "postgresql", reason="two writers at once are PostgreSQL's")
@pytest.mark.django_db(transaction=True)
@pytest.mark.postgis
def test_two_at_once_get_two_numbers(small_property, owner):
    supplier = small_property.orderlines.first().offer.supplier
    numbers, errors, start = [], [], threading.Barrier(2)

    def draft_five():
        try:
            start.wait()
            for _ in range(5):
                numbers.append(start_purchase(order=small_property, supplier=supplier, user=owner).number)
        except BaseException as error:  # a thread's failure is the test's
            errors.append(error)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=draft_five) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []
    assert sorted(numbers) == list(range(1, 11))
