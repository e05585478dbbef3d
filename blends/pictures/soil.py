"""What laboratories found in a plot's soil over the years: one strip for each figure, points at their days.

A line joins only tests that can be compared: of the same depth, and for phosphorus of the same, known way of
extraction. A test between them without the figure leaves a gap.
"""

from dataclasses import dataclass
from datetime import date

from blends.pictures.shapes import (
    WIDTH,
    Picture,
    Table,
    and_list,
    circles,
    diamonds,
    label,
    line,
    linear,
    polyline,
    squares,
    triangles,
    written,
)

MEASURES = (
    ("ph", "pH in water", "", 1),
    ("organic_matter_pct", "Organic matter", " %", 1),
    ("p_ppm", "Phosphorus, P", " ppm", 0),
    ("k_ppm", "Potassium, K", " ppm", 0),
    ("cec_meq_per_100g", "CEC", " meq/100 g", 1),
)
"""Field, words, unit and decimals of each strip."""

MARKS = (circles, squares, triangles, diamonds)
_MARK_PX = 4.5
_LEFT, _RIGHT = 44, WIDTH - 14
_HEAD, _STRIP, _GAP, _FOOT = 20, 54, 12, 20
_PAD = 0.12  # of a strip's height, so that no mark lies on its edge


@dataclass(frozen=True)
class Sample:
    """One test, as the picture reads it; a figure of None was not measured.

    `depth` and `p_method` are words, `p_method` empty while not known. `p_key` names ways of extraction that may be
    compared, None those that may not.
    """

    sampled_on: date
    depth: str
    figures: dict
    p_method: str = ""
    p_key: str | None = None
    lab: str = ""


def soil_picture(key, samples):
    """The strips of all figures that were measured at least once.

    Parameters
    ----------
    key : str
    samples : list of Sample
        In any order, struck ones left out.

    Returns
    -------
    Picture
    """
    samples = sorted(samples, key=lambda sample: sample.sampled_on)
    shown = [measure for measure in MEASURES if any(s.figures.get(measure[0]) is not None for s in samples)]
    depths = list(dict.fromkeys(sample.depth for sample in samples))
    first, last = (samples[0].sampled_on, samples[-1].sampled_on) if samples else (None, None)
    shapes, told, said = [], [], []
    tops = [_HEAD + number * (_HEAD + _STRIP + _GAP) for number in range(len(shown))]
    for measure, top in zip(shown, tops, strict=True):
        strip = _Strip(measure, samples, depths, top, first, last)
        shapes += strip.shapes
        told.append(strip.told)
        said += strip.said
    if shown:
        shapes = [*_days(first, last, tops), *shapes]
    absent = [words for name, words, _, _ in MEASURES if name not in {measure[0] for measure in shown}]
    if samples and absent:
        said.append(f"Never measured: {and_list(absent)}.")
    return Picture(
        key=key,
        title="Soil tests over the years",
        description=" ".join(told) or "No soil test.",
        height=len(shown) * (_HEAD + _STRIP + _GAP) + _FOOT,
        shapes=shapes,
        table=Table(
            ["Sampled on", "Laboratory", "Depth", *(_head(measure) for measure in MEASURES)],
            [_row(sample) for sample in reversed(samples)],
        ),
        legend=[(f"soil-{place % (2 * len(MARKS))}", depth) for place, depth in enumerate(depths)]
        if len(depths) > 1
        else [],
        said=said,
    )


def runs_of(samples, name):
    """The tests that a line joins, as lists of at least one: each may be compared with the one before it.

    Parameters
    ----------
    samples : list of Sample
        In the order of their days.
    name : str
        The figure's field.

    Returns
    -------
    list of list of Sample
        Every sample with the figure once.
    """
    found, open_runs = [], {}
    for sample in samples:
        if sample.figures.get(name) is None:
            # A sample of this depth without the figure: what came before it is not joined with what follows.
            open_runs = {series: run for series, run in open_runs.items() if series[0] != sample.depth}
            continue
        series = (sample.depth, sample.p_key if name == "p_ppm" else "")
        if series[1] is None or series not in open_runs:
            open_runs[series] = []
            found.append(open_runs[series])
        open_runs[series].append(sample)
    return found


class _Strip:
    """One figure over time: `shapes`, what is `told` to who does not see them, and what is `said` under them."""

    def __init__(self, measure, samples, depths, top, first, last):
        self.name, self.words, self.unit, self.decimals = measure
        self.top, self.first, self.last = top, first, last
        self.depths = depths
        self.runs = runs_of(samples, self.name)
        values = [float(s.figures[self.name]) for run in self.runs for s in run]
        self.low, self.high = _around(min(values), max(values), 10**-self.decimals)

    def place(self, sample):
        """(x, y) of a test in this strip."""
        y = linear(float(sample.figures[self.name]), self.low, self.high, self.top + _STRIP, self.top)
        return day_place(sample.sampled_on, self.first, self.last), y

    @property
    def shapes(self):
        bottom = self.top + _STRIP
        shapes = [
            label(
                0,
                self.top - 7,
                f"{self.words}{f' ({self.unit.strip()})' if self.unit else ''}",
                "p-text p-strong",
            ),
            line(_LEFT, self.top, _RIGHT, self.top, "p-grid"),
            line(_LEFT, bottom, _RIGHT, bottom, "p-axis"),
            label(_LEFT - 6, self.top + 10, written(self.high, self._axis_decimals), "p-text p-faint", "end"),
            label(_LEFT - 6, bottom, written(self.low, self._axis_decimals), "p-text p-faint", "end"),
        ]
        shapes += [
            polyline([self.place(sample) for sample in run], "p-soil-line")
            for run in self.runs
            if len(run) > 1
        ]
        for place, depth in enumerate(self.depths):
            centres = [self.place(s) for run in self.runs for s in run if s.depth == depth]
            if centres:
                shapes.append(MARKS[place % len(MARKS)](centres, _MARK_PX, _mark_css(place)))
        return shapes + self._values()

    def _values(self):
        """The first and the last figure beside their marks: the rest are in the table."""
        every = [s for run in self.runs for s in run]
        first, last = min(every, key=_day_of), max(every, key=_day_of)
        shapes = []
        for sample in [first] if first is last else [first, last]:
            x, y = self.place(sample)
            below = y - self.top < _STRIP / 2
            anchor = "end" if x > (_LEFT + _RIGHT) / 2 else "start"
            text = written(float(sample.figures[self.name]), self._value_decimals(sample))
            shapes.append(
                label(
                    x + (5 if anchor == "end" else -5),
                    y + (18 if below else -9),
                    text,
                    "p-text p-onpaper",
                    anchor,
                )
            )
        return shapes

    def _value_decimals(self, sample):
        return decimals_of(sample.figures[self.name], self.decimals)

    @property
    def _axis_decimals(self):
        return 0 if self.low == int(self.low) and self.high == int(self.high) else self.decimals

    @property
    def told(self):
        """Each run in words; of a test alone no trend is said."""
        runs = [f"{run[0].depth}{_method(run[0], self.name)}: {self._run_told(run)}" for run in self.runs]
        return f"{self.words}: {'; '.join(runs)}."

    def _run_told(self, run):
        ends = [
            f"{written(float(s.figures[self.name]), self._value_decimals(s))}{self.unit} on {_day(s.sampled_on)}"
            for s in (run[0], run[-1])
        ]
        return ends[0] if len(run) == 1 else f"from {ends[0]} to {ends[1]}"

    @property
    def said(self):
        every = [s for run in self.runs for s in run]
        if self.name != "p_ppm" or len(every) < 2:
            return []
        methods = list(dict.fromkeys(s.p_method for s in every if s.p_method))
        unsaid = sum(not s.p_method for s in every)
        found = []
        if len(methods) > 1:
            found.append(
                f"P was extracted by {and_list(methods)}, which give different figures for one soil: they cannot be "
                "compared."
            )
        if unsaid:
            found.append(
                f"How P was extracted is not said for {unsaid} of {len(every)} tests, so no line joins "
                f"{'it' if unsaid == 1 else 'them'} with others."
            )
        return found


def _mark_css(place):
    """Filled marks for the first depths, open ones for those after them."""
    return "p-soil-mark" if place % (2 * len(MARKS)) < len(MARKS) else "p-soil-mark p-open"


def day_place(day, first, last):
    """x of a day; in the middle where there is one day alone."""
    if first == last:
        return (_LEFT + _RIGHT) / 2
    return linear(day.toordinal(), first.toordinal(), last.toordinal(), _LEFT + 8, _RIGHT - 8)


def decimals_of(figure, least):
    """As many decimals as the figure has, and no fewer than `least` where it has some."""
    exponent = figure.normalize().as_tuple().exponent
    return max(-exponent, least if exponent < 0 else 0, 0)


def _around(low, high, step):
    """A scale with room around the figures; they need not reach down to zero to be compared."""
    room = max((high - low) * _PAD, step)
    start = max(0.0, low - room)
    return start, high + room


def _days(first, last, tops):
    """Years under the strips, and thin lines up from each New Year; one day alone is written in full."""
    y = tops[-1] + _STRIP
    if first == last:
        return [label((_LEFT + _RIGHT) / 2, y + 18, _day(first), "p-text p-faint", "middle")]
    years = range(first.year + 1, last.year + 1)
    step = next(step for step in (1, 2, 5, 10, 20, 50) if len(years) / step <= 6)
    shapes = []
    for year in years:
        if year % step == 0:
            x = day_place(date(year, 1, 1), first, last)
            shapes += [line(x, top, x, top + _STRIP, "p-grid") for top in tops]
            shapes.append(label(x, y + 18, str(year), "p-text p-faint", "middle"))
    if not shapes:
        shapes = [
            label(day_place(day, first, last), y + 18, _day(day), "p-text p-faint", anchor)
            for day, anchor in ((first, "start"), (last, "end"))
        ]
    return shapes


def _day(day):
    return f"{day.day} {day:%b} {day.year}"


def _day_of(sample):
    return sample.sampled_on


def _method(sample, name):
    return f", {sample.p_method}" if name == "p_ppm" and sample.p_method else ""


def _head(measure):
    _, words, unit, _ = measure
    return f"{words}{f',{unit}' if unit else ''}"


def _row(sample):
    cells = []
    for name, _, _, decimals in MEASURES:
        figure = sample.figures.get(name)
        text = "not measured" if figure is None else written(float(figure), decimals_of(figure, decimals))
        cells.append(text + (_method(sample, name) if figure is not None else ""))
    return [_day(sample.sampled_on), sample.lab or "not said", sample.depth, *cells]
