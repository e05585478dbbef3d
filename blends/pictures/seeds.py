"""Live seeds on a square foot, a bar for each component."""

from blends.pictures.shapes import WIDTH, Picture, Table, label, line, linear, name_labels, rect, written

_NAME, _FIGURE, _ROW = 116, 44, 32
_START, _END = _NAME + 6, WIDTH - _FIGURE


def bar_length(value, most):
    """Length of a value's bar where `most` fills the space; the smallest still shows."""
    return max(linear(value, 0, most, 0, _END - _START), 1.5)


def seeds_picture(key, rows):
    """Bars of live seeds per square foot.

    Parameters
    ----------
    key : str
    rows : list of (str, float or None)
        Name of the species and its live seeds; None is unknown and has no bar.

    Returns
    -------
    Picture
    """
    known = [value for _, value in rows if value is not None]
    most = max(known, default=0) or 1
    shapes = []
    for number, (name, value) in enumerate(rows):
        middle = 4 + number * _ROW + _ROW / 2
        shapes += name_labels(name, 0, middle, _NAME)
        if value is None:
            shapes.append(label(_START + 4, middle + 4.5, "not known", "p-text p-faint"))
            continue
        length = bar_length(value, most)
        shapes.append(rect(_START, middle - 7, length, 14, "p-bar"))
        shapes.append(label(_START + length + 5, middle + 4.5, written(value, 1), "p-text"))
    height = 8 + _ROW * len(rows)
    unknown = [name for name, value in rows if value is None]
    total = None if unknown or not rows else sum(known)
    return Picture(
        key=key,
        title="Live seeds on a square foot",
        description=_described(rows, known, total),
        height=height,
        shapes=[line(_START, 2, _START, height - 2, "p-axis"), *shapes],
        table=Table(
            ["Species", "Live seeds/ft²"],
            [*([name, written(value, 1)] for name, value in rows), ["In all", written(total, 1)]],
        ),
        said=[f"Not known for {', '.join(unknown)}, so there is no sum."] if unknown else [],
    )


def _described(rows, known, total):
    if not known:
        return "Not known for any component."
    name, value = max((row for row in rows if row[1] is not None), key=lambda row: row[1])
    sum_said = "The sum is not known" if total is None else f"{written(total, 1)} in all"
    return f"{sum_said}; most of them {name}, {written(value, 1)}."
