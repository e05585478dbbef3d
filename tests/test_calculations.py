"""What every calculation has to keep, whatever it calculates: its examples, its limits, the unknown, and arrays."""

import datetime
import doctest
import inspect
import pkgutil
from importlib import import_module

import numpy as np
import pytest

from plots.calc.described import BadInput, Calculation

PACKAGES = ["plots.calc", "blends.calc", "fieldlog.calc"]
MODULES = [
    import_module(f"{package}.{each.name}")
    for package in PACKAGES
    for each in pkgutil.iter_modules(import_module(package).__path__)
]
FUNCTIONS = {
    f"{module.__name__}.{name}": function
    for module in MODULES
    for name, function in vars(module).items()
    if inspect.isfunction(function) and function.__module__ == module.__name__ and not name.startswith("_")
}
DESCRIBED = {
    name: function.calculation
    for name, function in FUNCTIONS.items()
    if isinstance(getattr(function, "calculation", None), Calculation)
}
INPUTS = [(name, one) for name, calculation in DESCRIBED.items() for one in calculation.inputs]


def of_inputs(is_wanted):
    """Parameters of a test: each wanted input of each calculation."""
    wanted = [(DESCRIBED[name], one) for name, one in INPUTS if is_wanted(one)]
    names = [f"{name}-{one.name}" for name, one in INPUTS if is_wanted(one)]
    return pytest.mark.parametrize(("calculation", "quantity"), wanted, ids=names)


def example_of(calculation):
    """Its inputs as its form shows them; what is not required and has no example is left out."""
    return {one.name: one.example for one in calculation.inputs if one.example is not None}


def answers_to(calculation, given):
    """(answer's description, value) of each answer."""
    result = calculation.function(**given)
    parts = result if hasattr(result, "_fields") else [result]
    return list(zip(calculation.answers, parts, strict=True))


def is_unknown(quantity, value):
    if quantity.kind == "number":
        return bool(np.isnan(value).any())
    return value is None or str(value) in ("", "not known")


def with_first(quantity, example, value):
    """The example with another value, in the first row of a list."""
    return [value, *example[1:]] if quantity.is_list else value


# --- documentation ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", FUNCTIONS)
def test_examples_in_the_docstring_hold(name):
    function = FUNCTIONS[name]
    module = import_module(function.__module__)
    runner = doctest.DocTestRunner()
    for each in doctest.DocTestFinder(recurse=False).find(function, name, module, globs=dict(vars(module))):
        runner.run(each)
    assert runner.failures == 0
    assert runner.tries or name not in DESCRIBED


@pytest.mark.parametrize("name", DESCRIBED)
def test_a_description_says_all_that_a_person_has_to_know(name):
    calculation = DESCRIBED[name]
    said = [calculation.title, calculation.formula, calculation.summary]
    said += [text for one in (*calculation.inputs, *calculation.answers) for text in (one.name, one.label)]
    assert all(said)
    assert calculation.sources
    assert [one.name for one in calculation.inputs if one.is_required and one.example is None] == []


def test_no_two_calculations_have_the_same_name_or_title():
    for said in ("name", "title"):
        found = [getattr(each, said) for each in DESCRIBED.values()]
        assert {each for each in found if found.count(each) > 1} == set()


# --- answers ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", DESCRIBED)
def test_its_own_example_is_answered_as_described(name):
    calculation = DESCRIBED[name]
    result = calculation.function(**example_of(calculation))
    if hasattr(result, "_fields"):
        assert result._fields == tuple(one.name for one in calculation.answers)
    for quantity, value in answers_to(calculation, example_of(calculation)):
        if quantity.kind == "number":
            assert np.isfinite(value).all(), quantity.name
            assert np.ndim(value) == quantity.is_list, quantity.name
        else:
            kind = {"text": str, "choice": str, "date": datetime.date, "flag": bool | np.bool_}[quantity.kind]
            assert isinstance(value, kind), quantity.name
            assert value != "not known", quantity.name


@of_inputs(lambda one: one.is_required)
def test_a_missing_input_leaves_an_answer_unknown_and_is_named(calculation, quantity):
    given = example_of(calculation)
    given[quantity.name] = with_first(quantity, given[quantity.name], None)
    answers = answers_to(calculation, given)
    assert any(is_unknown(answer, value) for answer, value in answers)
    [missing] = calculation.missing(given)
    assert missing.startswith(quantity.label)


@of_inputs(lambda one: one.kind == "number")
def test_an_array_is_answered_as_its_numbers_one_by_one(calculation, quantity):
    given = example_of(calculation)
    if quantity.name not in given:
        given[quantity.name] = 1
    three = [{**given, quantity.name: value} for value in three_values(calculation, given, quantity)]
    singly = [answers_to(calculation, each) for each in three]
    array = np.array([each[quantity.name] for each in three], dtype=float)
    for place, (answer, together) in enumerate(answers_to(calculation, {**given, quantity.name: array})):
        alone = np.array([answers[place][1] for answers in singly])
        together = np.broadcast_to(together, alone.shape)
        if answer.kind == "number":
            np.testing.assert_allclose(together, alone, rtol=1e-12, err_msg=answer.name)
        else:
            assert together.tolist() == alone.tolist(), answer.name


def three_values(calculation, given, quantity):
    """The example and two others beside it that the calculation takes; the example alone where it takes none."""
    example = np.array(given[quantity.name], dtype=float)
    steps = [1, -1, 2, -2] if quantity.is_whole else [example / 20, -example / 20, example / 10]
    taken = [example]
    for step in steps:
        try:
            calculation.function(**{**given, quantity.name: example + step})
        except BadInput:
            continue
        taken.append(example + step)
    return (taken * 3)[:3]


# --- refusals -----------------------------------------------------------------------------------------------


def beyond(quantity):
    """Values just outside of what is accepted."""
    if quantity.kind == "number":
        limits = (quantity.above, quantity.below)
        values = [limit for limit in limits if limit is not None]
        values += [] if quantity.least is None else [quantity.least - 1]
        values += [] if quantity.most is None else [quantity.most + 1]
        values += [1.5] if quantity.is_whole else []
        return [*values, np.inf, "much"]
    return {"choice": ["no such"], "date": ["yesterday"], "flag": ["perhaps"]}[quantity.kind]


@of_inputs(lambda one: True)
def test_what_is_not_accepted_is_refused_by_name_and_limits(calculation, quantity):
    given = example_of(calculation)
    for value in beyond(quantity):
        wrong = with_first(quantity, given.get(quantity.name, [1]), value)
        with pytest.raises(BadInput) as refused:
            calculation.function(**{**given, quantity.name: wrong})
        assert refused.value.field == quantity.name
        assert refused.value.sentence.startswith(f"{quantity.label} is ")
        assert refused.value.sentence.endswith(f"; accepted is {quantity.accepted}")
