"""The pages of suppliers, offers and price lists."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from blends.models import Offer, PriceList, SeedName, Supplier
from blends.services.offers import save_offer
from blends.services.price_lists import receive_list
from blends.services.suppliers import add_supplier, archive_supplier
from tests.blends.pages import signed_in, words
from tests.blends.test_offers import sent

TABLE = "Seed,Bag,Price,10+ bags\nHill oats,50,22.50,21.00\nCereal rye,half,20,\nDog food,40,30,"


@pytest.fixture
def as_owner(owner):
    return signed_in(owner)


@pytest.fixture
def at(farm):
    return lambda route, *more: reverse(route, args=[farm.slug, *more])


@pytest.fixture
def mill(farm):
    return add_supplier(property=farm, name="Mill")


@pytest.fixture
def received(farm, owner, mill):
    return receive_list(property=farm, user=owner, supplier=mill, text=TABLE)


def test_without_suppliers_the_page_says_what_they_are_for(as_owner, at):
    assert "No suppliers yet." in words(as_owner.get(at("suppliers")))


def test_supplier_is_added_and_its_terms_are_said(as_owner, at):
    as_owner.post(at("suppliers"), {"name": "Mill"})
    supplier = Supplier.objects.get()
    body = {
        "act": "save",
        "name": "Mill",
        "freight_kind": "value",
        "freight_pct": "6.5",
        "freight_usd": "$25",
    }
    body |= {"freight_free_from_usd": "1,000", "freight_usd_per_lb": "0.08"}  # hidden on the page: not kept
    as_owner.post(at("supplier", supplier.pk), body)
    supplier.refresh_from_db()
    assert (supplier.freight_usd, supplier.freight_usd_per_lb) == (25, None)
    text = words(as_owner.get(at("suppliers")))
    assert "6.5 % of the goods, at least $25.00, free from goods of $1,000.00" in text


def test_name_that_is_taken_stays_in_the_form(as_owner, at, mill):
    response = as_owner.post(at("suppliers"), {"name": "mill"})
    assert "has this name" in words(response)
    assert 'value="mill"' in response.content.decode()


def test_terms_that_cannot_be_stay_in_the_form(as_owner, at, mill):
    response = as_owner.post(
        at("supplier", mill.pk), {"name": "Mill", "freight_kind": "flat", "freight_usd": "lots"}
    )
    assert "lots is not accepted" in words(response)
    assert 'value="lots"' in response.content.decode()


def test_supplier_is_archived_and_brought_back(as_owner, at, mill):
    as_owner.post(at("supplier", mill.pk), {"act": "archive"})
    assert "Archived (1)" in words(as_owner.get(at("suppliers")))
    as_owner.post(at("supplier", mill.pk), {"act": "back"})
    assert "Archived" not in words(as_owner.get(at("suppliers")))


def test_supplier_of_an_open_purchase_order_says_why_it_stays(as_owner, at, small_property):
    sent(small_property, Offer.objects.get(species__key="oats"))
    supplier = Supplier.objects.get()
    assert "purchase order 1 that is not done with" in words(
        as_owner.post(at("supplier", supplier.pk), {"act": "archive"})
    )


def test_viewer_reads_a_supplier_without_a_form(viewer, at, mill):
    page = signed_in(viewer).get(at("supplier", mill.pk))
    assert "Freight not known" in words(page)
    assert "<form" not in page.content.decode()


def test_offer_by_the_pls_pound_with_breaks_is_kept(as_owner, at, mill, species):
    body = {
        "item": f"species:{species('oats').pk}",
        "supplier_name": "mill",
        "pack_lb": "50",
        "quoted_per": "pls_lb",
        "quoted_usd": "$0.50",
        "break_packs_0": "10",
        "break_usd_0": "0.45",
        "purity_pct": "98 %",
        "germination_pct": "90",
        "test_month": "9/2026",
        "valid_until": "2027-03-31",
    }
    as_owner.post(at("offer-new"), body)
    made = Offer.objects.get()
    assert (made.price_usd, made.test_month, made.supplier) == (Decimal("22.05"), date(2026, 9, 1), mill)
    assert made.breaks.get().price_usd == Decimal("19.85")
    text = words(as_owner.get(at("offers")))
    assert "$22.05 from 10 : $19.85" in text
    assert "until 31 Mar 2027" in text
    page = as_owner.get(at("offer-edit", made.pk)).content.decode()
    assert 'name="break_packs_0" value="10"' in page
    assert "A pack comes to" in page


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({"break_packs_0": "10"}, "The price from 10 packs on is missing."),
        ({"break_usd_1": "20"}, "From how many packs 20 USD holds is missing."),
        ({"break_packs_0": "10", "break_usd_0": "23"}, "is not less than 22"),
        ({"break_packs_0": "1", "break_usd_0": "21"}, "1 is not accepted"),
        ({"quoted_per": "pls_lb"}, "needs the tag"),
        ({"test_month": "soon"}, "soon is not accepted; a month such as"),
        ({"most_packs": "4", "least_packs": "5"}, "The fewest packs are 5"),
        ({"purity_pct": "99", "inert_pct": "2"}, "add up to 101 %"),
    ],
)
def test_offer_that_cannot_be_is_refused_with_what_was_typed(as_owner, at, mill, species, body, said):
    body = {
        "item": f"species:{species('oats').pk}",
        "supplier_name": "Mill",
        "pack_lb": "50",
        "quoted_usd": "22",
    } | body
    response = as_owner.post(at("offer-new"), body)
    assert said in words(response)
    assert 'value="22"' in response.content.decode()
    assert not Offer.objects.exists()


def test_change_of_an_ordered_offer_says_what_became_of_it(as_owner, at, small_property):
    old = Offer.objects.get(species__key="oats")
    sent(small_property, old)
    assert "it stays as it is there" in words(as_owner.get(at("offer-edit", old.pk)))
    body = {"supplier_name": "Co-op", "pack_lb": "50", "quoted_usd": "30"}
    text = words(as_owner.post(at("offer-edit", old.pk), body, follow=True))
    assert "Kept as it was: cool season 2027" in text
    assert "has been replaced" in words(as_owner.get(at("offer-edit", old.pk)))


def test_withdrawn_offer_is_offered_again(as_owner, at, small_property):
    offer = Offer.objects.get(species__key="oats")
    for act, withdrawn in (("withdraw", True), ("again", False)):
        as_owner.post(at("offer-edit", offer.pk), {"act": act})
        offer.refresh_from_db()
        assert offer.is_withdrawn == withdrawn


def test_offers_are_found_by_seed_and_supplier(as_owner, at, small_property, farm, mill, species):
    save_offer(property=farm, supplier=mill, species=species("okra"), pack_lb=5, quoted_usd=Decimal(30))
    text = words(as_owner.get(at("offers") + f"?supplier={mill.pk}"))
    assert "Okra from Mill" in text
    assert "Oats from" not in text
    assert "Oats from Co-op" in words(as_owner.get(at("offers") + "?q=oat"))
    assert "No offer matches." in words(as_owner.get(at("offers") + "?q=wheat"))


def test_expired_offer_is_marked(as_owner, at, farm, mill, species):
    save_offer(
        property=farm,
        supplier=mill,
        species=species("okra"),
        pack_lb=5,
        quoted_usd=Decimal(30),
        valid_until=date(2026, 1, 31),
    )
    assert "expired" in words(as_owner.get(at("offers")))


def test_list_is_pasted_matched_stored_mended_and_taken_back(as_owner, at, mill, species):
    """The whole way as a person goes it."""
    page = as_owner.post(at("price-list-new"), {"supplier_name": "mill", "text": TABLE})
    here = page.url
    row = PriceList.objects.get()
    text = words(as_owner.get(here))
    assert "Nobody has said yet which seed “Hill oats” is." in text
    names = {"act": "names", "name": ["Hill oats", "Cereal rye", "Dog food"]}
    things = [f"species:{species('oats').pk}", f"species:{species('cereal_rye').pk}", "none"]
    as_owner.post(here, names | {"thing": things})
    assert SeedName.objects.count() == 3
    text = words(as_owner.get(here))
    assert "Store 1 offer" in text
    assert "Hill oats 2 Oats 50 lb $22.50 new" in text
    text = words(as_owner.post(here, {"act": "store"}, follow=True))
    assert "Stored: 1 new, 0 in the place of older ones, 0 unchanged, 2 left out." in text
    assert "Row 3. Pack: “half” is not accepted" in text
    mend = {
        "act": "mend",
        "row": "2",
        "cell_0": "Cereal rye",
        "cell_1": "nothing",
        "cell_2": "20",
        "cell_3": "",
    }
    assert "“nothing” is not accepted" in words(as_owner.post(here, mend, follow=True))
    assert "The row is an offer now." in words(as_owner.post(here, mend | {"cell_1": "25"}, follow=True))
    assert Offer.objects.filter(is_withdrawn=False).count() == 2
    as_owner.post(here, {"act": "back"})
    assert not Offer.objects.filter(is_withdrawn=False).exists()
    for act, state in (("aside", "set_aside"), ("up", "matching")):
        as_owner.post(here, {"act": act})
        row.refresh_from_db()
        assert row.state == state


def test_list_is_uploaded(as_owner, at, mill):
    upload = SimpleUploadedFile("spring.csv", TABLE.encode("utf-8-sig"))
    as_owner.post(at("price-list-new"), {"supplier_name": "Mill", "file": upload})
    assert PriceList.objects.get().file_name == "spring.csv"


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({}, "choose a file or paste the table"),
        ({"text": "Oats"}, "single column"),
        ({"text": TABLE, "supplier_name": ""}, "Say whose list it is."),
        ({"file": SimpleUploadedFile("list.pdf", b"%PDF-1.7")}, "a PDF"),
        ({"file": SimpleUploadedFile("list.csv", b"")}, "The file is empty"),
    ],
)
def test_list_that_cannot_be_read_leaves_nothing_behind(as_owner, at, farm, body, said):
    response = as_owner.post(at("price-list-new"), {"supplier_name": "New mill"} | body)
    assert said in words(response)
    assert not farm.suppliers.exists()


def test_columns_are_matched_by_hand(as_owner, at, received):
    here = at("price-list", received.pk)
    body = {
        "act": "columns",
        "column_0": "seed",
        "column_2": "break",
        "packs_2": "25",
        "column_3": "price:pack",
    }
    as_owner.post(here, body | {"all_pack_lb": "50 lb", "heading_row": "1"})
    received.refresh_from_db()
    assert received.columns == {"seed": 0, "break:25": 2, "price:pack": 3, "all:pack_lb": "50 lb"}


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ({"column_0": "seed", "column_1": "seed"}, "Two columns are matched to Seed; accepted is one."),
        ({"column_0": "break", "packs_0": "many"}, "Column 1: “many” packs is not accepted"),
        ({"heading_row": "99"}, "Row 99 cannot be the headings; accepted is 1 to 3"),
        ({"heading_row": "x"}, "“x” is no row"),
        ({"act": "names", "name": "Hill oats", "thing": "species:x"}, "is no seed"),
        ({"act": "mend", "row": "1", "cell_0": "x"}, "not stored yet"),
        ({"act": "store"}, "No row of the list can become an offer yet"),
        ({"act": "back"}, "nothing to take back"),
    ],
)
def test_what_cannot_be_done_with_a_list_is_said(as_owner, at, received, body, said):
    body = {"act": "columns"} | body
    assert said in words(as_owner.post(at("price-list", received.pk), body))


def test_recorder_sees_no_prices_anywhere(recorder, at, received, mill):
    client = signed_in(recorder)
    for address in (at("suppliers"), at("supplier", mill.pk), at("offers"), at("price-list", received.pk)):
        assert client.get(address).status_code == 403


def test_pages_ask_no_more_for_more_rows(as_owner, at, farm, owner, species, mill):
    def asked():
        rows = PriceList.objects.order_by("-pk")[:1]
        pages = [at("offers"), at("suppliers"), at("supplier", mill.pk), at("price-list-new")]
        counts = []
        for address in [*pages, *(at("price-list", row.pk) for row in rows)]:
            with CaptureQueriesContext(connection) as found:
                assert as_owner.get(address).status_code == 200
            counts.append(len(found))
        return counts

    def list_of(count):
        text = "Seed,Bag,Price,10+\n" + "".join(f"Oats,{n},22.50,21\n" for n in range(1, count + 1))
        return receive_list(property=farm, user=owner, supplier=mill, text=text)

    SeedName.objects.create(property=farm, name="oats", species=species("oats"))
    breaks = [{"from_packs": 10, "quoted_usd": Decimal(8)}]
    quote = {"quoted_usd": Decimal(9), "breaks": breaks}
    save_offer(property=farm, supplier=mill, species=species("oats"), pack_lb=1, **quote)
    list_of(3)
    before = asked()
    for number in range(30):
        save_offer(property=farm, supplier=mill, species=species("oats"), pack_lb=number + 2, **quote)
        add_supplier(property=farm, name=f"Mill {number}")
    list_of(300)
    assert asked() == before
    assert max(before) <= 15


def test_archived_suppliers_list_is_not_offered(as_owner, at, mill):
    archive_supplier(supplier=mill)
    text = words(as_owner.post(at("price-list-new"), {"supplier_name": "Mill", "text": TABLE}))
    assert "Mill is archived; bring it back first" in text
