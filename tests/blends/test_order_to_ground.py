"""One season from the order to the stock-take, every pound and cent of it followed by hand.

North 2 ac and South 1 ac get Grain drilled: 60 lb PLS/ac of oats, 5 of crimson clover; 10 % overage.

Oats, tag 98 % × 90 % = 0.882, 50-lb bags at 20.00 from the Co-op, freight 30.00 an order:
    180 ÷ 0.882 = 204.082 lb sown, 224.490 needed, 5 bags = 250 lb = 100.00
Crimson clover, tag 95 % × 80 % = 0.76, 25-lb bag at 60.00 from the Mill, freight 0.10 a pound:
    15 ÷ 0.76 = 19.737 lb sown, 21.711 needed, 1 bag = 25 lb = 60.00, freight 2.50

They come as three lots; the Co-op's invoice has 31.00 of freight, shared by pounds:
    A7  3 bags, 150 lb: 60.00 + 18.60 = 78.60
    B2  2 bags, 100 lb: 40.00 + 12.40 = 52.40
    C1  1 bag,   25 lb: 60.00 +  2.50 = 62.50        together 275 lb, 193.50
"""

from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest

from blends.models import StockEntry
from blends.queries.fieldwork import records_for
from blends.queries.stock_book import worked_through
from blends.services import stock
from blends.services.buying import ask_for_plan, take_plan
from blends.services.offers import save_offer
from blends.services.orders import recompute_order, set_terms
from blends.services.planting_records import correct_planting, record_planting
from blends.services.purchase_drafts import draft_purchases
from blends.services.purchases import close_purchase, send_purchase
from blends.services.receiving import receive_delivery
from blends.services.seasons import assign, open_season
from blends.services.suppliers import add_supplier, save_supplier
from plots.services.jobs import run_job

pytestmark = pytest.mark.django_db
SENT, CAME, SOWN, COUNTED = date(2026, 7, 20), date(2026, 8, 10), date(2026, 9, 1), date(2026, 9, 5)


def usd(text):
    return Decimal(text)


@pytest.fixture
def offered(farm, species):
    coop, mill = (add_supplier(property=farm, name=name) for name in ("Co-op", "Mill"))
    save_supplier(property=farm, supplier=coop, freight_kind="flat", freight_usd=usd("30"))
    save_supplier(property=farm, supplier=mill, freight_kind="weight", freight_usd_per_lb=usd("0.10"))
    for supplier, key, pack_lb, price_usd, purity, germination in [
        (coop, "oats", 50, "20", 98, 90),
        (mill, "oats", 50, "27", 98, 90),
        (mill, "crimson_clover", 25, "60", 95, 80),
    ]:
        save_offer(
            property=farm,
            supplier=supplier,
            species=species(key),
            pack_lb=Decimal(pack_lb),
            price_usd=usd(price_usd),
            purity_pct=Decimal(purity),
            germination_pct=Decimal(germination),
        )


@pytest.fixture
def planned(farm, owner, make_plot, make_mixed):
    grain = make_mixed("Grain", {"oats": ("60", None), "crimson_clover": ("5", None)})
    season = open_season(property=farm, year=2026, kind="cool")
    plots = [make_plot("North", acres=2), make_plot("South", acres=1)]
    assign(
        season=season, user=owner, assignments=[{"plot_id": plot.pk, "blend_id": grain.pk} for plot in plots]
    )
    set_terms(
        order=season.order,
        overage_pct=Decimal(10),
        assumed_purity_pct=Decimal(98),
        assumed_germination_pct=Decimal(85),
    )
    recompute_order(season.order.pk)
    return season


@pytest.fixture
def bought(planned, offered, owner):
    """The cheapest way is taken and its two purchase orders are sent."""
    order = planned.order
    order.refresh_from_db()
    plan = ask_for_plan(order=order, user=owner, send=False)
    run_job(plan.job_id)
    plan.refresh_from_db()
    take_plan(plan=plan, user=owner)
    recompute_order(order.pk)
    order.refresh_from_db()
    drafts = draft_purchases(order=order, user=owner)
    for each in drafts:
        send_purchase(purchase=each, user=owner, on=SENT)
    return planned, {each.supplier.name: each for each in drafts}


@pytest.fixture
def received(bought, owner, farm):
    season, purchases = bought
    oats, clover = purchases["Co-op"].lines.get(), purchases["Mill"].lines.get()
    tag = {"purity_pct": Decimal(98), "place": "Barn"}
    rows = [
        {"line": oats, "packs": 3, "lot_number": "A7", "germination_pct": Decimal(88), **tag},
        {"line": oats, "packs": 2, "lot_number": "B2", "germination_pct": Decimal(92), **tag},
    ]
    how = {"property": farm, "user": owner, "received_on": CAME}
    receive_delivery(purchase=purchases["Co-op"], freight_usd=usd("31.00"), rows=rows, **how)
    rows = [{"line": clover, "packs": 1, "lot_number": "C1", "germination_pct": Decimal(80), **tag}]
    receive_delivery(purchase=purchases["Mill"], freight_usd=usd("2.50"), rows=rows, **how)
    return season, purchases, {lot.lot_number: lot for lot in farm.lots.all()}


def test_order_buys_what_the_plots_take(bought):
    season, purchases = bought
    order = season.order
    order.refresh_from_db()
    lines = {str(line.item): line for line in order.orderlines.all()}
    assert lines["Oats"].planted_lb == pytest.approx(204.0816, abs=1e-3)
    assert lines["Crimson clover"].planted_lb == pytest.approx(19.7368, abs=1e-3)
    assert (lines["Oats"].packs, lines["Crimson clover"].packs) == (5, 1)
    assert order.cost_bought_usd == usd("160.00")
    said = {
        name: [(line.packs, line.pack_lb, line.price_usd) for line in each.lines.all()]
        for name, each in purchases.items()
    }
    assert said == {"Co-op": [(5, 50, usd("20"))], "Mill": [(1, 25, usd("60"))]}
    assert {name: each.freight_usd for name, each in purchases.items()} == {"Co-op": 30, "Mill": usd("2.50")}


def test_delivery_makes_lots_whose_cents_add_up(received):
    _, purchases, lots = received
    assert {name: (lot.on_hand_lb, lot.cost_usd) for name, lot in lots.items()} == {
        "A7": (150, usd("78.60")),
        "B2": (100, usd("52.40")),
        "C1": (25, usd("62.50")),
    }
    for each in purchases.values():
        each.refresh_from_db()
    assert {each.state for each in purchases.values()} == {"received"}


def test_season_adds_up_to_the_pound_and_the_cent(received, owner, farm):
    season, purchases, lots = received
    north, south = season.plantings.order_by("plot__name")

    def sown(**loaded):
        return [
            {"lot_id": lots[name].pk, "loaded_lb": Decimal(put_in), "left_lb": Decimal(left)}
            for name, (put_in, left) in loaded.items()
        ]

    how = {"user": owner, "said": {"done_on": SOWN, "acres": "2.05", "is_by_meter": True}}
    first, _ = record_planting(
        id=uuid4(), planting=north, seeds=sown(A7=("145", "3"), C1=("15", "1.25")), **how
    )
    record_planting(
        id=uuid4(),
        planting=south,
        user=owner,
        said={"done_on": SOWN, "acres": "1.00"},
        seeds=sown(A7=("8", "0"), B2=("60", "4"), C1=("6.5", "0")),
    )
    stock.count(lot=lots["B2"], lb=Decimal("43.5"), on=COUNTED, user=owner, place="Barn")
    stock.count(lot=lots["C1"], lb=Decimal("4.75"), on=COUNTED, user=owner, place="Barn")
    # 142 lb of A7: 78.60 × 142/150 = 74.408; then 8 lb empty it: 78.60 − 74.41
    assert costs_by_plot(farm) == {"North": usd("108.79"), "South": usd("49.78")}

    correct_planting(record=first, id=uuid4(), seeds=sown(A7=("145", "5"), C1=("15", "1.25")), **how)

    # 140 lb: 78.60 × 140/150 = 73.36; 148 lb: 77.552, so 8 lb cost 77.55 − 73.36 = 4.19, and 2 lb on hand 1.05.
    # B2: 56 lb 29.344, short 0.5 lb makes 56.5 lb 29.606: 29.34 and 0.27. C1: 13.75 lb 34.375, 20.25 lb 50.625.
    assert costs_by_plot(farm) == {
        "North": usd("73.36") + usd("34.38"),
        "South": usd("4.19") + usd("29.34") + usd("16.25"),
    }
    on_hand = {}
    for name, lot in lots.items():
        lot.refresh_from_db()
        entries = list(lot.entries.filter(is_taken_back=False))
        on_hand[name] = (lot.on_hand_lb, worked_through(entries, lot.cost_usd).on_hand_usd)
    assert on_hand == {
        "A7": (2, usd("1.05")),
        "B2": (usd("43.5"), usd("22.79")),
        "C1": (usd("4.75"), usd("11.87")),
    }
    live = StockEntry.objects.filter(lot__property=farm, is_taken_back=False)
    pounds = {
        kind: sum((e.lb for e in live if e.kind == kind), Decimal(0)) for kind in StockEntry.Kind.values
    }
    assert pounds == {"received": 275, "used": usd("-224.25"), "lost": 0, "counted": usd("-0.5"), "moved": 0}
    assert usd("224.25") + usd("0.5") + sum(lb for lb, _ in on_hand.values()) == 275
    short_usd = live.get(kind="counted", lot=lots["B2"]).cost_usd
    assert short_usd == usd("0.27")
    paid_usd = usd("100") + usd("60") + usd("31.00") + usd("2.50")
    assert paid_usd == sum(costs_by_plot(farm).values()) + short_usd + sum(
        value for _, value in on_hand.values()
    )
    for each in purchases.values():
        assert close_purchase(purchase=each, user=owner).state == "closed"


def costs_by_plot(farm):
    records = records_for(farm, shows_costs=True)
    return {record.planting.plot.name: record.cost_usd for record in records}
