"""The setting of a box for a rate, from what was caught before at other settings.

A fluted roll or a gate meters volume, so cubic feet an acre are fitted against the setting where densities are known,
and then any seed of that box counts; otherwise pounds an acre of the same seed alone. The line gives what a setting
delivers; the setting is read from it backwards. That is the calibration problem, and its interval is that of an
inverse prediction (Fieller): where, on the day, the setting lies that delivers the rate, the scatter of a single
calibration included.
"""

import math
from dataclasses import dataclass

import numpy as np
from scipy import stats

from plots.calc.described import PRACTICE, Source

LEVEL = 0.90
"""Of the interval. Our choice."""
_SAME_SETTING = 1e-9

NIST = Source(
    "e-Handbook of Statistical Methods, sections 2.3.6 and 4.1.3.2, calibration",
    "NIST/SEMATECH",
    "2012",
    "https://www.itl.nist.gov/div898/handbook/",
    note="Its program's manual page on calibration was read in 2026; the handbook's sections are from memory.",
)
INVERSE = Source(
    "investr: An R Package for Inverse Estimation",
    "The R Journal 6/1",
    "2014",
    "https://doi.org/10.32614/RJ-2014-009",
    note="The closed form of the interval.",
)
STRAIGHT = Source(
    "Delivery rises in a straight line with the setting, and for one catch alone in proportion",
    basis=PRACTICE,
    note="Common practice, no source.",
)
SOURCES = (NIST, INVERSE, STRAIGHT)


@dataclass(frozen=True)
class Fit:
    """A line through catches: delivered = intercept + slope × setting.

    Attributes
    ----------
    n : int
        Catches.
    slope, intercept : float
    lowest, highest : float
        Settings that were caught at.
    scatter : float or None
        Standard deviation of one catch about the line; None with two catches or fewer.
    mean_setting, sum_of_squares : float
        Of the settings, about their mean.
    is_proportional : bool
        Through zero, since there is one setting alone.
    """

    n: int
    slope: float
    intercept: float
    lowest: float
    highest: float
    scatter: float | None
    mean_setting: float
    sum_of_squares: float
    is_proportional: bool = False

    @property
    def rises(self):
        return self.slope > 0

    def delivered(self, setting):
        return self.intercept + self.slope * setting

    def band(self, setting, level=LEVEL):
        """(low, high) of what one more catch at the setting delivers; None where there is no scatter to tell from."""
        if self.scatter is None:
            return None
        spread = 1 + 1 / self.n + (setting - self.mean_setting) ** 2 / self.sum_of_squares
        half = _t(level, self.n) * self.scatter * math.sqrt(spread)
        return self.delivered(setting) - half, self.delivered(setting) + half


@dataclass(frozen=True)
class FittedSetting:
    """A setting for a rate, and how sure it is.

    Attributes
    ----------
    setting : float or None
        None where the catches give none; `basis` says why.
    low, high : float or None
        90 % interval; None where nothing can be said.
    basis : str
        Sentences: what it rests on, and what is wrong with it.
    n : int
        Catches behind it.
    is_outside : bool
        Outside the settings that were caught at, or outside the machine's own.
    by_volume : bool
        From cubic feet of any seed; otherwise from pounds of the same seed.
    fit : Fit or None
    """

    setting: float | None
    low: float | None
    high: float | None
    basis: str
    n: int
    is_outside: bool = False
    by_volume: bool = False
    fit: Fit | None = None


def line_through(settings, delivered):
    """Least squares through catches; in proportion, through their mean, where they are at one setting.

    Parameters
    ----------
    settings, delivered : sequences of float, of one length of at least 1

    Returns
    -------
    Fit
    """
    x, y = np.asarray(settings, float), np.asarray(delivered, float)
    n, mean = len(x), float(x.mean())
    squares = float(((x - mean) ** 2).sum())
    ends = float(x.min()), float(x.max())
    if ends[1] - ends[0] <= _SAME_SETTING * max(1.0, abs(mean)):
        slope = float(y.mean()) / mean if mean > 0 else 0.0
        return Fit(n, slope, 0.0, *ends, None, mean, squares, is_proportional=True)
    slope = float(((x - mean) * (y - y.mean())).sum()) / squares
    intercept = float(y.mean()) - slope * mean
    scatter = None
    if n > 2:
        scatter = math.sqrt(float(((y - intercept - slope * x) ** 2).sum()) / (n - 2))
    return Fit(n, slope, intercept, *ends, scatter, mean, squares)


def setting_for(fit, wanted, level=LEVEL):
    """(setting, low, high) that delivers `wanted`; low and high None where the catches cannot bound it.

    The interval holds, in the share `level` of calibrations, the setting at which a single catch delivers `wanted`:
    the roots of the prediction band, as Fieller's theorem has them. Where the slope is not told from a level line at
    `level`, the band never closes and there is none.

    Returns
    -------
    tuple of float or None
    """
    if not fit.rises:
        return None, None, None
    setting = (wanted - fit.intercept) / fit.slope
    if fit.scatter is None:
        return setting, None, None
    off = setting - fit.mean_setting
    t_s = _t(level, fit.n) * fit.scatter
    g = t_s**2 / (fit.slope**2 * fit.sum_of_squares)
    if g >= 1:
        return setting, None, None
    half = (t_s / fit.slope) * math.sqrt((1 + 1 / fit.n) * (1 - g) + off**2 / fit.sum_of_squares)
    middle = fit.mean_setting + off / (1 - g)
    return setting, middle - half / (1 - g), middle + half / (1 - g)


def fitted(settings, delivered, wanted, *, by_volume, lowest=None, highest=None, level=LEVEL):
    """A FittedSetting from catches at settings.

    Parameters
    ----------
    settings, delivered : sequences of float
        What was set, and what came out: ft³/ac by volume, otherwise lb/ac.
    wanted : float
        In the same unit.
    by_volume : bool
    lowest, highest : float or None
        What the machine can be set to.

    Returns
    -------
    FittedSetting or None
        None without any catch.
    """
    if not len(settings):
        return None
    fit = line_through(settings, delivered)
    setting, low, high = setting_for(fit, wanted, level)
    said = [_rests_on(fit, by_volume)]
    if setting is None or setting <= 0:
        said.append(_no_setting(fit, setting))
        return FittedSetting(None, None, None, " ".join(said), fit.n, False, by_volume, fit)
    said += _how_sure(fit, low, level)
    is_outside = False
    if not fit.is_proportional and not fit.lowest <= setting <= fit.highest:
        is_outside = True
        said.append(
            f"Outside the settings caught at, {fit.lowest:g} to {fit.highest:g}: catch before you sow."
        )
    elif fit.is_proportional and abs(setting - fit.lowest) > _SAME_SETTING * max(1.0, fit.lowest):
        is_outside = True
        said.append(f"Caught at {fit.lowest:g} alone: catch before you sow.")
    if beyond := _beyond(setting, lowest, highest):
        is_outside = True
        said.append(beyond)
    low = low if low is None else max(low, 0.0)
    return FittedSetting(setting, low, high, " ".join(said), fit.n, is_outside, by_volume, fit)


def _t(level, n):
    return float(stats.t.ppf((1 + level) / 2, n - 2))


def _rests_on(fit, by_volume):
    catches = f"{fit.n} calibration{'s' if fit.n > 1 else ''}"
    seed = "cubic feet of any seed in this box" if by_volume else "pounds of the same seed"
    return f"From {catches}, by {seed}."


def _how_sure(fit, low, level):
    if fit.is_proportional:
        return ["In proportion, through zero. How far off it may be is not known from one setting."]
    if fit.scatter is None:
        return ["The line through two. How far off it may be is not known before a third."]
    if low is None:
        return ["The catches scatter too widely for a range; calibrate again."]
    return [f"Range: {level:.0%} interval of the inverse prediction.".replace("%", " %")]


def _no_setting(fit, setting):
    if setting is not None:
        return "The line reaches this rate at no setting above 0; use a slower gear or another way to sow it."
    if fit.is_proportional:
        return "Nothing came out, so no setting follows from it."
    return (
        "A higher setting did not deliver more in these calibrations, so no setting follows from them. Look for one "
        "that was typed wrongly or caught in another gear, and strike it."
    )


def _beyond(setting, lowest, highest):
    if lowest is not None and setting < lowest:
        return f"Below {lowest:g}, the lowest that this machine can be set to."
    if highest is not None and setting > highest:
        return f"Above {highest:g}, the highest that this machine can be set to."
    return ""
