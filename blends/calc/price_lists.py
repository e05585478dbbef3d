"""What a price list offers, row by row, once its columns are matched."""

from dataclasses import dataclass, field

from blends.calc import list_values as read
from blends.calc.pack_price import QUOTED_PER, what_is_wrong_with_breaks
from blends.calc.price_tables import has_made_headings

FIELDS = {
    "seed": "Seed",
    "variety": "Variety",
    "pack_lb": "Pack",
    "price:pack": "Price of a pack",
    "price:bulk_lb": "Price of a bulk pound",
    "price:pls_lb": "Price of a PLS pound",
    "least_packs": "Fewest packs",
    "most_packs": "Packs to be had",
    "purity_pct": "Pure seed (%)",
    "germination_pct": "Germination (%)",
    "hard_pct": "Hard seed (%)",
    "dormant_pct": "Dormant seed (%)",
    "other_crop_pct": "Other crop seed (%)",
    "weed_seed_pct": "Weed seed (%)",
    "inert_pct": "Inert matter (%)",
    "noxious": "Noxious weed seeds",
    "test_month": "Month of the test",
    "origin": "Origin",
    "treatment": "Treatment",
    "quoted_on": "Quoted on",
    "valid_until": "Valid until",
}
"""Fields of an offer that a column can hold; `break:10` is the price from ten packs on."""
FOR_ALL = ("pack_lb", "quoted_on", "valid_until")
"""What can be said once for the whole list, as `all:pack_lb`, where no column says it."""
PRICES = [f"price:{quoted_per}" for quoted_per in QUOTED_PER]
_TEXTS = {"variety": 80, "noxious": 300, "origin": 80, "treatment": 200}
_MOSTLY = ("purity_pct", "germination_pct")
_NUMBERS = [*PRICES, "pack_lb", *(name for name in FIELDS if name.endswith("_pct"))]


@dataclass
class ReadRow:
    """One row of a price list.

    Attributes
    ----------
    line : int
        The row of the list, from 1.
    index : int
        The row of the table, from 0.
    cells : list of str
    name : str
        What the list calls the seed.
    values : dict
        Values of an offer by their names, the seed left out; None where a cell says nothing.
    breaks : list of {"from_packs", "quoted_usd"}
    reasons : list of str
        Why the row cannot become an offer.
    is_heading : bool
        It has one cell: a heading in between.
    """

    line: int
    index: int
    cells: list
    name: str = ""
    values: dict = field(default_factory=dict)
    breaks: list = field(default_factory=list)
    reasons: list = field(default_factory=list)
    is_heading: bool = False

    @property
    def reason(self):
        return " ".join(self.reasons)


def label_of(name):
    """A field in words.

    Examples
    --------
    >>> label_of("break:10"), label_of("pack_lb")
    ('Price from 10 packs', 'Pack')
    """
    return f"Price from {name[6:]} packs" if name.startswith("break:") else FIELDS[name]


def what_is_wrong_with_columns(columns, width):
    """Sentences; empty where a row can be read with these columns.

    Examples
    --------
    >>> what_is_wrong_with_columns({"seed": 0, "pack_lb": 1, "price:pack": 2}, 3)
    []
    >>> what_is_wrong_with_columns({"seed": 0, "all:pack_lb": "50 lb"}, 3)
    ['No column is matched to a price.']
    """
    wrong = []
    for name, column in columns.items():
        if name.startswith("all:"):
            wrong += _wrong_for_all(name, column)
        elif not _is_field(name):
            wrong.append(f"“{name}” is no field of an offer; accepted are {', '.join(FIELDS)} and break:N.")
        elif not isinstance(column, int) or isinstance(column, bool) or not 0 <= column < width:
            wrong.append(f"{label_of(name)} is matched to column {column}; accepted is 0 to {width - 1}.")
    taken = [at for name, at in columns.items() if not name.startswith("all:") and isinstance(at, int)]
    for column in sorted({column for column in taken if taken.count(column) > 1}, key=str):
        names = ", ".join(label_of(name) for name, at in columns.items() if at == column and _is_field(name))
        wrong.append(f"One column is matched twice, to {names}; accepted is one field a column.")
    if wrong:
        return wrong
    if "seed" not in columns:
        wrong.append("No column is matched to the seed.")
    if "pack_lb" not in columns and not columns.get("all:pack_lb"):
        wrong.append("No column is matched to the pack, and no pack is said for the whole list.")
    if not any(name in columns for name in PRICES):
        wrong.append("No column is matched to a price.")
    return wrong


def has_decimal_commas_in(rows, heading_row, columns):
    """Whether a number of the list can only have a decimal comma."""
    places = [columns[name] for name in columns if name in _NUMBERS or name.startswith("break:")]
    return any(read.is_decimal_comma(_digits(row[at])) for row in rows[heading_row + 1 :] for at in places)


def read_rows(rows, heading_row, columns, only=None):
    """The rows below the headings; empty ones are left out.

    Parameters
    ----------
    rows : list of list of str
    heading_row : int
    columns : dict
        As `what_is_wrong_with_columns` accepts them.
    only : collection of int, optional
        Indices of the rows wanted.

    Returns
    -------
    list of ReadRow
    """
    has_decimal_commas = has_decimal_commas_in(rows, heading_row, columns)
    first_line = 0 if has_made_headings(rows) else 1
    found = []
    for index in range(heading_row + 1, len(rows)):
        if any(rows[index]) and (only is None or index in only):
            found.append(read_row(rows[index], columns, index, index + first_line, has_decimal_commas))
    return found


def read_row(cells, columns, index=0, line=1, has_decimal_commas=False):
    """One row of cells as a ReadRow."""
    row = ReadRow(line, index, cells)
    filled = [cell for cell in cells if cell]
    if len(filled) == 1:
        row.is_heading = True
        row.reasons.append(f"Only “{filled[0]}”: taken for a heading in between.")
        return row
    row.name = cells[columns["seed"]]
    if not row.name:
        row.reasons.append(
            "Seed is empty; accepted is a name. Cells that were merged leave the others empty."
        )
    elif len(row.name) > 200:
        row.reasons.append(f"Seed has {len(row.name)} characters; accepted is a name of at most 200.")
    for name in FIELDS:
        if name == "seed" or name in PRICES:
            continue
        text = cells[columns[name]] if name in columns else str(columns.get(f"all:{name}", ""))
        if name in columns or text:
            _put(row, name, _value, name, text, has_decimal_commas)
    if row.values.get("pack_lb") is None and not _has_reason(row, "pack_lb"):
        row.reasons.append("Pack is empty; accepted is a weight such as 50 lb or 25 kg.")
    _put_price(row, columns, has_decimal_commas)
    _put_breaks(row, columns, has_decimal_commas)
    return row


def _put(row, name, reader, *arguments):
    try:
        row.values[name] = reader(*arguments)
    except ValueError as error:
        row.reasons.append(f"{label_of(name)}: {error}.")


def _has_reason(row, name):
    return any(reason.startswith(f"{label_of(name)}:") for reason in row.reasons)


def _value(name, text, has_decimal_commas):
    if name in _TEXTS:
        return read.read_text(text, _TEXTS[name])
    if name == "pack_lb":
        return read.read_pack_lb(text, has_decimal_commas)
    if name.endswith("_pct"):
        return _with_places(read.read_percent(text, has_decimal_commas, name in _MOSTLY), 2, text)
    if name.endswith("_packs"):
        return read.read_count(text)
    return read.read_month(text) if name == "test_month" else read.read_day(text)


def _usd(text, has_decimal_commas):
    value = _with_places(read.read_usd(text, has_decimal_commas), 4, text)
    if value == 0:
        raise ValueError(f"“{text}” is not accepted; a price above 0 is")
    if value is not None and value >= 10_000_000:
        raise ValueError(f"“{text}” is not accepted; a price below 10,000,000 is")
    return value


def _with_places(value, places, text):
    if value is not None and -value.as_tuple().exponent > places and value != round(value, places):
        raise ValueError(f"“{text}” is not accepted; at most {places} decimals are")
    return value


def _put_price(row, columns, has_decimal_commas):
    said = {name: cells for name in PRICES if name in columns and (cells := row.cells[columns[name]])}
    said = {name: text for name, text in said.items() if not read.says_nothing(text)}
    if not said:
        row.reasons.append("Price is empty; accepted is a number such as 22.50.")
    elif len(said) > 1:
        both = " and ".join(f"{label_of(name).lower()} {text}" for name, text in said.items())
        row.reasons.append(f"It has {both}; accepted is one of them. Match one of the columns.")
    else:
        [(name, text)] = said.items()
        row.values["quoted_per"] = name.partition(":")[2]
        try:
            row.values["quoted_usd"] = _usd(text, has_decimal_commas)
        except ValueError as error:
            row.reasons.append(f"{label_of(name)}: {error}.")


def _put_breaks(row, columns, has_decimal_commas):
    names = sorted((name for name in columns if name.startswith("break:")), key=lambda name: int(name[6:]))
    for name in names:
        try:
            usd = _usd(row.cells[columns[name]], has_decimal_commas)
        except ValueError as error:
            row.reasons.append(f"{label_of(name)}: {error}.")
        else:
            if usd is not None:
                row.breaks.append({"from_packs": int(name[6:]), "quoted_usd": usd})
    said = [(each["from_packs"], each["quoted_usd"]) for each in row.breaks]
    row.reasons += [words for _, words in what_is_wrong_with_breaks(row.values.get("quoted_usd"), said)]


def _is_field(name):
    if name.startswith("break:"):
        return name[6:].isascii() and name[6:].isdecimal() and 2 <= int(name[6:]) <= 100_000
    return name in FIELDS


def _wrong_for_all(name, text):
    if name[4:] not in FOR_ALL or not isinstance(text, str):
        return [f"“{name}” cannot be said for the whole list; accepted are {', '.join(FOR_ALL)}, as text."]
    try:
        _value(name[4:], text, False)
    except ValueError as error:
        return [f"{label_of(name[4:])} of the whole list: {error}."]
    return []


def _digits(cell):
    """The number at the beginning of a cell such as 22,50 € or 22,68 kg."""
    return cell.strip("$€% abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ#")
