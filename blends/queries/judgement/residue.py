"""The residue at one stage: dry matter, C:N, what that means, and its nitrogen."""

import numpy as np

from blends.calc.nitrogen import FRACTIONS, PNW_636, PNW_636_LIMITS, plant_available_nitrogen
from blends.calc.residue import (
    FAST_BELOW_CN,
    LASTING_ABOVE_CN,
    OBJECTIVE_ZONES,
    cn_band,
    cn_gap,
    cn_meaning,
)
from blends.queries.judgement import residue_workings
from blends.queries.judgement.parts import STAGES, band, known, missing_masses
from blends.queries.judgement.shapes import AvailableNitrogen, Band, Gap, Residue, ResidueRow
from blends.queries.judgement.words import near, number
from plots.calc.described import BadInput
from plots.models import Plot

ONE_RANGE = (
    "Dry matter while leafy is not in the table: the range of a whole season stands in for it and is too high, "
    "unless it is clipped."
)
_CN_DECIMALS = 9
"""A ratio of 30.000000000000004 by float noise is 30, which is an edge."""
_AIMS = {
    Plot.Objective.HOLD_WEEDS: "what holds weeds (above 30)",
    Plot.Objective.FEED_NEXT: "what feeds the next crop (below 20)",
    Plot.Objective.BALANCE: "what is balanced (20 to 30)",
}


def residue_at(parts, method, objective):
    """The residue of a blend at one stage.

    Parameters
    ----------
    parts : StageParts
    method : str
    objective : str
        Plot.Objective.

    Returns
    -------
    Residue
        A figure is unknown while a component's part of it is; `missing` says which.
    """
    missing = missing_masses(parts, method)
    missing += [
        f"{row.species} has neither nitrogen nor C:N {parts.words}."
        for row, nitrogen in zip(parts.rows, parts.nitrogen_pct, strict=True)
        if np.isnan(nitrogen)
    ]
    if parts.stage == "leafy" and not parts.is_clipped.all():
        missing.append(ONE_RANGE)
    masses = parts.masses
    dry_matter = _sum_band(masses) if parts.rows else Band()
    cn, refused = _cn(parts)
    missing += refused
    nitrogen = _sum_band([_nitrogen(mass, parts) for mass in masses]) if parts.rows else Band()
    available = available_ways(dry_matter, nitrogen)
    meaning = cn_meaning(cn.likely)
    return Residue(
        stage=parts.stage,
        label=STAGES[parts.stage],
        dry_matter_lb_per_acre=dry_matter,
        cn=cn,
        meaning=meaning.sentence if meaning else "",
        gap=gap_of(cn, objective, parts.words),
        nitrogen_lb_per_acre=nitrogen,
        available=available,
        rows=_rows(parts),
        missing=missing,
        workings=residue_workings.workings(parts, dry_matter, cn, nitrogen, available),
    )


def gap_of(cn, objective, words=STAGES["mature"]):
    """How far a C:N is from what an objective wants.

    Parameters
    ----------
    cn : Band
    objective : str
        Plot.Objective.
    words : str
        Of the stage.

    Returns
    -------
    Gap
    """
    objective = Plot.Objective(objective)
    low, high = OBJECTIVE_ZONES[objective]
    aim = _AIMS[objective]
    if not cn.is_known:
        return Gap(objective.value, objective.label, low, high, None, f"C:N {words} is not known.")
    by = float(cn_gap(cn.likely, (low, high)))
    said = f"C:N {_ratio(cn.likely)} {words}: "
    if by == 0:
        # 20 and 30 themselves are balanced, neither below 20 nor above 30.
        is_edge = objective != Plot.Objective.BALANCE and cn.likely in (low, high)
        said += f"at the edge of {aim}" if is_edge else f"within {aim}"
        if (low is not None and cn.low < low) or (high is not None and cn.high > high):
            said += f", though it may lie anywhere from {_ratio(cn.low)} to {_ratio(cn.high)}"
    else:
        said += f"{near(abs(by))} {'short of' if by < 0 else 'above'} {aim}"
        if (by < 0 and cn.high >= low) or (by > 0 and cn.low <= high):
            said += f", though its range, {_ratio(cn.low)} to {_ratio(cn.high)}, reaches into it"
    return Gap(objective.value, objective.label, low, high, by, said + ".")


def _ratio(cn):
    """A C:N in whole figures, but 29.6 is not written as the edge 30 that it falls short of."""
    edges = {FAST_BELOW_CN, LASTING_ABOVE_CN} - {cn}
    return number(cn, next((decimals for decimals in (0, 1, 2) if round(cn, decimals) not in edges), 3))


def available_ways(dry_matter, nitrogen):
    """Nitrogen for the next crop by each published way.

    Parameters
    ----------
    dry_matter, nitrogen : Band
        Of the residue as a whole. [lb/ac]

    Returns
    -------
    list of AvailableNitrogen
    """
    ways = []
    for way in FRACTIONS:
        ends = (nitrogen.low * way.low, nitrogen.high * way.high) if nitrogen.is_known else (None, None)
        ways.append(AvailableNitrogen(way.label, *ends, way.limits, way.source))
    return [*ways, _by_content(dry_matter, nitrogen)]


def _by_content(dry_matter, nitrogen):
    label = "By its nitrogen content"
    if not nitrogen.is_known or not dry_matter.high:
        return AvailableNitrogen(label, None, None, PNW_636_LIMITS, PNW_636)
    pairs = [(getattr(dry_matter, end), getattr(nitrogen, end)) for end in ("low", "likely", "high")]
    mass, content = np.array([(mass, 100 * part / mass) for mass, part in pairs if mass]).T
    found = plant_available_nitrogen(mass, content)
    limits = " ".join(dict.fromkeys([PNW_636_LIMITS, *(remark for remark in found.remark if remark)]))
    return AvailableNitrogen(
        label, float(found.lb_per_acre.min()), float(found.lb_per_acre.max()), limits, PNW_636
    )


def _cn(parts):
    """The band of C:N, and in sentences why there is none."""
    is_there = parts.masses.high != 0  # what was clipped and weighed nothing has no part in it
    if not is_there.any():
        return Band(), ["There is no dry matter in any component."] if parts.rows else []
    low, likely, high = (mass[is_there] for mass in parts.masses)
    try:
        found = cn_band(low, high, parts.carbon_pct[is_there], parts.nitrogen_pct[is_there], likely)
    except BadInput as refusal:
        return Band(), [f"{refusal.sentence}."]
    return band(*np.round(found, _CN_DECIMALS)), []


def _nitrogen(mass, parts):
    return np.where(mass == 0, 0, mass * parts.nitrogen_pct / 100)


def _sum_band(masses):
    return band(*(each.sum() for each in masses))


def _rows(parts):
    return [
        ResidueRow(
            species=row.species,
            dry_matter_lb_per_acre=band(low, likely, high),
            share=known(share),
            cn=known(cn),
            nitrogen_pct=known(nitrogen),
            is_clipped=bool(is_clipped),
        )
        for row, low, likely, high, share, cn, nitrogen, is_clipped in zip(
            parts.rows,
            *parts.masses,
            parts.masses.likely / (parts.masses.likely.sum() or np.nan) if parts.rows else [],
            parts.cn,
            parts.nitrogen_pct,
            parts.is_clipped,
            strict=True,
        )
    ]
