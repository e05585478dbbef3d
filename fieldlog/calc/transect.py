"""Ground covered by residue, counted at the marks of a tape."""

from typing import NamedTuple

import numpy as np

from plots.calc.checks import refuse_where
from plots.calc.described import DEFINITION, MEMORY, Quantity, Source, described

MISSOURI = Source(
    "Estimating crop residue, line transect (G1570)",
    "University of Missouri Extension",
    "1993",
    "http://extension.missouri.edu/publications/DisplayPrinterFriendlyPub.aspx?P=G1570",
)
ILLINOIS = Source(
    "60 Ways Farmers Can Protect Surface Water, no. 4",
    "University of Illinois",
    "no year",
    "http://thisland.illinois.edu/60ways/60ways_4.html",
)
LI_CHAPLIN = Source(
    "Novel approach to the evaluation of large area field sampling methods for crop residue coverage measurement",
    "Li and Chaplin, University of Minnesota",
    "1997",
    "https://experts.umn.edu/en/publications/novel-approach-to-the-evaluation-of-large-area-field-sampling-met",
    note="Abstract seen: five lines of 100 points on 30 % corn cover came within ±12 % of the value.",
)
RATIO_ERROR = Source(
    "Sampling Techniques, standard error of a ratio", "Cochran", "1977", basis=MEMORY, note="Third edition."
)

FROM_POINTS, BETWEEN_LINES = "between points (binomial)", "between lines"


class Cover(NamedTuple):
    """Cover by line transect, with its standard error and what that rests on."""

    cover_pct: float
    standard_error_pct: float
    error_from: str
    points: float
    lines: int


@described(
    title="Residue cover by line transect",
    topic="residue",
    inputs=[
        Quantity(
            "hits",
            "Marks on residue",
            least=0,
            is_whole=True,
            is_list=True,
            example=[44, 38, 41],
            help="Per line.",
        ),
        Quantity(
            "points",
            "Marks on the line",
            above=0,
            is_whole=True,
            is_list=True,
            example=[100, 100, 100],
            help="All marks looked at, per line.",
        ),
    ],
    answers=[
        Quantity("cover_pct", "Cover", "%", decimals=0),
        Quantity("standard_error_pct", "Standard error", "points of %", decimals=1),
        Quantity("error_from", "Standard error taken", kind="text"),
        Quantity("points", "Marks looked at", is_whole=True, decimals=0),
        Quantity("lines", "Lines", is_whole=True, decimals=0),
    ],
    formula="all hits ÷ all marks × 100",
    sources=[MISSOURI, ILLINOIS, LI_CHAPLIN, DEFINITION, RATIO_ERROR],
    notes=[
        "One line: √(cover × (1 − cover) ÷ marks), which takes each mark as a draw of its own. Two or more: from "
        "how far the lines differ, since residue lies in streaks and neighbouring marks are alike.",
        "An error of 0, when every mark or none is hit or all lines agree, is too small to believe.",
        "Stretch the tape at 45 degrees to the rows, look straight down, always at the same side of it.",
        "Count a piece only if it would stop a raindrop: 1/8 inch (Kansas State) or 3/32 inch (a trade article). "
        "In doubt it is no hit.",
        "Three to five lines of 100 marks; on a 50-ft tape with 50 marks each hit is 2 %.",
        "30 % or more after planting is the threshold of conservation tillage.",
    ],
)
def line_transect(hits, points):
    """Part of the ground under residue, with the standard error and the number of marks.

    Lines of different length count by their marks: cover is all hits over all marks.

    Examples
    --------
    >>> one = line_transect([44], [100])
    >>> float(one.cover_pct), round(float(one.standard_error_pct), 2), one.error_from
    (44.0, 4.96, 'between points (binomial)')
    >>> two = line_transect([40, 30], [100, 50])
    >>> round(float(two.cover_pct), 2), two.error_from
    (46.67, 'between lines')
    >>> float(line_transect([40, None], [100, 100]).cover_pct)
    nan
    """
    refuse_where(
        hits > points,
        "hits",
        "Marks on residue on line {row} are {0:g}; accepted are 0 to {1:g}, the marks on the line",
        hits,
        points,
    )
    lines = hits.shape[-1]
    all_points = points.sum(axis=-1) if lines else np.full(hits.shape[:-1], np.nan)
    cover = hits.sum(axis=-1) / all_points
    if lines > 1:
        off = hits - cover[..., np.newaxis] * points
        error = np.sqrt(lines / (lines - 1) * np.square(off).sum(axis=-1)) / all_points
    else:
        error = np.sqrt(cover * (1 - cover) / all_points)
    return Cover(
        100 * cover,
        100 * error,
        BETWEEN_LINES if lines > 1 else FROM_POINTS,
        np.where(np.isnan(cover), np.nan, all_points),
        lines,
    )


COVER_CLASSES = {
    "0_5": ("Up to 5 %", 0, 5),
    "5_25": ("5 to 25 %", 5, 25),
    "25_50": ("25 to 50 %", 25, 50),
    "50_75": ("50 to 75 %", 50, 75),
    "75_95": ("75 to 95 %", 75, 95),
    "95_100": ("95 to 100 %", 95, 100),
}
"""Label, and cover from low to high in %."""

DAUBENMIRE = Source(
    "A canopy-coverage method of vegetational analysis, Northwest Science 33",
    "Daubenmire",
    "1959",
    basis=MEMORY,
    note="Its six classes of cover.",
)


class CoverSpan(NamedTuple):
    """Cover by class: the middle and the ends of it."""

    middle_pct: float
    low_pct: float
    high_pct: float


@described(
    title="Cover by class",
    topic="residue",
    inputs=[
        Quantity(
            "chosen",
            "Class of cover",
            kind="choice",
            choices=tuple((key, label) for key, (label, *_) in COVER_CLASSES.items()),
            example="25_50",
        )
    ],
    answers=[
        Quantity("middle_pct", "Middle of the class", "%", decimals=1),
        Quantity("low_pct", "At least", "%", decimals=0),
        Quantity("high_pct", "At most", "%", decimals=0),
    ],
    formula="(low + high) ÷ 2",
    sources=[DAUBENMIRE],
    is_listed=False,
)
def cover_class(chosen):
    """What a class of cover, chosen by eye, stands for.

    Examples
    --------
    >>> cover_class("25_50").middle_pct, cover_class("25_50").high_pct
    (37.5, 50)
    >>> cover_class(None).middle_pct
    nan
    """
    if chosen is None:
        return CoverSpan(np.nan, np.nan, np.nan)
    low, high = COVER_CLASSES[chosen][1:]
    return CoverSpan((low + high) / 2, low, high)
