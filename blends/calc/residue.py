"""Residue of a blend: its dry matter, its carbon to nitrogen, and what that means on the ground.

Until plots are clipped, a component's dry matter is worked out from its share of the full rate and from what its
species makes when it is sown alone. Carbon and nitrogen are summed over dry mass before they are divided:
C:N = Σ carbon ÷ Σ nitrogen. The mean of the components' ratios is a different number, and wrong.
"""

from typing import NamedTuple

import numpy as np

from blends.calc.compost import RIGHT_MIX
from plots.calc.described import MEMORY, PRACTICE, BadInput, Quantity, Source, described

CARBON_PCT = 42.0  # of dry matter, for every plant; see CARBON
CARBON = Source(
    "Carbon of plants taken as 42 % of dry matter",
    basis=PRACTICE,
    note="One value for every species, as in the species table; sources have about 40 (Kansas State University) "
    "to 45 %.",
)
RATIOS_TABLE = Source(
    "Carbon to Nitrogen Ratios in Cropping Systems, table 1",
    "USDA NRCS, reprinted by Ohio State University Extension, Henry County",
    "2018",
    "https://u.osu.edu/henryag/2018/05/14/understand-carbon-to-nitrogen-ratios-before-buying-cover-crop-seed/",
)
STAND = Source(
    "Dry matter in a blend taken as the species' share of its full rate × its dry matter alone",
    basis=PRACTICE,
    note="An assumption that stands until plots are clipped: it knows no help or shading among species. Where the "
    "shares add up to more than 1 they are scaled down to 1, since crowding does not multiply the residue.",
)
NOT_A_MEAN = (
    "The mean of the components' ratios is a different number and wrong: equal parts of rye at 37 and vetch at 11 "
    "make 17, not 24."
)


# --- dry matter -------------------------------------------------------------------------------------------------


def dry_matter_shares(share_of_full_rate):
    """Each species' part of a full stand: its share of the full rate, scaled down where all exceed 1 together.

    A thin stand stays thin. A crowded one makes no more than a full one, divided by the shares.

    Parameters
    ----------
    share_of_full_rate : array_like, shape (..., species)
        0 or more; 0.5 is half of the species' rate alone. [-]

    Returns
    -------
    ndarray, same shape
        [-], adding up to at most 1; all NaN where one share is missing, since crowding is then unknown.

    Raises
    ------
    BadInput
        A negative share, or no list.

    References
    ----------
    Our assumption, see `STAND`.

    Examples
    --------
    >>> dry_matter_shares([0.5, 0.25])
    array([0.5 , 0.25])
    >>> dry_matter_shares([1.5, 0.5])
    array([0.75, 0.25])
    >>> dry_matter_shares([0.5, None])
    array([nan, nan])
    """
    share = Quantity("share_of_full_rate", "Share of the full rate", least=0, is_list=True).checked(
        share_of_full_rate
    )
    return share / np.maximum(share.sum(axis=-1, keepdims=True), 1)


def dry_matter_lb_per_acre(share_of_full_rate, full_dry_matter_lb_per_acre):
    """Dry matter that each species of a blend leaves: its part of a full stand × its dry matter alone.

    Parameters
    ----------
    share_of_full_rate : array_like, shape (..., species)
        0 or more; scaled as `dry_matter_shares` does. [-]
    full_dry_matter_lb_per_acre : array_like, shape (..., species)
        Above ground, of the species sown alone, 0 or more. [lb/acre]

    Returns
    -------
    ndarray, shape (..., species)
        [lb/acre]; NaN for a species whose dry matter is missing, for all where a share is.

    Raises
    ------
    BadInput
        A negative share or dry matter, or no list.

    References
    ----------
    Our assumption, see `STAND`.

    Examples
    --------
    >>> dry_matter_lb_per_acre([0.5, 0.25], [8000, 4000])
    array([4000., 1000.])
    >>> dry_matter_lb_per_acre([1.5, 0.5], [8000, None])
    array([6000.,   nan])
    """
    full = _checked_dry_matter(
        "full_dry_matter_lb_per_acre", "Dry matter of the species alone", full_dry_matter_lb_per_acre
    )
    return dry_matter_shares(share_of_full_rate) * full


# --- carbon to nitrogen -----------------------------------------------------------------------------------------

_DRY_MATTER = Quantity(
    "dry_matter_lb_per_acre", "Dry matter", "lb/acre", least=0, is_list=True, example=[1000, 500]
)
_CARBON = Quantity(
    "carbon_pct",
    "Carbon",
    "%",
    above=0,
    most=100,
    is_list=True,
    example=[42, 42],
    help="Of the dry matter. About 42 for plants where nothing better is known.",
)
_NITROGEN = Quantity(
    "nitrogen_pct",
    "Nitrogen",
    "%",
    above=0,
    most=100,
    is_list=True,
    example=[1.1, 3.5],
    help="Of the dry matter.",
)
_CN = Quantity("cn", "C:N", decimals=1)


@described(
    title="C:N of a mixture",
    topic="nitrogen",
    inputs=[_DRY_MATTER, _CARBON, _NITROGEN],
    answer=_CN,
    formula="sum of (dry matter × carbon %) ÷ sum of (dry matter × nitrogen %)",
    sources=[RIGHT_MIX, CARBON],
    notes=["All on dry mass; any unit of mass will do.", NOT_A_MEAN],
)
def residue_cn_ratio(dry_matter_lb_per_acre, carbon_pct, nitrogen_pct):
    """Carbon to nitrogen of several residues together.

    Examples
    --------
    >>> residue_cn_ratio([[1000, 500], [1000, None]], [42, 40], [1.1, 3.5]).round(2)
    array([21.75,   nan])
    >>> residue_cn_ratio([0, 0], [42, 40], [1.1, 3.5])
    Traceback (most recent call last):
    plots.calc.described.BadInput: Dry matter is 0 for every component; accepted is more than 0 for at least one
    """
    _refuse_nothing(dry_matter_lb_per_acre)
    carbon = (dry_matter_lb_per_acre * carbon_pct).sum(axis=-1)
    return carbon / (dry_matter_lb_per_acre * nitrogen_pct).sum(axis=-1)


@described(
    title="C:N of a mixture from the ratios",
    topic="nitrogen",
    inputs=[
        _DRY_MATTER,
        Quantity("cn", "C:N of each", above=0, is_list=True, example=[37, 11]),
    ],
    answer=Quantity("cn_of_mixture", "C:N", decimals=1),
    formula="sum of dry matter ÷ sum of (dry matter ÷ C:N)",
    sources=[RATIOS_TABLE, CARBON],
    notes=["Holds where all have the same carbon content, as plants nearly have.", NOT_A_MEAN],
)
def residue_cn_from_ratios(dry_matter_lb_per_acre, cn):
    """Carbon to nitrogen of several residues of which only the ratios are known.

    Examples
    --------
    >>> residue_cn_from_ratios([[1000, 1000], [1000, None]], [37, 11]).round(2)
    array([16.96,   nan])
    """
    _refuse_nothing(dry_matter_lb_per_acre)
    return dry_matter_lb_per_acre.sum(axis=-1) / (dry_matter_lb_per_acre / cn).sum(axis=-1)


class CNBand(NamedTuple):
    """Lowest, likely and highest C:N of a blend."""

    low: float
    likely: float
    high: float


def cn_band(
    dry_matter_low_lb_per_acre,
    dry_matter_high_lb_per_acre,
    carbon_pct,
    nitrogen_pct,
    dry_matter_likely_lb_per_acre=None,
):
    """C:N of a blend whose dry matter is known as ranges: the exact least and greatest, and the likely.

    Each mass may lie anywhere in its range, whatever the others do. Σ m·c ÷ Σ m·n over such a box is least where
    the components with a ratio below some threshold are at their most and the others at their least, and greatest
    the other way round. So with the components in the order of their ratios, one candidate for each place of the
    threshold is enough, n + 1 for each end in place of 2ⁿ corners.

    Parameters
    ----------
    dry_matter_low_lb_per_acre, dry_matter_high_lb_per_acre : array_like, shape (..., species)
        0 or more, the low at most the high. [lb/acre]
    carbon_pct, nitrogen_pct : array_like, shape (..., species) or scalar
        Of the dry matter, above 0, at most 100. [%]
    dry_matter_likely_lb_per_acre : array_like, shape (..., species), optional
        Within the ranges; their middle when left out. [lb/acre]

    Returns
    -------
    CNBand
        low, likely, high; each of shape (...). [-] NaN where an input is missing. The three are one figure where
        the ranges have no width, and where all ratios are the same.

    Raises
    ------
    BadInput
        A value outside what is accepted; a low above its high; no dry matter for any component.

    References
    ----------
    The ratio by definition; the extremes by linear-fractional programming over a box, proved against all corners
    in the tests.

    Examples
    --------
    >>> band = cn_band([1000, 500], [[3000, 1500], [3000, None]], 42, [1.0, 3.5])
    >>> band.low.round(1), band.likely.round(1), band.high.round(1)
    (array([16.8,  nan]), array([22.9,  nan]), array([30.9,  nan]))
    """
    low = _checked_dry_matter("dry_matter_low_lb_per_acre", "Lowest dry matter", dry_matter_low_lb_per_acre)
    high = _checked_dry_matter(
        "dry_matter_high_lb_per_acre", "Highest dry matter", dry_matter_high_lb_per_acre
    )
    likely = (
        (low + high) / 2
        if dry_matter_likely_lb_per_acre is None
        else _checked_dry_matter(
            "dry_matter_likely_lb_per_acre", "Likely dry matter", dry_matter_likely_lb_per_acre
        )
    )
    _refuse_disorder("dry_matter_low_lb_per_acre", "Lowest dry matter", low, "highest", high)
    _refuse_disorder("dry_matter_low_lb_per_acre", "Lowest dry matter", low, "likely", likely)
    _refuse_disorder("dry_matter_likely_lb_per_acre", "Likely dry matter", likely, "highest", high)
    _refuse_nothing(high, "dry_matter_high_lb_per_acre")
    low, high, likely, carbon, nitrogen = np.broadcast_arrays(
        low,
        high,
        likely,
        _checked_content("carbon_pct", "Carbon", carbon_pct),
        _checked_content("nitrogen_pct", "Nitrogen", nitrogen_pct),
    )
    order = np.argsort(carbon / nitrogen, axis=-1)
    low, high, likely, carbon, nitrogen = (
        np.take_along_axis(each, order, axis=-1) for each in (low, high, likely, carbon, nitrogen)
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        middle = (likely * carbon).sum(axis=-1) / (likely * nitrogen).sum(axis=-1)
        least = _threshold_ratios(high, low, carbon, nitrogen)
        most = _threshold_ratios(low, high, carbon, nitrogen)
    is_known = ~np.isnan(low + high + likely + carbon + nitrogen).any(axis=-1)
    ends = (np.fmin.reduce(least, axis=-1), middle, np.fmax.reduce(most, axis=-1))
    bottom, middle, top = (np.where(is_known, end, np.nan) for end in ends)
    # `likely` lies in the box; what it exceeds the ends by is the noise of another order of adding up.
    return CNBand(np.fmin(bottom, middle)[()], middle[()], np.fmax(top, middle)[()])


def _threshold_ratios(below, above, carbon, nitrogen):
    """C:N with the first k components at `below` and the rest at `above`, for k of 0 to n along the last axis.

    0 ÷ 0, where such a choice leaves no mass at all, is NaN.
    """
    before = np.zeros((*below.shape[:-1], 1))

    def sums(content):
        first = np.concatenate([before, np.cumsum(below * content, axis=-1)], axis=-1)
        rest = np.concatenate([before, np.cumsum((above * content)[..., ::-1], axis=-1)], axis=-1)
        return first + rest[..., ::-1]

    return sums(carbon) / sums(nitrogen)


# --- what a C:N means -------------------------------------------------------------------------------------------

FAST_BELOW_CN = 20.0  # RATIOS_TABLE: rotted manure 20; below it nitrogen is let go early
DIET_CN = 24.0  # RATIOS_TABLE: what soil microbes live on
LASTING_ABOVE_CN = 30.0  # from memory, see LASTING
LASTING = Source(
    "Residue above a C:N of 30 lasts and ties nitrogen up for a time",
    basis=MEMORY,
    note=f"{FAST_BELOW_CN:g} and {DIET_CN:g} are published.",
)
CN_SOURCES = (RATIOS_TABLE, LASTING)
OBJECTIVE_ZONES = {
    "hold_weeds": (LASTING_ABOVE_CN, None),
    "feed_next": (None, FAST_BELOW_CN),
    "balance": (FAST_BELOW_CN, LASTING_ABOVE_CN),
}
"""By what a plot's residue is for, the C:N that is wanted: (lowest, highest), None where that side is open."""


class CNMeaning(NamedTuple):
    """What residue of a C:N does: `key` is fast, balanced or lasting."""

    key: str
    label: str
    sentence: str


CN_MEANINGS = {
    "fast": CNMeaning(
        "fast",
        "breaks down fast",
        "Below 20: it breaks down fast, feeds the next crop early and leaves little mulch.",
    ),
    "balanced": CNMeaning(
        "balanced",
        "balanced",
        "20 to 30: balanced. 24 is the diet of the soil's microbes, which then neither take up nor let go much "
        "nitrogen.",
    ),
    "lasting": CNMeaning(
        "lasting",
        "lasts",
        "Above 30: it lasts as mulch and ties up nitrogen for a time, so the next crop may want for it.",
    ),
}


def cn_meaning(cn):
    """What a C:N means on the ground; the edges 20 and 30 are balanced.

    Parameters
    ----------
    cn : float or None
        Above 0. [-]

    Returns
    -------
    CNMeaning or None
        None where the C:N is not known.

    References
    ----------
    `CN_SOURCES`: 20 and 24 published, 30 from memory.

    Examples
    --------
    >>> cn_meaning(17).key, cn_meaning(24).key, cn_meaning(37).key
    ('fast', 'balanced', 'lasting')
    >>> cn_meaning(None)
    """
    if cn is None or np.isnan(cn):
        return None
    if cn < FAST_BELOW_CN:
        return CN_MEANINGS["fast"]
    return CN_MEANINGS["lasting" if cn > LASTING_ABOVE_CN else "balanced"]


def cn_gap(cn, zone):
    """How far a C:N is from a zone: 0 inside, negative when it falls short, positive when it goes beyond.

    Parameters
    ----------
    cn : array_like
        [-]
    zone : tuple of (float or None, float or None)
        Lowest and highest, None where that side is open; a value of `OBJECTIVE_ZONES`.

    Returns
    -------
    float or ndarray
        [-]; NaN where the C:N is not known.

    References
    ----------
    By definition.

    Examples
    --------
    >>> cn_gap([26, 37, None], OBJECTIVE_ZONES["hold_weeds"])
    array([-4.,  0., nan])
    >>> cn_gap([24, 17], OBJECTIVE_ZONES["feed_next"])
    array([4., 0.])
    """
    low, high = zone
    cn = np.asarray(cn, dtype=float)
    return (cn - np.clip(cn, -np.inf if low is None else low, np.inf if high is None else high))[()]


# --- refusals ---------------------------------------------------------------------------------------------------


def _checked_dry_matter(name, label, values):
    return Quantity(name, label, "lb/acre", least=0, is_list=True).checked(values)


def _checked_content(name, label, values):
    return Quantity(name, label, "%", above=0, most=100).checked(values)


def _refuse_nothing(dry_matter_lb_per_acre, field="dry_matter_lb_per_acre"):
    if (dry_matter_lb_per_acre == 0).all(axis=-1).any():
        raise BadInput(field, "Dry matter is 0 for every component; accepted is more than 0 for at least one")


def _refuse_disorder(field, label, lower, upper_label, upper):
    is_wrong = lower > upper
    if is_wrong.any():
        lower, upper = (np.broadcast_to(each, is_wrong.shape)[is_wrong][0] for each in (lower, upper))
        raise BadInput(
            field, f"{label} is {lower:g} lb/acre; accepted is at most the {upper_label}, {upper:g} lb/acre"
        )
