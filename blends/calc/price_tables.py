"""A price list as a table of text: from pasted or uploaded text to rows of cells, and where its headings are."""

import csv
import io
import re

from blends.calc.list_values import plain

MOST_ROWS, MOST_COLUMNS, MOST_BYTES, MOST_CELL = 5_000, 60, 2_000_000, 2_000
_DELIMITERS = ("\t", ";", ",", "|")
_LOOK = 60  # rows that are looked at for the delimiter
_LOOK_FOR_HEADINGS = 40
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff]")
_NOT_A_TABLE = [
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet (.xls) or another old office file; save it as .xlsx or as CSV"),
    (b"%PDF", "a PDF; copy its table and paste it, or ask for the list as a spreadsheet"),
    (b"\x89PNG", "a picture; type or paste the table"),
    (b"\xff\xd8\xff", "a picture; type or paste the table"),
    (b"{\\rtf", "a text document; copy its table and paste it"),
]

HEADINGS = [
    ("price:pls_lb", r"pls.*(price|cost|\$|usd)|(price|cost|\$|usd).*\bpls\b"),
    (
        "price:bulk_lb",
        r"(price|cost|\$|usd)\s*(/|per|a)?\s*(bulk )?(lb|lbs|pound|#)\b|per (bulk )?(lb|pound)\b",
    ),
    ("least_packs", r"\bmin(imum)?\b|fewest"),
    ("most_packs", r"avail|in stock|on hand|\bqty\b|quantity"),
    ("price:pack", r"price|cost|\beach\b|\$|\busd\b"),
    ("variety", r"variety|cultivar"),
    ("noxious", r"noxious"),
    ("other_crop_pct", r"other crop|crop seed"),
    ("weed_seed_pct", r"weed"),
    ("inert_pct", r"inert"),
    ("hard_pct", r"\bhard\b"),
    ("dormant_pct", r"\bdorm"),
    ("germination_pct", r"\bgerm"),
    ("purity_pct", r"\bpur(e|ity)\b(?! live)"),
    ("test_month", r"\btest"),
    ("origin", r"origin|grown"),
    ("treatment", r"treat|coat"),
    ("valid_until", r"valid|expir|good (until|through|thru)"),
    ("quoted_on", r"quoted|\bdate\b"),
    ("pack_lb", r"\b(pack|package|bag|sack|size|unit|weight|lb|lbs)\b"),
    ("seed", r"^(seed|species|item|product|kind|crop|name|description)( names?| kind)?$|common name"),
]
"""What the headings of a price list are usually called. Common practice, no source."""
_BREAK = re.compile(
    r"(?:from )?([0-9]{1,6})\s*(?:\+|or more|and up|(?:-|–|to)\s*[0-9]+)\s*(?:bags?|packs?|sacks?|units?)?"
)


def text_of(content):
    """The text of an uploaded file: UTF-8 or UTF-16 with a mark, UTF-8, else Windows' (cp1252).

    Raises
    ------
    ValueError
        Something that is no text.
    """
    for mark, words in _NOT_A_TABLE:
        if content.startswith(mark):
            raise ValueError(f"The file is {words}.")
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        encodings = ["utf-16"]
    else:
        encodings = ["utf-8-sig", "cp1252"]
    for encoding in encodings:
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise ValueError("The file is no text that can be read; accepted are UTF-8, Windows text, or .xlsx.")


def table_of(text):
    """Rows of cells of a text with tabs, semicolons, commas or bars between.

    Raises
    ------
    ValueError
        No table, too large a one, or characters that no text has.

    Examples
    --------
    >>> table_of("Seed;Pack;Price\\nOats;50 lb;22,50")
    [['Seed', 'Pack', 'Price'], ['Oats', '50 lb', '22,50']]
    """
    found = _CONTROL.search(text)
    if found:
        line = text.count("\n", 0, found.start()) + 1
        raise ValueError(
            f"Line {line} has the control character U+{ord(found[0]):04X}; accepted is text without any."
        )
    text = text.removeprefix("\ufeff")
    best = max(_DELIMITERS, key=lambda each: _regularity(text, each))
    return bounded(_parsed(text, best))


def bounded(rows):
    """The rows with plain cells, without what is empty at their ends.

    Raises
    ------
    ValueError
        Too many rows or columns, too long a cell, nothing.
    """
    rows = [[plain(cell) for cell in row] for row in rows]
    for row in rows:
        while row and not row[-1]:
            row.pop()
    while rows and not rows[-1]:
        rows.pop()
    if not any(rows):
        raise ValueError("There is nothing in it; accepted is a table with a row of headings.")
    if len(rows) > MOST_ROWS:
        raise ValueError(
            f"It has {len(rows):,} rows; accepted are at most {MOST_ROWS:,}. Divide it, or leave out what you do not buy."
        )
    width = max(map(len, rows))
    if width > MOST_COLUMNS:
        raise ValueError(f"It has {width} columns; accepted are at most {MOST_COLUMNS}.")
    for number, row in enumerate(rows, start=1):
        for cell in row:
            if len(cell) > MOST_CELL:
                raise ValueError(
                    f"Row {number} has a cell of {len(cell):,} characters; accepted are at most {MOST_CELL:,}. "
                    "A quotation mark that is never closed may be the cause."
                )
            if _CONTROL.search(cell):
                raise ValueError(f"Row {number} has a control character; accepted is text without any.")
    return [row + [""] * (width - len(row)) for row in rows]


def with_headings(rows):
    """The table and the index of its headings; where it seems to have none, names are put above.

    Raises
    ------
    ValueError
        A table of one column, or with nothing below its headings.

    Examples
    --------
    >>> with_headings([["Spring list", ""], ["Seed", "Price"], ["Oats", "22"]])[1]
    1
    >>> with_headings([["Oats", "22.00"], ["Rye", "21.50"]])
    ([['Column 1', 'Column 2'], ['Oats', '22.00'], ['Rye', '21.50']], 0)
    """
    if len(rows[0]) < 2:
        raise ValueError(
            "It has a single column; accepted is a table with tabs, commas or semicolons between its columns."
        )
    known = [sum(bool(field_of(cell)) for cell in row) for row in rows[:_LOOK_FOR_HEADINGS]]
    best = max(range(len(known)), key=lambda i: (known[i], -i))
    if known[best] < 2:
        first = next(i for i, row in enumerate(rows) if any(row))
        if any(re.search("[0-9]", cell) for cell in rows[first]):
            rows = [[f"Column {number}" for number in range(1, len(rows[0]) + 1)], *rows]
            best = 0
        else:
            best = first
    if not any(any(row) for row in rows[best + 1 :]):
        raise ValueError(f"There is nothing below the headings in row {best + 1}.")
    return rows, best


def has_made_headings(rows):
    """Whether the headings are ours, so that the rows of the list begin above by one."""
    return rows[0][0] == "Column 1"


def field_of(heading):
    """The field that a heading usually stands for; "" where it is not known.

    Examples
    --------
    >>> [field_of(h) for h in ("Price/PLS lb", "$/lb", "Price per bag", "10+ bags", "Bag size", "Germ. %", "Notes")]
    ['price:pls_lb', 'price:bulk_lb', 'price:pack', 'break:10', 'pack_lb', 'germination_pct', '']
    """
    words = plain(heading).lower()
    found = _BREAK.fullmatch(words)
    if found and int(found[1]) >= 2:
        return f"break:{int(found[1])}"
    return next((field for field, pattern in HEADINGS if re.search(pattern, words)), "")


def headings_of(rows, heading_row):
    """The headings in lower case, each different from the others: what a supplier's columns are remembered by.

    Examples
    --------
    >>> headings_of([["Seed", "Price", "price", ""]], 0)
    ['seed', 'price', 'price (2)', 'column 4']
    """
    seen, names = {}, []
    for number, cell in enumerate(rows[heading_row], start=1):
        name = cell.lower()[:80] or f"column {number}"
        seen[name] = seen.get(name, 0) + 1
        names.append(name if seen[name] == 1 else f"{name} ({seen[name]})")
    return names


def guessed_columns(headings, remembered):
    """{field: column} from what was matched the last time, and from usual headings where nothing was.

    Examples
    --------
    >>> guessed_columns(["seed", "price", "price (2)", "what"], {"what": "pack_lb"})
    {'pack_lb': 3, 'seed': 0, 'price:pack': 1}
    """
    columns = {}
    for column, heading in enumerate(headings):
        field = remembered.get(heading)
        if field and field not in columns:
            columns[field] = column
    for column, heading in enumerate(headings):
        field = field_of(heading)
        if field and field not in columns and column not in columns.values():
            columns[field] = column
    return columns


def _parsed(text, delimiter):
    csv.field_size_limit(MOST_BYTES * 2)
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error as error:
        raise ValueError(f"The text cannot be read as a table: {error}.") from error


def _regularity(text, delimiter):
    """How many rows have as many cells as most of them, and how many cells that is."""
    rows = [row for row in _parsed("\n".join(text.splitlines()[:_LOOK]), delimiter) if len(row) > 1]
    if not rows:
        return 0, 0
    widths = [len(row) for row in rows]
    most = max(set(widths), key=lambda width: (widths.count(width), width))
    return widths.count(most), most
