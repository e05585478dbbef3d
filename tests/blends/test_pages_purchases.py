"""The pages of purchase orders and deliveries, and the files that go to the supplier."""

import io
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook
from pypdf import PdfReader

from blends.models import Lot, Offer, PurchaseOrder, Receipt
from blends.services.purchase_drafts import draft_purchases
from blends.services.purchases import send_purchase
from tests.blends.pages import signed_in, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def as_owner(owner):
    return signed_in(owner)


@pytest.fixture
def as_recorder(recorder):
    return signed_in(recorder)


@pytest.fixture
def draft(small_property, owner):
    [draft] = draft_purchases(order=small_property, user=owner)
    return draft


@pytest.fixture
def sent(draft, owner):
    return send_purchase(purchase=draft, user=owner)


@pytest.fixture
def at(farm):
    return lambda route, *more: reverse(route, args=[farm.slug, *more])


def line_of(purchase, name):
    return next(line for line in purchase.lines.all() if str(line.item) == name)


def cards(*lots, **delivery):
    """What the receive page posts: (line or "", {field: value}) for each card."""
    body = {"act": "store", "received_on": "2026-03-02", "cards": ",".join(str(key) for key, _ in lots)}
    for position, (_, values) in enumerate(lots):
        body |= {f"lot-{position}-{name}": value for name, value in values.items()}
    return body | delivery


GOOD = {
    "purity_pct": "98",
    "germination_pct": "90",
    "test_month": "2026-01",
    "noxious": "None",
    "lot_number": "OA-7",
}


def test_drafts_are_made_from_the_list(as_owner, at, small_property, season):
    text = words(as_owner.get(at("purchases")))
    assert "No purchase orders yet." in text
    answer = as_owner.post(at("purchases"), {"season": season.slug})
    assert answer.url == at("purchase", 1)
    text = words(as_owner.get(at("purchases")))
    assert "1, Co-op Cool season 2027 Draft not sent 265 $288.00 – not known" in text
    assert "No purchase order is like that." in words(as_owner.get(at("purchases") + "?state=sent"))


def test_document_shows_lines_sums_and_what_is_unknown(as_owner, at, draft):
    text = words(as_owner.get(at("purchase", 1)))
    assert "Oats, 50 lb 98 % pure, 90 % germ. 4 50 lb 200 $22.00 $88.00 nothing" in text
    assert "Crimson clover, 25 lb not known 1 25 lb 25 $60.00 $60.00 nothing" in text
    assert "Freight as expected not known Total not known" in text
    assert "Your own address is not known" in text


def test_packs_are_changed_and_sent_on_the_page(as_owner, at, draft):
    body = {"act": "lines"}
    for line in draft.lines.all():
        body |= {f"line-{line.pk}-packs": line.packs, f"line-{line.pk}-price_usd": line.price_usd}
    oats = line_of(draft, "Oats")
    as_owner.post(at("purchase", 1), body | {f"line-{oats.pk}-packs": "6"})
    oats.refresh_from_db()
    assert oats.packs == 6
    refused = as_owner.post(at("purchase", 1), body | {f"line-{oats.pk}-packs": "a few"})
    assert "a few is not accepted" in words(refused)
    assert b'value="a few"' in refused.content
    as_owner.post(at("purchase", 1), {"act": "send", "sent_on": "2026-03-01"})
    draft.refresh_from_db()
    assert (draft.state, str(draft.sent_on)) == ("sent", "2026-03-01")
    assert "Sent on 2026-03-01." in words(as_owner.get(at("purchase", 1)))


def test_closing_without_a_reason_is_said_at_the_field(as_owner, at, sent):
    text = words(as_owner.post(at("purchase", 1), {"act": "close", "because": ""}))
    assert "Say why it is closed while something has not come" in text


def test_pdf_has_every_word_and_is_the_same_twice(as_owner, at, draft, farm):
    farm.address, farm.order_terms = "Tally Hollow\n1 Creek Road, Żółty Młyn", "Net 30 days."
    farm.save()
    Offer.objects.filter(species__key="oats").update(treatment="fludioxonil")
    send_purchase(purchase=draft, user=None)
    answer = as_owner.get(at("purchase-file", 1, "pdf"))
    assert answer["Content-Type"] == "application/pdf"
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)
    text = " ".join(text.split())
    for said in (
        "Purchase order 1",
        "1 Creek Road, Żółty Młyn",
        "Oats, 50 lb 98 % pure, 90 % germ. 4 50 200 22.00 88.00",
        "Goods 9 265 288.00",
        "Freight as expected not known",
        "Oats, 50 lb: treated with fludioxonil. Treated seed is marked as such; it is never food, feed or bait.",
        "Net 30 days.",
        "Page 1 of 1",
    ):
        assert said in text
    assert as_owner.get(at("purchase-file", 1, "pdf")).content == answer.content


def test_draft_says_on_paper_that_it_is_one(as_owner, at, draft):
    answer = as_owner.get(at("purchase-file", 1, "pdf"))
    assert "DRAFT: not sent" in PdfReader(io.BytesIO(answer.content)).pages[0].extract_text()


def test_spreadsheet_has_numbers_and_no_formulas(as_owner, at, draft, owner):
    draft.note = "=HYPERLINK(1)"
    draft.save()
    answer = as_owner.get(at("purchase-file", 1, "xlsx"))
    rows = [
        [cell.value for cell in row] for row in load_workbook(io.BytesIO(answer.content)).active.iter_rows()
    ]
    assert ["Oats, 50 lb", "98 % pure, 90 % germ.", 4, 50, 200, 22, 88, 0, 0] in rows
    assert ["Note", "'=HYPERLINK(1)"] in [row[:2] for row in rows]


def test_form_of_a_file_that_is_none_is_not_found(as_owner, at, draft):
    assert as_owner.get(at("purchase-file", 1, "doc")).status_code == 404


def test_delivery_is_stored_once_its_tag_is_clean(as_owner, at, sent):
    oats = line_of(sent, "Oats")
    answer = as_owner.post(
        at("receive", 1),
        cards((oats.pk, GOOD | {"packs": "4", "where": "Barn"}), freight_usd="12.40", invoice="I-1"),
    )
    receipt = Receipt.objects.get()
    assert answer.url == at("delivery", receipt.pk)
    lot = receipt.lots.get()
    assert (lot.on_hand_lb, lot.goods_usd, lot.freight_usd) == (200, 88, Decimal("12.40"))
    text = words(as_owner.get(at("delivery", receipt.pk)))
    assert "Oats lot OA-7 4 200 $88.00 $12.40 $100.40 Photograph it" in text
    assert "shared by the pounds; the cents add up" in text


def test_what_stands_against_a_tag_is_said_before_anything_is_stored(as_owner, at, sent):
    oats = line_of(sent, "Oats")
    bad = GOOD | {"packs": "4", "germination_pct": "70", "treatment": "fludioxonil", "noxious": "Dodder 9/lb"}
    answer = as_owner.post(at("receive", 1), cards((oats.pk, bad)))
    text = words(answer)
    assert not Receipt.objects.exists()
    assert "Nothing is stored yet." in text
    assert "Germination is 70 %, 90 % was offered: more below it than the tolerance of 7 points." in text
    assert "7 CFR 201.63, Germination (tolerances) , US Code of Federal Regulations, 2020." in text
    assert "Treated with fludioxonil: never food, feed or bait" in text
    assert "Noxious weed seeds are listed: Dodder 9/lb." in text
    seen = answer.context["seen"]
    as_owner.post(at("receive", 1), cards((oats.pk, bad | {"germination_pct": "60"}), seen=seen))
    assert not Receipt.objects.exists()  # another figure was not seen yet
    as_owner.post(at("receive", 1), cards((oats.pk, bad), seen=seen))
    assert Lot.objects.get().germination_pct == 70


def test_one_line_in_two_lots_keeps_what_was_typed(as_owner, at, sent):
    oats = line_of(sent, "Oats")
    body = cards((oats.pk, GOOD | {"packs": "2"}))
    answer = as_owner.post(at("receive", 1), body | {"act": f"more-{oats.pk}"})
    assert b'value="OA-7"' in answer.content
    assert answer.context["keys"] == f"{oats.pk},{oats.pk}"
    second = GOOD | {"packs": "3", "lot_number": "OA-8"}
    as_owner.post(at("receive", 1), cards((oats.pk, GOOD | {"packs": "2"}), (oats.pk, second)))
    assert sorted(Lot.objects.values_list("lot_number", "on_hand_lb")) == [("OA-7", 100), ("OA-8", 150)]
    text = words(as_owner.get(at("purchase", 1)))
    assert "5 of 4 1 too many" in text


def test_what_was_typed_stays_where_something_is_refused(as_owner, at, sent):
    oats = line_of(sent, "Oats")
    answer = as_owner.post(
        at("receive", 1), cards((oats.pk, GOOD | {"lb": "some", "hard_pct": "20"}), received_on="2026-13-40")
    )
    text = words(answer)
    assert "some is not accepted" in text
    assert "2026-13-40 is not accepted" in text
    assert b'value="OA-7"' in answer.content
    answer = as_owner.post(at("receive", 1), cards((oats.pk, GOOD | {"lb": "5", "hard_pct": "20"})))
    assert not Receipt.objects.exists()
    seen = answer.context["seen"]
    text = words(
        as_owner.post(at("receive", 1), cards((oats.pk, GOOD | {"lb": "5", "hard_pct": "20"}), seen=seen))
    )
    assert "Oats, 50 lb Germination (%) : Germination, hard and dormant seed come to 110 %" in text


def test_recorder_receives_without_seeing_or_typing_a_price(as_recorder, at, sent):
    oats = line_of(sent, "Oats")
    text = words(as_recorder.get(at("receive", 1)))
    assert "USD" not in text
    assert "$" not in text
    sneaked = GOOD | {"packs": "1", "goods_usd": "1.00"}
    as_recorder.post(at("receive", 1), cards((oats.pk, sneaked), freight_usd="99"))
    lot = Lot.objects.get()
    assert (lot.goods_usd, lot.freight_usd) == (22, None)
    text = words(as_recorder.get(at("delivery", lot.receipt_id)))
    assert "$" not in text
    assert "Oats lot OA-7" in text
    corrected = {
        "act": "correct",
        "received_on": "2026-03-02",
        f"lot-{lot.pk}-lb": "49",
        f"lot-{lot.pk}-goods_usd": "1",
    }
    as_recorder.post(at("delivery", lot.receipt_id), corrected)
    lot.refresh_from_db()
    assert (lot.on_hand_lb, lot.goods_usd) == (49, 22)


def test_seed_without_an_order_is_entered(as_owner, at, species, farm):
    oats = species("oats")
    body = cards(("", GOOD | {"seed": f"species-{oats.pk}", "lb": "37.5"}), ("", {}), note="Left of 2025")
    as_owner.post(at("delivery-new"), body)
    lot = Lot.objects.get()
    assert (lot.on_hand_lb, lot.receipt.supplier, lot.goods_usd) == (Decimal("37.5"), None, None)
    assert "Without a supplier" in words(as_owner.get(at("delivery", lot.receipt_id)))
    refused = as_owner.post(at("delivery-new"), cards(("", GOOD | {"lb": "5"})))
    assert "Choose the seed." in words(refused)


def test_delivery_is_corrected_and_taken_back_on_its_page(as_owner, at, sent):
    oats = line_of(sent, "Oats")
    as_owner.post(at("receive", 1), cards((oats.pk, GOOD | {"packs": "4"}), freight_usd="10"))
    lot = Lot.objects.get()
    page = at("delivery", lot.receipt_id)
    body = {"act": "correct", "received_on": "2026-03-01", "invoice": "I-2", "freight_usd": "8.01"}
    as_owner.post(
        page, body | {f"lot-{lot.pk}-packs": "3", f"lot-{lot.pk}-lb": "150", f"lot-{lot.pk}-goods_usd": "66"}
    )
    lot.refresh_from_db()
    assert (lot.packs, lot.on_hand_lb, lot.cost_usd) == (3, 150, Decimal("74.01"))
    assert "needs a reason in words" in words(as_owner.post(page, {"act": "undo", "reason": ""}))
    as_owner.post(page, {"act": "undo", "reason": "Entered twice"})
    assert "This delivery was taken back" in words(as_owner.get(page))
    sent.refresh_from_db()
    assert sent.state == PurchaseOrder.State.SENT


def test_forgotten_lot_is_added_on_a_page_of_its_own(as_owner, at, sent):
    oats = line_of(sent, "Oats")
    as_owner.post(at("receive", 1), cards((oats.pk, GOOD | {"packs": "2"}), freight_usd="10"))
    receipt = Receipt.objects.get()
    page = at("delivery-lot", receipt.pk)
    assert "One more lot" in words(as_owner.get(page))
    as_owner.post(page, cards((oats.pk, GOOD | {"packs": "2", "lot_number": "B"})))
    assert [lot.freight_usd for lot in receipt.lots.all()] == [5, 5]


def test_pages_take_the_same_queries_however_much_came(as_owner, at, sent):
    oats = line_of(sent, "Oats")

    def counted():
        numbers = []
        receipt = Receipt.objects.order_by("pk").first()
        for address in (
            at("purchases"),
            at("purchase", 1),
            at("receive", 1),
            at("deliveries"),
            at("delivery", receipt.pk),
        ):
            with CaptureQueriesContext(
                connection,
            ) as queries:
                assert as_owner.get(address).status_code == 200
            numbers.append(len(queries))
        return numbers

    as_owner.post(at("receive", 1), cards((oats.pk, GOOD | {"packs": "1"})))
    few = counted()
    for _ in range(3):
        as_owner.post(at("receive", 1), cards(*[(oats.pk, GOOD | {"packs": "1"})] * 3))
    assert counted() == few
    assert max(few) <= 20
