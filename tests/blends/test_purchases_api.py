"""Purchase orders and deliveries by the API: money as text, refusals by their fields, no price for a recorder."""

import json

import pytest
from django.test import Client

from blends.models import Receipt
from blends.services.purchase_drafts import draft_purchases
from blends.services.purchases import send_purchase
from blends.services.receiving import receive_delivery

pytestmark = pytest.mark.django_db
ROOT = "/api/v1/properties/tally-hollow"


@pytest.fixture
def call(owner):
    def call(method, path, body=None, user=owner, status=200):
        client = Client()
        client.force_login(user)
        answer = client.generic(method, f"{ROOT}/{path}", json.dumps(body or {}), "application/json")
        assert answer.status_code == status, answer.content
        return answer.json()

    return call


@pytest.fixture
def sent(small_property, owner):
    [draft] = draft_purchases(order=small_property, user=owner)
    return send_purchase(purchase=draft, user=owner)


def oats_of(purchase):
    return next(line for line in purchase.lines.all() if str(line.item) == "Oats")


def test_order_becomes_documents_and_is_sent(call, small_property):
    [draft] = call("POST", "purchases/", {"season": "2027-cool"}, status=201)
    assert (draft["number"], draft["goods_usd"], draft["freight_usd"], draft["total_usd"]) == (
        1,
        "288.00",
        None,
        None,
    )
    line = draft["lines"][2]
    changed = call(
        "PATCH",
        "purchases/1/",
        {"lines": [{"id": line["id"], "packs": 5}], "freight_usd": "40", "note": "Call first"},
    )
    assert (changed["goods_usd"], changed["total_usd"], changed["note"]) == ("310.00", "350.00", "Call first")
    assert call("POST", "purchases/1/send/", {"sent_on": "2026-03-01"})["state"] == "sent"
    changed = call("PATCH", "purchases/1/", {"lines": [{"id": line["id"], "packs": 4, "price_usd": "21.00"}]})
    assert changed["changes"][-1]["said"] == "Oats, 50 lb: 4 packs, before 5; 21.00 USD a pack, before 22.00."
    assert call("GET", "purchases/?state=sent&season=2027-cool")["count"] == 1
    assert "accepted are draft, sent" in call("GET", "purchases/?state=lost", status=400)["error"]["message"]
    assert call("POST", "purchases/1/unsend/")["state"] == "draft"
    assert call("POST", "purchases/1/close/", status=400)["error"]["fields"]["because"]
    assert call("POST", "purchases/1/close/", {"because": "Not needed"})["state"] == "closed"
    assert call("POST", "purchases/1/reopen/")["state"] == "draft"


def test_change_is_made_whole_or_not_at_all(call, sent):
    body = {"lines": [{"id": oats_of(sent).pk, "packs": 9}], "add": [{"offer_id": 9_999_999, "packs": 1}]}
    assert "9999999" in call("PATCH", "purchases/1/", body, status=400)["error"]["message"]
    assert oats_of(sent).packs == 4


def test_delivery_makes_lots_and_says_what_stands_against_them(call, sent):
    row = {
        "line_id": oats_of(sent).pk,
        "packs": 4,
        "lot_number": "OA-7",
        "purity_pct": "98",
        "germination_pct": "70",
        "test_month": "2026-01-15",
        "noxious": "None",
    }
    body = {"purchase": 1, "received_on": "2026-03-02", "freight_usd": "12.40", "lots": [row]}
    told = call("POST", "receipts/", body | {"dry": True})
    assert not Receipt.objects.exists()
    assert [each["rule"] for each in told["lots"][0]["findings"]] == ["7 CFR 201.63", "pure live seed"]
    made = call("POST", "receipts/", body, status=201)
    [lot] = made["lots"]
    assert (lot["lb"], lot["goods_usd"], lot["freight_usd"], lot["cost_usd"]) == (
        "200.000",
        "88.00",
        "12.40",
        "100.40",
    )
    assert call("GET", "purchases/1/")["state"] == "part"
    corrected = call(
        "PATCH", f"receipts/{made['id']}/", {"freight_usd": "8.00", "lots": [{"id": lot["id"], "lb": "150"}]}
    )
    assert (corrected["lots"][0]["lb"], corrected["lots"][0]["freight_usd"]) == ("150.000", "8.00")
    more = call("POST", f"receipts/{made['id']}/lots/", row | {"packs": 3, "lot_number": "B"}, status=201)
    assert [each["freight_usd"] for each in more["lots"]] == ["4.00", "4.00"]
    undone = call("POST", f"receipts/{made['id']}/undo/", {"reason": "Entered twice"})
    assert undone["is_taken_back"]
    assert call("GET", "receipts/")["count"] == 1


def test_refusal_names_the_lot_and_its_field(call, sent):
    body = {"received_on": "2026-03-02", "lots": [{"species_id": 9_999_999, "lb": "5"}]}
    assert list(call("POST", "receipts/", body, status=400)["error"]["fields"]) == ["lots.0.species_id"]
    body = {"received_on": "2026-03-02", "purchase": 1, "lots": [{"line_id": oats_of(sent).pk}]}
    assert list(call("POST", "receipts/", body, status=400)["error"]["fields"]) == ["lots.0.lb"]


def test_recorder_enters_pounds_and_never_sees_or_says_a_price(call, sent, recorder):
    row = {"line_id": oats_of(sent).pk, "packs": 1}
    body = {"purchase": 1, "received_on": "2026-03-02", "lots": [row]}
    call("POST", "receipts/", body | {"freight_usd": "1.00"}, user=recorder, status=403)
    call("POST", "receipts/", body | {"lots": [row | {"goods_usd": "1.00"}]}, user=recorder, status=403)
    made = call("POST", "receipts/", body, user=recorder, status=201)
    assert "usd" not in json.dumps(made)
    assert "usd" not in json.dumps(call("GET", "receipts/", user=recorder))
    assert call("GET", f"receipts/{made['id']}/")["lots"][0]["goods_usd"] == "22.00"
    call("GET", "purchases/", user=recorder, status=403)


def test_recorder_corrects_what_they_entered_themselves(call, sent, owner, recorder):
    theirs = receive_delivery(
        property=sent.property,
        user=owner,
        purchase=sent,
        received_on=sent.sent_on,
        rows=[{"line": oats_of(sent), "packs": 1}],
    )
    call("PATCH", f"receipts/{theirs.pk}/", {"invoice": "X"}, user=recorder, status=403)
    body = {"purchase": 1, "received_on": "2026-03-02", "lots": [{"line_id": oats_of(sent).pk, "packs": 1}]}
    own = call("POST", "receipts/", body, user=recorder, status=201)
    assert call("PATCH", f"receipts/{own['id']}/", {"invoice": "X"}, user=recorder)["invoice"] == "X"
