"""Calculations that describe themselves.

`described` takes what a person has to know of a calculation: its inputs with units and limits, its answer, its
formula and where that comes from. It is written once, and everything else follows from it: the check of what
comes in, the sentence that refuses it, the docstring, the form, the API and its documentation.

    @described(
        title="Seeds on a square foot",
        topic="seed",
        inputs=[
            Quantity("lb_per_acre", "Rate", "lb/acre", least=0),
            Quantity("seeds_per_lb", "Seeds per pound", "seeds/lb", above=0),
        ],
        answer=Quantity("seeds_per_sqft", "Seeds on a square foot", "seeds/ft²"),
        formula="rate × seeds per pound ÷ 43,560",
        sources=[DEFINITION],
    )
    def seeds_per_sqft(lb_per_acre, seeds_per_lb):
        '''Seeds on each square foot at a rate.'''
        return lb_per_acre * seeds_per_lb / FT2_PER_ACRE

A described function takes numbers or arrays that broadcast together. Numbers reach it as float arrays, None as
NaN; a missing input makes that answer NaN by arithmetic, never 0. What cannot be raises `BadInput`.
"""

import datetime
import functools
import inspect
from dataclasses import dataclass, field

import numpy as np

PUBLISHED, WORKED_OUT, MEMORY, PRACTICE, BY_DEFINITION = (
    "published",
    "worked_out",
    "memory",
    "common_practice",
    "definition",
)
"""What a formula or figure rests on; the first four as blends.models.Basis has them."""

_MOST_SHOWN = 60
"""Characters of a refused value that its sentence repeats."""


class BadInput(ValueError):
    """An input that cannot be used.

    Attributes
    ----------
    field : str
        Name of the input.
    sentence : str
        Names the input, the value and what is accepted.
    """

    def __init__(self, field, sentence):
        super().__init__(sentence)
        self.field = field
        self.sentence = sentence


@dataclass(frozen=True)
class Source:
    """A document that a formula or a figure comes from, or the lack of one."""

    title: str
    publisher: str = ""
    year: str = ""
    address: str = ""
    basis: str = PUBLISHED
    note: str = ""

    def __str__(self):
        said = ", ".join(part for part in (self.title, self.publisher, self.year) if part)
        words = {MEMORY: "from memory, not checked", WORKED_OUT: "worked out from it"}.get(self.basis)
        said = f"{said} ({words})" if words else said
        return f"{said}. {self.note}" if self.note else said


DEFINITION = Source("By definition", basis=BY_DEFINITION)
COMMON_PRACTICE = Source("Common practice, no source", basis=PRACTICE)


@dataclass(frozen=True)
class Quantity:
    """An input or an answer.

    Attributes
    ----------
    name : str
        The function's parameter, or the attribute of what it returns; carries the unit: `depth_in`.
    label : str
        For people, without the unit.
    unit : str
    kind : str
        number, choice, date, flag, or text (answers only).
    least, most, above, below : float
        Limits of a number; `above` and `below` are not themselves accepted.
    is_whole : bool
    is_list : bool
        One value for each of several rows (species, frames, pairs …): the last axis of an array.
        All lists of a calculation have the same length. A list that is not required may be a single number,
        which then holds for every row.
    is_required : bool
        Without it there is no answer. What is not required has `default`, the function's own.
    default : object
    example : object
        A sensible value to show in a form; never used as an answer's input unasked.
    choices : tuple of (value, label)
    decimals : int or None
        With which an answer is shown; None leaves that to its size.
    help : str
        One sentence.
    """

    name: str
    label: str
    unit: str = ""
    kind: str = "number"
    least: float | None = None
    most: float | None = None
    above: float | None = None
    below: float | None = None
    is_whole: bool = False
    is_list: bool = False
    is_required: bool = True
    default: object = None
    example: object = None
    choices: tuple = ()
    decimals: int | None = None
    help: str = ""

    @property
    def accepted(self):
        """What is accepted, in words: "0 to 100 %", "a number above 0"."""
        if self.kind == "choice":
            return ", ".join(str(value) for value, _ in self.choices)
        if self.kind == "date":
            return "a date, year-month-day"
        if self.kind == "flag":
            return "yes or no"
        unit = f" {self.unit}" if self.unit else ""
        noun = "a whole number" if self.is_whole else "a number"
        if self.least is not None and self.most is not None:
            span = f"{_figure(self.least)} to {_figure(self.most)}{unit}"
            return f"{noun} from {span}" if self.is_whole else span
        if self.least is not None and self.below is None:
            return f"{noun} of {_figure(self.least)}{unit} or more"
        limits = {"of at least": self.least, "above": self.above, "at most": self.most, "below": self.below}
        said = " and ".join(f"{word} {_figure(limit)}" for word, limit in limits.items() if limit is not None)
        said = f"of {said}" if said.startswith("at most") else said or ("in" if unit else "")
        return f"{noun} {said}{unit}".rstrip()

    def checked(self, value):
        """The value as the function takes it: a float array, or the choice, date or flag as it is.

        Raises
        ------
        BadInput
        """
        if self.kind == "number":
            return self._checked_numbers(value)
        if self.is_list and value is not None and np.ndim(value) == 0:
            self._refuse(value, "a list")
        for one in np.ravel(np.asarray(value, dtype=object)):
            if one is not None and not self._is_accepted(one):
                self._refuse(one)
        return value

    def _is_accepted(self, value):
        if self.kind == "choice":
            return any(value == choice for choice, _ in self.choices)
        return isinstance(value, {"date": datetime.date, "flag": bool | np.bool_}.get(self.kind, object))

    def _checked_numbers(self, value):
        try:
            if np.asarray(value).dtype.kind in "US":  # "nan" would pass for a number that is not known
                raise TypeError
            numbers = np.asarray(value, dtype=float)
        except (TypeError, ValueError, OverflowError):
            self._refuse(_first_that_is_no_number(value))
        if self.is_list and self.is_required and numbers.ndim == 0:
            self._refuse(value, "a list of numbers")
        with np.errstate(invalid="ignore"):
            wrong = np.isinf(numbers)
            if self.least is not None:
                wrong |= numbers < self.least
            if self.most is not None:
                wrong |= numbers > self.most
            if self.above is not None:
                wrong |= numbers <= self.above
            if self.below is not None:
                wrong |= numbers >= self.below
            if self.is_whole:
                wrong |= numbers != np.where(np.isnan(numbers), numbers, np.round(numbers))
                wrong &= ~np.isnan(numbers)
        if wrong.any():
            self._refuse(f"{_figure(numbers[wrong][0])}{f' {self.unit}' if self.unit else ''}")
        return numbers

    def _refuse(self, value, accepted=None):
        said = f"{value}"
        said = f"{said[:_MOST_SHOWN]}…" if len(said) > _MOST_SHOWN else said
        raise BadInput(self.name, f"{self.label} is {said}; accepted is {accepted or self.accepted}")


@dataclass(frozen=True)
class Calculation:
    """The description of a described function; `function.calculation` has it."""

    name: str
    title: str
    topic: str
    inputs: tuple
    answers: tuple
    formula: str
    sources: tuple
    summary: str
    notes: tuple = ()
    cautions: tuple = ()
    is_listed: bool = True
    function: object = field(default=None, compare=False, repr=False)

    def input(self, name):
        return next(one for one in self.inputs if one.name == name)

    @property
    def lists(self):
        return tuple(one for one in self.inputs if one.is_list)

    def missing(self, given):
        """Labels of the inputs that are unknown in `given`: None, NaN, or not there at all.

        What is not required is unknown only where it was given as such and its default is a known value.
        Of a list that is partly known the rows are named, counted from 1: "Nitrogen (row 2)".
        """
        found = []
        for one in self.inputs:
            has_own = one.default is not None and one.name in given
            if (one.is_required or has_own) and _is_missing(given.get(one.name)):
                found.append(f"{one.label}{_missing_rows(given.get(one.name)) if one.is_list else ''}")
        return found


def described(
    *,
    title,
    topic,
    inputs,
    formula,
    sources,
    answer=None,
    answers=(),
    notes=(),
    cautions=(),
    name=None,
    is_listed=True,
):
    """Describe a function and have its inputs checked.

    Parameters
    ----------
    title : str
        What it answers, as a heading.
    topic : str
        A key of `TOPICS`.
    inputs : list of Quantity
        In the order of the function's parameters, all of them.
    formula : str
        In words and figures.
    sources : list of Source
        At least one.
    answer : Quantity
        For a function that returns one value.
    answers : list of Quantity
        For one that returns a named tuple: an attribute each.
    notes : list of str
        Sentences on limits and traps, shown beside the answer.
    cautions : list of str
        Sentences on harm, shown before the inputs.
    name : str
        In addresses; from the function's name when left out.
    is_listed : bool
        Whether it is offered to people. One that others are made of need not be.
    """
    if topic not in TOPICS:
        raise TypeError(f"topic is {topic!r}; accepted is {', '.join(TOPICS)}")

    def decorate(function):
        parameters = list(inspect.signature(function).parameters)
        if parameters != [one.name for one in inputs]:
            raise TypeError(
                f"{function.__name__} takes {parameters}; described are {[one.name for one in inputs]}"
            )
        signature = inspect.signature(function)

        @functools.wraps(function)
        def checked(*args, **kwargs):
            bound = signature.bind(*args, **kwargs)
            bound.apply_defaults()
            values = {one.name: one.checked(bound.arguments[one.name]) for one in inputs}
            _check_lengths(inputs, values)
            return _plain(function(**values))

        calculation = Calculation(
            name=name or function.__name__.replace("_", "-"),
            title=title,
            topic=topic,
            inputs=tuple(inputs),
            answers=tuple(answers) or (answer,),
            formula=formula,
            sources=tuple(sources),
            summary=inspect.getdoc(function).split("\n\n")[0].replace("\n", " "),
            notes=tuple(notes),
            cautions=tuple(cautions),
            is_listed=is_listed,
            function=checked,
        )
        checked.calculation = calculation
        checked.__doc__ = _docstring(inspect.getdoc(function), calculation)
        return checked

    return decorate


TOPICS = {
    "seed": "Seed and rates",
    "drill": "Drill, spreader and sprayer",
    "tag": "Seed tags",
    "residue": "Residue and cover",
    "nitrogen": "Nitrogen and C:N",
    "stand": "Stand counts",
    "browse": "Clipping and browse",
    "soil": "Soil and water",
    "season": "Degree days and frost",
    "safety": "Safety",
}
"""Topics in the order in which they are listed."""


def calculations_in(*modules):
    """Every listed calculation of the modules, by topic in the order of `TOPICS`, then as written."""
    found = []
    for module in modules:
        for value in vars(module).values():
            calculation = getattr(value, "calculation", None)
            is_own = isinstance(calculation, Calculation) and value.__module__ == module.__name__
            if is_own and calculation.is_listed:
                found.append(calculation)
    order = list(TOPICS)
    return sorted(found, key=lambda one: order.index(one.topic))


def _figure(number):
    """With the digits that it was given with, and without the noise of its binary form."""
    return f"{number:,.12g}"


def _check_lengths(inputs, values):
    lists = [one for one in inputs if one.is_list and one.kind == "number"]
    lengths = {one.label: values[one.name].shape[-1] for one in lists if values[one.name].ndim}
    if len(set(lengths.values())) > 1:
        said = ", ".join(f"{label} has {length}" for label, length in lengths.items())
        raise BadInput(lists[0].name, f"{said}; accepted are lists of the same length")


def _first_that_is_no_number(value):
    for one in value if isinstance(value, list | tuple) else ():
        try:
            if isinstance(one, str):
                return one
            float(np.nan if one is None else one)
        except (TypeError, ValueError, OverflowError):
            return one
    return value


def _is_missing(value):
    if value is None:
        return True
    if isinstance(value, str | bool) or not np.size(value):
        return not np.size(value)
    if isinstance(value, list | tuple | np.ndarray):
        return any(_is_missing(one) for one in value)
    return isinstance(value, float | np.floating) and bool(np.isnan(value))


def _missing_rows(values):
    rows = [
        number for number, value in enumerate([] if values is None else values, start=1) if _is_missing(value)
    ]
    if not rows or len(rows) == np.size(values):
        return ""
    return f" (row{'s' if len(rows) > 1 else ''} {', '.join(map(str, rows))})"


def _plain(result):
    """Arrays of no dimension become scalars, in a named tuple too."""
    if isinstance(result, tuple) and hasattr(result, "_fields"):
        return type(result)(*(_plain(value) for value in result))
    return result[()] if isinstance(result, np.ndarray) else result


def _docstring(text, calculation):
    text, _, examples = text.partition("\nExamples\n--------\n")
    parts = [text.rstrip()]
    parts.append("Parameters\n----------\n" + "\n".join(_parameter(one) for one in calculation.inputs))
    parts.append("Returns\n-------\n" + "\n".join(_returned(one) for one in calculation.answers))
    parts.append("Raises\n------\nBadInput\n    An input outside what is accepted.")
    if calculation.notes:
        parts.append("Notes\n-----\n" + "\n".join(calculation.notes))
    parts.append("References\n----------\n" + "\n".join(str(source) for source in calculation.sources))
    if examples:
        parts.append(f"Examples\n--------\n{examples}")
    return "\n\n".join(parts)


def _parameter(one):
    kind = {"number": "array_like"}.get(one.kind, one.kind) + (", shape (..., rows)" if one.is_list else "")
    optional = "" if one.is_required else ", optional"
    help = f" {one.help}" if one.help else ""
    return f"{one.name} : {kind}{optional}\n    {one.label}; {one.accepted}.{help} [{one.unit or '-'}]"


def _returned(one):
    missing = "; NaN where an input is missing" if one.kind == "number" else ""
    return f"{one.name}\n    {one.label}{missing}. [{one.unit or '-'}]"
