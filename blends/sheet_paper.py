"""Planting sheets as PDF: a plot a page, to take along where no screen is wanted."""

from blends.queries.sheets.words import (
    acres_text,
    catch_text,
    depth_texts,
    figure,
    fitted_text,
    holds_text,
    inoculant_text,
    last_text,
    machine_text,
    soil_temp_text,
)
from config.paper import Column, Paper

MOST_FILL_COLUMNS = 4
"""More kinds of fills than this stand in lines of their own below the seed."""
MOST_GAPS = 5
_SMALL = 7.5
TO_WRITE = [
    ("Planted on", "Began", "Ended"),
    ("Acres by the meter", "Left in the box (lb)", "Operator"),
    ("Setting used", "Depth found (in)", "Soil (°F, at in)"),
    ("Weather", "Machine hours, start", "Machine hours, end"),
]


def sheets_pdf(season, sheets, paper=None):
    """The sheets as PDF, in bytes."""
    paper = paper or new_paper(season)
    for sheet in sheets:
        draw_sheet(paper, sheet)
    return paper.bytes()


def new_paper(season):
    return Paper(f"Planting sheets, {season}", author=season.property.name)


def draw_sheet(paper, sheet):
    """One plot; on one page unless it has very much to say."""
    season = sheet.planting.season
    paper.begin(
        foot=f"{season.property.name} · {season} · {sheet.plot}: planting sheet", bookmark=str(sheet.plot)
    )
    _head(paper, sheet)
    for sentence in sheet.restrictions:
        paper.paragraph(f"! {sentence}", size=9, bold=True, gap=2)
    _gaps(paper, sheet)
    for box in sheet.boxes:
        _box(paper, sheet, box)
    _notes(paper, sheet)
    _cautions(paper, sheet)
    _to_write(paper)


def _head(paper, sheet):
    paper.text(paper.left, paper.y + 18, str(sheet.plot), size=18, bold=True)
    paper.text(paper.right, paper.y + 18, acres_text(sheet), size=14, bold=True, align="right")
    paper.y += 25
    said = f"{sheet.blend} · {sheet.planting.get_method_display().lower()} · {machine_text(sheet)}"
    paper.text(paper.left, paper.y + 9, said, size=9.5)
    total = "pounds not known" if sheet.lb is None else f"{figure(sheet.lb, 2)} lb in all"
    paper.text(paper.right, paper.y + 9, total, size=9.5, align="right")
    paper.y += 12
    paper.rule(width=1.2, gap=3)


def _gaps(paper, sheet):
    for sentence in sheet.gaps[:MOST_GAPS]:
        paper.paragraph(f"? {sentence}", size=8, gap=1)
    if len(sheet.gaps) > MOST_GAPS:
        paper.paragraph(f"? And {len(sheet.gaps) - MOST_GAPS} more; the screen has them all.", size=8, gap=1)


def _box(paper, sheet, box):
    paper.y += 4
    rate = "" if box.lb_per_acre is None else f", {figure(box.lb_per_acre, 2)} lb/ac"
    pounds = "pounds not known" if box.lb is None else f"{figure(box.lb, 2)} lb"
    paper.paragraph(f"{box.label}: {pounds}{rate}", size=11, bold=True, gap=1)
    paper.paragraph(holds_text(box, sheet.level_pct), size=8, grey=True, gap=2)
    fills = box.fills or ()
    in_columns = fills if len(fills) <= MOST_FILL_COLUMNS else ()
    columns = [
        Column("Seed", 3.4),
        Column("Lot", 2),
        Column("Live %", 0.9, True),
        Column("lb/ac", 1, True),
        Column("Pounds", 1.1, True),
        *(Column(fill_head(fill), 1.2, True) for fill in in_columns),
    ]
    rows = [
        (
            f"{seed.name}, instead of {seed.instead_of}" if seed.instead_of else seed.name,
            seed.lot_name or "none chosen",
            "" if seed.live_fraction is None else f"{100 * seed.live_fraction:.1f}{'?' * seed.is_assumed}",
            figure(seed.lb_per_acre, 2),
            figure(seed.lb, 2),
            *(figure(fill.parts_lb[place], 2) for fill in in_columns),
        )
        for place, seed in enumerate(box.seeds)
    ]
    foot = [
        (
            "In all",
            "",
            "",
            figure(box.lb_per_acre, 2),
            figure(box.lb, 2),
            *(figure(fill.lb, 2) for fill in in_columns),
        )
    ]
    paper.table(columns, rows, foot=foot, size=8.5, pad=2)
    if fills and not in_columns:
        for fill in fills:
            parts = "; ".join(
                f"{seed.name} {figure(lb, 2)}" for seed, lb in zip(box.seeds, fill.parts_lb, strict=True)
            )
            paper.paragraph(f"{fill.name}: {figure(fill.lb, 2)} lb ({parts})", size=8, gap=1)
    for said in (last_text(box), fitted_text(box), catch_text(sheet.machine, box)):
        if said:
            paper.paragraph(said, size=8.5, gap=1)


def fill_head(fill):
    part = "part, " if fill.is_part else ""
    return (
        f"Fill {fill.first}, {part}lb"
        if fill.first == fill.last
        else f"Fills {fill.first}–{fill.last}, each, lb"
    )


def _notes(paper, sheet):
    paper.y += 4
    for said in (*depth_texts(sheet), soil_temp_text(sheet), *map(inoculant_text, sheet.inoculants)):
        if said:
            paper.paragraph(said, size=8.5, gap=1)


def _cautions(paper, sheet):
    paper.rule(gap=3)
    for caution in sheet.cautions:
        said = f"{caution.label}: {caution.sentence}"
        if caution.source is not None and caution.source.address:
            said += f" ({caution.source.title})"
        paper.paragraph(said, size=_SMALL, gap=1)


def _to_write(paper):
    """Places to write on; as many as the page has room for."""
    height = 24
    paper.y += 4
    for row in TO_WRITE:
        if paper.left_on_page < height:
            return
        width = (paper.width - 2 * 12) / 3
        for place, label in enumerate(row):
            x = paper.left + place * (width + 12)
            paper.text(x, paper.y + 8, label, size=7, grey=True)
            paper.line(x, paper.y + height - 3, x + width, paper.y + height - 3)
        paper.y += height
