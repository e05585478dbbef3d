"""Residue cover after termination of the mature stand, and for how long it holds weeds."""

import numpy as np

from blends.calc.cover import (
    CONSERVATION_COVER,
    DecayBand,
    days_above_cover,
    days_above_mass,
    decay_per_day,
    residue_cover,
    residue_left_lb_per_acre,
)
from blends.calc.weeds import MOSTLY_GRASS, MULCH_LIMITS, THRESHOLDS, grass_share
from blends.queries.judgement.parts import (
    Masses,
    array,
    band,
    column,
    fact_of,
    known,
    missing_masses,
    value_of,
)
from blends.queries.judgement.shapes import Band, Cell, Cover, Threshold, Week
from blends.queries.judgement.words import band_words, number, working

WEEKS = 26
_DAYS = np.arange(WEEKS + 1) * 7.0


def cover_of(parts, method, cn):
    """What covers the ground after the mature stand is killed.

    The band runs from the least dry matter wasting fastest to the most of it wasting slowest; what is likely is
    the middle of both.

    Parameters
    ----------
    parts : StageParts
        Of the mature stage.
    method : str
    cn : Band
        Of the residue; it chooses the band of decay.

    Returns
    -------
    Cover
    """
    coefficients = column(parts.rows, "cover_cm2_per_g")
    missing = missing_masses(parts, method)
    missing += [
        f"{row.species} has no ground covered by its residue."
        for row, coefficient in zip(parts.rows, coefficients, strict=True)
        if np.isnan(coefficient)
    ]
    if not parts.rows:
        return Cover([], Band(), [], missing, [])
    if not cn.is_known:
        missing.append("C:N is not known: decay is the widest published band.")
    ends = _ends(parts.masses, cn)
    covers, masses = [], []
    for mass, rate in ends:
        left = residue_left_lb_per_acre(mass, rate, _DAYS[:, np.newaxis])
        covers.append(residue_cover(left, coefficients))
        masses.append(left.sum(axis=-1))
    weeks = [
        Week(week, band(*(each[week] for each in covers)), band(*(each[week] for each in masses)))
        for week in range(WEEKS + 1)
    ]
    days = band(*(days_above_cover(mass, coefficients, rate) for mass, rate in ends))
    thresholds = [_threshold(one, parts, ends) for one in THRESHOLDS]
    return Cover(
        weeks, days, thresholds, missing, _workings(parts, coefficients, ends, weeks, days, thresholds)
    )


def _ends(masses, cn):
    """(dry matter of each, decay) for the low, the likely and the high end."""
    low, likely, high = (_decay(end) for end in (cn.low, cn.likely, cn.high))
    rates = (low.high, (likely.low + likely.high) / 2, high.low)
    return list(zip(masses, map(float, rates), strict=True))


def _decay(cn):
    return DecayBand(*decay_per_day(np.nan if cn is None else cn))


def _threshold(one, parts, ends):
    days = _days_above(one.lb_per_acre, ends)
    said, carries_over = one.sentence, True
    if one.needs_grass and days.is_known:
        share = _grass_share(parts)
        if share is not None and share <= MOSTLY_GRASS:
            days, carries_over = Band(), False
            said += f" This blend is {100 * share:.0f} % grass by dry matter: the figure does not carry over to it."
    if days.is_known:
        marks = sorted({one.lb_per_acre, one.up_to_lb_per_acre})
        said = " ".join([said, *(_days_words(_days_above(mark, ends), mark) for mark in marks)])
    return Threshold(one.what, one.label, one.lb_per_acre, days, said, one.source, carries_over)


def _days_above(lb_per_acre, ends):
    return band(*(days_above_mass(mass.sum(), lb_per_acre, rate) for mass, rate in ends))


def _grass_share(parts):
    likely = parts.masses.likely
    return known(grass_share(likely, is_grass(parts.rows))) if likely.sum() > 0 else None


def is_grass(rows):
    """Whether each component's functional group is a grass."""
    return [str(value_of(row, "group") or "").endswith("_grass") for row in rows]


def _days_words(days, lb_per_acre):
    mark = f"{number(lb_per_acre)} lb/ac"
    if days.high == 0:
        return f"The blend does not reach {mark}."
    if days.likely == 0:
        return f"The blend hardly reaches {mark}: {number(days.high)} days at best."
    return f"The blend stays above {mark} for {band_words(days, 'days')}."


def _workings(parts, coefficients, ends, weeks, days, thresholds):
    rates = " to ".join(f"{rate:g}" for rate in sorted({ends[0][1], ends[2][1]}))
    decay = f"Decay from {rates} a day by the C:N; all the residue is given one decay."
    columns = ["Dry matter, low, lb/ac", "likely", "high", "Ground covered by a gram, cm²/g"]
    rows = [
        (
            str(row.species),
            [
                *(Cell(known(mass), 0) for mass in each),
                Cell(known(coefficient), 0, fact_of(row, "cover_cm2_per_g")),
            ],
        )
        for row, coefficient, *each in zip(parts.rows, coefficients, *parts.masses, strict=True)
    ]
    totals = Masses(*(array([mass.sum()]) for mass in parts.masses))
    reached = "; ".join(f"{one.label.lower()}: {band_words(one.days, 'days')}" for one in thresholds)
    return [
        working(
            "cover",
            "Ground covered when it is killed",
            residue_cover,
            _percent(weeks[0].cover),
            columns,
            rows,
        ),
        working(
            "days-covered",
            f"Days with more than {100 * CONSERVATION_COVER:.0f} % covered",
            days_above_cover,
            band_words(days, "days"),
            columns,
            rows,
            notes=[decay],
        ),
        working(
            "weeds",
            "Days above the published masses that hold weeds",
            days_above_mass,
            reached,
            ["Mass, lb/ac", "Days, low", "likely", "high"],
            [
                ("Dry matter at the start", [Cell(None), *(Cell(known(mass[0]), 0) for mass in totals)]),
                *(
                    (
                        one.label,
                        [
                            Cell(one.lb_per_acre, 0),
                            *(Cell(end, 0) for end in (one.days.low, one.days.likely, one.days.high)),
                        ],
                    )
                    for one in thresholds
                ),
            ],
            sources=list(dict.fromkeys(one.source for one in thresholds)),
            notes=[decay, *MULCH_LIMITS],
        ),
    ]


def _percent(cover):
    shares = Band(*(None if end is None else 100 * end for end in (cover.low, cover.likely, cover.high)))
    return band_words(shares, "%")
