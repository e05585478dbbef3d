"""What a picture is made of, and the scales that give a value its place.

All coordinates are those of the picture's own viewBox. Its width is that of a narrow phone's column, so that text of
`TEXT_PX` is legible there; wider pages show the picture somewhat larger.
"""

import math
from dataclasses import dataclass, field

WIDTH = 340
TEXT_PX = 13
_LETTER_PX = 0.56 * TEXT_PX  # of an average letter of the sans face; names are broken by it


@dataclass(frozen=True)
class Shape:
    """One element of the SVG: `numbers` are its coordinates, `attributes` what is not a number."""

    tag: str
    numbers: dict = field(default_factory=dict)
    css: str = ""
    text: str = ""
    attributes: dict = field(default_factory=dict)

    @property
    def written(self):
        """(name, text) of every attribute, coordinates to a tenth."""
        return [
            *((name, in_tenths(value)) for name, value in self.numbers.items()),
            *self.attributes.items(),
        ]


@dataclass(frozen=True)
class Table:
    """The figures behind a picture: heads of the columns, and rows of texts whose first names the row."""

    columns: list
    rows: list


@dataclass(frozen=True)
class Picture:
    """A drawn picture.

    Attributes
    ----------
    key : str
        Starts every id, so it is different for each picture of a page.
    title, description : str
        What a reader who does not see it is told.
    height : float
    shapes : list of Shape
        In the order in which they are drawn.
    table : Table
    legend : list of (str, str)
        Kind of mark and its words.
    said : list of str
        Sentences that belong under it: what is not known, what is a hole.
    stands_out : bool
        Whether they should not be missed.
    width : float
    """

    key: str
    title: str
    description: str
    height: float
    shapes: list
    table: Table
    legend: list = field(default_factory=list)
    said: list = field(default_factory=list)
    stands_out: bool = False
    width: float = WIDTH

    @property
    def view_box(self):
        return f"0 0 {in_tenths(self.width)} {in_tenths(self.height)}"

    @property
    def hatch(self):
        """Id of the picture's hatching."""
        return f"{self.key}-hatch"


def in_tenths(value):
    """A coordinate as SVG has it."""
    return f"{round(value, 1):g}"


def rect(x, y, width, height, css):
    return Shape("rect", {"x": x, "y": y, "width": width, "height": height}, css)


def hatched(key, x, y, width, height):
    """A rectangle filled with the hatching of the picture `key`."""
    return Shape(
        "rect",
        {"x": x, "y": y, "width": width, "height": height},
        "p-hatched",
        attributes={"fill": f"url(#{key}-hatch)"},
    )


def line(x1, y1, x2, y2, css):
    return Shape("line", {"x1": x1, "y1": y1, "x2": x2, "y2": y2}, css)


def label(x, y, text, css="p-text", anchor="start"):
    return Shape("text", {"x": x, "y": y}, css, text, {} if anchor == "start" else {"text-anchor": anchor})


def polyline(points, css, closed=False):
    d = "M" + " L".join(f"{in_tenths(x)} {in_tenths(y)}" for x, y in points) + ("Z" if closed else "")
    return Shape("path", css=css, attributes={"d": d})


def boxes(rectangles, css):
    """Many rectangles (x, y, width, height) as one path, which is much less to write."""
    d = "".join(
        f"M{in_tenths(x)} {in_tenths(y)}h{in_tenths(width)}v{in_tenths(height)}h{in_tenths(-width)}Z"
        for x, y, width, height in rectangles
    )
    return Shape("path", css=css, attributes={"d": d})


def diamonds(centres, half, css):
    d = "".join(
        f"M{in_tenths(x)} {in_tenths(y - half)}l{in_tenths(half)} {in_tenths(half)}"
        f"l{in_tenths(-half)} {in_tenths(half)}l{in_tenths(-half)} {in_tenths(-half)}Z"
        for x, y in centres
    )
    return Shape("path", css=css, attributes={"d": d})


def squares(centres, half, css):
    return boxes([(x - half, y - half, 2 * half, 2 * half) for x, y in centres], css)


def circles(centres, half, css):
    d = "".join(
        f"M{in_tenths(x - half)} {in_tenths(y)}a{in_tenths(half)} {in_tenths(half)} 0 1 0 {in_tenths(2 * half)} 0"
        f"a{in_tenths(half)} {in_tenths(half)} 0 1 0 {in_tenths(-2 * half)} 0Z"
        for x, y in centres
    )
    return Shape("path", css=css, attributes={"d": d})


def triangles(centres, half, css):
    d = "".join(
        f"M{in_tenths(x)} {in_tenths(y - 1.2 * half)}l{in_tenths(1.2 * half)} {in_tenths(2.1 * half)}"
        f"h{in_tenths(-2.4 * half)}Z"
        for x, y in centres
    )
    return Shape("path", css=css, attributes={"d": d})


def linear(value, low, high, start, end):
    """Where a value lies between `start` and `end`; values outside `low` to `high` stay at the end."""
    part = (min(max(value, low), high) - low) / (high - low)
    return start + part * (end - start)


def logarithmic(value, low, high, start, end):
    """The same on a scale on which equal ratios are equally long."""
    held = min(max(value, low), high)
    return linear(math.log(held), math.log(low), math.log(high), start, end)


def name_lines(name, width):
    """A name in one line or two, so that it fits `width`."""
    most = max(1, int(width / _LETTER_PX))
    if len(name) <= most:
        return [name]
    cuts = [place + 1 for place, letter in enumerate(name) if letter in " -/"]
    fitting = [cut for cut in cuts if len(name[:cut].rstrip()) <= most]
    cut = max(fitting) if fitting else most
    first, second = name[:cut].rstrip(), name[cut:]
    return [first, second if len(second) <= most else second[: most - 1] + "…"]


def name_labels(name, x, middle, width):
    """The name's lines around the height `middle`, for the left edge of a row."""
    lines = name_lines(name, width)
    top = middle + TEXT_PX * 0.35 - (len(lines) - 1) * TEXT_PX * 0.54
    return [label(x, top + number * TEXT_PX * 1.08, text, "p-text") for number, text in enumerate(lines)]


def written(value, decimals=0, unit=""):
    """A figure as text; what is not known says so."""
    if value is None:
        return "not known"
    return f"{value:,.{decimals}f}{unit}"


def written_band(band, decimals=0, unit=""):
    """A band as `low to high, likely likely`; a single figure where it has no width."""
    if band.likely is None:
        return "not known"
    likely = written(band.likely, decimals)
    if band.low is None or band.high is None:
        return f"about {likely}{unit}"
    low, high = written(band.low, decimals), written(band.high, decimals)
    if low == high:
        return f"{likely}{unit}"
    return f"{low} to {high}{unit}, likely {likely}"


def and_list(words):
    """Words as a person lists them: a, b and c."""
    words = list(words)
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
