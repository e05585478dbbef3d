"""What feeds and what stands, month by month: a row for each species, a column for each month."""

from blends.pictures.shapes import (
    WIDTH,
    Picture,
    Table,
    and_list,
    boxes,
    diamonds,
    hatched,
    label,
    line,
    name_labels,
)

NAMES = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
BROWSE_PX = {"low": 5, "moderate": 9, "high": 14}
"""Height of a browsed month by how well the species is liked: the height says it without the colour."""

LEGEND = [
    ("browse-high", "browsed, liked well"),
    ("browse-moderate", "moderately"),
    ("browse-low", "little"),
    ("doubtful", "if winter spares it"),
    ("seed", "seed or grain"),
    ("stands", "stands as cover"),
    ("hole", "nothing to eat"),
]

_NAME, _HEAD, _ROW = 108, 36, 32


def calendar_picture(key, months, rows, holes):
    """The calendar.

    Parameters
    ----------
    key : str
    months : list of date
        First days.
    rows : list of (str, list)
        Name of a species and its months, each with `browse`, `is_seed`, `is_cover` and `hangs_on_winter`.
    holes : list of date
        Months with nothing to eat.

    Returns
    -------
    Picture
    """
    bottom = _HEAD + _ROW * len(rows)
    width = (WIDTH - _NAME) / max(len(months), 1)

    def x_of(number):
        return _NAME + number * width

    shapes = _head(months, x_of, width, bottom)
    shapes += [
        hatched(key, x_of(number), _HEAD, width, bottom - _HEAD)
        for number, month in enumerate(months)
        if month in holes
    ]
    marks = _Marks()
    for position, (name, cells) in enumerate(rows):
        top = _HEAD + position * _ROW
        shapes += name_labels(name, 0, top + _ROW / 2, _NAME - 6)
        shapes.append(line(0, top + _ROW, WIDTH, top + _ROW, "p-grid"))
        for number, cell in enumerate(cells):
            marks.add(cell, x_of(number), top, width)
    holes_said = (
        f"Nothing to eat in {month_list(holes)}." if holes else "No month without food once it begins."
    )
    return Picture(
        key=key,
        title="What feeds, month by month",
        description=f"{_span_said(months)}{holes_said}",
        height=bottom + 4,
        shapes=[*shapes, *marks.shapes],
        table=Table(
            ["Species", "Browsed", "Seed or grain", "Stands as cover"],
            [[name, *_row_said(months, cells)] for name, cells in rows],
        ),
        legend=LEGEND,
        said=[holes_said] if rows else [],
        stands_out=bool(holes),
    )


class _Marks:
    """The marks of all cells, gathered by kind."""

    def __init__(self):
        self.browse = {level: [] for level in BROWSE_PX}
        self.doubtful, self.seed, self.cover = [], [], []

    def add(self, cell, x, top, width):
        foot = top + _ROW - 5
        gap = min(1, width / 8)
        if cell.browse:
            high = BROWSE_PX[cell.browse]
            box = (x + gap, foot - high, width - 2 * gap, high)
            (self.doubtful if cell.hangs_on_winter else self.browse[cell.browse]).append(box)
        if cell.is_seed:
            self.seed.append((x + width / 2, top + 9))
        if cell.is_cover:
            self.cover.append((x, foot, width, 3))

    @property
    def shapes(self):
        found = [boxes(each, f"p-browse-{level}") for level, each in self.browse.items() if each]
        found += [boxes(self.doubtful, "p-doubtful")] if self.doubtful else []
        found += [boxes(self.cover, "p-stands")] if self.cover else []
        found += [diamonds(self.seed, 5.5, "p-seed")] if self.seed else []
        return found


def _head(months, x_of, width, bottom):
    shapes = [line(0, _HEAD, WIDTH, _HEAD, "p-axis")]
    for number, month in enumerate(months):
        x = x_of(number)
        name = NAMES[month.month - 1]
        shapes.append(label(x + width / 2, 30, name if width > 27 else name[0], "p-text p-faint", "middle"))
        if number == 0 or month.month == 1:
            shapes.append(line(x, 4, x, bottom, "p-grid"))
            if number == 0 and len(months) > 1 and any(each.month == 1 for each in months[1:3]):
                continue  # the next year's label would stand on this one
            shapes.append(label(x + 3, 13, str(month.year), "p-text p-faint"))
    return shapes


def month_words(month):
    return f"{NAMES[month.month - 1]} {month.year}"


def month_list(months):
    """Months in words, runs put together: Jun to Aug 2027 and Oct 2027."""
    return and_list(_run_words(run) for run in month_runs(months))


def month_runs(months):
    """Lists of months that follow each other."""
    runs = []
    for month in months:
        if runs and _number(month) == _number(runs[-1][-1]) + 1:
            runs[-1].append(month)
        else:
            runs.append([month])
    return runs


def _number(month):
    return month.year * 12 + month.month


def _run_words(run):
    first, last = run[0], run[-1]
    if first == last:
        return month_words(first)
    start = NAMES[first.month - 1] if first.year == last.year else month_words(first)
    return f"{start} to {month_words(last)}"


def _span_said(months):
    return f"{month_words(months[0])} to {month_words(months[-1])}. " if months else ""


def _row_said(months, cells):
    browsed = [
        f"{level}: {month_list(found)}"
        for level in ("high", "moderate", "low")
        if (found := [month for month, cell in zip(months, cells, strict=True) if cell.browse == level])
    ]
    seed = [month for month, cell in zip(months, cells, strict=True) if cell.is_seed]
    stands = [month for month, cell in zip(months, cells, strict=True) if cell.is_cover]
    return ["; ".join(browsed) or "no", month_list(seed) or "no", month_list(stands) or "no"]
