"""The seed order as files."""

from openpyxl import Workbook

from blends.api.order_serializers import OrderSerializer
from blends.queries.orders import order_figures
from config.errors import Conflict, Refused
from config.spreadsheets import book_bytes, csv_bytes, defused, fill_sheet

_LINE_COLUMNS = {
    "Item": lambda line: str(line.item),
    "Supplier": lambda line: line.offer and str(line.offer.supplier),
    "Variety": lambda line: line.offer and line.offer.variety,
    "Pure live seed (%)": lambda line: line.pure_live_fraction and round(100 * line.pure_live_fraction, 2),
    "Pure live seed is": lambda line: _live_seed_basis(line),
    "Planted (bulk lb)": lambda line: round(line.planted_lb, 3),
    "Needed with overage (bulk lb)": lambda line: round(line.needed_lb, 3),
    "On hand (bulk lb)": lambda line: line.on_hand_lb,
    "To buy (bulk lb)": lambda line: round(line.to_buy_lb, 3),
    "Pack (bulk lb)": lambda line: None if line.is_by_way else line.offer and line.offer.pack_lb,
    "Price a pack (USD)": lambda line: None if line.is_by_way else line.each_usd,
    "Packs": lambda line: line.packs,
    "Bought (bulk lb)": lambda line: _rounded(line.bought_lb),
    "Left over (bulk lb)": lambda line: _rounded(line.left_over_lb),
    "Cost used (USD)": lambda line: line.cost_used_usd,
    "Cost bought (USD)": lambda line: line.cost_bought_usd,
}
_COST_COLUMNS = {
    "Acres": lambda cost: _rounded(cost.acres),
    "Cost used (USD)": lambda cost: cost.used_usd,
    "Cost used (USD/ac)": lambda cost: cost.used_usd_per_acre,
    "Cost bought (USD)": lambda cost: cost.bought_usd,
    "Cost bought (USD/ac)": lambda cost: cost.bought_usd_per_acre,
}
_PLOT_COLUMNS = {
    "Plot": lambda cost: cost.of.plot,
    "Blend": lambda cost: str(cost.of.blend),
    "Method": lambda cost: cost.of.method_label,
} | _COST_COLUMNS
_BLEND_COLUMNS = {"Blend": lambda cost: str(cost.of), "Plots": lambda cost: cost.plots} | _COST_COLUMNS


def order_json(order):
    """The order with its problems, lines, totals and costs, in the API's shape.

    Money is text with two decimals; everything else is a number. What is not known is null.
    """
    return OrderSerializer(order_figures(order)).data


def order_csv(order):
    """The lines of the order as CSV, RFC 4180, in bytes.

    UTF-8 with a byte order mark: spreadsheet programs take a file without one for their local code page.
    An empty cell is not known.

    Raises
    ------
    Conflict
        The figures are being computed again.
    Refused
        Something stops the order.
    """
    figures = _settled(order)
    return csv_bytes(_LINE_COLUMNS, (_row(_LINE_COLUMNS, line) for line in figures.lines))


def order_xlsx(order):
    """The order as a workbook, in bytes: sheets Order, Plots, Blends and Assumptions.

    Numbers are numbers and the headers carry the units. Raises as `order_csv`.
    """
    figures = _settled(order)
    book = Workbook()
    _sheet(book.active, "Order", _LINE_COLUMNS, figures.lines)
    _sheet(book.create_sheet(), "Plots", _PLOT_COLUMNS, figures.costs.by_plot)
    _sheet(book.create_sheet(), "Blends", _BLEND_COLUMNS, figures.costs.by_blend)
    _facts_sheet(book.create_sheet(), figures)
    return book_bytes(book)


def _settled(order):
    if order.is_stale:
        raise Conflict("The figures of this order are being computed again; ask for the file in a moment.")
    if order.problems:
        first, more = order.problems[0]["sentence"], len(order.problems) - 1
        rest = f" {more} more such problem{'s' if more > 1 else ''}." if more else ""
        raise Refused(f"The order is stopped. {first}{rest}")
    return order_figures(order)


def _row(columns, of):
    return [value(of) for value in columns.values()]


def _sheet(sheet, title, columns, rows):
    fill_sheet(sheet, title, columns, (_row(columns, of) for of in rows))
    for number, name in enumerate(columns, start=1):
        if "(USD" in name:
            for (cell,) in sheet.iter_rows(min_row=2, min_col=number, max_col=number):
                cell.number_format = "0.00"


def _facts_sheet(sheet, figures):
    order, total = figures.order, figures.costs.property
    sheet.title = "Assumptions"
    rows = [
        ("Property", str(order.season.property)),
        ("Season", str(order.season)),
        ("Computed at (UTC)", order.computed_at.strftime("%Y-%m-%d %H:%M")),
        ("Overage (%)", order.overage_pct),
        ("Assumed pure seed where no tag is known (%)", order.assumed_purity_pct),
        ("Assumed germination where no tag is known (%)", order.assumed_germination_pct),
        *((f"Property: {name}", value(total)) for name, value in _COST_COLUMNS.items()),
        ("Pounds of an item", "sum over plots of acres × PLS lb/ac ÷ pure live seed, then the overage"),
        ("Packs", "rounded up once, for the whole order, after what is on hand"),
        ("Cost used", "planted pounds at the pack's price per pound, seed on hand included"),
        ("Before sowing", "the seed tag and local rules go before these figures"),
        *(("Note", note) for note in figures.notes),
    ]
    for row in rows:
        sheet.append([defused(value) for value in row])
    sheet.column_dimensions["A"].width = 46
    sheet.column_dimensions["B"].width = 60


def _live_seed_basis(line):
    if line.blend_id:
        return "not used: sown by the bulk pound"
    return "assumed" if line.is_pls_assumed else "from the tag"


def _rounded(value):
    return None if value is None else round(value, 3)
