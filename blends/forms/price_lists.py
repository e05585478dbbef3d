"""A price list as it comes in, and what its columns and names mean."""

import re

from django import forms

from blends.calc.price_lists import FIELDS, FOR_ALL, label_of
from blends.calc.price_tables import MOST_BYTES

_COLUMN = re.compile(r"column_([0-9]{1,2})")


class PriceListForm(forms.Form):
    """Pasted or uploaded; one of the two."""

    supplier_name = forms.CharField(
        label="Supplier",
        max_length=120,
        widget=forms.TextInput({"list": "suppliers", "autocomplete": "off"}),
        help_text="Choose one you have, or type a new name.",
        error_messages={"required": "Say whose list it is."},
    )
    file = forms.FileField(
        label="File",
        required=False,
        allow_empty_file=True,  # the service says what is wrong with it
        help_text=f"A spreadsheet (.xlsx) or CSV; at most {MOST_BYTES // 1_000_000} MB.",
        widget=forms.FileInput({"accept": ".xlsx,.csv,.tsv,.txt"}),
    )
    text = forms.CharField(
        label="Or paste the table",
        required=False,
        strip=False,
        max_length=MOST_BYTES,
        help_text="Copied from a spreadsheet, a message or a page, headings and all.",
        widget=forms.Textarea({"rows": 8, "spellcheck": "false"}),
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, label_suffix="", **kwargs)

    def clean(self):
        values = super().clean()
        if not self.errors and values.get("file") is None and not (values.get("text") or "").strip():
            self.add_error("file", "There is no list yet: choose a file or paste the table.")
        return values


def column_choices():
    """What a column can hold."""
    return [("", "Not used"), *FIELDS.items(), ("break", "Price from … packs")]


def columns_from(post):
    """({field: column}, sentences) as the page posted them; a break takes its number from beside it."""
    columns, wrong = {}, []
    for name in post:
        found = _COLUMN.fullmatch(name)
        field = post[name] if found else ""
        if not field:
            continue
        if field == "break":
            packs = post.get(f"packs_{found[1]}", "").strip().replace(",", "")
            if not (packs.isascii() and packs.isdecimal() and 2 <= int(packs) <= 100_000):
                wrong.append(
                    f"Column {int(found[1]) + 1}: “{packs}” packs is not accepted; a whole number from 2 to 100,000 is."
                )
                continue
            field = f"break:{int(packs)}"
        if field in columns:
            wrong.append(f"Two columns are matched to {label_of(field)}; accepted is one.")
            continue
        columns[field] = int(found[1])
    for name in FOR_ALL:
        text = " ".join(post.get(f"all_{name}", "").split())
        if text:
            columns[f"all:{name}"] = text[:100]
    return columns, wrong
