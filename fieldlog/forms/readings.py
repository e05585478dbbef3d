"""A reading at the desk: all steps of its kind on one page, made from their description."""

import re
import uuid
from dataclasses import dataclass

from django import forms

from fieldlog.kinds.answers import CHOICE, FLAG, MOST_ROWS, NUMBER, NUMBERS, POINTS, ROWS, SPECIES, TEXT
from fieldlog.services.readings import LONGEST_NOTE, LONGEST_WHY
from plots.forms import PlainForm

_BLANK_ROWS = 4
_NOT_COUNTED = "-"
_NOT_SAID = ("", "Not said")
_FLAGS = {"yes": True, "no": False}
_LONGEST = 4_000
SPECIES_LIST = "species-sown"  # id of the datalist that the page has


@dataclass(frozen=True)
class Group:
    """A step on the page: one bound field, or rows of them below the labels of their columns."""

    step: object
    field: object = None
    rows: tuple = ()
    sure: object = None
    doubt: str = ""
    asked_if: str = ""


class ReadingForm(PlainForm):
    """Fields are named by their steps; cells of rows as `step-row-column`. `said` is what the service takes.

    Parameters
    ----------
    kind : Kind
    settings : dict
        Of the protocol; steps that they rule out are left out.
    sown : iterable of Sown
        Species that can be chosen by name and are then known by id.
    reading : Reading, optional
        The version that is corrected.
    """

    id = forms.UUIDField(widget=forms.HiddenInput)
    note = forms.CharField(
        label="Note", required=False, max_length=LONGEST_NOTE, widget=forms.Textarea({"rows": 2})
    )

    def __init__(self, kind, settings, sown, data=None, reading=None):
        self.kind, self.settings = kind, settings
        self._species = {each.name.casefold(): each.species_id for each in sown}
        self._steps = [each for each in kind.steps if each.is_asked(settings)]
        values = reading.values if reading else {}
        first = {"id": uuid.uuid4(), "note": reading.note if reading else ""}
        super().__init__(data, initial=first)
        self._row_counts = {}
        for step in self._steps:
            self._add(step, values.get(step.name))
        if reading is not None:
            self.fields["why"] = forms.CharField(
                label="Why it is corrected", required=False, max_length=LONGEST_WHY
            )
        self.doubts = {}

    def _add(self, step, value):
        if step.ask == ROWS:
            self._add_rows(step, value or [])
        else:
            self.fields[step.name] = _field_of(step, _shown(step, value))
        self.fields[f"sure-{step.name}"] = forms.BooleanField(label="Yes, really", required=False)

    def _add_rows(self, step, rows):
        count = min(len(rows) + _BLANK_ROWS, MOST_ROWS)
        if self.is_bound:
            sent = [
                int(found[1]) for name in self.data if (found := re.match(rf"{step.name}-(\d{{1,2}})-", name))
            ]
            count = min(max([count, *(each + 1 for each in sent)]), MOST_ROWS)
        self._row_counts[step.name] = count
        for row in range(count):
            told = rows[row] if row < len(rows) else {}
            for column in step.columns:
                field = _field_of(column, _shown(column, told.get(column.name)))
                field.widget.attrs["aria-label"] = f"{_label(column)}, row {row + 1}"
                self.fields[f"{step.name}-{row}-{column.name}"] = field

    @property
    def groups(self):
        """The steps in their order, for the page."""
        return [self._group(step) for step in self._steps]

    def _group(self, step):
        told = {
            "sure": self[f"sure-{step.name}"] if step.name in self.doubts else None,
            "doubt": self.doubts.get(step.name, ""),
            "asked_if": self._asked_if(step),
        }
        if step.ask != ROWS:
            return Group(step, field=self[step.name], **told)
        rows = tuple(
            tuple(self[f"{step.name}-{row}-{column.name}"] for column in step.columns)
            for row in range(self._row_counts[step.name])
        )
        return Group(step, rows=rows, **told)

    def _asked_if(self, step):
        """In words: to which answer of another step this one belongs."""
        other = next((each for each in self.kind.steps if step.when and each.name == step.when[0]), None)
        if other is None:
            return ""
        words = {each.value: each.label for each in other.choices} | {True: "Yes", False: "No"}
        return f"{other.label}: {' or '.join(str(words.get(each, each)) for each in step.when[1])}"

    def clean(self):
        typed = super().clean()
        raw = {step.name: self._raw(step, typed) for step in self._steps}
        raw = {name: value for name, value in raw.items() if value not in (None, "", [])}
        kept, wrong = self.kind.read(raw)
        for name, sentence in wrong.items():
            self.add_error(self._field_name(name), sentence)
        self.sure_of = [name for name in kept if typed.get(f"sure-{name}")]
        if not wrong:
            for name in self.kind.doubted(kept, self.sure_of):
                step = next(each for each in self._steps if each.name == name)
                self.doubts[name] = _doubt(step, kept[name])
                self.add_error(
                    self._field_name(name), f"{self.doubts[name]} Change it, or tick “Yes, really”."
                )
        self._kept = kept
        return typed

    def _field_name(self, step_name):
        if step_name in self.fields:
            return step_name
        return next((name for name in self.fields if name.startswith(f"{step_name}-0-")), None)

    def _raw(self, step, typed):
        if step.ask != ROWS:
            return self._raw_of(step, typed.get(step.name))
        rows = []
        for row in range(self._row_counts[step.name]):
            cells = {
                each.name: self._raw_of(each, typed.get(f"{step.name}-{row}-{each.name}"))
                for each in step.columns
            }
            cells = {name: value for name, value in cells.items() if value not in (None, "", [])}
            if cells:
                rows.append(cells)
        return rows

    def _raw_of(self, step, typed):
        if step.ask == NUMBERS:
            parts = [part.rstrip(",") for part in re.split(r"[\s;]+", typed or "")]
            return [None if part == _NOT_COUNTED else part for part in parts if part]
        if step.ask == POINTS:
            return (typed or "").split()
        if step.ask == FLAG:
            return _FLAGS.get(typed)
        if step.ask == SPECIES and typed:
            return {"id": self._species.get(typed.strip().casefold()), "name": typed}
        return typed

    @property
    def said(self):
        """What `readings.prepare` takes, once the form is valid."""
        typed = self.cleaned_data
        return {
            "id": typed["id"],
            "values": self._kept,
            "sure_of": self.sure_of,
            "settings": self.settings,
            "note": typed["note"],
        }


def _label(step):
    return f"{step.label} ({step.unit})" if step.unit else step.label


def _field_of(step, first):
    about = {"label": _label(step), "required": False, "initial": first, "help_text": _help(step)}
    if step.ask == CHOICE:
        return forms.CharField(widget=forms.Select(choices=[_NOT_SAID, *_choices(step)]), **about)
    if step.ask == FLAG:
        flags = [_NOT_SAID, ("yes", "Yes"), ("no", "No")]
        return forms.CharField(widget=forms.Select(attrs={"class": "short"}, choices=flags), **about)
    if step.ask in (POINTS, TEXT) and step.longest > 100:
        attrs = {"rows": 4, "class": "taps"} if step.ask == POINTS else {"rows": 2}
        return forms.CharField(max_length=_LONGEST, widget=forms.Textarea(attrs), **about)
    attrs = {"autocomplete": "off"}
    if step.ask == NUMBER:
        attrs |= {"class": "short"} | (
            {"inputmode": "decimal"} if (step.least or 0) >= 0 and step.least is not None else {}
        )
    if step.ask == SPECIES:
        attrs["list"] = SPECIES_LIST
    return forms.CharField(max_length=_LONGEST, widget=forms.TextInput(attrs), **about)


def _choices(step):
    return [(each.value, f"{each.label}: {each.help}" if each.help else each.label) for each in step.choices]


def _help(step):
    how = {
        NUMBERS: "Numbers with blanks between, - for a place that was left out.",
        POINTS: "A line of 0 and 1 for each line of taps; 1 is a hit.",
    }
    return " ".join(filter(None, [step.help, how.get(step.ask)]))


def _shown(step, value):
    if value is None:
        return ""
    if step.ask == NUMBERS:
        return " ".join(_NOT_COUNTED if each is None else f"{each:.10g}" for each in value)
    if step.ask == POINTS:
        return "\n".join(value)
    if step.ask == FLAG:
        return "yes" if value else "no"
    if step.ask == SPECIES:
        return value["name"]
    return f"{value:.10g}" if step.ask == NUMBER else value


def _doubt(step, value):
    if step.ask == NUMBER and step.doubt:
        return step.doubt.format(value=f"{value:g}")
    if step.ask == NUMBERS and step.doubt:
        odd = [f"{each:g}" for each in value if step.doubts([each])]
        return step.doubt.format(value=", ".join(odd))
    if step.ask == NUMBER:
        return f"{step.label}: {value:g}{f' {step.unit}' if step.unit else ''}?"
    return f"{step.label}: is it really so?"
