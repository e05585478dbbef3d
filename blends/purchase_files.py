"""A purchase order as the documents that go to the supplier: PDF and XLSX."""

from openpyxl import Workbook
from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from blends.calc.tag_findings import names_treatment
from config.paper import Column, Paper
from config.spreadsheets import book_bytes, defused

NOT_KNOWN = "not known"
AS_OFFERED = "Tag figures are as offered. Each container carries its own tag; seed below these figures is agreed before it is shipped."
TREATED = (
    "Treated seed is marked as such; it is never food, feed or bait. The label comes before this document."
)
_COLUMNS = [
    Column("Seed", 4.2),
    Column("Tag as offered", 3),
    Column("Packs", 1, is_number=True),
    Column("Pack (lb)", 1.1, is_number=True),
    Column("Bulk lb", 1.2, is_number=True),
    Column("A pack (USD)", 1.3, is_number=True),
    Column("Amount (USD)", 1.6, is_number=True),
]


def written(day):
    """4 Sep 2026: reads the same on both sides of an ocean."""
    return f"{day.day} {day:%b %Y}"


def tag_words(line):
    """What was offered, in words; empty where nothing is known."""
    parts = [
        (line.purity_pct, "pure"),
        (line.germination_pct, "germ."),
        (line.hard_pct, "hard"),
        (line.dormant_pct, "dormant"),
    ]
    said = [f"{value.normalize():f} % {name}" for value, name in parts if value is not None]
    return ", ".join(said) if said else NOT_KNOWN


def treated_lines(figures):
    """(description, treatment) of the lines whose offer names one."""
    found = [(each.line.description, each.line.offer.treatment.strip()) for each in figures.lines]
    return [(name, words) for name, words in found if names_treatment(words)]


def purchase_pdf(figures):
    """The purchase order on US Letter, in bytes; the same content gives the same bytes.

    Parameters
    ----------
    figures : PurchaseFigures
    """
    purchase = figures.purchase
    property = purchase.property
    paper = Paper(f"{purchase}, {property}", author=str(property))
    paper.begin(foot=f"{property} · {purchase} · {purchase.order.season}")
    _head(paper, purchase, property)
    rows = [
        (
            each.line.description,
            tag_words(each.line),
            f"{each.line.packs:,}",
            f"{each.line.pack_lb.normalize():f}",
            f"{each.line.lb.normalize():,f}",
            f"{each.line.price_usd:,.2f}",
            f"{each.line.goods_usd:,.2f}",
        )
        for each in figures.lines
    ]
    paper.table(_COLUMNS, rows, foot=_sums(figures))
    paper.paragraph(AS_OFFERED, size=8, grey=True, gap=6)
    for name, words in treated_lines(figures):
        paper.paragraph(f"{name}: treated with {words}. {TREATED}", size=9, gap=6)
    for title, words in (("Note", purchase.note), ("Terms", purchase.terms)):
        if words.strip():
            paper.heading(title, size=10)
            paper.paragraph(words, gap=8)
    _signature(paper)
    return paper.bytes()


def _head(paper, purchase, property):
    paper.paragraph(str(purchase), size=20, bold=True, gap=2)
    if purchase.state == purchase.State.DRAFT:
        paper.paragraph("DRAFT: not sent", size=10, bold=True, gap=2)
    elif purchase.sent_on is None:
        paper.paragraph("SET ASIDE: never sent", size=10, bold=True, gap=2)
    facts = [f"Of {written(purchase.sent_on or purchase.created_at.date())}"]
    if purchase.wanted_by:
        facts.append(f"wanted by {written(purchase.wanted_by)}")
    paper.paragraph(", ".join(facts), size=10, gap=0)
    paper.rule(width=1.2, gap=5)
    top, half = paper.y, paper.width / 2
    lows = []
    sides = (
        ("To", str(purchase.supplier), purchase.supplier_address, purchase.supplier.contact),
        ("From, and to be delivered and billed to", str(property), purchase.our_address, ""),
    )
    for number, (title, name, address, contact) in enumerate(sides):
        paper.y, x = top, paper.left + number * half
        paper.paragraph(title, size=8, grey=True, x=x, width=half - 12, gap=1)
        paper.paragraph(name, size=10.5, bold=True, x=x, width=half - 12, gap=1)
        for words in (address, contact):
            if words.strip():
                paper.paragraph(words, size=9.5, x=x, width=half - 12, gap=1)
        lows.append(paper.y)
    paper.y = max(lows) + 12


def _sums(figures):
    empty = ("", "", "")
    freight, total = figures.freight_usd, figures.total_usd
    return [
        (
            "Goods",
            "",
            f"{figures.packs:,}",
            "",
            f"{figures.lb.normalize():,f}",
            "",
            f"{figures.goods_usd:,.2f}",
        ),
        ("Freight as expected", *empty, "", "", NOT_KNOWN if freight is None else f"{freight:,.2f}"),
        ("Total", *empty, "", "", NOT_KNOWN if total is None else f"{total:,.2f}"),
    ]


def _signature(paper):
    paper.room(60)
    paper.y += 34
    for number, title in enumerate(("Ordered by", "Date")):
        x = paper.left + number * paper.width * 0.6
        paper.line(x, paper.y, x + paper.width * (0.5 if number == 0 else 0.4), paper.y)
        paper.text(x, paper.y + 10, title, size=8, grey=True)


def purchase_xlsx(figures):
    """The purchase order as a workbook, in bytes: numbers are numbers, and text is no formula."""
    purchase = figures.purchase
    book = Workbook()
    sheet = book.active
    sheet.title = str(purchase)[:31]
    facts = [
        (str(purchase), ""),
        ("State", purchase.get_state_display()),
        ("Season", str(purchase.order.season)),
        ("Sent on", purchase.sent_on),
        ("Wanted by", purchase.wanted_by),
        ("To", f"{purchase.supplier}\n{purchase.supplier_address}".strip()),
        ("From", f"{purchase.property}\n{purchase.our_address}".strip()),
    ]
    for row in facts:
        sheet.append([defused(value) for value in row])
    sheet["A1"].font = Font(bold=True, size=14)
    sheet.append([])
    heads = [
        "Seed",
        "Tag as offered",
        "Packs",
        "Pack (bulk lb)",
        "Bulk lb",
        "Price a pack (USD)",
        "Amount (USD)",
        "Received (packs)",
        "Received (bulk lb)",
    ]
    sheet.append(heads)
    first = sheet.max_row + 1
    for cell in sheet[sheet.max_row]:
        cell.font = Font(bold=True)
    for each in figures.lines:
        line = each.line
        row = (
            line.description,
            tag_words(line),
            line.packs,
            line.pack_lb,
            line.lb,
            line.price_usd,
            line.goods_usd,
        )
        sheet.append([defused(value) for value in (*row, each.received_packs, each.received_lb)])
    sheet.append(["Goods", None, figures.packs, None, figures.lb, None, figures.goods_usd])
    for title, value in (("Freight as expected", figures.freight_usd), ("Total", figures.total_usd)):
        sheet.append([title, None, None, None, None, None, NOT_KNOWN if value is None else value])
    for row in sheet.iter_rows(min_row=first, min_col=6, max_col=7):
        for cell in row:
            cell.number_format = "#,##0.00"
    sheet.append([])
    for title, words in (("Tag figures", AS_OFFERED), ("Note", purchase.note), ("Terms", purchase.terms)):
        if words.strip():
            sheet.append([title, defused(words)])
    for name, words in treated_lines(figures):
        sheet.append([defused(name), defused(f"Treated with {words}. {TREATED}")])
    for number, width in enumerate((38, 34, 9, 14, 11, 18, 14, 16, 17), start=1):
        sheet.column_dimensions[get_column_letter(number)].width = width
    return book_bytes(book)
