"""Attribute values from a stranger's file, made plain and short, and the choice of a plot's name among them."""

import math
import re
import unicodedata
from collections import Counter

from plots.formats.limits import MAX_ATTRIBUTE_CHARACTERS, MAX_COLUMNS, MAX_NAME, MAX_TEXT

# Marks that turn the direction of text can make a name read as something else; the rest cannot be stored or seen.
_DIRECTION_MARKS = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
_DROPPED = re.compile(
    rf"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufeff\ufffe\uffff\ud800-\udfff{_DIRECTION_MARKS}]"
)
_MAX_INTEGER = 2**63  # what a database column and JSON readers hold

# Common practice, no source: what people and programs call the column that holds a plot's name.
_NAME_WORDS = (
    ("name", "plot name", "plot", "field name", "field", "label", "title"),
    ("nom", "nombre", "nome", "naam", "namn", "navn", "nimi", "naziv", "bezeichnung", "parcel", "unit"),
    ("plot id", "field id", "plot no", "plot number", "id", "fid", "objectid", "number", "code"),
)
_SURE_RANK = 2  # from here on, a person has to choose the column


def clean_text(text):
    """The text without characters that cannot be shown or stored."""
    return unicodedata.normalize("NFC", _DROPPED.sub("", text)).strip()


def as_name(value):
    """A value as a plot's name: one line, at most 100 characters; '' when there is nothing to call it by."""
    if value is None or isinstance(value, bool):
        return ""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return " ".join(clean_text(str(value)).split())[:MAX_NAME].rstrip()


def quoted(text, length=60):
    """A stranger's text inside a sentence of ours."""
    text = " ".join(clean_text(str(text)).split())
    return f"“{text[: length - 1]}…”" if len(text) > length else f"“{text}”"


class Cleaner:
    """Cleans the attributes of one file and counts what it had to cut or drop."""

    def __init__(self):
        self._left = MAX_ATTRIBUTE_CHARACTERS
        self._cut = self._dropped = self._columns = 0

    def clean(self, attributes):
        """A dict of at most 60 plain values: str, int, float, bool or None."""
        cleaned = {}
        for key, value in attributes.items():
            name = as_name(key)
            if not name or name in cleaned:
                continue
            if len(cleaned) == MAX_COLUMNS:
                self._columns = max(self._columns, len(attributes) - MAX_COLUMNS)
                break
            cleaned[name] = self._value(value)
        return cleaned

    def notes(self):
        """Sentences about what was shortened or dropped."""
        said = []
        if self._cut:
            said.append(f"In the attributes, {_values(self._cut)} cut to {MAX_TEXT} characters.")
        if self._dropped:
            said.append(
                f"In the attributes, {_values(self._dropped)} dropped: not plain text, a number or yes/no, "
                "or too much in all."
            )
        if self._columns:
            said.append(f"Only the first {MAX_COLUMNS} attributes are kept; {self._columns} more are not.")
        return said

    def _value(self, value):
        if hasattr(value, "item"):  # numpy scalars
            value = value.item()
        if value is None or isinstance(value, bool):
            return value
        if isinstance(value, int):
            return value if -_MAX_INTEGER <= value < _MAX_INTEGER else self._drop()
        if isinstance(value, float):
            return value if math.isfinite(value) else (None if math.isnan(value) else self._drop())
        if hasattr(value, "isoformat"):
            value = value.isoformat()
        return self._text(value) if isinstance(value, str) else self._drop()

    def _text(self, value):
        # Only the beginning is looked at: the rest of a long text may be megabytes.
        text = clean_text(value[: 4 * MAX_TEXT])
        if len(text) > MAX_TEXT or len(value) > 4 * MAX_TEXT:
            self._cut += 1
            text = text[:MAX_TEXT]
        self._left -= len(text)
        return text if self._left >= 0 else self._drop()

    def _drop(self):
        self._dropped += 1


def name_fields(rows):
    """Attributes that could be the plots' name, best first.

    Parameters
    ----------
    rows : list of dict
        Cleaned attributes of each plot.

    Returns
    -------
    fields : list of str
        Columns of which at least one value is a text or a whole number.
    sure : bool
        Whether the first is called like a name and tells the plots apart well enough to be used unasked.
    """
    values = {}
    for row in rows:
        for key, value in row.items():
            if as_name(value) and isinstance(value, (str, int)):
                values.setdefault(key, []).append(as_name(value))
    ranked = sorted(values, key=lambda key: (_rank(key), -len(set(values[key])), list(values).index(key)))
    if not ranked or _rank(ranked[0]) >= _SURE_RANK:
        return ranked, False
    counts = Counter(values[ranked[0]])
    return ranked, 2 * len(counts) >= counts.total()


def _rank(key):
    words = re.sub(r"[\W_]+", " ", key.casefold()).strip()
    for rank, known in enumerate(_NAME_WORDS):
        if words in known:
            return rank
    if "name" in words:
        return 1
    return len(_NAME_WORDS)


def _values(count):
    return "1 value was" if count == 1 else f"{count} values were"
