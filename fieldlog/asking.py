"""Asking a described calculation with what a person typed or a program sent.

Everything that cannot be used is refused by the function's own sentences, the same for page and API.
"""

import datetime
import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from math import floor, isfinite, log10

import numpy as np

from blends.forms.figures import plain_digits
from config.errors import Refused
from plots.calc.described import BadInput, Calculation, Quantity

MOST_ROWS = 366  # a year of days
_NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?")
_FLAGS = {"yes": True, "true": True, "no": False, "false": False}
_LARGE, _SMALL = 1e15, 1e-6  # beyond these a figure is shown by its power of ten


@dataclass(frozen=True)
class Answer:
    """One answer: None where it is unknown, a list where the calculation answers for each row."""

    quantity: Quantity
    value: object

    @property
    def is_list(self):
        return isinstance(self.value, list)

    @property
    def is_known(self):
        return any(value is not None for value in (self.value if self.is_list else [self.value]))

    @property
    def shown(self):
        """As text without unit, unknown as "", or a list of such."""
        if self.is_list:
            return [shown(self.quantity, value) for value in self.value]
        return shown(self.quantity, self.value)


@dataclass(frozen=True)
class Answered:
    """What a calculation came to, and the labels of the inputs that it lacked."""

    calculation: Calculation
    answers: tuple
    missing: list

    @property
    def is_known(self):
        """Whether there is an answer at all, words aside."""
        return any(one.is_known and one.quantity.kind != "text" for one in self.answers) or (
            any(one.is_known for one in self.answers) and not self.missing
        )


def answered(calculation, given, most_rows=MOST_ROWS):
    """The calculation's answers to `given`, {input's name: value or text}.

    What is not required and left out is as the function has it; None is unknown.

    Raises
    ------
    Refused
        Names of inputs with the sentences about them.
    """
    refusals = {name: [_unknown_name(calculation, name)] for name in given if not _has(calculation, name)}
    values = _values(calculation, given)
    for one in calculation.inputs:
        sentence = one.name in values and refusal(one, values[one.name], most_rows)
        if sentence:
            refusals[one.name] = [sentence]
    if not refusals:
        try:
            with np.errstate(all="ignore"):  # what overflows is answered as unknown
                result = calculation.function(**values)
        except BadInput as error:
            refusals[error.field] = [error.sentence]
    if refusals:
        said = dict.fromkeys(sentence for sentences in refusals.values() for sentence in sentences)
        raise Refused(". ".join(said), fields=refusals)
    parts = result if hasattr(result, "_fields") else [result]
    answers = zip(calculation.answers, parts, strict=True)
    return Answered(
        calculation,
        tuple(Answer(quantity, _plain(quantity, value)) for quantity, value in answers),
        calculation.missing(values),
    )


def refusal(quantity, value, most_rows=MOST_ROWS):
    """The sentence that refuses a value that was read, or ""."""
    if isinstance(value, list) and len(value) > most_rows:
        return f"{quantity.label} has {len(value):,} rows; accepted are {most_rows} or fewer"
    try:
        quantity.checked(value)
    except BadInput as error:
        return error.sentence
    return ""


def read(quantity, raw):
    """One value as the function takes it. What cannot be read stays text, which the function refuses."""
    if isinstance(raw, str):
        raw = raw.strip()
    if raw is None or raw == "":
        return None
    return _READERS[quantity.kind](quantity, raw)


def _values(calculation, given):
    rows = max((len(given[one.name] or []) for one in calculation.lists if _is_list(given, one)), default=0)
    values = {}
    for one in calculation.inputs:
        raw = given.get(one.name)
        if one.is_list and (raw is None or raw == []):
            if one.is_required or one.name in given:
                values[one.name] = [None] * (rows or 1)
        elif one.is_list and isinstance(raw, list):
            values[one.name] = [read(one, each) for each in raw]
        elif one.is_required or one.name in given:
            values[one.name] = read(one, raw)
    return values


def _is_list(given, quantity):
    return isinstance(given.get(quantity.name), list)


def _has(calculation, name):
    return any(one.name == name for one in calculation.inputs)


def _unknown_name(calculation, name):
    accepted = ", ".join(one.name for one in calculation.inputs)
    return f"{str(name)[:60]} is not an input of {calculation.name}; accepted are {accepted}"


def _read_number(quantity, raw):
    if isinstance(raw, int | float) and not isinstance(raw, bool):
        return raw
    digits = plain_digits(str(raw))
    return float(digits) if _NUMBER.fullmatch(digits) else str(raw)


def _read_choice(quantity, raw):
    return next((value for value, _ in quantity.choices if str(value) == str(raw)), str(raw))


def _read_date(quantity, raw):
    try:
        return raw if isinstance(raw, datetime.date) else datetime.date.fromisoformat(raw)
    except (TypeError, ValueError):
        return str(raw)


def _read_flag(quantity, raw):
    return raw if isinstance(raw, bool) else _FLAGS.get(str(raw).lower(), str(raw))


_READERS = {"number": _read_number, "choice": _read_choice, "date": _read_date, "flag": _read_flag}


def _plain(quantity, value):
    """An answer in Python's own types; None where it is unknown."""
    if isinstance(value, np.ndarray | list | tuple):
        return [_plain(quantity, each) for each in value]
    if value is None or isinstance(value, datetime.date):
        return value
    if isinstance(value, bool | np.bool_):
        return bool(value)
    if isinstance(value, str):
        return str(value) or None
    if not isfinite(value):
        return None
    return int(value) if quantity.is_whole else float(value)


def shown(quantity, value):
    """A value as text with the digits that mean something, without its unit; "" for None."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime.date):
        return f"{value.day} {value:%b %Y}"
    if isinstance(value, str):
        return str(dict(quantity.choices).get(value, value))
    if value and not _SMALL < abs(value) < _LARGE:
        return f"{value:.3g}".replace("-", "−")
    exact = Decimal(repr(value)).quantize(Decimal(1).scaleb(-_places(quantity, value)), ROUND_HALF_UP)
    return f"{exact:,}".replace("-", "−")


def _places(quantity, value):
    """The description's decimals, or three digits; never so few that something shows as nothing."""
    if not value or quantity.is_whole:
        return quantity.decimals or 0
    first = floor(log10(abs(value)))
    if quantity.decimals is None:
        return max(0, 2 - first)
    return quantity.decimals if abs(value) >= 0.5 * 10**-quantity.decimals else 1 - first
