"""Purchase orders and deliveries: prices for who may see costs, receiving for who may record."""

from datetime import date
from decimal import Decimal

from blends.models import Offer
from blends.services.offers import add_supplier
from blends.services.purchase_drafts import start_purchase
from blends.services.purchases import add_line, send_purchase
from blends.services.receiving import receive_delivery
from blends.services.seasons import open_season
from blends.services.species import add_species
from tests.isolation import COSTS, EDITORS, MEMBERS, RECORDERS, Row

DRAFT = {"named": {"number": "draft_number"}}
SENT = {"named": {"number": "sent_number"}}

ROWS = [
    Row("purchases", "GET", COSTS),
    # nothing to buy: said on the page
    Row("purchases", "POST", EDITORS, body={"season": "2029-warm"}),
    Row("purchase", "GET", COSTS, **DRAFT),
    Row("purchase", "POST", EDITORS, 302, body={"act": "send", "sent_on": "2026-03-01"}, **DRAFT),
    Row("purchase-file", "GET", COSTS, named={"number": "draft_number", "form": "purchase_form"}),
    Row("receive", "GET", RECORDERS, **SENT),
    Row("receive", "POST", RECORDERS, body={"act": "store"}, **SENT),
    Row("deliveries", "GET", MEMBERS),
    Row("delivery-new", "GET", RECORDERS),
    Row("delivery-new", "POST", RECORDERS, body={"act": "store"}),
    Row("delivery", "GET", MEMBERS),
    # what the owner entered is not the recorder's to take back
    Row("delivery", "POST", EDITORS, 302, body={"act": "undo", "reason": "Entered twice"}),
    Row("delivery-lot", "GET", EDITORS),
    Row("delivery-lot", "POST", EDITORS, body={"act": "store"}),
    Row("api-purchases", "GET", COSTS),
    Row("api-purchases", "POST", EDITORS, 400, body={"season": "2029-warm", "supplier_id": 9_999_999}),
    Row("api-purchase", "GET", COSTS, **DRAFT),
    Row("api-purchase", "PATCH", EDITORS, body={"note": "Call first"}, **DRAFT),
    Row("api-purchase-send", "POST", EDITORS, **DRAFT),
    Row("api-purchase-unsend", "POST", EDITORS, 409, **DRAFT),
    Row("api-purchase-close", "POST", EDITORS, body={"because": "Sold out"}, **SENT),
    Row("api-purchase-reopen", "POST", EDITORS, 409, **SENT),
    Row("api-receipts", "GET", MEMBERS),
    Row("api-receipts", "POST", RECORDERS, 400),
    Row("api-receipt", "GET", MEMBERS),
    Row("api-receipt", "PATCH", EDITORS, body={"invoice": "I-2"}),
    Row("api-receipt-lots", "POST", EDITORS, 400),
    Row("api-receipt-undo", "POST", EDITORS, body={"reason": "Entered twice"}),
]


def things(farm, owner):
    own = add_species(property=farm, user=owner, common_name="Purchase millet", group="warm_grass")
    supplier = add_supplier(property=farm, name="Purchase mill")
    offer = Offer.objects.create(
        property=farm, supplier=supplier, species=own, pack_lb=Decimal(50), price_usd=Decimal(22)
    )
    order = open_season(property=farm, year=2029, kind="warm").order
    draft, sent = (start_purchase(order=order, supplier=supplier, user=owner) for _ in range(2))
    lines = [add_line(purchase=each, offer=offer, packs=4, user=owner) for each in (draft, sent)]
    send_purchase(purchase=sent, user=owner, on=date(2026, 3, 1))
    receipt = receive_delivery(
        property=farm,
        user=owner,
        purchase=sent,
        received_on=date(2026, 3, 2),
        rows=[{"line": lines[1], "packs": 1}],
    )
    return {
        "draft_number": draft.number,
        "sent_number": sent.number,
        "purchase_form": "pdf",
        "receipt_id": receipt.pk,
    }
