"""What a planting sheet says: plain values for pages, paper, the phone and the API. None is unknown, never 0.

Nothing here knows a price.
"""

from dataclasses import dataclass
from datetime import date

from blends.models import Blend, Calibration, InoculantLot, Lot, Machine, Planting, Species
from plots.calc.described import Source
from plots.models import Plot

LOT, OFFER, ASSUMED, BULK = "lot", "offer", "assumed", "bulk"
"""Where a live fraction comes from: the chosen lot, the tag of the chosen offer, the order's assumption; BULK is a
bought mix, which is sown by the pound as it is weighed."""


@dataclass(frozen=True, slots=True)
class SheetSeed:
    """Seed of one lot on a plot, or of an item that no lot is chosen for.

    Attributes
    ----------
    species : Species or None
    blend : Blend or None
        A bought mix, of which `species` is None.
    instead_of : Species or None
        What the blend has, where the order sows `species` instead of it.
    lot : Lot or None
    pls_lb_per_acre : float or None
        What this seed brings of the rate; bulk of a bought mix. [lb PLS/ac]
    live_fraction : float or None
        None of a bought mix. [-]
    live_basis : str
        LOT, OFFER, ASSUMED or BULK.
    lb_per_acre : float or None
        [lb bulk/ac]
    lb : float or None
        To a hundredth, as it is weighed. [lb bulk]
    box : str
        Box.
    lb_per_ft3 : float or None
        [lb/ft³]
    """

    species: Species | None
    blend: Blend | None
    instead_of: Species | None
    lot: Lot | None
    pls_lb_per_acre: float | None
    live_fraction: float | None
    live_basis: str
    lb_per_acre: float | None
    lb: float | None
    box: str
    lb_per_ft3: float | None

    @property
    def item(self):
        return self.species or self.blend

    @property
    def name(self):
        return str(self.item)

    @property
    def lot_name(self):
        """As the tag has it; empty without a lot."""
        return "" if self.lot is None else self.lot.lot_number or f"no. {self.lot.pk}"

    @property
    def live_percent(self):
        return None if self.live_fraction is None else 100 * self.live_fraction

    @property
    def is_assumed(self):
        return self.live_basis == ASSUMED


@dataclass(frozen=True, slots=True)
class SheetFill:
    """One fill of a box, or several that are alike.

    Attributes
    ----------
    first, last : int
    parts_lb : tuple of float
        By the box's seeds. [lb bulk]
    lb : float
    is_part : bool
    """

    first: int
    last: int
    parts_lb: tuple
    lb: float
    is_part: bool

    @property
    def name(self):
        return f"Fill {self.first}" if self.first == self.last else f"Fills {self.first} to {self.last}, each"


@dataclass(frozen=True, slots=True)
class LastSetting:
    """A setting that a box once had.

    Attributes
    ----------
    setting : str
    gear : str
    on : date
    lb_per_acre : float or None
        What it delivered, where it was calibrated. [lb bulk/ac]
    what : str
        What was in the box.
    is_same : bool
        It was this blend.
    is_calibrated : bool
        False where it comes from a planting record.
    """

    setting: str
    gear: str
    on: date
    lb_per_acre: float | None
    what: str
    is_same: bool
    is_calibrated: bool


@dataclass(frozen=True, slots=True)
class SheetBox:
    """What goes into one box of the machine.

    Attributes
    ----------
    box, label : str
    seeds : tuple of SheetSeed
    lb : float or None
        Sum of the seeds' pounds. [lb bulk]
    lb_per_acre : float or None
    lb_per_ft3 : float or None
        Of the mix in this box. [lb/ft³]
    weighed : Calibration or None
        Where the mix was weighed; else its weight follows from its components.
    volume_ft3 : float or None
    full_lb : float or None
        What a fill holds. [lb bulk]
    fills : tuple of SheetFill or None
    fills_unknown : str
        Why there are none, in a sentence.
    course_ft : float or None
    catch_g : float or None
        What the whole width drops over the machine's course. [g]
    catch_row_g : float or None
        What one row drops; None for a spreader. [g]
    last : LastSetting or None
    fitted : FittedSetting or None
    """

    box: str
    label: str
    seeds: tuple
    lb: float | None
    lb_per_acre: float | None
    lb_per_ft3: float | None
    weighed: Calibration | None
    volume_ft3: float | None
    full_lb: float | None
    fills: tuple | None
    fills_unknown: str
    course_ft: float | None
    catch_g: float | None
    catch_row_g: float | None
    last: LastSetting | None
    fitted: object

    @property
    def fill_count(self):
        return self.fills[-1].last if self.fills else None


@dataclass(frozen=True, slots=True)
class Depth:
    """A depth that suits some of the seed. [in]"""

    low_in: float
    high_in: float
    species: tuple


@dataclass(frozen=True, slots=True)
class SheetInoculant:
    """Inoculant for one group of legumes on the plot.

    Attributes
    ----------
    group : str
    species : tuple of Species
    lb : float or None
        Seed to be inoculated. [lb bulk]
    lot : InoculantLot or None
        That expires first of those that are still good.
    trouble : str
        What is wrong with what there is; empty where nothing is.
    """

    group: str
    species: tuple
    lb: float | None
    lot: InoculantLot | None
    trouble: str


@dataclass(frozen=True, slots=True)
class SheetCaution:
    """`source` is None where the species' own pages have the sources."""

    key: str
    label: str
    sentence: str
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything that somebody beside the drill has to know of one plot.

    Attributes
    ----------
    planting : Planting
        With its plot, blend and season.
    acres : float or None
        Mapped, or planted where it was. [acres]
    machine : Machine or None
    seeds : tuple of SheetSeed
    boxes : tuple of SheetBox
    lb : float or None
        [lb bulk]
    lb_per_acre : float or None
        [lb bulk/ac]
    depths : tuple of Depth
        One where one setting suits all; else one a pass.
    depth_unknown : tuple of Species
    soil_temp_f : float or None
        From which all that is known can be sown. [°F]
    soil_temp_of : tuple of Species
        Those that set it.
    inoculants : tuple of SheetInoculant
    cautions : tuple of SheetCaution
    gaps : tuple of str
        What is missing or assumed, in sentences.
    restrictions : tuple of str
        What holds on the plot now, by the labels of what was sprayed there.
    is_ready : bool
        Every item has its lots, and they bring what the rate asks for.
    level_pct : float
        How full the boxes are filled, of level full. [%]
    """

    planting: Planting
    acres: float | None
    machine: Machine | None
    seeds: tuple
    boxes: tuple
    lb: float | None
    lb_per_acre: float | None
    depths: tuple
    depth_unknown: tuple
    soil_temp_f: float | None
    soil_temp_of: tuple
    inoculants: tuple
    cautions: tuple
    gaps: tuple
    restrictions: tuple
    is_ready: bool
    level_pct: float

    @property
    def plot(self) -> Plot:
        return self.planting.plot

    @property
    def blend(self):
        return self.planting.blend

    @property
    def is_planned(self):
        return self.planting.state == Planting.State.PLANNED

    @property
    def is_drilled(self):
        return self.planting.method == Planting.Method.DRILLED
