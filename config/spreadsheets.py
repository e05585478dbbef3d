"""Tables on their way into a spreadsheet program, as CSV or as a workbook."""

import csv
import io
import re

from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

_FORMULA = re.compile(r"[=+\-@\t\r\n]")


def defused(value):
    """Text that a spreadsheet program will not take for a formula; anything else as it is.

    References
    ----------
    "CSV Injection", OWASP Foundation: cells that begin with = + - @, tab or carriage return.
    """
    if not isinstance(value, str):
        return value
    value = ILLEGAL_CHARACTERS_RE.sub("", value)
    return f"'{value}" if _FORMULA.match(value) else value


def csv_bytes(headings, rows):
    """RFC 4180 in UTF-8 with a byte order mark, by which a spreadsheet program knows it; text is no formula."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(headings)
    writer.writerows([defused(value) for value in row] for row in rows)
    return text.getvalue().encode("utf-8-sig")


def fill_sheet(sheet, title, headings, rows, freeze="B2"):
    """A table on a worksheet below bold headings that stay in view: numbers are numbers, and text is no formula."""
    sheet.title = title
    sheet.append(list(headings))
    for row in rows:
        sheet.append([defused(value) for value in row])
    for cell in sheet[1]:
        cell.font = Font(bold=True)
        sheet.column_dimensions[get_column_letter(cell.column)].width = max(12, len(cell.value) + 2)
    sheet.freeze_panes = freeze


def book_bytes(book):
    """The workbook as the bytes of an .xlsx file."""
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()
