"""A blend as judging reads it: arrays by component, NaN where a value is not known, and words for what is missing."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from blends.calc.residue import CARBON_PCT, dry_matter_shares
from blends.models import Clipping
from blends.queries.judgement.shapes import Band

STAGES = {Clipping.Stage.LEAFY.value: "while leafy", Clipping.Stage.MATURE.value: "when mature"}
"""Words by stage."""
_COLUMNS = {
    "leafy": ("nitrogen_pct_vegetative", "cn_vegetative"),
    "mature": ("nitrogen_pct_mature", "cn_mature"),
}


class Masses(NamedTuple):
    """Dry matter of each component. [lb/ac]; NaN where not known."""

    low: np.ndarray
    likely: np.ndarray
    high: np.ndarray


@dataclass(frozen=True)
class StageParts:
    """The components at one stage.

    Attributes
    ----------
    stage : str
    rows : list of ComponentFigures
    shares : ndarray
        Of the full rate, as sown. [-]
    scaled : ndarray
        The same, brought down to 1 in all where they exceed it. [-]
    masses : Masses
    clipped : dict of int to Clipped
        By species.
    nitrogen_pct, carbon_pct, cn : ndarray
    """

    stage: str
    rows: list
    shares: np.ndarray
    scaled: np.ndarray
    masses: Masses
    clipped: dict
    nitrogen_pct: np.ndarray
    carbon_pct: np.ndarray
    cn: np.ndarray

    @property
    def words(self):
        return STAGES[self.stage]

    @property
    def nitrogen_column(self):
        return _COLUMNS[self.stage][0]

    @property
    def cn_column(self):
        return _COLUMNS[self.stage][1]

    @property
    def is_clipped(self):
        return np.array([row.species.pk in self.clipped for row in self.rows], dtype=bool)


def parts_at(stage, figures, method, clipped):
    """The components at a stage, sown by a method.

    Parameters
    ----------
    stage : str
        "leafy" or "mature".
    figures : BlendFigures
    method : str
    clipped : dict of (int, str) to Clipped
        By species and stage; these masses go before those from the table.

    Returns
    -------
    StageParts
    """
    rows = figures.rows
    own = {species: one for (species, at), one in clipped.items() if at == stage}
    shares = array(getattr(row, method).share_of_full_rate for row in rows)
    scaled = dry_matter_shares(shares) if rows else shares
    low, high = (column(rows, f"dry_matter_lb_ac_{end}") * scaled for end in ("low", "high"))
    weighed = array(own[row.species.pk].lb_per_acre if row.species.pk in own else None for row in rows)
    masses = Masses(*(np.where(np.isnan(weighed), each, weighed) for each in (low, (low + high) / 2, high)))
    nitrogen, cn = (column(rows, name) for name in _COLUMNS[stage])
    # One of the two gives the other by the share of carbon that is taken for every plant.
    nitrogen_pct = np.where(np.isnan(nitrogen), CARBON_PCT / cn, nitrogen)
    carbon_pct = np.where(nitrogen * cn > 0, nitrogen * cn, CARBON_PCT)
    # Without nitrogen there is no ratio, only a mass that has carbon and nothing to set it against.
    own_cn = carbon_pct / np.where(nitrogen_pct > 0, nitrogen_pct, np.nan)
    return StageParts(stage, rows, shares, scaled, masses, own, nitrogen_pct, carbon_pct, own_cn)


def missing_masses(parts, method):
    """Why dry matter is not known, in sentences."""
    if not parts.rows:
        return ["There are no components yet."]
    sentences = []
    if parts.is_clipped.all():
        return sentences
    for row, share, is_clipped in zip(parts.rows, parts.shares, parts.is_clipped, strict=True):
        # The share of one that was clipped still counts in the crowding of those that were not.
        if getattr(row, method).pls_lb_per_acre is None:
            sentences.append(f"{row.species} has no {method} rate.")
        elif np.isnan(share):
            sentences.append(f"{row.species} has no full rate {method}.")
        alone = [value_of(row, f"dry_matter_lb_ac_{end}") for end in ("low", "high")]
        if not is_clipped and None in alone:
            sentences.append(f"{row.species} has no dry matter, low and high.")
    return sentences


def fact_of(row, name):
    """The Fact of a component's species."""
    return row.facts.facts[name]


def value_of(row, name):
    """What counts for a column of a component's species; None where unknown or empty."""
    value = fact_of(row, name).value
    return None if value == "" else value


def column(rows, name):
    """A column of the species as an array of numbers."""
    return array(value_of(row, name) for row in rows)


def array(values):
    return np.array([np.nan if value is None else float(value) for value in values])


def known(value):
    """A number, or None for NaN and for what grows without bound."""
    return float(value) if np.isfinite(value) else None


def band(low, likely, high):
    """A Band of numbers; unknown as a whole where one of them is NaN."""
    ends = [known(end) for end in (low, likely, high)]
    return Band() if None in ends else Band(*ends)
