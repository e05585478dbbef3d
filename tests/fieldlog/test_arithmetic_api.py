"""The calculations by the API, and how its own description tells of them."""

import json

import pytest
from drf_spectacular.generators import SchemaGenerator

from fieldlog.api.schema import component_name
from tests.blends.pages import signed_in
from tests.fieldlog.examples import EVERY, as_sent, examples_of, refusal_of, refused_of

LIST = "/api/v1/arithmetic/"


@pytest.fixture
def api(stranger):
    """Somebody who is signed in, whatever property they belong to."""
    return signed_in(stranger)


@pytest.fixture
def post(api):
    """post(name, body) -> (status, answer)."""

    def post(name, body):
        response = api.post(f"{LIST}{name}/", json.dumps(body), content_type="application/json")
        return response.status_code, response.json()

    return post


def by_name(answer):
    return {each["name"]: each["value"] for each in answer["answers"]}


def schemas():
    return SchemaGenerator().get_schema(public=True)


def test_every_calculation_is_listed_with_inputs_answers_formula_and_sources(api):
    listed = {each["name"]: each for each in api.get(LIST).json()["results"]}
    assert list(listed) == list(EVERY)
    for name, calculation in EVERY.items():
        told = listed[name]
        assert told["formula"] == calculation.formula
        assert [each["title"] for each in told["sources"]] == [each.title for each in calculation.sources]
        assert [(each["name"], each["unit"]) for each in told["inputs"]] == [
            (one.name, one.unit) for one in calculation.inputs
        ]
        assert [each["name"] for each in told["answers"]] == [one.name for one in calculation.answers]


def test_a_calculation_that_is_written_is_described_with_its_limits(api, honey):
    told = api.get(f"{LIST}honey-jars/").json()
    comb, wax, jar, hive, on, strained = told["inputs"]
    assert comb | {"least": 0.0, "above": None, "is_list": True, "example": [6, 4.5]} == comb
    assert (wax["below"], wax["accepted"]) == (100.0, "a number of at least 0 and below 100 %")
    assert (jar["is_required"], jar["default"]) == (False, 1.5)
    assert hive["choices"] == [{"value": "tall", "label": "Tall"}, {"value": "flat", "label": "Flat"}]
    assert (on["kind"], strained["kind"], strained["default"]) == ("date", "flag", True)
    assert told["cautions"] == ["Bees sting: wear a veil."]
    assert told["sources"][0]["basis"] == "memory"


def test_a_calculation_that_is_written_answers(post, honey):
    given = {"comb_lb": [6, 4.5], "wax_pct": ["10", "20"], "hive": "tall", "on": "2027-07-04"}
    status, answer = post("honey-jars", given)
    assert status == 200
    assert answer["answers"] == [
        {"name": "jars", "label": "Jars", "value": pytest.approx(6), "unit": "jars"},
        {
            "name": "honey_lb_by_comb",
            "label": "Honey of each comb",
            "value": pytest.approx([5.4, 3.6]),
            "unit": "lb",
        },
        {"name": "label", "label": "Label", "value": "taken in 2027", "unit": ""},
    ]
    assert answer["formula"] == "sum of comb × (1 − wax ÷ 100) ÷ what a jar holds"
    assert answer["missing"] == []


@pytest.mark.parametrize("name", EVERY)
def test_the_api_answers_an_example_as_the_function_does(post, name):
    calculation = EVERY[name]
    status, answer = post(name, as_sent(examples_of(calculation)))
    assert status == 200
    result = calculation.function(**examples_of(calculation))
    values = result if hasattr(result, "_fields") else [result]
    for one, value, sent in zip(calculation.answers, values, answer["answers"], strict=True):
        assert (sent["name"], sent["unit"]) == (one.name, one.unit)
        if one.kind == "number" and sent["value"] is not None:
            assert sent["value"] == pytest.approx(value)
        elif one.kind == "number":
            assert value != value
        else:
            assert (sent["value"] or "") == str(value)


@pytest.mark.parametrize("name", EVERY)
def test_the_api_refuses_in_the_functions_own_words(post, name):
    calculation = EVERY[name]
    for field, value in refused_of(calculation):
        given = examples_of(calculation) | {field: value}
        at, sentence = refusal_of(calculation, given)
        status, answer = post(name, as_sent(given))
        assert status == 400
        assert answer == {"error": {"code": "refused", "message": sentence, "fields": {at: [sentence]}}}


@pytest.mark.parametrize("name", EVERY)
def test_what_is_not_known_is_null_and_missing_says_so(post, name):
    calculation = EVERY[name]
    needed = [one.label for one in calculation.inputs if one.is_required]
    for body in ({}, {one.name: None for one in calculation.inputs if one.is_required}):
        status, answer = post(name, body)
        assert status == 200
        assert answer["missing"] == needed
        assert any(value in (None, [None]) for value in by_name(answer).values())


def test_a_row_that_is_not_known_is_named(post, honey):
    _, answer = post("honey-jars", {"comb_lb": [6, None], "wax_pct": [10, 20], "hive": "tall"})
    assert by_name(answer) == {"jars": None, "honey_lb_by_comb": [pytest.approx(5.4), None], "label": None}
    assert answer["missing"] == ["Comb (row 2)"]


def test_a_name_that_is_no_input_is_refused_by_that_name(post):
    status, answer = post("hoop-ft2-from-diameter", {"diameter": 30})
    sentence = "diameter is not an input of hoop-ft2-from-diameter; accepted are diameter_in"
    assert (status, answer["error"]["fields"]) == (400, {"diameter": [sentence]})


@pytest.mark.parametrize("body", [[], [1], "x", 3, None])
def test_a_body_that_is_no_object_is_refused(post, body):
    status, answer = post("hoop-ft2-from-diameter", body)
    assert status == 400
    assert answer["error"]["message"].startswith("The body is no object;")


def test_a_calculation_that_is_not_there_is_not_found(api, post):
    assert api.get(f"{LIST}luck/").status_code == 404
    assert post("luck", {})[0] == 404


def test_the_schema_has_the_inputs_of_every_calculation(honey):
    schema = schemas()
    path = schema["paths"][f"{LIST}{{calculation}}/"]
    [named] = [each for each in path["post"]["parameters"] if each["name"] == "calculation"]
    assert set(named["schema"]["enum"]) == {*EVERY, "honey-jars"}
    for calculation in EVERY.values():
        inputs = schema["components"]["schemas"][component_name(calculation)]["properties"]
        assert list(inputs) == [one.name for one in calculation.inputs]


def test_the_schema_says_the_limits_of_a_calculation_that_is_written(honey):
    schema = schemas()["components"]["schemas"]
    assert {"$ref": "#/components/schemas/HoneyJarsInputs"} in schema["InputsRequest"]["anyOf"]
    inputs = schema["HoneyJarsInputs"]["properties"]
    wax = inputs["wax_pct"]["items"]
    assert (wax["minimum"], wax["maximum"], wax["exclusiveMaximum"]) == (0, 100, True)
    assert "exclusiveMinimum" not in wax
    assert inputs["hive"]["anyOf"] == [{"type": "string", "enum": ["tall", "flat"]}]
    assert inputs["on"]["format"] == "date"
    assert inputs["jar_lb"]["description"].endswith("1.5 when left out.")
    assert schema["HoneyJarsInputs"]["additionalProperties"] is False
