"""A day's planting as files: pounds by plot and by lot as CSV and XLSX. No price is in them."""

from dataclasses import dataclass

from openpyxl import Workbook

from blends.models import Box, Lot
from config.spreadsheets import book_bytes, csv_bytes, fill_sheet

_BASIS = {
    "lot": "the lot",
    "offer": "tag of the chosen offer",
    "assumed": "assumed",
    "bulk": "not used: sown by the bulk pound",
}
_COLUMNS = {
    "Plot": lambda sheet, seed: sheet.plot.name,
    "Blend": lambda sheet, seed: str(sheet.blend),
    "Method": lambda sheet, seed: sheet.planting.get_method_display(),
    "Acres": lambda sheet, seed: _rounded(sheet.acres, 3),
    "Machine": lambda sheet, seed: str(sheet.machine or ""),
    "Seed": lambda sheet, seed: seed.name,
    "Instead of": lambda sheet, seed: str(seed.instead_of or ""),
    "Lot": lambda sheet, seed: seed.lot_name,
    "Box": lambda sheet, seed: Box(seed.box).label,
    "Pure live seed (%)": lambda sheet, seed: _rounded(seed.live_fraction and 100 * seed.live_fraction, 2),
    "Pure live seed is from": lambda sheet, seed: _BASIS[seed.live_basis],
    "Rate (PLS lb/ac; bulk of a bought mix)": lambda sheet, seed: _rounded(seed.pls_lb_per_acre, 4),
    "Rate (bulk lb/ac)": lambda sheet, seed: _rounded(seed.lb_per_acre, 4),
    "Pounds (bulk lb)": lambda sheet, seed: seed.lb,
}
_LOT_COLUMNS = {
    "Seed": lambda row: row.name,
    "Lot": lambda row: row.lot_name,
    "Pounds (bulk lb)": lambda row: row.lb,
    "On hand (bulk lb)": lambda row: row.lot and float(row.lot.on_hand_lb),
    "Plots": lambda row: row.plots,
    "Treatment on the tag": lambda row: row.lot and row.lot.treatment,
}


@dataclass
class LotPounds:
    """What the plots of a run take of one lot, or of seed without one; `lb` is None while one of them is unknown."""

    name: str
    lot: Lot | None
    lb: float | None
    plots: int

    @property
    def lot_name(self):
        return "" if self.lot is None else self.lot.lot_number or f"no. {self.lot.pk}"

    @property
    def is_short(self):
        return self.lot is not None and self.lb is not None and self.lb > float(self.lot.on_hand_lb) + 0.005


def pounds_by_lot(sheets):
    """LotPounds of some sheets, by the seed's name."""
    found = {}
    for sheet in sheets:
        for seed in sheet.seeds:
            key = seed.name, seed.lot and seed.lot.pk
            row = found.setdefault(key, LotPounds(seed.name, seed.lot, 0.0, 0))
            row.lb = None if None in (row.lb, seed.lb) else round(row.lb + seed.lb, 2)
            row.plots += 1
    return sorted(found.values(), key=lambda row: (row.name.casefold(), row.lot_name))


def day_csv(season, sheets):
    """A line for each seed on each plot, RFC 4180 in UTF-8 with a byte order mark; an empty cell is not known."""
    return csv_bytes(_COLUMNS, (_row(_COLUMNS, *each) for each in _lines(sheets)))


def day_xlsx(season, sheets):
    """A workbook: by lot what to take along, and by plot where it goes."""
    book = Workbook()
    fill_sheet(
        book.active, "By lot", _LOT_COLUMNS, (_row(_LOT_COLUMNS, row) for row in pounds_by_lot(sheets))
    )
    fill_sheet(book.create_sheet(), "By plot", _COLUMNS, (_row(_COLUMNS, *each) for each in _lines(sheets)))
    return book_bytes(book)


def _lines(sheets):
    return ((sheet, seed) for sheet in sheets for seed in sheet.seeds)


def _row(columns, *of):
    return [value(*of) for value in columns.values()]


def _rounded(value, places):
    return None if value is None else round(value, places)
