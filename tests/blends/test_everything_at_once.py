"""A whole day at once: people who send, receive, sow, correct, count and fill the same things never wait for ever, and
what they leave behind adds up."""

import threading
import time
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db.models import Sum
from django.utils import timezone

from blends.models import Lot, Offer, PlantingLot, PlantingRecord, PurchaseOrder, SeedOrder, StockEntry
from blends.services import purchase_drafts
from blends.services.lot_choices import clear_lots, fill_from_stock
from blends.services.lots import count_several
from blends.services.orders import choose, recompute_order
from blends.services.planting_records import correct_planting, given_of, record_planting, strike_planting
from blends.services.purchase_drafts import draft_purchases, start_purchase
from blends.services.purchases import add_line, change_details, send_purchase
from blends.services.receiving import correct_delivery, receive_delivery, undo_delivery
from blends.services.suppliers import add_supplier
from config.errors import Conflict
from tests.blends.test_stock import check_that_it_adds_up
from tests.blends.test_stock_at_once import refused_or_done
from tests.planting_day import PlantingDay, species
from tests.plots.conftest import at_once, on_disk  # noqa: F401

ROUNDS = 5


@pytest.fixture
def day(farm, owner, make_plot):
    return PlantingDay(farm, owner, make_plot)


@pytest.fixture
def today():
    return timezone.localdate()


@pytest.fixture
def supplier(farm):
    return add_supplier(property=farm, name="Hill mill")


@pytest.fixture
def offer(farm, supplier):
    return Offer.objects.create(
        property=farm,
        supplier=supplier,
        species=species("cereal_rye"),
        pack_lb=Decimal(50),
        price_usd=Decimal(22),
    )


@pytest.fixture
def draft(day, supplier, offer, owner):
    purchase = start_purchase(order=day.season.order, supplier=supplier, user=owner)
    add_line(purchase=purchase, offer=offer, packs=20, user=owner)
    return purchase


def over_and_over(act):
    """The act several times; a conflict is an answer."""

    def run():
        for _ in range(ROUNDS):
            try:
                act()
            except Conflict:
                continue

    return run


def test_of_two_who_send_the_same_draft_one_does(draft, owner, manager, at_once):  # noqa: F811
    done = refused_or_done(
        at_once(*(lambda user=user: send_purchase(purchase=draft, user=user) for user in (owner, manager)))
    )
    assert sorted(done) == [False, True]
    assert [change.said.split()[0] for change in draft.changes.order_by("pk")] == ["Drafted.", "Sent"]


def test_two_who_receive_the_same_purchase_both_count(draft, owner, recorder, at_once, today):  # noqa: F811
    send_purchase(purchase=draft, user=owner)
    line = draft.lines.get()

    def receive(user, packs):
        return lambda: receive_delivery(
            property=draft.property,
            user=user,
            purchase=draft,
            received_on=today,
            freight_usd=Decimal("10.01"),
            rows=[{"line": line, "packs": packs}, {"line": line, "packs": 1}],
        )

    assert refused_or_done(at_once(receive(owner, 12), receive(recorder, 6))) == [True, True]
    draft.refresh_from_db()
    assert draft.state == PurchaseOrder.State.RECEIVED
    lots = Lot.objects.filter(purchase_line=line)
    assert lots.aggregate(lb=Sum("on_hand_lb"), usd=Sum("freight_usd")) == {
        "lb": 1000,
        "usd": Decimal("20.02"),
    }
    for lot in lots:
        check_that_it_adds_up(lot)


def test_what_was_just_sent_is_not_drafted_anew(day, offer, owner, manager, at_once, monkeypatch):  # noqa: F811
    """One sends in the moment in which another, who has seen the draft, lets its lines be made anew."""
    order = day.season.order
    choose(order=order, species=species("cereal_rye"), offer=offer, on_hand_lb=Decimal(0))
    recompute_order(order.pk)
    order = SeedOrder.objects.select_related("season").get(pk=order.pk)
    [purchase] = draft_purchases(order=order, user=owner)
    is_drafting, replace_lines = threading.Event(), purchase_drafts._replace_lines

    def replace_slowly(*given):
        is_drafting.set()
        time.sleep(0.3)
        replace_lines(*given)

    monkeypatch.setattr(purchase_drafts, "_replace_lines", replace_slowly)

    def send():
        assert is_drafting.wait(20)
        send_purchase(purchase=purchase, user=owner)
        return set(purchase.lines.values_list("pk", flat=True))

    sent, _ = outcomes = at_once(send, lambda: draft_purchases(order=order, user=manager))
    assert refused_or_done(outcomes) == [True, True]
    assert set(purchase.lines.values_list("pk", flat=True)) == sent


def test_a_planting_day_at_once(day, draft, offer, owner, manager, recorder, at_once, today):  # noqa: F811
    send_purchase(purchase=draft, user=owner)
    line = draft.lines.get()
    season, [first, second] = day.season, day.season.plantings.order_by("pk")
    lots = list(day.lots.values())
    when = today - timedelta(days=1)

    def seeds(lb):
        return [{"lot_id": lot.pk, "used_lb": Decimal(lb)} for lot in lots]

    said = {"done_on": when, "acres": Decimal("1.5")}
    record, _ = record_planting(id=uuid4(), planting=first, user=owner, said=said, seeds=seeds(5))

    def sow():
        made, _ = record_planting(id=uuid4(), planting=second, user=recorder, said=said, seeds=seeds(3)[::-1])
        strike_planting(record=made, user=recorder, reason="Entered twice.")

    def correct(user):
        def run():
            latest = PlantingRecord.objects.get(planting=first, replaced_by=None)
            old, old_seeds = given_of(latest)
            for each in old_seeds:
                each["used_lb"] += 1
            correct_planting(record=latest, id=uuid4(), user=user, said=old, seeds=old_seeds)

        return run

    def count():
        count_several(counts=[(lot, "", Decimal(350)) for lot in lots], on=when, user=manager)

    def fill():
        clear_lots(season=season, user=manager)
        fill_from_stock(season=season, user=manager)

    def compute():
        for order_id in SeedOrder.objects.values_list("pk", flat=True):
            recompute_order(order_id)

    def receive():
        rows = [{"line": line, "packs": 1}, {"species": species("crimson_clover"), "lb": 5, "goods_usd": 9}]
        receipt = receive_delivery(
            property=season.property, user=manager, purchase=draft, received_on=today, rows=rows
        )
        correct_delivery(receipt=receipt, user=manager, freight_usd=Decimal(7))
        undo_delivery(receipt=receipt, user=manager, reason="Entered twice.")

    def order_more():
        change_details(purchase=draft, user=owner, note=str(uuid4()))
        choose(order=season.order, species=species("cereal_rye"), offer=offer, on_hand_lb=None)

    done = refused_or_done(
        at_once(
            *map(
                over_and_over,
                (sow, correct(owner), correct(manager), count, fill, compute, receive, order_more),
            )
        )
    )
    assert all(done)
    compute()
    for lot in Lot.objects.all():
        check_that_it_adds_up(lot)
    holding = PlantingRecord.objects.get(planting=first, replaced_by=None)
    for seed in holding.seeds.all():
        used = StockEntry.objects.filter(record_seed=seed, is_taken_back=False, kind="used")
        assert used.aggregate(lb=Sum("lb"))["lb"] == -seed.used_lb
    assert not StockEntry.objects.filter(record_seed__record__planting=second, is_taken_back=False).exists()
    promised = PlantingLot.objects.filter(planting__season=season).values("planting", "lot")
    assert promised.count() == promised.distinct().count()
    assert not SeedOrder.objects.get(season=season).is_stale
