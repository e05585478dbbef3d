import doctest
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc import list_values
from blends.calc.list_values import (
    read_count,
    read_day,
    read_month,
    read_number,
    read_pack_lb,
    read_percent,
    read_usd,
)

CENTS = st.decimals(0, 9_999_999, places=2)


def test_examples_hold():
    assert doctest.testmod(list_values).failed == 0


@given(CENTS)
def test_a_price_written_in_any_way_is_read_back(usd):
    """Thousands by commas, spaces, points or none; a decimal comma where it can be nothing else."""
    grouped = f"{usd:,}"
    swapped = grouped.translate(str.maketrans(",.", ".,"))
    for text in (
        f"{usd}",
        f"${grouped}",
        f"{grouped} USD",
        grouped.replace(",", "\u00a0"),
        swapped,
        f"$ {usd}",
    ):
        assert read_usd(text) == usd, text


@given(st.text(max_size=12))
def test_any_text_is_a_number_or_refused_in_words(text):
    try:
        value, said = read_usd(text), "accepted"
    except ValueError as error:
        value, said = None, str(error)
    assert "accepted" in said
    assert value is None or value >= 0


@pytest.mark.parametrize("text", ["1,234", "1.234"])
def test_a_number_that_may_mean_two_things_is_refused_in_a_list_with_decimal_commas(text):
    with pytest.raises(ValueError, match="two things"):
        read_number(text, has_decimal_commas=True)
    assert read_number("1.234,5", has_decimal_commas=True) == Decimal("1234.5")


@pytest.mark.parametrize(
    "text",
    [
        "1/2",
        "=1+1",
        "1e3",
        "call",
        "-5",
        "(5.00)",
        "5,5,5",
        "1,23,456",
        "٣",
        "5.",
        "5..5",
        "NaN",
        "Infinity",
        "#N/A",
    ],
)
def test_what_is_no_number_is_refused(text):
    with pytest.raises(ValueError, match="is not accepted"):
        read_number(text)


@pytest.mark.parametrize("text", ["22,50 €", "£5", "20 EUR", "CAD 20"])
def test_other_currencies_are_refused(text):
    with pytest.raises(ValueError, match="US dollars"):
        read_usd(text)


@pytest.mark.parametrize("text", ["", " ", "-", "–", "n/a", "N/A"])
def test_a_cell_that_says_nothing_is_unknown_and_not_0(text):
    readers = (read_usd, read_percent, read_pack_lb, read_count, read_day, read_month)
    assert [reader(text) for reader in readers] == [None] * 6


@pytest.mark.parametrize(
    "text", ["0", "0 lb", "1/2 lb", "-50 lb", "50 stone", "1 ton", "lb", "= 50", "0.0001 lb"]
)
def test_pack_that_cannot_be_is_refused(text):
    with pytest.raises(ValueError, match="is not accepted"):
        read_pack_lb(text)


@pytest.mark.parametrize(
    ("text", "pack_lb"),
    [
        ("25 kg", "55.116"),
        ("22.68 kg", "50.001"),
        ("1,000 lb", "1000.000"),
        ("2,5 kg", "5.512"),
        ("50LB BAGS", "50.000"),
    ],
)
def test_packs_are_kept_to_a_thousandth_of_a_pound(text, pack_lb):
    """By hand from 0.45359237 kg a pound (Specifications for weights, NIST Handbook 44, appendix C; from memory)."""
    assert str(read_pack_lb(text)) == pack_lb


@pytest.mark.parametrize("text", ["101", "100.01%", "-1", "98 of 100"])
def test_percentage_that_cannot_be_is_refused(text):
    with pytest.raises(ValueError, match="accepted"):
        read_percent(text)


def test_half_of_a_percent_with_its_sign_is_meant():
    assert read_percent("0.5 %", is_mostly=True) == Decimal("0.5")


@pytest.mark.parametrize(
    "text", ["1900-01-01", "1/0/1900", "2026-02-30", "13/1/2026", "1.11.2026", "soon", "45000", "2101-01-01"]
)
def test_day_that_cannot_be_is_refused(text):
    with pytest.raises(ValueError, match="is not accepted"):
        read_day(text)


@pytest.mark.parametrize("text", ["0", "1.5", "-1", "100,001", "many"])
def test_number_of_packs_that_cannot_be_is_refused(text):
    with pytest.raises(ValueError, match="accepted"):
        read_count(text)
