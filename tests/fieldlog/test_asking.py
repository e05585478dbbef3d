"""How a calculation is asked, and how its answers are written."""

import pytest

from config.errors import Refused
from fieldlog.asking import answered, shown
from plots.calc.described import Quantity

GIVEN = {"comb_lb": [6, 4.5], "wax_pct": [10, 20], "hive": "tall"}


def by_name(came_to):
    return {answer.quantity.name: answer.value for answer in came_to.answers}


def test_what_is_left_out_and_not_required_is_as_the_function_has_it(honey):
    assert by_name(answered(honey, GIVEN))["jars"] == pytest.approx(6)


def test_what_is_given_as_unknown_stays_unknown_and_is_missing(honey):
    came_to = answered(honey, GIVEN | {"jar_lb": None})
    assert by_name(came_to)["jars"] is None
    assert came_to.missing == ["A jar holds"]


def test_a_list_that_is_left_out_is_unknown_for_every_row(honey):
    came_to = answered(honey, {"comb_lb": [6, 4.5], "hive": "tall"})
    assert by_name(came_to)["honey_lb_by_comb"] == [None, None]
    assert came_to.missing == ["Wax"]


@pytest.mark.parametrize(
    ("wrong", "field", "sentence"),
    [
        (
            {"honey_lb": 3},
            "honey_lb",
            "honey_lb is not an input of honey-jars; accepted are comb_lb, wax_pct,",
        ),
        ({"comb_lb": 6}, "comb_lb", "Comb is 6; accepted is a list of numbers"),
        ({"comb_lb": [6, [1]]}, "comb_lb", "Comb is [1]; accepted is a number of 0 lb or more"),
        ({"comb_lb": [6, True]}, "comb_lb", "Comb is True; accepted is a number of 0 lb or more"),
        ({"comb_lb": [6]}, "comb_lb", "Comb has 1, Wax has 2; accepted are lists of the same length"),
        (
            {"wax_pct": [10, 100]},
            "wax_pct",
            "Wax is 100 %; accepted is a number of at least 0 and below 100 %",
        ),
        ({"jar_lb": [1, 2]}, "jar_lb", "A jar holds is [1, 2]; accepted is a number above 0 lb"),
        ({"jar_lb": "nan"}, "jar_lb", "A jar holds is nan; accepted is a number above 0 lb"),
        ({"jar_lb": "1e999"}, "jar_lb", "A jar holds is inf lb; accepted is a number above 0 lb"),
        ({"jar_lb": 10**400}, "jar_lb", "A jar holds is 1000"),
        ({"jar_lb": "1,5"}, "jar_lb", "A jar holds is 1,5; accepted is a number above 0 lb"),
        ({"hive": "round"}, "hive", "Hive is round; accepted is tall, flat"),
        ({"on": "July"}, "on", "Taken is July; accepted is a date, year-month-day"),
        ({"is_strained": 3}, "is_strained", "Strained is 3; accepted is yes or no"),
        ({"comb_lb": [1] * 400}, "comb_lb", "Comb has 400 rows; accepted are 366 or fewer"),
    ],
)
def test_what_cannot_be_used_is_refused_by_its_name(honey, wrong, field, sentence):
    with pytest.raises(Refused) as refused:
        answered(honey, GIVEN | wrong)
    assert list(refused.value.fields) == [field]
    [said] = refused.value.fields[field]
    assert said.startswith(sentence)


def test_every_input_that_cannot_be_used_is_named_at_once(honey):
    with pytest.raises(Refused) as refused:
        answered(honey, {"comb_lb": [-1], "wax_pct": [200], "hive": "round"})
    assert list(refused.value.fields) == ["comb_lb", "wax_pct", "hive"]


def test_an_answer_too_large_to_hold_is_unknown(honey):
    came_to = answered(honey, GIVEN | {"comb_lb": [1e308, 1e308], "jar_lb": 1e-300})
    assert by_name(came_to)["jars"] is None


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        (None, 1, ""),
        (0.0, 2, "0.00"),
        (1234.5, 0, "1,235"),
        (-12.5, 0, "−13"),
        (0.82, 2, "0.82"),
        (0.004, 2, "0.0040"),
        (0.006, 2, "0.01"),
        (6.8, None, "6.80"),
        (0.0123456, None, "0.0123"),
        (123456.7, None, "123,457"),
        (2.5e20, 0, "2.5e+20"),
        (3e-9, 2, "3e−09"),
        ("between lines", None, "between lines"),
        (True, None, "yes"),
    ],
)
def test_figures_are_shown_with_the_digits_that_mean_something(value, decimals, text):
    assert shown(Quantity("one", "One", decimals=decimals), value) == text
