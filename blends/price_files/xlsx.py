"""An .xlsx file as a table of text, as a person sees it. Nothing in it is computed or run."""

import re
import zipfile
from datetime import date, datetime, time
from decimal import ROUND_HALF_UP, Decimal

from openpyxl import load_workbook

from blends.calc.price_tables import MOST_COLUMNS, MOST_ROWS

MOST_UNPACKED = 40_000_000
"""Bytes of all parts of the file together. What a part says of its size bounds what is unpacked of it."""
_MOST_PARTS = 2_000
_PLACES = re.compile(r"0(?:\.(0+))?")
_QUOTED = re.compile(r'"[^"]*"|\[[^\]]*\]|\\.|_.|\*.')


def read_xlsx(path):
    """The first sheet that has a table.

    Formulas give the values that were stored with them, merged cells their text once, and hidden sheets nothing.

    Returns
    -------
    (list of list of str, str)
        The rows and the sheet's name.

    Raises
    ------
    ValueError
        No spreadsheet, one that unpacks to too much, one without a table.
    """
    _check_size(path)
    try:
        book = load_workbook(path, read_only=True, data_only=True, keep_links=False)
    except ValueError as error:
        raise ValueError(
            "The spreadsheet cannot be read: it is damaged or made in an unusual way. Save it as CSV."
        ) from error
    try:
        for sheet in book.worksheets:
            if sheet.sheet_state != "visible":
                continue
            rows = _rows(sheet)
            if sum(len([cell for cell in row if cell]) > 1 for row in rows) > 1:
                return rows, sheet.title
    finally:
        book.close()
    raise ValueError("No sheet of it has a table; accepted is one with a row of headings and rows below.")


def _check_size(path):
    try:
        with zipfile.ZipFile(path) as archive:
            parts = archive.infolist()
    except zipfile.BadZipFile as error:
        raise ValueError(
            "The file is damaged: it begins as a spreadsheet and does not end as one."
        ) from error
    if "xl/workbook.xml" not in {part.filename for part in parts}:
        raise ValueError("The file is no .xlsx spreadsheet; accepted are .xlsx, CSV and text.")
    unpacked = sum(part.file_size for part in parts)
    if unpacked > MOST_UNPACKED or len(parts) > _MOST_PARTS:
        raise ValueError(
            f"The spreadsheet unpacks to {unpacked / 1e6:,.0f} MB; accepted are at most {MOST_UNPACKED / 1e6:.0f} MB. "
            "Save the list alone, or as CSV."
        )


def _rows(sheet):
    # What the file says of its own extent may be a lie or missing: rows are counted here.
    sheet.reset_dimensions()
    rows = []
    for cells in sheet.iter_rows(max_row=MOST_ROWS + 1, max_col=MOST_COLUMNS + 1):
        rows.append([_text(cell) for cell in cells])
    return rows


def _text(cell):
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, datetime):
        is_day = value.time() == time(0)
        return value.date().isoformat() if is_day else value.isoformat(" ", "seconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, int | float):
        return _number(value, cell.number_format or "General")
    return str(value)


def _number(value, shown_as):
    """The number as it is shown: with the decimals of its format, and as a percentage where it is shown as one."""
    exact = Decimal(f"{value:.12g}") if isinstance(value, float) else Decimal(value)
    if not exact.is_finite():
        return str(value)
    shown_as = _QUOTED.sub("", shown_as.partition(";")[0])
    is_percent = "%" in shown_as
    exact = exact * 100 if is_percent else exact
    places = _PLACES.search(shown_as)
    if places and "/" not in shown_as and "E" not in shown_as:
        exact = exact.quantize(Decimal(1).scaleb(-len(places[1] or "")), ROUND_HALF_UP)
    text = f"{exact.normalize():f}"
    return f"{text}%" if is_percent else text
