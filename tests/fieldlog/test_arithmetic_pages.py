"""The list of calculators and their pages."""

import re
from html import unescape

import pytest

from fieldlog import calculations
from fieldlog.asking import answered
from tests.blends.pages import signed_in, words
from tests.fieldlog.examples import EVERY, as_typed, examples_of, refusal_of, refused_of

LIST = "/p/tally-hollow/arithmetic/"


@pytest.fixture
def ask(viewer):
    """ask(name, given=None, **headers) -> the calculator's page."""
    client = signed_in(viewer)

    def ask(name, given=None, **headers):
        return client.get(f"{LIST}{name}/", as_typed(given or {}), headers=headers)

    return ask


@pytest.fixture
def look(viewer):
    """look(words="") -> the list, or what is found in it."""
    client = signed_in(viewer)
    return lambda asked="": client.get(LIST, {"q": asked} if asked else {})


def answers(response):
    found = re.search(r'<section id="answer".*?</section>', response.text, re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", found[0])).split())


def typed_in(response, name):
    return re.findall(rf'<input type="text" name="{name}"[^>]* value="([^"]*)"', response.text)


def sentences_at(response, place):
    found = re.search(rf'<div class="said" id="{place}-error"[^>]*>(.*?)</div>', response.text, re.DOTALL)
    return unescape(re.sub(r"<[^>]*>", "", found[1]))


def test_every_calculation_is_listed_with_its_summary_and_leads_to_its_page(look):
    response = look()
    for calculation in EVERY.values():
        assert f'href="{LIST}{calculation.name}/"' in response.text
        assert " ".join(calculation.summary.split()) in words(response)


def test_a_calculation_that_is_written_is_listed_and_has_a_page(look, ask, honey):
    assert "Jars of honey Jars that the combs of a hive fill." in words(look())
    page = words(ask("honey-jars"))
    for told in (
        "Jars of honey",
        "Bees sting: wear a veil. Local rules and the label come first.",
        "A number of 0 lb or more, such as 6, 4.5.",
        "By weight. A number of at least 0 and below 100 %, such as 10, 20.",
        "sum of comb × (1 − wax ÷ 100) ÷ what a jar holds",
        "Unstrained honey fills a tenth more.",
        "Beekeeper's Almanac, Nobody, 1901. from memory, not checked",
        "Needs: Comb, Wax, Hive.",
    ):
        assert told in page


def test_the_list_finds_by_title_summary_topic_and_inputs(look, honey):
    assert "1 of" in words(look("jars honey"))
    assert "1 of" in words(look("WAX clipping"))
    assert "No calculation here is about that." in words(look("zeppelin"))


def test_two_calculations_of_one_name_are_refused(monkeypatch):
    twice = ("tests.fieldlog.written_once", "tests.fieldlog.written_once")
    monkeypatch.setattr(calculations, "PACKAGES", twice)
    with pytest.raises(TypeError, match="honey-jars names two calculations"):
        calculations.calculations()


@pytest.mark.parametrize("name", EVERY)
def test_a_calculator_answers_its_example_as_the_function_does(ask, name):
    calculation = EVERY[name]
    response = ask(name, examples_of(calculation))
    result = calculation.function(**examples_of(calculation))
    values = result if hasattr(result, "_fields") else [result]
    came_to = answered(calculation, examples_of(calculation))
    for answer, value in zip(came_to.answers, values, strict=True):
        if answer.value is None or answer.is_list:
            continue
        if answer.quantity.kind == "number":
            assert answer.value == pytest.approx(value, nan_ok=True)
        else:
            assert str(value).startswith(str(answer.value))
        assert f"{answer.shown} {answer.quantity.unit}".strip() in answers(response)
    assert "Needs:" not in answers(response)


@pytest.mark.parametrize("name", EVERY)
def test_a_calculator_refuses_in_the_functions_own_words(ask, name):
    calculation = EVERY[name]
    for field, value in refused_of(calculation):
        given = examples_of(calculation) | {field: value}
        at, sentence = refusal_of(calculation, given)
        response = ask(name, given)
        row = len(value) if isinstance(value, list) else None
        assert sentences_at(response, f"row-{row}-{at}" if row else at) == sentence
        assert (
            f": {sentence}"
            in words(response).partition("things" if "things" in words(response) else "thing")[2]
        )
        assert "No answer." in answers(response)


@pytest.mark.parametrize("name", EVERY)
def test_a_calculator_names_what_it_needs(ask, name):
    calculation = EVERY[name]
    needed = ", ".join(one.label for one in calculation.inputs if one.is_required)
    assert answers(ask(name)) == f"Needs: {needed}."


def test_a_part_that_is_known_stands_beside_what_is_missing(ask):
    """Of a hundred live seeds is unknown without the tag; of all seeds is known: 22 ÷ (90 × 14,000 ÷ 43,560)."""
    response = ask("emergence", {"plants_per_sqft": 22, "bulk_lb_per_acre": 90, "seeds_per_lb": 14_000})
    assert "live seed not known" in answers(response)
    assert "Came up, of all seed 76 %" in answers(response)
    assert "Needs: Pure live seed." in answers(response)


def test_an_input_that_is_not_required_shows_its_default_and_may_be_emptied(ask, honey):
    assert typed_in(ask("honey-jars"), "jar_lb") == ["1.5"]
    given = {"comb_lb": [6, 4.5], "wax_pct": [10, 20], "hive": "tall", "jar_lb": ""}
    assert "Jars 6.0 jars Honey of each comb 5.40 lb 3.60 lb" in answers(ask("honey-jars", given))
    assert "Jars 3.0 jars" in answers(ask("honey-jars", given | {"jar_lb": "3"}))


def test_choices_flags_and_dates_are_read(ask, honey):
    given = {"comb_lb": [6], "wax_pct": [0], "hive": "flat", "is_strained": "no", "on": "2027-07-04"}
    response = ask("honey-jars", given)
    assert "Jars 4.4 jars" in answers(response)
    assert "Label taken in 2027" in answers(response)
    assert re.search(r'value="no" checked', response.text)
    assert re.search(r'value="yes"[^>]* checked', ask("honey-jars", {"comb_lb": [6]}).text)
    assert re.search(r'type="date" name="on"[^>]* value="2027-07-04"', response.text)


def test_figures_are_read_as_people_type_them(ask):
    given = {
        "plants_per_sqft": "22",
        "bulk_lb_per_acre": " 90 ",
        "seeds_per_lb": "14,000",
        "pure_live_pct": "88 %",
    }
    assert "86 %" in answers(ask("emergence", given))


def test_empty_rows_at_the_end_are_none(ask, honey):
    given = {"comb_lb": ["6", "4.5", ""], "wax_pct": ["10", "20", ""], "hive": "tall"}
    assert "Jars 6.0 jars" in answers(ask("honey-jars", given))


def test_an_empty_row_between_others_is_unknown_and_named(ask, honey):
    given = {"comb_lb": ["6", "", "4.5"], "wax_pct": ["10", "", "20"], "hive": "tall"}
    came_to = answers(ask("honey-jars", given))
    assert "Jars not known Honey of each comb 5.40 lb not known 3.60 lb" in came_to
    assert "Needs: Comb (row 2), Wax (row 2)." in came_to


def test_a_button_asks_for_more_rows_and_keeps_what_is_typed(ask, honey):
    given = {"comb_lb": ["6", "4.5", ""], "wax_pct": ["10", "20", ""]}
    response = ask("honey-jars", given | {"more-rows": "6"})
    assert typed_in(response, "comb_lb") == ["6", "4.5", "", "", "", ""]
    assert 'name="more-rows" value="9"' in response.text


@pytest.mark.parametrize("wanted", ["", "x", "-4", "99999999999999999999", "1e3"])
def test_rows_that_cannot_be_wanted_are_the_least(ask, honey, wanted):
    assert len(typed_in(ask("honey-jars", {"more-rows": wanted}), "comb_lb")) == 3


def test_more_rows_than_a_page_takes_are_refused_with_their_number(ask, honey):
    response = ask("honey-jars", {"comb_lb": ["1"] * 75, "wax_pct": ["1"] * 75})
    assert sentences_at(response, "comb_lb") == "Comb has 75 rows; accepted are 60 or fewer"
    assert len(typed_in(response, "comb_lb")) == 60


def test_what_is_said_of_a_whole_list_stands_above_its_rows(ask, honey):
    given = {"comb_lb": [1, 2, 3, 4], "wax_pct": [0, 0, 0, 0], "hive": "flat"}
    response = ask("honey-jars", given)
    assert sentences_at(response, "comb_lb") == "Comb has 4 rows; accepted are 3 or fewer of a flat hive"
    assert '<a href="#row-1-comb_lb">Comb</a>' in response.text


def test_what_was_typed_is_shown_again_and_never_as_markup(ask):
    response = ask("hoop-ft2-from-diameter", {"diameter_in": '"><b>30'})
    assert "<b>30" not in response.text
    assert typed_in(response, "diameter_in") == ["&quot;&gt;&lt;b&gt;30"]


def test_htmx_is_given_the_answer_and_the_sentences_alone(ask):
    response = ask("hoop-ft2-from-diameter", {"diameter_in": "-3"}, **{"HX-Request": "true"})
    assert "<html" not in response.text
    assert "No answer. Inside diameter is -3 in; accepted is a number above 0 in." in words(response)
    assert 'id="diameter_in-error" hx-swap-oob="true"' in response.text
    assert response["Vary"].count("HX-Request") == 1


def test_going_back_in_the_browser_is_given_the_page(ask):
    headers = {"HX-Request": "true", "HX-History-Restore-Request": "true"}
    assert "<html" in ask("hoop-ft2-from-diameter", **headers).text


def test_a_calculation_that_is_not_there_is_not_found(ask):
    assert ask("luck").status_code == 404


def test_the_example_has_an_address(ask, honey):
    example = "?comb_lb=6&amp;comb_lb=4.5&amp;wax_pct=10&amp;wax_pct=20&amp;jar_lb=1.5&amp;hive=tall"
    assert f'href="{example}"' in ask("honey-jars").text
