import doctest
from datetime import date
from decimal import Decimal

import pytest

from blends.calc import price_lists, price_tables
from blends.calc.price_lists import read_rows, what_is_wrong_with_columns
from blends.calc.price_tables import bounded, guessed_columns, headings_of, table_of, text_of, with_headings

COLUMNS = {"seed": 0, "pack_lb": 1, "price:pack": 2}


def rows_of(text, columns=COLUMNS):
    rows, heading_row = with_headings(table_of(text))
    return read_rows(rows, heading_row, columns)


@pytest.mark.parametrize("module", [price_lists, price_tables])
def test_examples_hold(module):
    assert doctest.testmod(module).failed == 0


@pytest.mark.parametrize("delimiter", ["\t", ";", ",", "|"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_table_is_read_whatever_stands_between_its_columns(delimiter, ending):
    lines = [["Seed", "Pack", "Price"], ["Oats", "50 lb", "22.50"], ["Rye", "50 lb", "21.00"]]
    assert table_of(ending.join(delimiter.join(line) for line in lines)) == lines


def test_quoted_cells_keep_their_commas_and_lines():
    table = table_of('Seed,Pack,Price\n"Oats, spring\nhulless",50 lb,"$1,022.50"')
    assert table[1] == ["Oats, spring hulless", "50 lb", "$1,022.50"]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_text_is_read_in_its_encoding(encoding):
    assert text_of("Seed;Préço\nOats;22".encode(encoding)).endswith("Préço\nOats;22")


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"\xd0\xcf\x11\xe0\xa1", "old spreadsheet"),
        (b"%PDF-1.7", "a PDF"),
        (b"\x81\x8d", "no text that can be read"),
        (b"\x89PNG", "a picture"),
    ],
)
def test_what_is_no_text_is_said_to_be(content, said):
    with pytest.raises(ValueError, match=said):
        text_of(content)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "nothing in it"),
        ("\n \n;;\n", "nothing in it"),
        ("Seed;Pack\x00;Price\nOats;50;22", r"Line 1 has the control character U\+0000"),
        ("Seed;Price\n" + "Oats;22\n" * 10_000, "10,001 rows; accepted are at most 5,000"),
        (";".join("abcdefgh" * 10) + "\n1;2", "80 columns; accepted are at most 60"),
        ('Seed;Price\n"Oats;22\n' + "Rye;21\n" * 500, "never closed"),
    ],
)
def test_table_that_cannot_be_is_refused(text, said):
    with pytest.raises(ValueError, match=said):
        table_of(text)


@pytest.mark.parametrize("text", ["Seed;Pack;Price", "\nSeed;Pack;Price\n\n"])
def test_list_of_headings_alone_is_refused(text):
    with pytest.raises(ValueError, match="nothing below the headings"):
        with_headings(table_of(text))


def test_single_column_is_refused():
    with pytest.raises(ValueError, match="single column"):
        with_headings(table_of("Oats\nRye\nWheat"))


def test_headings_are_found_below_a_title_and_columns_by_what_they_are_called():
    rows = table_of(
        "Spring prices;;;;;\n\nCommon name;Variety;Bag size;Price/PLS lb;Purity;Germ\nOats;;50;0.50;98;90"
    )
    rows, heading_row = with_headings(rows)
    assert heading_row == 2
    assert guessed_columns(headings_of(rows, heading_row), {}) == {
        "seed": 0,
        "variety": 1,
        "pack_lb": 2,
        "price:pls_lb": 3,
        "purity_pct": 4,
        "germination_pct": 5,
    }


def test_what_was_matched_before_goes_before_what_a_heading_is_usually_called():
    headings = ["item", "price", "our price"]
    assert guessed_columns(headings, {"our price": "price:pack", "item": "seed"}) == {
        "seed": 0,
        "price:pack": 2,
    }


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        ({}, "No column is matched to the seed."),
        ({"seed": 0, "price:pack": 1}, "no pack is said"),
        (COLUMNS | {"variety": 2}, "matched twice, to Price of a pack, Variety"),
        (COLUMNS | {"variety": 9}, "column 9; accepted is 0 to 2"),
        (COLUMNS | {"variety": "1"}, "accepted is 0 to 2"),
        (COLUMNS | {"colour": 1}, "“colour” is no field"),
        (COLUMNS | {"break:1": 1}, "“break:1” is no field"),
        (COLUMNS | {"all:quoted_on": "soon"}, "Quoted on of the whole list: “soon”"),
        (COLUMNS | {"all:price:pack": "22"}, "cannot be said for the whole list"),
    ],
)
def test_columns_that_cannot_be_are_said(columns, said):
    assert any(said in sentence for sentence in what_is_wrong_with_columns(columns, 3))


def test_row_is_read_with_everything_that_a_list_can_say():
    text = (
        "Seed;Variety;Bag;$/lb;10+ bags;Pure;Germ;Hard;Tested;Min;Avail;Valid until\n"
        "Crimson clover;Dixie;25 kg;$2.05;1.95;98.5%;86;6;9/2026;2;40;12/31/2026"
    )
    rows, heading_row = with_headings(table_of(text))
    columns = guessed_columns(headings_of(rows, heading_row), {})
    [row] = read_rows(rows, heading_row, columns)
    assert row.reasons == []
    assert row.values == {
        "variety": "Dixie",
        "pack_lb": Decimal("55.116"),
        "quoted_per": "bulk_lb",
        "quoted_usd": Decimal("2.05"),
        "purity_pct": Decimal("98.5"),
        "germination_pct": Decimal(86),
        "hard_pct": Decimal(6),
        "test_month": date(2026, 9, 1),
        "least_packs": 2,
        "most_packs": 40,
        "valid_until": date(2026, 12, 31),
    }
    assert row.breaks == [{"from_packs": 10, "quoted_usd": Decimal("1.95")}]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("Oats;50 lb;", "Price is empty"),
        ("Oats;50 lb;Call", "Price of a pack: “Call” is not accepted"),
        ("Oats;50 lb;-22", "“-22” is not accepted; a number of 0 or more is"),
        ("Oats;50 lb;0.00", "a price above 0 is"),
        ("Oats;50 lb;22.12345", "at most 4 decimals"),
        ("Oats;50 lb;1e9", "is not accepted"),
        ("Oats;50 lb;10000000", "below 10,000,000"),
        ("Oats;0;22", "a pack of more than 0 lb"),
        ("Oats;;22", "Pack is empty"),
        (";50 lb;22", "Seed is empty"),
        ("Oats;50 lb;=HYPERLINK(1)", "is not accepted"),
    ],
)
def test_row_that_cannot_be_an_offer_says_why(line, said):
    [row] = rows_of(f"Seed;Pack;Price\n{line}")
    assert said in row.reason


def test_every_reason_of_a_row_is_said():
    [row] = rows_of("Seed;Pack;Price\nOats;half;free")
    assert "Pack:" in row.reason
    assert "Price of a pack:" in row.reason


def test_lines_are_those_of_the_list():
    rows = rows_of("Spring;;\nSeed;Pack;Price\n\nGrasses;;\nOats;50;22")
    assert [(row.line, row.is_heading) for row in rows] == [(4, True), (5, False)]
    assert [row.line for row in rows_of("Oats;50;22\nRye;50;21")] == [1, 2]


def test_two_prices_of_one_row_are_not_chosen_between():
    columns = COLUMNS | {"price:bulk_lb": 3}
    first, second = rows_of("Seed;Pack;Price;$/lb\nOats;50;22;0.44\nRye;50;;0.42", columns)
    assert "accepted is one of them" in first.reason
    assert second.values["quoted_per"] == "bulk_lb"


def test_break_that_costs_more_is_left_out_with_its_reason():
    [row] = rows_of("Seed;Pack;Price;10+\nOats;50;22;23", COLUMNS | {"break:10": 3})
    assert "is not less than 22" in row.reason


def test_decimal_commas_of_one_row_make_another_doubtful():
    first, second = rows_of("Seed;Pack;Price\nOats;50;22,50\nRye;50;1,234")
    assert first.values["quoted_usd"] == Decimal("22.50")
    assert "two things" in second.reason


def test_what_is_said_for_the_whole_list_stands_in_every_row():
    rows = rows_of("Seed;Price\nOats;22\nRye;21", {"seed": 0, "price:pack": 1, "all:pack_lb": "50 lb"})
    assert [row.values["pack_lb"] for row in rows] == [50, 50]


def test_spaces_of_all_kinds_are_made_one():
    assert bounded([["Winter\u00a0 rye ", " 50\u202flb"]]) == [["Winter rye", "50 lb"]]
