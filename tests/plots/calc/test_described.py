"""A description is written once: check, refusal, docstring and listing follow from it."""

import datetime
import sys
from typing import NamedTuple

import numpy as np
import pytest

from plots.calc.checks import refuse_where
from plots.calc.described import (
    DEFINITION,
    MEMORY,
    WORKED_OUT,
    BadInput,
    Quantity,
    Source,
    calculations_in,
    described,
)


class Seeds(NamedTuple):
    """Two answers."""

    each: np.ndarray
    total: float


@described(
    title="Seeds of a mixture",
    topic="tag",
    inputs=[
        Quantity("lb", "Pounds", "lb", least=0, is_list=True, help="Of each."),
        Quantity("per_lb", "Seeds per pound", "seeds/lb", above=0, is_list=True),
        Quantity("live_pct", "Live", "%", least=0, most=100, is_list=True, is_required=False, default=100),
    ],
    answers=[Quantity("each", "Each", "seeds", is_list=True), Quantity("total", "Total", "seeds")],
    formula="lb × seeds/lb",
    sources=[DEFINITION],
    notes=["Weigh it."],
)
def seeds_of(lb, per_lb, live_pct=100):
    """Seeds of each species
    and of all.

    Why there is more to say.

    Examples
    --------
    >>> seeds_of([1, 2], [10, 10]).total
    30.0
    """
    each = lb * per_lb * live_pct / 100
    return Seeds(each, each.sum(axis=-1))


@described(
    title="Half",
    topic="seed",
    inputs=[Quantity("whole", "Whole")],
    answer=Quantity("half", "Half"),
    formula="÷ 2",
    sources=[DEFINITION],
)
def half(whole):
    """Half of it."""
    return whole / 2


@described(
    title="Twice",
    topic="seed",
    inputs=[Quantity("whole", "Whole")],
    answer=Quantity("twice", "Twice"),
    formula="× 2",
    sources=[DEFINITION],
    name="two-fold",
    is_listed=False,
)
def twice(whole):
    """Twice as much."""
    return whole * 2


def number(**limits):
    return Quantity("x", "X", limits.pop("unit", ""), **limits)


# --- what is accepted ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("quantity", "words"),
    [
        (number(), "a number"),
        (number(unit="°F"), "a number in °F"),
        (number(least=0, unit="lb/acre"), "a number of 0 lb/acre or more"),
        (number(above=0, unit="lb/acre"), "a number above 0 lb/acre"),
        (number(most=5), "a number of at most 5"),
        (number(below=5), "a number below 5"),
        (number(least=0, most=100, unit="%"), "0 to 100 %"),
        (number(least=-90, most=90, unit="°"), "-90 to 90 °"),
        (number(above=0, most=100, unit="%"), "a number above 0 and at most 100 %"),
        (number(above=0, below=1), "a number above 0 and below 1"),
        (number(least=0, below=100, unit="%"), "a number of at least 0 and below 100 %"),
        (number(is_whole=True), "a whole number"),
        (number(least=1, is_whole=True), "a whole number of 1 or more"),
        (number(least=1, most=366, unit="days", is_whole=True), "a whole number from 1 to 366 days"),
        (number(above=0, below=5, is_whole=True), "a whole number above 0 and below 5"),
        (number(least=0.5, most=1_000_000), "0.5 to 1,000,000"),
        (number(kind="choice", choices=((400, "four hundred"), ("b", "B"))), "400, b"),
        (number(kind="date"), "a date, year-month-day"),
        (number(kind="flag"), "yes or no"),
    ],
)
def test_what_is_accepted_is_said_in_plain_words(quantity, words):
    assert quantity.accepted == words


@pytest.mark.parametrize(
    ("quantity", "value"),
    [
        (number(least=0), 0),
        (number(most=5), 5),
        (number(above=0), 1e-9),
        (number(below=5), 4.999),
        (number(is_whole=True), 3.0),
        (number(is_whole=True), None),
        (number(least=0, most=1), [0, None, 1]),
        (number(kind="choice", choices=((400, ""),)), 400),
        (number(kind="choice", choices=((400, ""),)), None),
        (number(kind="date"), datetime.date(2027, 2, 28)),
        (number(kind="flag"), False),
    ],
)
def test_what_is_accepted_is_taken(quantity, value):
    quantity.checked(value)


@pytest.mark.parametrize(
    ("quantity", "value", "sentence"),
    [
        (number(least=0, unit="lb"), -1, "X is -1 lb; accepted is a number of 0 lb or more"),
        (number(least=0, most=100, unit="%"), 100.0000001, "X is 100.0000001 %; accepted is 0 to 100 %"),
        (number(least=0, most=1e6), 2e6, "X is 2,000,000; accepted is 0 to 1,000,000"),
        (number(most=0.2), 0.1 + 0.2, "X is 0.3; accepted is a number of at most 0.2"),
        (number(), np.inf, "X is inf; accepted is a number"),
        (number(), [1, -np.inf], "X is -inf; accepted is a number"),
        (number(is_whole=True), 1.5, "X is 1.5; accepted is a whole number"),
        (number(), "nan", "X is nan; accepted is a number"),
        (number(), [1, "much"], "X is much; accepted is a number"),
        (number(), 10**400, f"X is 1{'0' * 59}…; accepted is a number"),
        (number(is_list=True), 5, "X is 5; accepted is a list of numbers"),
        (number(kind="date"), "2027-02-28", "X is 2027-02-28; accepted is a date, year-month-day"),
        (number(kind="flag"), 1, "X is 1; accepted is yes or no"),
        (number(kind="choice", choices=(("a", "A"), ("b", "B"))), "c", "X is c; accepted is a, b"),
    ],
)
def test_what_is_not_accepted_is_refused_in_one_sentence(quantity, value, sentence):
    with pytest.raises(BadInput) as refused:
        quantity.checked(value)
    assert (refused.value.field, refused.value.sentence) == ("x", sentence)


def test_the_first_wrong_value_of_an_array_is_named():
    with pytest.raises(BadInput, match="Pounds is -2 lb"):
        seeds_of([1, -2, -3], [10, 10, 10])


# --- the function -------------------------------------------------------------------------------------------


def test_numbers_give_numbers_and_arrays_give_arrays():
    assert isinstance(half(3), float)
    assert half([3, None]) == pytest.approx([1.5, np.nan], nan_ok=True)
    assert half(None) != half(None)
    answer = seeds_of([[1, 2], [3, 4]], [10, 10])
    assert (answer.each.shape, answer.total.tolist()) == ((2, 2), [30, 70])


def test_a_list_that_is_not_required_may_be_one_number_for_all_rows():
    assert seeds_of([1, 2], [10, 10], live_pct=50).each.tolist() == [5, 10]
    assert seeds_of([1, 2], [10, 10], live_pct=[50, 100]).each.tolist() == [5, 20]


def test_lists_of_different_lengths_are_refused_with_their_lengths():
    with pytest.raises(BadInput, match="Pounds has 2, Seeds per pound has 3; accepted are lists of the same"):
        seeds_of([1, 2], [10, 10, 10])


def test_what_is_unknown_is_named_with_its_row():
    calculation = seeds_of.calculation
    assert calculation.missing({"lb": [1, 2]}) == ["Seeds per pound"]
    assert calculation.missing({"lb": [1, None, np.nan], "per_lb": [1, 2, 3]}) == ["Pounds (rows 2, 3)"]
    assert calculation.missing({"lb": np.array([1, np.nan]), "per_lb": [1, 2]}) == ["Pounds (row 2)"]
    assert calculation.missing({"lb": [1], "per_lb": [2]}) == []
    assert calculation.missing({"lb": [1], "per_lb": [2], "live_pct": [None]}) == ["Live"]


def test_the_docstring_has_what_the_description_says_and_keeps_its_examples_last():
    headings = [line for line in seeds_of.__doc__.split("\n") if line.istitle() and " " not in line]
    assert headings == ["Parameters", "Returns", "Raises", "Notes", "References", "Examples"]
    assert "per_lb : array_like, shape (..., rows)\n    Seeds per pound; a number above 0" in seeds_of.__doc__
    assert "live_pct : array_like, shape (..., rows), optional\n" in seeds_of.__doc__
    assert seeds_of.__doc__.startswith("Seeds of each species\nand of all.\n\nWhy there is more to say.")
    assert seeds_of.calculation.summary == "Seeds of each species and of all."


# --- the listing --------------------------------------------------------------------------------------------


def test_listed_calculations_come_by_topic_and_the_others_not_at_all():
    found = calculations_in(sys.modules[__name__])
    assert [each.name for each in found] == ["half", "seeds-of"]
    assert twice.calculation.name == "two-fold"


def test_a_description_that_does_not_fit_its_function_stops_the_import():
    frame = {"title": "T", "answer": number(), "formula": "f", "sources": [DEFINITION]}
    with pytest.raises(TypeError, match="topic is 'weather'"):
        described(topic="weather", inputs=[], **frame)
    with pytest.raises(TypeError, match=r"takes \['y'\]; described are \['x'\]"):
        described(topic="seed", inputs=[number()], **frame)(lambda y: y)


@pytest.mark.parametrize(
    ("source", "words"),
    [
        (Source("Title", "Publisher", "2020", "https://example.org"), "Title, Publisher, 2020"),
        (Source("Title", basis=MEMORY), "Title (from memory, not checked)"),
        (Source("Title", basis=WORKED_OUT, note="By hand."), "Title (worked out from it). By hand."),
        (DEFINITION, "By definition"),
    ],
)
def test_a_source_says_what_it_rests_on(source, words):
    assert str(source) == words


# --- what does not go together ------------------------------------------------------------------------------


def test_a_refusal_of_a_pair_names_the_first_place_where_it_holds():
    with pytest.raises(BadInput) as refused:
        refuse_where([[False, False], [False, True]], "dry_g", "Row {row} is {0:g} g of {1:g} g", [3, 9], 5)
    assert (refused.value.field, refused.value.sentence) == ("dry_g", "Row 2 is 9 g of 5 g")


def test_a_pair_with_a_missing_value_is_not_refused():
    refuse_where(np.array([np.nan, 1]) > 2, "dry_g", "never said")
