"""Seed in stock, its lots and inoculant: pages and the API.

The name of this module comes after plots and seasons: what it makes stands beside what is made there.
"""

from datetime import date
from decimal import Decimal

from django.core.files.base import ContentFile

from blends.models import Lot, Species
from blends.services import stock
from blends.services.inoculants import add_inoculant
from blends.services.lots import add_test, set_tag_photo
from tests.isolation import EDITORS, MEMBERS, RECORDERS, Row

LOT = {"lot_id": "stock_lot_id"}
ENTRY = LOT | {"entry_id": "stock_entry_id"}
TEST = LOT | {"lot_test_id": "stock_test_id"}
TAG = {"variety": "Hill", "lot_number": "A7"}
LOST = {"kind": "lost", "lb": "1", "on": "2026-03-02", "reason": "Mice"}
TESTED = {"kind": "germination", "tested_on": "2026-05-01", "germination_pct": "80"}
PACKET = {"inoculant_group": "clover group, berseem strain", "received_on": "2026-03-01"}

ROWS = [
    Row("stock", "GET", MEMBERS),
    Row("stock-file", "GET", MEMBERS, named={"form": "stock_form"}, is_shared=True),
    Row("stock-sheet", "GET", MEMBERS),
    Row("stock-count", "GET", RECORDERS),
    Row("stock-count", "POST", RECORDERS),
    Row("lot", "GET", MEMBERS, named=LOT),
    Row(
        "lot",
        "POST",
        RECORDERS,
        302,
        named=LOT,
        body={"act": "counted", "counted-lb": "3", "counted-on": "2026-03-02"},
    ),
    Row("lot-edit", "GET", EDITORS, named=LOT),
    Row("lot-edit", "POST", EDITORS, 302, named=LOT, body=TAG),
    Row("lot-test", "GET", RECORDERS, named=LOT),
    Row("lot-test", "POST", RECORDERS, 302, named=LOT, body=TESTED),
    Row("lot-photo", "GET", MEMBERS, named=LOT),
    Row("lot-photo-new", "GET", RECORDERS, named=LOT),
    Row("lot-photo-new", "POST", RECORDERS, named=LOT),
    Row("inoculants", "GET", MEMBERS),
    Row("inoculant-new", "GET", RECORDERS),
    Row("inoculant-new", "POST", RECORDERS, 302, body=PACKET),
    Row("inoculant", "GET", EDITORS),
    Row("inoculant", "POST", RECORDERS, 302, body={"act": "used-up"}),
    Row("api-lots", "GET", MEMBERS),
    Row("api-lot", "GET", MEMBERS, named=LOT),
    Row("api-lot", "PATCH", EDITORS, named=LOT, body={"variety": "Hill"}),
    Row("api-lot-photo", "GET", MEMBERS, named=LOT),
    Row("api-lot-photo", "POST", RECORDERS, 415, named=LOT),
    Row("api-lot-entries", "GET", MEMBERS, named=LOT),
    Row("api-lot-entries", "POST", RECORDERS, 201, named=LOT, body=LOST),
    Row("api-lot-take-back", "POST", EDITORS, named=ENTRY, body={"reason": "Another lot was meant."}),
    Row("api-lot-tests", "GET", MEMBERS, named=LOT),
    Row("api-lot-tests", "POST", RECORDERS, 201, named=LOT, body=TESTED),
    Row("api-lot-test", "PATCH", EDITORS, named=TEST, body={"is_struck": True}),
    Row("api-stock-counts", "POST", RECORDERS, 400, body={"place": "Barn", "on": "2026-03-02", "counts": []}),
    Row("api-inoculants", "GET", MEMBERS),
    Row("api-inoculants", "POST", RECORDERS, 201, body=PACKET),
    Row("api-inoculant", "GET", MEMBERS),
    Row("api-inoculant", "PATCH", EDITORS, body={"kept_at": "Cellar"}),
]


def things(farm, owner):
    oats = Species.objects.get(key="oats", property=None)
    lot = Lot.objects.create(property=farm, species=oats, lot_number="A7", goods_usd=Decimal(40))
    entry = stock.receive(lot=lot, lb=50, on=date(2026, 3, 1), user=owner, place="Barn")
    stock.receive(lot=lot, lb=50, on=date(2026, 3, 1), user=owner, place="Cabin")
    stock.lose(lot=lot, lb=50, on=date(2026, 3, 1), user=owner, place="Cabin", reason="Spilled")
    set_tag_photo(lot, ContentFile(b"\xff\xd8\xff\xe0 a photo", "tag.jpg"), owner)
    test = add_test(
        lot=lot, user=owner, kind="germination", tested_on=date(2026, 4, 1), germination_pct=Decimal(85)
    )
    packet = add_inoculant(
        property=farm,
        user=owner,
        inoculant_group="clover group, berseem strain",
        received_on=date(2026, 3, 1),
    )
    return {
        "stock_lot_id": lot.pk,
        "stock_entry_id": entry.pk,
        "stock_test_id": test.pk,
        "inoculant_id": packet.pk,
        "stock_form": "csv",
    }
