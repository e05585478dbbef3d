"""Price lists of an invented mill: received, matched, stored, corrected, taken back."""

import io
import zipfile
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from openpyxl import Workbook

from blends.models import Offer, PriceList, PurchaseLine, PurchaseOrder, SeedName
from blends.price_files import xlsx
from blends.queries.price_lists import names_asked, preview
from blends.services.listed_offers import correct_rows, store_list, take_back_list
from blends.services.offers import save_offer, withdraw_offer
from blends.services.orders import choose
from blends.services.price_lists import answer_names, match_columns, receive_list, set_list_aside
from blends.services.species import add_species
from blends.services.suppliers import add_supplier, archive_supplier
from config.errors import Conflict, Refused

SPRING = """Spring list,,,,
Seed,Bag,Price,10+ bags,Pure,Germ
Cool-season grasses,,,,
Winter oats,50 lb,$24.00,23.00,98,90
Cereal rye,50 lb,21.00,,98,85
Dog food,40 lb,30.00,,,
Mystery grass,50 lb,40.00,,,
Crimson clover,half a bag,55.00,,,
"""


@pytest.fixture
def mill(farm):
    return add_supplier(property=farm, name="Mill")


@pytest.fixture
def receive(farm, owner, mill):
    def receive(text=SPRING, **values):
        return receive_list(property=farm, user=owner, supplier=mill, text=text, **values)

    return receive


@pytest.fixture
def matched(farm, receive, species):
    """The spring list, with what it calls its seed said; only the mystery is left."""
    answer_names(
        property=farm,
        answers={
            "Winter oats": species("oats"),
            "Cereal rye": species("cereal_rye"),
            "Crimson clover": species("crimson_clover"),
            "Dog food": None,
        },
    )
    return receive()


def becomes(price_list):
    return {row.read.name or "heading": row.becomes for row in preview(price_list).rows}


def test_list_waits_with_what_was_recognized(receive):
    row = receive()
    assert row.state == PriceList.State.MATCHING
    assert row.columns == {
        "seed": 0,
        "pack_lb": 1,
        "price:pack": 2,
        "break:10": 3,
        "purity_pct": 4,
        "germination_pct": 5,
    }
    assert not Offer.objects.exists()


def test_exact_names_are_suggested_and_others_asked(receive, species):
    asked = {each.name: each.suggested for each in names_asked(receive())}
    assert asked["Cereal rye"] == species("cereal_rye")
    assert asked["Winter oats"] is None
    assert "Cool-season grasses" not in asked


def test_scientific_name_is_suggested_too(receive, species):
    row = receive(f"Seed;Bag;Price\n{species('oats').scientific_name.upper()};50;22")
    [asked] = names_asked(row)
    assert asked.suggested == species("oats")


def test_preview_says_what_becomes_of_every_row(matched):
    assert becomes(matched) == {
        "heading": "left_out",
        "Winter oats": "new",
        "Cereal rye": "new",
        "Dog food": "left_out",
        "Mystery grass": "left_out",
        "Crimson clover": "left_out",
    }
    reasons = {row.read.name: (row.why, row.reason) for row in preview(matched).rows}
    assert reasons["Dog food"][0] == "not_ours"
    assert "Nobody has said yet which seed “Mystery grass” is" in reasons["Mystery grass"][1]
    assert "Pack: “half a bag” is not accepted" in reasons["Crimson clover"][1]


def test_stored_list_makes_offers_and_keeps_what_it_could_not_read(matched, species, mill):
    stored = store_list(price_list=matched)
    assert stored.counts == {"new": 2, "replaces": 0, "unchanged": 0, "left_out": 4}
    oats = Offer.objects.get(species=species("oats"))
    assert (oats.supplier, oats.price_usd, oats.purity_pct, oats.price_list) == (mill, 24, 98, stored)
    assert [(each.from_packs, each.price_usd) for each in oats.breaks.all()] == [(10, 23)]
    stored.refresh_from_db()
    assert [each["line"] for each in stored.left_out] == [3, 6, 7, 8]
    assert stored.left_out[3]["cells"][:2] == ["Crimson clover", "half a bag"]


def test_columns_and_names_are_remembered_for_the_next_list(matched, mill, receive):
    match_columns(price_list=matched, columns={"seed": 0, "pack_lb": 1, "price:pack": 2})
    store_list(price_list=matched)
    mill.refresh_from_db()
    assert mill.list_columns == {"seed": "seed", "bag": "pack_lb", "price": "price:pack"}
    later = receive("Price,Seed,Bag\n25,WINTER  OATS,50\n22,Cereal rye,50")
    assert becomes(later) == {"WINTER OATS": "replaces", "Cereal rye": "replaces"}


def test_standing_offer_is_replaced_only_where_something_differs(matched, species, receive):
    store_list(price_list=matched)
    old = Offer.objects.get(species=species("oats"))
    later = receive(
        "Seed,Bag,Price,10+ bags\nWinter oats,50,24.50,23.00\nCereal rye,50,21.00,\nCereal rye,25,11.00,"
    )
    assert [row.becomes for row in preview(later).rows] == ["replaces", "unchanged", "new"]
    assert preview(later).rows[0].changes == ("price of a pack 24.00 → 24.50",)
    store_list(price_list=later)
    old.refresh_from_db()
    assert (old.is_withdrawn, old.price_usd, old.replaced_by.price_usd) == (True, 24, Decimal("24.50"))
    assert old.replaced_by.purity_pct is None  # the new list says nothing of the tag
    assert Offer.objects.filter(species=species("cereal_rye"), is_withdrawn=False).count() == 2


@pytest.mark.parametrize(
    ("columns", "line", "change"),
    [
        ("Seed,Bag,Price,Germ", "Winter oats,50,24,91", "germination (%) 90 → 91"),
        ("Seed,Bag,Price,Min", "Winter oats,50,24,5", "fewest packs 1 → 5"),
        ("Seed,Bag,Price,10+ bags", "Winter oats,50,24,22.75", "prices of many packs"),
        ("Seed,Bag,$/lb", "Winter oats,50,0.48", "price of a pack 24.00 → 24.00"),
    ],
)
def test_what_differs_is_said(matched, receive, columns, line, change):
    store_list(price_list=matched)
    [row] = preview(receive(f"{columns}\n{line}")).rows
    assert change in row.changes


def test_a_cell_that_says_nothing_changes_nothing(matched, receive):
    store_list(price_list=matched)
    [row] = preview(receive("Seed,Bag,Price,Germ,Pure\nWinter oats,50,24,,n/a")).rows
    assert row.becomes == "unchanged"


def test_variety_makes_another_offer(matched, receive):
    store_list(price_list=matched)
    rows = preview(receive("Seed,Variety,Bag,Price\nWinter oats,Jerry,50,24\nWinter oats,jerry,50,25")).rows
    assert rows[0].becomes == "new"
    assert "Row 2 offers the same pack" in rows[1].reason


def test_choices_of_open_orders_go_over_to_the_new_price(matched, species, receive, order):
    store_list(price_list=matched)
    oats = species("oats")
    choose(order=order, species=oats, offer=Offer.objects.get(species=oats))
    store_list(price_list=receive("Seed,Bag,Price\nWinter oats,50,24.50"))
    assert order.orderchoices.get(species=oats).offer.price_usd == Decimal("24.50")


def test_price_by_the_pls_pound_needs_the_tag_on_the_list(matched, receive):
    first, second = preview(
        receive("Seed,Bag,Price/PLS lb,Pure,Germ\nWinter oats,50,0.50,98,90\nCereal rye,50,0.50,,")
    ).rows
    assert first.offer.price_usd == Decimal("22.05")  # 50 × 0.98 × 0.90 × 0.50
    assert "needs the tag" in second.reason


def test_tag_of_more_than_100_percent_is_left_out(matched, receive):
    [row] = preview(receive("Seed,Bag,Price,Pure,Inert\nWinter oats,50,24,98.5,2")).rows
    assert "add up to 100.5 %" in row.reason


def test_list_is_stored_once(matched):
    store_list(price_list=matched)
    with pytest.raises(Conflict, match="stored already"):
        store_list(price_list=matched)
    assert Offer.objects.count() == 2


def test_list_without_a_usable_row_is_not_stored(receive):
    row = receive("Seed,Bag,Price\nMystery,50,24")
    with pytest.raises(Refused, match="No row of the list"):
        store_list(price_list=row)
    row.refresh_from_db()
    assert row.state == PriceList.State.MATCHING


def test_list_whose_columns_are_not_matched_is_not_stored(matched):
    match_columns(price_list=matched, columns={"seed": 0})
    with pytest.raises(Refused, match="No column is matched to a price"):
        store_list(price_list=matched)


def test_other_headings_start_the_matching_anew(receive):
    row = receive("Mill;List;2026\nSeed;Bag;Price\nOats;50;22\nRye;50;21")
    assert match_columns(price_list=row, columns={}, heading_row=0).columns == {}
    assert match_columns(price_list=row, columns={}, heading_row=1).columns["price:pack"] == 2
    with pytest.raises(Refused, match="Row 4 cannot be the headings; accepted is 1 to 3"):
        match_columns(price_list=row, columns={}, heading_row=3)


def test_row_that_was_left_out_is_corrected_and_offered(matched, species):
    stored = store_list(price_list=matched)
    bad = correct_rows(price_list=stored, cells={7: {1: "half"}})
    assert "“half” is not accepted" in bad.left_out[-1]["reason"]
    good = correct_rows(price_list=stored, cells={7: {1: "25 lb"}})
    assert good.counts["new"] == 1
    assert [each["row"] for each in good.left_out] == [2, 5, 6]
    assert Offer.objects.get(species=species("crimson_clover")).pack_lb == 25


def test_name_said_later_brings_its_rows_in(matched, farm, species):
    stored = store_list(price_list=matched)
    answer_names(property=farm, answers={"Mystery grass": species("okra")})
    correct_rows(price_list=stored)
    assert Offer.objects.get(species=species("okra")).price_usd == 40


def test_corrected_row_does_not_replace_another_of_its_list(matched):
    stored = store_list(price_list=matched)
    after = correct_rows(price_list=stored, cells={7: {0: "Winter oats", 1: "50"}})
    assert "Another row of this list" in after.left_out[-1]["reason"]
    assert Offer.objects.filter(is_withdrawn=False).count() == 2


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({3: {1: "x"}}, "Row 3 is not among those left out"),
        ({7: {9: "x"}}, "Column 9 is not one"),
        ({7: {1: "a\x00"}}, "cannot stand in a cell"),
        ({7: {1: "x" * 2001}}, "cannot stand in a cell"),
    ],
)
def test_correction_that_cannot_be_is_refused(matched, cells, said):
    stored = store_list(price_list=matched)
    with pytest.raises(Refused, match=said):
        correct_rows(price_list=stored, cells=cells)


def test_stored_list_is_taken_back_with_choices_and_stored_again(matched, species, receive, order):
    oats = species("oats")
    store_list(price_list=matched)
    old = Offer.objects.get(species=oats)
    choose(order=order, species=oats, offer=old)
    later = store_list(price_list=receive("Seed,Bag,Price\nWinter oats,50,24.50\nCereal rye,25,11"))
    back = take_back_list(price_list=later)
    old.refresh_from_db()
    assert (old.is_withdrawn, old.replaced_by, order.orderchoices.get(species=oats).offer) == (
        False,
        None,
        old,
    )
    assert set(Offer.objects.filter(is_withdrawn=False).values_list("price_usd", flat=True)) == {24, 21}
    assert back.state == PriceList.State.MATCHING
    assert store_list(price_list=back).counts["replaces"] == 1


def test_list_of_which_a_new_offer_is_chosen_is_not_taken_back(matched, species, order):
    stored = store_list(price_list=matched)
    choose(order=order, species=species("oats"), offer=Offer.objects.get(species=species("oats")))
    with pytest.raises(Conflict, match="is chosen for the cool season 2027"):
        take_back_list(price_list=stored)
    assert Offer.objects.filter(is_withdrawn=False).count() == 2


def test_list_of_which_an_offer_is_on_a_document_is_not_taken_back(matched, species, order, mill, farm):
    stored = store_list(price_list=matched)
    offer = Offer.objects.get(species=species("oats"))
    purchase = PurchaseOrder.objects.create(property=farm, number=3, order=order, supplier=mill)
    PurchaseLine.objects.create(
        purchase=purchase,
        offer=offer,
        species=offer.species,
        description="Oats",
        packs=1,
        pack_lb=50,
        price_usd=24,
    )
    with pytest.raises(Conflict, match="Purchase order 3 names"):
        take_back_list(price_list=stored)


def test_list_whose_offer_was_replaced_since_is_not_taken_back(matched, receive):
    stored = store_list(price_list=matched)
    store_list(price_list=receive("Seed,Bag,Price\nWinter oats,50,24.50"))
    with pytest.raises(Conflict, match="has been replaced since"):
        take_back_list(price_list=stored)


def test_order_that_took_a_way_to_buy_with_a_replaced_offer_hears_of_it(matched, species, receive, order):
    store_list(price_list=matched)
    old = Offer.objects.get(species=species("oats"))
    order.plans.create(
        inputs_version=order.inputs_version,
        found={"lines": [{"offer_id": old.pk, "packs": 1, "price_usd": "24.00"}]},
        taken_at=datetime(2026, 11, 1, tzinfo=UTC),
    )
    before = order.inputs_version
    store_list(price_list=receive("Seed,Bag,Price\nWinter oats,50,24.50"))
    order.refresh_from_db()
    assert order.inputs_version > before


def test_list_is_set_aside_and_taken_up_again(matched):
    set_list_aside(price_list=matched)
    with pytest.raises(Conflict, match="set aside"):
        store_list(price_list=matched)
    set_list_aside(price_list=matched, is_aside=False)
    store_list(price_list=matched)
    with pytest.raises(Conflict, match="take it back first"):
        set_list_aside(price_list=matched)


def test_names_mean_things_of_the_property_alone(farm, elsewhere, stranger, species, make_mixed):
    theirs = add_species(property=elsewhere, user=stranger, common_name="Their millet", group="warm_grass")
    for thing, said in (
        (theirs, "not in this property"),
        (make_mixed("Grain", {"oats": ("60", None)}), "not a bought"),
    ):
        with pytest.raises(Refused, match=said):
            answer_names(property=farm, answers={"Millet": thing})
    with pytest.raises(Refused, match="is no name"):
        answer_names(property=farm, answers={" ": None})
    assert not SeedName.objects.exists()


def test_answer_is_corrected_by_another(farm, species):
    for key in ("oats", "okra"):
        answer_names(property=farm, answers={"Winter  Oats": species(key)})
    assert SeedName.objects.get().species == species("okra")


def test_list_of_another_propertys_or_an_archived_supplier_is_refused(farm, elsewhere, owner, mill):
    theirs = add_supplier(property=elsewhere, name="Theirs")
    archive_supplier(supplier=mill)
    mill.refresh_from_db()
    for supplier in (theirs, mill):
        with pytest.raises(Refused):
            receive_list(property=farm, user=owner, supplier=supplier, text=SPRING)


def test_bought_mix_is_offered_by_a_list(farm, receive, make_bought):
    bag = make_bought("Edge Bag", "20", {"chicory": ("50", "80")})
    row = receive("Seed,Bag,Price\nEdge bag,40,78")
    [asked] = names_asked(row)
    assert asked.suggested == bag
    answer_names(property=farm, answers={"Edge bag": bag})
    store_list(price_list=row)
    assert Offer.objects.get().blend == bag


def test_standing_offer_that_was_withdrawn_is_not_replaced(farm, mill, species, matched):
    old = save_offer(
        property=farm, supplier=mill, species=species("oats"), pack_lb=50, quoted_usd=Decimal(20)
    )
    withdraw_offer(offer=old)
    store_list(price_list=matched)
    old.refresh_from_db()
    assert old.replaced_by is None


# --- spreadsheets --------------------------------------------------------------------------------------------


def workbook(*sheets):
    book = Workbook()
    book.remove(book.active)
    for title, rows in sheets:
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    return book


def content_of(book):
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def test_spreadsheet_is_read_as_it_is_shown(receive):
    book = workbook(
        ("Notes", [["Our prices"]]),
        ("Prices", [["Spring list"], ["Seed", "Bag", "Price", "Pure", "Tested", "Valid until"]]),
    )
    sheet = book["Prices"]
    sheet.append(["Oats", 50, 22.501, 0.98553, date(2026, 9, 3), "12/31/2026"])
    sheet.append([None, 25, "=1+1", None, date(1900, 1, 1), None])
    sheet.merge_cells("A3:A4")
    sheet["C3"].number_format = '"$"#,##0.00'
    sheet["D3"].number_format = "0.00%"
    row = receive(content=content_of(book), file_name="spring.xlsx")
    assert row.file_name == "spring.xlsx, sheet Prices"
    assert row.table[2] == ["Oats", "50", "22.5", "98.55%", "2026-09-03", "12/31/2026"]
    first, second = preview(row).rows
    assert first.read.values["test_month"] == date(2026, 9, 1)
    assert "Seed is empty" in second.reason
    assert "Price is empty" in second.reason
    assert "Month of the test: “1900-01-01” is not accepted" in second.reason


def test_hidden_sheet_is_not_read(receive):
    rows = [["Seed", "Price"], ["Oats", 22]]
    book = workbook(("Old", rows), ("New", [["Seed", "Price"], ["Rye", 21]]))
    book["Old"].sheet_state = "hidden"
    assert receive(content=content_of(book)).table[1] == ["Rye", "21"]


def test_spreadsheet_of_ten_thousand_rows_is_refused(receive):
    book = workbook(("Prices", [["Seed", "Price"], *[["Oats", 22]] * 10_000]))
    with pytest.raises(Refused, match="accepted are at most 5,000"):
        receive(content=content_of(book))


def test_spreadsheet_that_unpacks_to_too_much_is_not_unpacked(receive):
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b" " * (xlsx.MOST_UNPACKED + 1))
    with pytest.raises(Refused, match="unpacks to"):
        receive(content=stream.getvalue())


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b" \n ", "empty"),
        (b"PK\x03\x04 broken", "damaged"),
        (b"x" * 2_000_001, "larger than 2 MB"),
        (b"\xd0\xcf\x11\xe0", "old spreadsheet"),
    ],
)
def test_file_that_is_no_list_is_refused_at_the_file(receive, content, said):
    with pytest.raises(Refused, match=said) as refused:
        receive(content=content, file_name="list.xlsx")
    assert list(refused.value.fields) == ["file"]
    assert not PriceList.objects.exists()


def test_archive_that_is_no_spreadsheet_is_refused(receive):
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
    with pytest.raises(Refused, match=r"no \.xlsx"):
        receive(content=stream.getvalue())
