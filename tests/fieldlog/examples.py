"""What every calculation of the site is asked in the tests: its own examples, and what it has to refuse."""

from fieldlog.calculations import calculations
from plots.calc.described import BadInput

EVERY = {one.name: one for one in calculations()}


def examples_of(calculation):
    return {one.name: one.example for one in calculation.inputs if one.example is not None}


def refused_of(calculation):
    """(input's name, value) of what lies outside each input's limits, and of text in a number's place."""
    found = []
    for one in calculation.inputs:
        if one.kind != "number":
            found.append((one, "neither"))
            continue
        found.append((one, "much"))
        found += [(one, limit - 1) for limit in (one.least, one.above) if limit is not None]
        found += [(one, limit + 1) for limit in (one.most, one.below) if limit is not None]
        found += [(one, limit) for limit in (one.above, one.below) if limit is not None]
        found += [(one, 2.5)] if one.is_whole else []
    return [(one.name, _in_place(one, value)) for one, value in found]


def _in_place(one, value):
    return [*one.example[:-1], value] if one.is_list else value


def refusal_of(calculation, given):
    """(input's name, sentence) by the function itself."""
    try:
        calculation.function(**given)
    except BadInput as error:
        return error.field, error.sentence
    raise AssertionError(f"{calculation.name} took {given}")


def as_typed(given):
    """The same as a form sends it."""
    return {
        name: [str(each) for each in value] if isinstance(value, list | tuple) else str(value)
        for name, value in given.items()
    }


def as_sent(given):
    """The same as a program sends it."""
    return {
        name: value if isinstance(value, list | int | float) else str(value) for name, value in given.items()
    }
