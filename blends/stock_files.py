"""The seed in stock as files. What is not known is empty."""

from openpyxl import Workbook

from config.spreadsheets import book_bytes, csv_bytes, fill_sheet


def stock_csv(rows, with_costs):
    """A line for each lot, in bytes.

    Parameters
    ----------
    rows : list of StockRow
    with_costs : bool
        Only for who may see them.
    """
    columns = _columns(with_costs)
    return csv_bytes(columns, _table(columns, rows))


def stock_xlsx(rows, with_costs):
    """The same as a workbook."""
    book, columns = Workbook(), _columns(with_costs)
    fill_sheet(book.active, "Stock", columns, _table(columns, rows), freeze="C2")
    return book_bytes(book)


def _table(columns, rows):
    return ([value(row) for value in columns.values()] for row in rows)


def _columns(with_costs):
    """What a file of the stock has: heading and value of a row."""
    columns = {
        "Lot": lambda row: row.lot.pk,
        "Seed": lambda row: str(row.lot.item),
        "Variety": lambda row: row.lot.variety,
        "Lot number": lambda row: row.lot.lot_number,
        "On hand (bulk lb)": lambda row: row.lot.on_hand_lb,
        "Pure live seed (lb)": lambda row: None if row.pls_lb is None else round(row.pls_lb, 3),
        "Pure seed (%)": lambda row: row.live.purity_pct,
        "Alive (%)": lambda row: row.live.alive_pct,
        "Alive by": _alive_by,
        "Tested in": lambda row: f"{row.live.tested_on:%Y-%m}" if row.live.tested_on else None,
        "Age of the test (months)": lambda row: None if row.age is None else row.age.months,
        "Treatment": lambda row: row.lot.treatment,
        "Noxious weed seeds": lambda row: row.lot.noxious,
        "Places": lambda row: "; ".join(
            f"{place or 'not said'}: {lb.normalize():f} lb" for place, lb in row.places
        ),
        "Note": lambda row: row.lot.note,
    }
    return columns | ({"Value on hand (USD)": lambda row: row.value_usd} if with_costs else {})


def _alive_by(row):
    if row.live.alive_pct is None:
        return None
    return "test made since" if row.live.is_retested else "tag"
