"""Ground under residue: a tap at each mark of a tape, or an estimate by eye."""

from fieldlog.calc.transect import (
    COVER_CLASSES,
    DAUBENMIRE,
    ILLINOIS,
    LI_CHAPLIN,
    MISSOURI,
    cover_class,
    line_transect,
)
from fieldlog.kinds.answers import CHOICE, POINTS
from fieldlog.kinds.described import Choice, Kind, Step
from fieldlog.kinds.parts import figure, reckoned, setting

LINE, ESTIMATE = "line", "estimate"


def figures(values, settings, facts):
    """Ground covered, with its standard error by marks or its span by class. [%]"""
    if settings.get("method") == ESTIMATE:
        return [_by_class(values.get("cover_class"), settings)]
    lines = [line for line in values.get("lines") or [] if line]
    if not lines:
        return [_cover(None, settings, remark="no mark was looked at")]
    cover, why = reckoned(line_transect, [line.count("1") for line in lines], [len(line) for line in lines])
    if cover is None:
        return [_cover(None, settings, remark=why)]
    if cover.standard_error_pct == 0:
        why = "an error of 0 is too small to believe"
    return [
        _cover(cover.cover_pct, settings, error=cover.standard_error_pct, remark=why),
        figure("cover_lines", "Lines", len(lines)),
        figure("cover_points", "Marks looked at", cover.points),
    ]


def _by_class(chosen, settings):
    if chosen is None:
        return _cover(None, settings, remark="no class was chosen")
    span, why = reckoned(cover_class, chosen)
    if span is None:
        return _cover(None, settings, remark=why)
    return _cover(
        span.middle_pct,
        settings,
        low=span.low_pct,
        high=span.high_pct,
        remark="by eye",
        rests_on=str(DAUBENMIRE),
    )


def _cover(value, settings, **how):
    how = {"rests_on": str(MISSOURI)} | how
    return figure(
        "cover_pct", "Ground covered", value, "%", expected_low=settings.get("expected_low_pct"), **how
    )


COVER = Kind(
    key="cover",
    title="Residue cover",
    summary="Ground under residue, by 100 marks along a tape or by eye.",
    tools="Tape of 50 or 100 feet",
    instructions="Stretch the tape at 45 degrees to the rows. Look straight down at each mark, always at the same side of "
    "the tape, and tap yes where residue lies under it. Count a piece only if it would stop a raindrop, about 1/8 inch; in "
    "doubt it is no. Three lines or more. By eye, look straight down at a square yard in several places and choose the class "
    "that fits them together.",
    settings=(
        setting(
            "method",
            "Measure by",
            LINE,
            ask=CHOICE,
            choices=(Choice(LINE, "Marks along a tape"), Choice(ESTIMATE, "By eye, in classes")),
        ),
        setting(
            "expected_low_pct",
            "Expect at least",
            30,
            unit="%",
            least=0,
            most=100,
            help="30 % after planting is the threshold of conservation tillage.",
        ),
    ),
    steps=(
        Step(
            "lines",
            "Residue under the mark?",
            ask=POINTS,
            most=100,
            help="One tap a mark, a new line for each stretch of the tape.",
            picture="tape",
            when=("method", (LINE,)),
        ),
        Step(
            "cover_class",
            "How much of the ground is covered?",
            ask=CHOICE,
            choices=tuple(
                Choice(key, label, picture=f"cover_{key}") for key, (label, *_) in COVER_CLASSES.items()
            ),
            when=("method", (ESTIMATE,)),
        ),
        Step(
            "covered_by",
            "Mostly by",
            ask=CHOICE,
            choices=(
                Choice("stems", "Stems lying flat"),
                Choice("standing", "Stems standing"),
                Choice("leaves", "Leaves and fine stuff"),
                Choice("living", "Living plants"),
            ),
        ),
    ),
    figures=figures,
    cautions=("heat", "ticks"),
    sources=(MISSOURI, ILLINOIS, LI_CHAPLIN, DAUBENMIRE),
)
