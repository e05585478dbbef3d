"""A planting sheet's pounds: which lot brings how much, and what goes into the hopper with each fill.

Pounds that somebody weighs are whole hundredths of a pound, so that fills add up to the plot's pounds as they are
read. What a fill holds, followed by hand:

    a level-full box of 8 ft³ of a mix of 30 lb/ft³            8 × 30        = 240 lb a full fill
    a plot that takes 500 lb of it                             500 ÷ 240     = 2 full fills and 500 − 480 = 20 lb
    of which 400 lb are rye and 100 lb are vetch               240 × 400/500 = 192 lb rye, 48 lb vetch in a full fill
                                                               400 − 384     = 16 lb rye and 4 lb vetch in the last
"""

import math
from dataclasses import dataclass
from typing import NamedTuple

from blends.calc.money import split_cents

HUNDREDTHS = 100
"""What is weighed: hundredths of a pound, about 4.5 g."""
ENOUGH_LB = 0.005
"""Seed that is lacking or too much by less than this is a matter of rounding. [lb PLS]"""
MOST_FILLS = 500
"""More fills than this are no plan for a day; ours."""
LIKE_EACH_OTHER = 10
"""Full fills are written alike where each component has at least so many hundredths of a pound in one: then no fill
is off by more than a twentieth of it. With less, each fill is rounded on its own. Ours."""


class LotShares(NamedTuple):
    """What each of several lots of one item brings.

    Attributes
    ----------
    lb : list of float
        By lot. [lb bulk]
    short_pls_lb : float
        What no lot brings. [lb PLS]
    over_pls_lb : float
        What the lots bring beyond the rate. [lb PLS]
    """

    lb: list
    short_pls_lb: float
    over_pls_lb: float


def lot_shares(pls_lb, live_fractions, fixed_lb):
    """Bulk pounds of each lot, so that the live seed of all of them is what the plot takes.

    Parameters
    ----------
    pls_lb : float
        What the plot takes. [lb PLS; lb bulk of a bought mix, with 1 as its live fractions]
    live_fractions : list of float
        By lot, above 0 and at most 1. [-]
    fixed_lb : list of float or None
        By lot; None, in one of them at most, is whatever the others leave. [lb bulk]

    Returns
    -------
    LotShares

    Raises
    ------
    ValueError
        Two lots that are to bring the rest; a fraction or pounds that cannot be.

    References
    ----------
    PLS ÷ live fraction = bulk: "Reclamation seed mixture and cultural practices", Colorado Division of Reclamation,
    Mining and Safety. The rest: by definition.

    Examples
    --------
    20 lb PLS from 10 lb of a lot that is 80 % alive, the rest from one of 60 %: 20 − 8 = 12 lb PLS, 20 lb bulk.

    >>> lot_shares(20, [0.8, 0.6], [10, None])
    LotShares(lb=[10.0, 20.0], short_pls_lb=0.0, over_pls_lb=0.0)
    >>> lot_shares(20, [0.8], [10])
    LotShares(lb=[10.0], short_pls_lb=12.0, over_pls_lb=0.0)
    >>> lot_shares(20, [], [])
    LotShares(lb=[], short_pls_lb=20.0, over_pls_lb=0.0)
    """
    if not pls_lb >= 0:
        raise ValueError(f"pls_lb is {pls_lb}; accepted is 0 or more")
    for fraction in live_fractions:
        if not 0 < fraction <= 1:
            raise ValueError(f"live fraction is {fraction}; accepted is above 0 and at most 1")
    if sum(lb is None for lb in fixed_lb) > 1:
        raise ValueError("two lots are to bring the rest; accepted is one")
    if any(lb is not None and not lb >= 0 for lb in fixed_lb):
        raise ValueError(f"pounds of the lots are {fixed_lb}; accepted is 0 or more")
    left = float(pls_lb) - sum(
        float(lb) * live for lb, live in zip(fixed_lb, live_fractions, strict=True) if lb is not None
    )
    is_exact = abs(left) < ENOUGH_LB
    lb = [
        (0.0 if is_exact else max(left, 0.0) / live) if lb is None else float(lb)
        for lb, live in zip(fixed_lb, live_fractions, strict=True)
    ]
    has_rest = None in fixed_lb
    short = 0.0 if has_rest or is_exact else max(left, 0.0)
    return LotShares(lb, short, 0.0 if is_exact else max(-left, 0.0))


def hundredths(lb):
    """Whole hundredths of a pound, half of one upwards."""
    return math.floor(lb * HUNDREDTHS + 0.5 + 1e-9)


def full_fill(volume_ft3, lb_per_ft3, level=1.0):
    """What one fill of a box holds, rounded down to hundredths of a pound.

    Parameters
    ----------
    volume_ft3 : float or None
        Of the level-full box. [ft³]
    lb_per_ft3 : float or None
        [lb/ft³]
    level : float
        How full it is filled, above 0; 1 is level full. [-]

    Returns
    -------
    int or None
        [0.01 lb]; None where either is not known.

    Raises
    ------
    ValueError
        A volume, weight or level that is not above 0.

    References
    ----------
    By definition: volume × weight of a volume.

    Examples
    --------
    >>> full_fill(8, 30), full_fill(8, 30, 0.5), full_fill(None, 30)
    (24000, 12000, None)
    """
    if volume_ft3 is None or lb_per_ft3 is None:
        return None
    if not (volume_ft3 > 0 and lb_per_ft3 > 0 and level > 0):
        raise ValueError(f"{volume_ft3} ft³, {lb_per_ft3} lb/ft³ and level {level}; accepted is above 0")
    return int(volume_ft3 * lb_per_ft3 * level * HUNDREDTHS + 1e-6)


@dataclass(frozen=True, slots=True)
class Fill:
    """One fill, or several that are alike.

    Attributes
    ----------
    first, last : int
        Numbers of the fills, from 1.
    parts : tuple of int
        By component. [0.01 lb]
    is_part : bool
        Less than the box holds.
    """

    first: int
    last: int
    parts: tuple
    is_part: bool

    @property
    def total(self):
        """[0.01 lb]"""
        return sum(self.parts)

    @property
    def count(self):
        return self.last - self.first + 1


def fills(components, full):
    """How the pounds of a mix go into a box, fill by fill.

    Parameters
    ----------
    components : list of int
        What the plot takes of each component, 0 or more. [0.01 lb]
    full : int
        What one fill holds. [0.01 lb]

    Returns
    -------
    list of Fill
        Full ones first, the part that is left last. Components add up over the fills to what they are, and each fill
        to what it holds, exactly; within a fill they are split by largest remainder.

    Raises
    ------
    ValueError
        A box that holds nothing, pounds below 0, or more than 500 fills.

    References
    ----------
    By definition.

    Examples
    --------
    >>> [(fill.first, fill.last, fill.parts) for fill in fills([40000, 10000], 24000)]
    [(1, 2, (19200, 4800)), (3, 3, (1600, 400))]
    >>> fills([0, 0], 24000)
    []
    """
    if full < 1:
        raise ValueError(f"a fill holds {full} hundredths of a pound; accepted is 1 or more")
    if any(part < 0 for part in components):
        raise ValueError(f"components are {components}; accepted is 0 or more")
    total = sum(components)
    count, rest = divmod(total, full)
    if count > MOST_FILLS:
        raise ValueError(f"{count} fills of the box; accepted is at most {MOST_FILLS}")
    alike = _alike(components, full, count)
    if alike is not None:
        found = [Fill(1, count, alike, False)]
        left = tuple(each - count * part for each, part in zip(components, alike, strict=True))
        return [*found, Fill(count + 1, count + 1, left, True)] if rest else found
    found, left = [], list(components)
    for number in range(1, count + 1):
        parts = tuple(split_cents(full, left).tolist())
        left = [each - part for each, part in zip(left, parts, strict=True)]
        if found and found[-1].parts == parts:
            found[-1] = Fill(found[-1].first, number, parts, False)
        else:
            found.append(Fill(number, number, parts, False))
    return [*found, Fill(count + 1, count + 1, tuple(left), True)] if rest else found


def _alike(components, full, count):
    """What every full fill holds if all can hold the same; else None."""
    if count < 2:
        return None
    parts = tuple(split_cents(full, components).tolist())
    is_fine = all(
        count * part <= whole and (part >= LIKE_EACH_OTHER or not whole)
        for part, whole in zip(parts, components, strict=True)
    )
    return parts if is_fine else None


@dataclass(frozen=True, slots=True)
class Stop:
    """A plot in a run that is drilled with one mix.

    Attributes
    ----------
    first_fill, last_fill : int
        From which fill to which the plot is planted.
    left : int
        What is still in the box when it is done, and goes on to the next plot. [0.01 lb]
    """

    first_fill: int
    last_fill: int
    left: int


def stops(plot_totals, full):
    """Which fills the plots of a run take, one after the other, when the box is filled whenever it is empty.

    Parameters
    ----------
    plot_totals : list of int
        What each plot takes, in the order of the run. [0.01 lb]
    full : int
        What one fill holds. [0.01 lb]

    Returns
    -------
    list of Stop

    References
    ----------
    By definition.

    Examples
    --------
    A box of 240 lb, plots of 200, 100 and 180 lb: 40 lb are left after the first; the second takes them and 60 lb of
    the next fill; the last 180 lb are what that fill still holds.

    >>> [(stop.first_fill, stop.last_fill, stop.left) for stop in stops([20000, 10000, 18000], 24000)]
    [(1, 1, 4000), (1, 2, 18000), (2, 2, 0)]
    """
    total, done, found = sum(plot_totals), 0, []
    for each in plot_totals:
        first = done // full + 1
        done += each
        opened = -(-done // full)  # a plot that takes nothing opens no fill
        found.append(Stop(first, max(opened, first), min(opened * full, total) - done))
    return found
