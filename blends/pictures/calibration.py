"""Settings of a box against the pounds that it delivered, with the fitted line and where one more catch would lie."""

import math
from dataclasses import dataclass

from blends.pictures.shapes import (
    TEXT_PX,
    WIDTH,
    Picture,
    Table,
    circles,
    label,
    line,
    linear,
    polyline,
    written,
)

_LEFT, _RIGHT, _TOP, _BOTTOM, _FOOT = 44, WIDTH - 12, 26, 206, 40
_STEPS = 24  # of the band's edges


@dataclass(frozen=True)
class Point:
    """One calibration: `lb_per_acre` is drawn, `caught_lb_per_acre` what was caught, of seed of another weight maybe."""

    setting: float
    lb_per_acre: float
    caught_lb_per_acre: float
    day: str
    of: str
    gear: str


def calibration_picture(
    key, points, fit, factor, *, unit="lb/ac", wanted=None, setting=None, low=None, high=None
):
    """Points with the line of `fit`.

    Parameters
    ----------
    key : str
    points : list of Point
        At least one.
    fit : Fit
        Of calc.settings_fit.
    factor : float
        Pounds an acre for one of the fit's unit: the weight of a cubic foot by volume, else 1.
    unit : str
    wanted, setting, low, high : float, optional
        A rate, and the setting that should deliver it with its interval.
    """
    x_low, x_high = _scale([p.setting for p in points] + [x for x in (setting, low, high) if x is not None])
    tops = [p.lb_per_acre for p in points] + ([wanted] if wanted else [])
    y_high = _round_up(max(tops) * 1.12)
    place = _Place(x_low, x_high, y_high)
    shapes = [*_axes(place, unit)]
    edges = _band(fit, factor, x_low, x_high)
    if edges:
        upper, lower = ([place(x, y) for x, y in edge] for edge in edges)
        shapes.append(polyline([*upper, *reversed(lower)], "p-area", closed=True))
        shapes += [polyline(edge, "p-edge") for edge in (upper, lower)]
    if fit.rises:
        ends = [(x, factor * fit.delivered(x)) for x in _inside(fit, factor, x_low, x_high, y_high)]
        shapes.append(polyline([place(x, y) for x, y in ends], "p-line"))
    if wanted and setting is not None:
        x, y = place(setting, wanted)
        shapes += [
            line(_LEFT, y, x, y, "p-mark"),
            line(x, y, x, _BOTTOM, "p-mark"),
            label(min(max(x, _LEFT + 16), _RIGHT - 16), _BOTTOM - 6, written(setting, 1), "p-text p-onpaper p-strong", "middle"),
        ]  # fmt: skip
        if low is not None:
            shapes.append(line(place(low, 0)[0], _BOTTOM, place(high, 0)[0], _BOTTOM, "p-range"))
    shapes.append(circles([place(p.setting, p.lb_per_acre) for p in points], 5, "p-soil-mark"))
    return Picture(
        key=key,
        title="Settings and what they delivered",
        description=_told(points, fit, wanted, setting, low, high, unit),
        height=_BOTTOM + _FOOT,
        shapes=shapes,
        table=Table(
            ["On", "Setting", "Range or gear", "In the box", "Caught", "As drawn"],
            [
                [p.day, written(p.setting, 1), p.gear or "none noted", p.of,
                 written(p.caught_lb_per_acre, 1, " lb/ac"), written(p.lb_per_acre, 1, f" {unit}")]
                for p in points
            ],
        ),
        legend=_legend(edges),
    )  # fmt: skip


def _legend(edges):
    found = [("soil-0", "a calibration")]
    if edges:
        found.append(("calibration-band", "where 9 of 10 more catches would lie"))
    return found


@dataclass(frozen=True)
class _Place:
    x_low: float
    x_high: float
    y_high: float

    def __call__(self, setting, lb_per_acre):
        return (
            linear(setting, self.x_low, self.x_high, _LEFT, _RIGHT),
            linear(lb_per_acre, 0, self.y_high, _BOTTOM, _TOP),
        )


def _axes(place, unit):
    shapes = [label(0, 14, unit, "p-text p-strong")]
    for part in (0, 0.5, 1):
        value = place.y_high * part
        y = place(0, value)[1]
        shapes += [
            line(_LEFT, y, _RIGHT, y, "p-axis" if part == 0 else "p-grid"),
            label(_LEFT - 6, y + TEXT_PX * 0.35, f"{value:g}", "p-text p-faint", "end"),
        ]
    for value in _ticks(place.x_low, place.x_high):
        x = place(value, 0)[0]
        shapes += [
            line(x, _BOTTOM, x, _BOTTOM + 5, "p-axis"),
            label(x, _BOTTOM + 19, f"{value:g}", "p-text p-faint", "middle"),
        ]
    shapes.append(label(_RIGHT, _BOTTOM + 36, "setting", "p-text p-strong", "end"))
    return shapes


def _scale(values):
    low, high = min(values), max(values)
    room = max((high - low) * 0.15, abs(high) * 0.1, 1)
    return max(0.0, low - room), high + room


def _ticks(low, high):
    """Round values, four to seven of them."""
    step = 10 ** math.floor(math.log10((high - low) / 3))
    step = next(step * each for each in (1, 2, 5, 10) if (high - low) / (step * each) <= 6)
    first = math.ceil(low / step)
    return [number * step for number in range(first, math.floor(high / step) + 1)]


def _round_up(value):
    step = 10 ** math.floor(math.log10(value)) if value > 0 else 1
    return next(step * each for each in (1, 2, 3, 4, 5, 6, 8, 10) if step * each >= value)


def _band(fit, factor, x_low, x_high):
    """(upper, lower) edges of the prediction band; None without scatter."""
    if fit.scatter is None or not fit.rises:
        return None
    xs = [x_low + (x_high - x_low) * number / _STEPS for number in range(_STEPS + 1)]
    bands = [(x, fit.band(x)) for x in xs]
    return [(x, factor * band[1]) for x, band in bands], [(x, factor * band[0]) for x, band in bands]


def _inside(fit, factor, x_low, x_high, y_high):
    """The settings between which the line lies inside the picture."""
    at_zero = -fit.intercept / fit.slope
    at_top = (y_high / factor - fit.intercept) / fit.slope
    return max(x_low, at_zero), min(x_high, at_top)


def _told(points, fit, wanted, setting, low, high, unit):
    each = "; ".join(f"setting {p.setting:g} delivered {written(p.lb_per_acre, 1)} {unit}" for p in points)
    told = f"{each[:1].upper()}{each[1:]}."
    if not fit.rises:
        return f"{told} A higher setting did not deliver more."
    if wanted and setting is not None:
        told += f" {written(wanted, 1)} {unit} at setting {written(setting, 1)}"
        told += f", {written(low, 1)} to {written(high, 1)}." if low is not None else "."
    return told
