"""Target against delivered: why a plot took more or less seed than was planned, in acres and in rate."""

import math
from dataclasses import dataclass

_SAME_ACRES = 0.005  # half of the last digit that acres are shown with
_SAME_SHARE = 0.0005


@dataclass(frozen=True)
class Difference:
    """What was used against what was planned. None is unknown.

    Attributes
    ----------
    used_lb, planned_lb : float or None
        Planned is the target on the acres that are mapped. [bulk lb]
    drilled_acres, mapped_acres : float or None
    target_lb_per_acre, delivered_lb_per_acre : float or None
    difference_lb, by_acres_lb, by_rate_lb : float or None
        Used − planned, and the two parts that it is made of. [bulk lb]
    heavy_share : float or None
        By how much of the target it ran heavy (above 0) or light; None where nothing was asked for. [-]
    """

    used_lb: float | None
    planned_lb: float | None
    drilled_acres: float
    mapped_acres: float | None
    target_lb_per_acre: float | None
    delivered_lb_per_acre: float | None
    difference_lb: float | None
    by_acres_lb: float | None
    by_rate_lb: float | None
    heavy_share: float | None


def difference(used_lb, target_lb_per_acre, drilled_acres, mapped_acres):
    """Split the difference of pounds into acres and rate.

    used − target × mapped = (drilled − mapped) × target + (delivered − target) × drilled, where delivered is
    used ÷ drilled. The identity is exact: acres more than mapped are counted at the target's rate, and the rate on
    the acres that were drilled.

    Parameters
    ----------
    used_lb : float or None
        [bulk lb]
    target_lb_per_acre : float or None
        [bulk lb/ac]
    drilled_acres : float
        Above 0. [acres]
    mapped_acres : float or None
        [acres]

    Returns
    -------
    Difference
        Each figure None where an input that it needs is.

    Raises
    ------
    ValueError
        Drilled acres that are not above 0, a negative figure.

    References
    ----------
    By definition.

    Examples
    --------
    2.3 acres were drilled on 2.0 mapped, at 40 lb asked for; 95.7 lb went out, which is 41.61 lb/ac.

    >>> found = difference(95.7, 40.0, 2.3, 2.0)
    >>> round(found.by_acres_lb, 3), round(found.by_rate_lb, 3), round(found.difference_lb, 3)
    (12.0, 3.7, 15.7)
    >>> difference(95.7, None, 2.3, 2.0).by_rate_lb is None
    True
    """
    if not drilled_acres > 0 or not math.isfinite(drilled_acres):
        raise ValueError(f"drilled acres are {drilled_acres:g}; accepted is a number above 0")
    for name, value in (("used", used_lb), ("target", target_lb_per_acre), ("mapped acres", mapped_acres)):
        if value is not None and not value >= 0:
            raise ValueError(f"{name} is {value:g}; accepted is 0 or more")
    used, target, mapped = used_lb, target_lb_per_acre, mapped_acres
    planned = None if None in (target, mapped) else target * mapped
    rate = None if used is None else used / drilled_acres
    is_rate_known = None not in (rate, target)
    return Difference(
        used_lb=used,
        planned_lb=planned,
        drilled_acres=drilled_acres,
        mapped_acres=mapped,
        target_lb_per_acre=target,
        delivered_lb_per_acre=rate,
        difference_lb=None if None in (used, planned) else used - planned,
        by_acres_lb=None if planned is None else (drilled_acres - mapped) * target,
        by_rate_lb=used - target * drilled_acres if is_rate_known else None,
        heavy_share=rate / target - 1 if is_rate_known and target > 0 else None,
    )


def mean_target(targets, acres):
    """The target over several days, weighted by the acres that were drilled on each.

    Parameters
    ----------
    targets : list of float or None
        [bulk lb/ac]
    acres : list of float
        [acres]

    Returns
    -------
    float or None
        None while one of them is not known, or there is none.

    Examples
    --------
    >>> mean_target([40.0, 50.0], [3.0, 1.0])
    42.5
    >>> mean_target([40.0, None], [3.0, 1.0]) is None
    True
    """
    if not targets or None in targets:
        return None
    if len(set(targets)) == 1:
        return targets[0]
    return sum(target * each for target, each in zip(targets, acres, strict=True)) / sum(acres)


def explained(found, machine="drill"):
    """A difference in words.

    Parameters
    ----------
    found : Difference
    machine : str
        What sowed it.

    Examples
    --------
    >>> explained(difference(95.7, 40.0, 2.3, 2.0))
    '0.30 ac more than mapped took 12.0 lb; the drill ran 4.0 % heavy: 3.7 lb.'
    >>> explained(difference(80.0, 40.0, 2.0, 2.0))
    'As planned.'
    >>> explained(difference(5.0, 0.0, 2.0, 2.0))
    'It was not asked for here.'
    """
    if found.target_lb_per_acre is None:
        return "What was asked for is not known in bulk pounds, so the difference is not either."
    if found.used_lb is None:
        return "How much was used is not known."
    if found.target_lb_per_acre == 0:
        return "It was not asked for here." if found.used_lb else "As planned."
    parts = [_acres_in_words(found), _rate_in_words(found, machine)]
    sentence = "; ".join(filter(None, parts)) or "as planned"
    return f"{sentence[0].upper()}{sentence[1:]}."


def _acres_in_words(found):
    if found.by_acres_lb is None:
        return "how many acres are mapped is not known"
    more = found.drilled_acres - found.mapped_acres
    if abs(more) < _SAME_ACRES:
        return ""
    if more > 0:
        return f"{more:,.2f} ac more than mapped took {_lb(found.by_acres_lb)}"
    return f"{-more:,.2f} ac less than mapped saved {_lb(-found.by_acres_lb)}"


def _rate_in_words(found, machine):
    if abs(found.heavy_share) < _SAME_SHARE:
        return ""
    how = "heavy" if found.heavy_share > 0 else "light"
    pct = abs(found.heavy_share) * 100
    share = f"{pct:,.1f} %" if pct < 10 else f"{pct:,.0f} %"
    less = "" if found.heavy_share > 0 else " less"
    return f"the {machine} ran {share} {how}: {_lb(abs(found.by_rate_lb))}{less}"


def _lb(value):
    return f"{value:,.1f} lb" if value >= 0.95 else f"{value:,.2f} lb"
