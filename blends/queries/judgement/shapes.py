"""What judging a blend comes to: plain values for pages, pictures and the API. None is unknown, never 0."""

from dataclasses import dataclass, field
from datetime import date

from plots.calc.described import Source


@dataclass(frozen=True)
class Band:
    """A figure as a range with what is likely; each None where it is not known."""

    low: float | None = None
    likely: float | None = None
    high: float | None = None

    @property
    def is_known(self):
        return self.likely is not None


@dataclass(frozen=True)
class Cell:
    """A value of a working's table. `fact` is the species' Fact that it is, for its basis and sources."""

    value: object
    decimals: int | None = None
    fact: object = None


@dataclass(frozen=True)
class Working:
    """How one figure came about.

    Attributes
    ----------
    key : str
        In the page: "cn-mature".
    title, formula, result : str
        `result` with its unit.
    columns : list of str
        Heads of the table, with units.
    rows : list of (str, list of Cell)
        A species (or step) and its values.
    sources : list of Source
        Of the formula; those of the values are in the cells' facts.
    notes : list of str
    """

    key: str
    title: str
    formula: str
    result: str
    columns: list = field(default_factory=list)
    rows: list = field(default_factory=list)
    sources: list = field(default_factory=list)
    notes: list = field(default_factory=list)

    @property
    def value_sources(self):
        """Sources of the values, each once, in the order in which they come."""
        facts = [cell.fact for _, cells in self.rows for cell in cells if cell.fact is not None]
        return list(dict.fromkeys(source for fact in facts for source in fact.sources))


@dataclass(frozen=True)
class ResidueRow:
    """A component's part of the residue at a stage."""

    species: object
    dry_matter_lb_per_acre: Band
    share: float | None
    cn: float | None
    nitrogen_pct: float | None
    is_clipped: bool


@dataclass(frozen=True)
class AvailableNitrogen:
    """Nitrogen for the next crop by one published way. [lb/ac]"""

    label: str
    low: float | None
    high: float | None
    limits: str
    source: Source


@dataclass(frozen=True)
class Gap:
    """How far the blend's C:N is from what the objective wants.

    Attributes
    ----------
    objective, label : str
        Plot.Objective and its words.
    zone_low, zone_high : float or None
        The zone of C:N that the objective wants; None is open on that side.
    by : float or None
        0 inside the zone, else C:N short of it (negative) or beyond it (positive), from the likely figure.
    sentence : str
    """

    objective: str
    label: str
    zone_low: float | None
    zone_high: float | None
    by: float | None
    sentence: str


@dataclass(frozen=True)
class Residue:
    """The residue at one stage, "leafy" or "mature"."""

    stage: str
    label: str
    dry_matter_lb_per_acre: Band
    cn: Band
    meaning: str
    gap: Gap
    nitrogen_lb_per_acre: Band
    available: list
    rows: list
    missing: list
    workings: list


@dataclass(frozen=True)
class Week:
    """Residue some weeks after termination: share of the ground covered and dry matter left."""

    week: int
    cover: Band
    dry_matter_lb_per_acre: Band


@dataclass(frozen=True)
class Threshold:
    """A published mass of residue and for how long the blend's stays above it.

    `what` is "biomass" (weeds weigh less) or "numbers" (fewer weeds come up), which are two things.
    `days` is 0 where it is never reached, None where unknown or where the figure does not carry over to the blend,
    as one of grass does not to little grass.
    """

    what: str
    label: str
    lb_per_acre: float
    days: Band
    sentence: str
    source: Source
    carries_over: bool = True


@dataclass(frozen=True)
class Cover:
    """Residue cover after termination of the mature stand."""

    weeks: list
    days_above_30_pct: Band
    thresholds: list
    missing: list
    workings: list


@dataclass(frozen=True)
class Finding:
    """Something about how the components fit each other. `weight` is stop, warn, or note."""

    key: str
    weight: str
    sentence: str
    species: list
    sources: list


@dataclass(frozen=True)
class Caution:
    """A hazard of some of the species, or a rule that applies. Never veterinary or legal advice.

    `sources` hold Source of the species table and of calculations alike: title, publisher, year, address. `words`
    are (Species, Fact) of what the table says of each species.
    """

    key: str
    label: str
    sentence: str
    species: list
    sources: list
    basis_label: str = ""
    words: list = field(default_factory=list)


@dataclass(frozen=True)
class Month:
    """A species in one month: `browse` is "", low, moderate or high; `is_late` marks food after frost alone.

    `hangs_on_winter` marks browse that a cold winter takes away.
    """

    first: date
    browse: str = ""
    is_seed: bool = False
    is_cover: bool = False
    hangs_on_winter: bool = False
    is_late: bool = False


@dataclass(frozen=True)
class Calendar:
    """Month by month what is browsed, what is seed or grain, what still stands as cover.

    Attributes
    ----------
    seeding_on : date or None
    months : list of date
        First days.
    rows : list of (Species, list of Month)
    holes : list of date
        Months between the first browse and the end of the calendar with nothing to eat.
    missing : list of str
    workings : list of Working
    end_on : date or None
        Up to which it goes: termination.
    notes : list of str
        Where the seeding date comes from, and what the frost does.
    """

    seeding_on: date | None
    months: list
    rows: list
    holes: list
    missing: list
    workings: list
    end_on: date | None = None
    notes: list = field(default_factory=list)


@dataclass(frozen=True)
class PlotsGap:
    """Plots of the blend's latest season that want the same; `gap` is None where nothing has been decided."""

    plots: list
    gap: Gap | None


@dataclass(frozen=True)
class Judgement:
    """All of it, for one blend sown by one method.

    Attributes
    ----------
    method, objective : str
    residues : dict of str to Residue
        "leafy" and "mature".
    cover : Cover
    findings : list of Finding
    cautions : list of Caution
    calendar : Calendar
    figures : BlendFigures
    workings : list of Working
        Of the rates: seeds a square foot, shares, cost. Those of the other figures are with them.
    clippings : list of Clipping
        Of a stored blend, the latest first, those that no longer count too.
    plots : list of PlotsGap
        Where a stored blend is planned or planted, by what each plot's residue is for.
    """

    method: str
    objective: str
    residues: dict
    cover: Cover
    findings: list
    cautions: list
    calendar: Calendar
    figures: object
    workings: list = field(default_factory=list)
    clippings: list = field(default_factory=list)
    plots: list = field(default_factory=list)
