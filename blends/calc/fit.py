"""How the components of a blend fit each other: depth, warmth, families, and how much seed there is.

Unknown is NaN, or an empty text for a family. An unknown depth is neither in nor out of a window, and an unknown
temperature is named by its place so that a sentence can say whose it is.
"""

from typing import NamedTuple

import numpy as np

CROWDED_SHARE, THIN_SHARE = 1.2, 0.8
"""About 100 % of full rates is a full stand, well over is crowding; that 20 % to either side is still "about" is
our choice."""
MOST_SEASONS_IN_A_ROW = 2
"""One plant family more often than this, season after season on the same ground, feeds its pests and diseases
(common practice, no source)."""


class DepthSettings(NamedTuple):
    """The fewest drill settings that put every seed within its depths.

    Attributes
    ----------
    low_in, high_in : ndarray, shape (settings,)
        The depths that suit all seed of a setting, the shallowest setting first. [in]
    setting_of : ndarray of int, shape (species,)
        Which setting a species is sown with; -1 where its depths are not known.
    """

    low_in: np.ndarray
    high_in: np.ndarray
    setting_of: np.ndarray

    @property
    def is_one_pass(self):
        return len(self.low_in) == 1


def depth_settings(depth_in_low, depth_in_high):
    """The fewest drill settings that put every seed within its depths.

    One setting does while the largest of the low depths is not below the smallest of the high ones. Where it
    does not, seed is grouped from the shallowest on: a setting takes every species that reaches up to the
    shallowest limit in it, so that no seed lies deeper than it may, and no grouping has fewer settings.

    Parameters
    ----------
    depth_in_low, depth_in_high : array_like, shape (species,)
        [in]; NaN where not known.

    Returns
    -------
    DepthSettings

    Raises
    ------
    ValueError
        A depth below 0, or a low depth that is deeper than the high one.

    References
    ----------
    By definition; the grouping is the least number of points that meet every interval.

    Examples
    --------
    Corn at 1.5 to 2 in, oats at 0.5 to 1.5, clover at 0.25 to 0.5, and a species of which nothing is known:

    >>> depth_settings([1.5, 0.5, 0.25, None], [2, 1.5, 0.5, None])
    DepthSettings(low_in=array([0.5, 1.5]), high_in=array([0.5, 2. ]), setting_of=array([ 1,  0,  0, -1]))
    >>> depth_settings([], []).setting_of
    array([], dtype=int64)
    """
    low, high = (np.asarray(values, dtype=float) for values in (depth_in_low, depth_in_high))
    if (low < 0).any() or (high < 0).any():
        raise ValueError(f"depth is {np.nanmin([low, high]):g} in; accepted is a number of 0 in or more")
    if (low > high).any():
        at = np.argmax(low > high)
        raise ValueError(f"low depth is {low[at]:g} in, above the high depth of {high[at]:g} in")
    setting_of = np.full(low.shape, -1)
    waiting = ~np.isnan(low + high)
    windows = []
    while waiting.any():
        reach = high[waiting].min()
        chosen = waiting & (low <= reach)
        setting_of[chosen] = len(windows)
        windows.append((low[chosen].max(), reach))
        waiting &= ~chosen
    lows, highs = np.array(windows, dtype=float).reshape(-1, 2).T
    return DepthSettings(lows, highs, setting_of)


class SoilTemperature(NamedTuple):
    """The soil temperature from which all can be sown.

    Attributes
    ----------
    lowest_f : float
        The highest of the species' own lowest ones; NaN where none is known. With unknown ones beside it, it is
        "at least". [°F]
    set_by : list of int
        Places of the species that set it.
    unknown : list of int
        Places of the species whose temperature is not known.
    """

    lowest_f: float
    set_by: list
    unknown: list


def soil_temperature_for_all(min_soil_temp_f):
    """The lowest soil temperature that suits every species: the highest of their own lowest ones.

    Parameters
    ----------
    min_soil_temp_f : array_like, shape (species,)
        [°F]; NaN where not known.

    Returns
    -------
    SoilTemperature

    References
    ----------
    By definition.

    Examples
    --------
    >>> soil_temperature_for_all([45, 65, None])
    SoilTemperature(lowest_f=65.0, set_by=[1], unknown=[2])
    >>> soil_temperature_for_all([])
    SoilTemperature(lowest_f=nan, set_by=[], unknown=[])
    """
    each = np.asarray(min_soil_temp_f, dtype=float)
    unknown = np.isnan(each)
    lowest = each[~unknown].max() if (~unknown).any() else np.nan
    return SoilTemperature(
        float(lowest), np.flatnonzero(each == lowest).tolist(), np.flatnonzero(unknown).tolist()
    )


def seasons_in_a_row(families_by_season):
    """For how many seasons in a row the ground has had each plant family, up to the newest season.

    Parameters
    ----------
    families_by_season : list of collection of str
        Families that grew on the plot, the newest season first; an empty one for a season in which it lay
        fallow or of which nothing is recorded. Either ends the row: what is not recorded is not counted.

    Returns
    -------
    dict of str to int
        Seasons, for the families of the newest season.

    References
    ----------
    By definition.

    Examples
    --------
    >>> counts = seasons_in_a_row([{"Poaceae", "Fabaceae"}, {"Poaceae"}, {"Poaceae"}, set(), {"Poaceae"}])
    >>> sorted(counts.items())
    [('Fabaceae', 1), ('Poaceae', 3)]
    >>> seasons_in_a_row([])
    {}
    """
    counts = dict.fromkeys(families_by_season[0], 1) if families_by_season else {}
    running = set(counts)
    for families in families_by_season[1:]:
        running &= set(families)
        for family in running:
            counts[family] += 1
    return counts


def crowding(sum_of_shares):
    """Whether the shares of full rates add up to about a full stand.

    Parameters
    ----------
    sum_of_shares : float
        Of the full-rate shares of all species. [-]

    Returns
    -------
    str
        "crowded" above 120 %, "thin" below 80 %, "full" between; "" where the sum is not known.

    References
    ----------
    "Reclamation seed mixture and cultural practices", Colorado Division of Reclamation, Mining and Safety: the
    shares of a full stand add up to 100 %. The 20 % to either side are our choice.

    Examples
    --------
    >>> [crowding(share) for share in (1.35, 1.0, 0.5, float("nan"))]
    ['crowded', 'full', 'thin', '']
    """
    if np.isnan(sum_of_shares):
        return ""
    if sum_of_shares > CROWDED_SHARE:
        return "crowded"
    return "thin" if sum_of_shares < THIN_SHARE else "full"
