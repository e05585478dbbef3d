"""What the map is coloured by: what is planted, days since the last visit, or acres; each with its legend."""

from collections import Counter, defaultdict
from dataclasses import dataclass

from django.utils import timezone

from blends.queries.overview import Wanted, plots_with_use
from fieldlog.queries.visits import last_visits
from fieldlog.templatetags.visits import days_ago
from plots.calc.classes import class_of, round_limits
from plots.calc.units import M2_PER_ACRE

PLANTED, VISITS, ACRES = "planted", "visits", "acres"
LABELS = {PLANTED: "What is planted", VISITS: "Days since visit", ACRES: "Acres"}

# A plot is walked every week or two while something comes up, and monthly at least: common practice, no source.
DAYS = (7, 14, 28)
ACRE_CLASSES = 4
UNKNOWN = "unknown"  # the look of what no class can take


@dataclass(frozen=True)
class Entry:
    """One line of the legend; `acres` is of the measured plots alone, None where none is."""

    look: str
    words: str
    mark: str
    plots: int
    acres: float | None
    is_part: bool


def step(at):
    """The class and hatch of the n-th class, of four."""
    return f"step-{at}"


class ByUse:
    """By the blend that a plot gets in the season."""

    last = {}  # when plots were visited last, by their id: nobody asks here

    def __init__(self, season):
        self._season = season

    def look(self, pk, area_m2, use):
        return use.look if self._season else "plain"

    def mark(self, pk, use):
        return use.mark or ""

    def facts(self, pk):
        return {}

    def legend(self, sums):
        if not self._season:
            return []
        return [
            Entry(
                look=group.use.look,
                words=group.use.name,
                mark=group.use.mark or "",
                plots=group.plots,
                acres=group.acres,
                is_part=group.measured < group.plots,
            )
            for group in sums.groups
        ]


class _BySteps:
    """By a figure in classes."""

    last = {}

    def __init__(self, property, season, wanted):
        self._property, self._season, self._wanted = property, season, wanted

    def mark(self, pk, use):
        return ""

    def facts(self, pk):
        return {}

    def legend(self, sums):
        """Every class that a plot can be in, in order; what cannot be put into one comes last, if there is any."""
        plots, measured, area_m2 = Counter(), Counter(), defaultdict(float)
        for pk, plot_m2 in self._rows(self._wanted):
            look = self.look(pk, plot_m2, None)
            plots[look] += 1
            if plot_m2 is not None:
                measured[look] += 1
                area_m2[look] += plot_m2
        return [
            Entry(
                look=look,
                words=words,
                mark="",
                plots=plots[look],
                acres=area_m2[look] / M2_PER_ACRE if measured[look] else None,
                is_part=measured[look] < plots[look],
            )
            for look, words in self._classes()
            if look != UNKNOWN or plots[look]
        ]

    def _rows(self, wanted):
        """(id, m² or None) of each plot."""
        plots = plots_with_use(self._property, self._season, wanted)
        return plots.order_by().values_list("pk", "boundary__area_m2")


class ByVisits(_BySteps):
    """By whole days since the last visit, as the site's time zone counts them."""

    def __init__(self, property, season, wanted):
        super().__init__(property, season, wanted)
        today = timezone.localdate()
        self.last = last_visits(property)
        self._days = {
            pk: max(0, (today - timezone.localtime(moment).date()).days) for pk, moment in self.last.items()
        }

    def look(self, pk, area_m2, use):
        days = self._days.get(pk)
        return UNKNOWN if days is None else step(class_of(days - 1, DAYS))

    def mark(self, pk, use):
        days = self._days.get(pk)
        return "" if days is None else f"{days:,} d"

    def facts(self, pk):
        moment = self.last.get(pk)
        return {"visited": "no visit recorded" if moment is None else f"visited {days_ago(moment)}"}

    def _classes(self):
        first, *_, last = DAYS
        between = [f"{low + 1} to {high} days" for low, high in zip(DAYS, DAYS[1:], strict=False)]
        words = [f"up to {first} days", *between, f"more than {last} days"]
        return [*((step(at), each) for at, each in enumerate(words)), (UNKNOWN, "no visit recorded")]


class ByAcres(_BySteps):
    """By mapped acres, in classes with round limits that all plots in use make, found or not."""

    def __init__(self, property, season, wanted):
        super().__init__(property, season, wanted)
        everywhere = self._rows(Wanted(archived=wanted.archived))
        self._limits = round_limits(
            [_shown_acres(m2) for _, m2 in everywhere if m2 is not None], ACRE_CLASSES
        )

    def look(self, pk, area_m2, use):
        return UNKNOWN if area_m2 is None else step(class_of(_shown_acres(area_m2), self._limits))

    def _classes(self):
        limits = [f"{limit:g}" for limit in self._limits]
        if not limits:
            words = ["all about alike"]
        else:
            between = [f"{low} to under {high} ac" for low, high in zip(limits, limits[1:], strict=False)]
            words = [f"under {limits[0]} ac", *between, f"{limits[-1]} ac and more"]
        return [*((step(at), each) for at, each in enumerate(words)), (UNKNOWN, "acres not known")]


def _shown_acres(area_m2):
    """As they are written beside it: what reads 2.00 ac belongs to '2 ac and more'."""
    return round(area_m2 / M2_PER_ACRE, 2)


def measure_of(colour, property, season, wanted):
    """What `colour` (a key of LABELS) colours by, for the plots looked at."""
    if colour == PLANTED:
        return ByUse(season)
    return {VISITS: ByVisits, ACRES: ByAcres}[colour](property, season, wanted)
