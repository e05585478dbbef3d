"""A calculator's fields, made from the description of its calculation and filled from the page's address.

No Django form: what may stand in a field, and the sentence when it cannot, is the described function's own matter.
A list has its name once for each row, `caged_g=60&caged_g=48`, so an address reads like the question it asks.
"""

from dataclasses import dataclass, field
from functools import cached_property

from django import forms
from django.http import QueryDict

from config.errors import Refused
from config.pages import Complaint
from fieldlog.asking import Answered, answered, read, refusal, shown
from plots.calc.described import TOPICS, Calculation, Quantity

MOST_ROWS = 60  # of a page, whose address has to stay short enough to be sent
MORE_ROWS = "more-rows"  # the button's name; no input has it, since no parameter has a hyphen
_FEW_CHOICES = 4
_LEAST_ROWS, _SPARE_ROWS = 3, 3
_MOST_TYPED = 100


class CalculationFilter(forms.Form):
    q = forms.CharField(
        label="What to work out", required=False, widget=forms.TextInput({"type": "search"}), max_length=100
    )

    def found(self, calculations):
        """The calculations in whose title, topic, summary, inputs or answers every word stands."""
        words = self.cleaned_data["q"].casefold().split()
        return [each for each in calculations if all(word in _text_of(each) for word in words)]


def _text_of(calculation):
    labels = [one.label for one in (*calculation.inputs, *calculation.answers)]
    parts = [calculation.title, TOPICS[calculation.topic], calculation.summary, *labels]
    return " ".join(parts).casefold()


@dataclass
class Cell:
    """One field: an input, what is typed in it, and the sentences about that. `row` counts from 1."""

    quantity: Quantity
    text: str
    row: int | None = None
    sentences: list = field(default_factory=list)

    @property
    def id(self):
        return self.quantity.name if self.row is None else f"row-{self.row}-{self.quantity.name}"

    @property
    def options(self):
        """(value, label, whether it is chosen); a flag is yes or no, and neither while it is unknown."""
        pairs = [("yes", "Yes"), ("no", "No")] if self.quantity.kind == "flag" else self.quantity.choices
        return [(str(value), label, str(value) == self.text) for value, label in pairs]

    @property
    def widget(self):
        if self.quantity.kind in ("number", "date"):
            return self.quantity.kind
        return "radios" if self.row is None and len(self.options) <= _FEW_CHOICES else "select"

    @property
    def keyboard(self):
        """For inputmode. The numeric keyboards of some phones have no minus."""
        one = self.quantity
        lowest = one.least if one.above is None else one.above
        if lowest is None or lowest < 0:
            return "text"
        return "numeric" if one.is_whole else "decimal"


@dataclass
class Calculator:
    """A calculation with what the address asks of it."""

    calculation: Calculation
    query: QueryDict

    @property
    def is_filled(self):
        """Whether anything was typed or chosen."""
        return any(any(self.query.getlist(one.name)) for one in self.calculation.inputs)

    @cached_property
    def cells(self):
        """The fields that stand alone."""
        alone = [one for one in self.calculation.inputs if not one.is_list]
        return [Cell(one, self._text(one), sentences=self._said(one)) for one in alone]

    @cached_property
    def rows(self):
        """Rows of cells, one for each list; as many as were sent and wanted, at least a few."""
        return [
            [
                Cell(one, text, row, self._said_in_row(one, text))
                for one, text in zip(self.calculation.lists, texts, strict=True)
            ]
            for row, texts in enumerate(self._row_texts[:MOST_ROWS], start=1)
        ]

    @property
    def most_rows(self):
        return MOST_ROWS

    @property
    def rows_with_more(self):
        """The number that the button asks for."""
        return min(len(self._row_texts) + _SPARE_ROWS, MOST_ROWS)

    @cached_property
    def list_sentences(self):
        """(list, sentences about it that belong to no single row)."""
        of_cells = {
            (cell.quantity.name, said) for row in self.rows for cell in row for said in cell.sentences
        }
        return [
            (one, [said for said in self._said(one) if (one.name, said) not in of_cells])
            for one in self.calculation.lists
        ]

    @property
    def answered(self):
        """What it comes to; None when it was refused."""
        return self._outcome if isinstance(self._outcome, Answered) else None

    @property
    def refusals(self):
        return self._outcome.fields if isinstance(self._outcome, Refused) else {}

    @cached_property
    def complaints(self):
        """For the summary, in the order of the page."""
        found = [
            Complaint(said, cell.quantity.label, cell.id) for cell in self.cells for said in cell.sentences
        ]
        for one, sentences in self.list_sentences:
            found += [Complaint(said, one.label, f"row-1-{one.name}") for said in sentences]
        for row in self.rows:
            for cell in row:
                label = f"Row {cell.row}, {cell.quantity.label}"
                found += [Complaint(said, label, cell.id) for said in cell.sentences]
        return found

    @cached_property
    def _outcome(self):
        try:
            return answered(self.calculation, self._given, MOST_ROWS)
        except Refused as error:
            return error

    @property
    def _given(self):
        """What was typed, by input; what is empty and not required is as the function has it."""
        alone = [one for one in self.calculation.inputs if not one.is_list]
        given = {one.name: self._text(one) for one in alone if one.is_required or self._text(one)}
        for one, texts in zip(self.calculation.lists, zip(*self._filled_rows, strict=True), strict=False):
            if one.is_required or any(texts):
                given[one.name] = [text or (None if one.is_required else one.default) for text in texts]
        return given

    def _text(self, one):
        default = "" if one.default is None else _typed(one, one.default)
        return self.query.get(one.name, default)[:_MOST_TYPED]

    @cached_property
    def _row_texts(self):
        if not self.calculation.lists:
            return []
        sent = [self.query.getlist(one.name) for one in self.calculation.lists]
        wanted = self.query.get(MORE_ROWS, "")
        wanted = int(wanted) if wanted.isdecimal() and len(wanted) < 4 else 0
        count = max(_LEAST_ROWS, min(wanted, MOST_ROWS), *(len(texts) for texts in sent))
        return [
            [texts[row][:_MOST_TYPED] if row < len(texts) else "" for texts in sent] for row in range(count)
        ]

    @property
    def _filled_rows(self):
        """Up to the last row with anything in it. An empty one before it is unknown, such as a day without reading."""
        rows = self._row_texts
        last = max((number for number, texts in enumerate(rows, start=1) if any(texts)), default=0)
        return rows[:last]

    def _said(self, one):
        return self.refusals.get(one.name, [])

    def _said_in_row(self, one, text):
        said = refusal(one, [read(one, text)])
        return [said] if said else []


def example_query(calculation):
    """The address's query that fills a calculator with the description's examples, or ""."""
    query = QueryDict(mutable=True)
    for one in calculation.inputs:
        if one.example is not None:
            query.setlist(one.name, [_typed(one, each) for each in _each(one, one.example)])
    return query.urlencode()


def example_words(one):
    """The example as a person reads it: "60, 48, 52"; a choice's stands among the choices."""
    if one.example is None or one.kind in ("choice", "flag"):
        return ""
    return ", ".join(_as_read(one, each) for each in _each(one, one.example))


def _each(one, value):
    return value if one.is_list and isinstance(value, list | tuple) else [value]


def _as_read(one, value):
    return f"{value:,.10g}" if one.kind == "number" else shown(one, value)


def _typed(one, value):
    """A value as it would be typed into its field."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.10g}" if isinstance(value, float) else str(value)
