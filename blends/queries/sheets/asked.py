"""What an address asks of the sheets: which plots in which order, which machine, how full the boxes."""

from dataclasses import dataclass

from blends.models import Machine, Planting
from blends.queries.order_inputs import COUNTED
from config.errors import refuse
from plots.access import id_in

LEAST_LEVEL, MOST_LEVEL = 10, 150
"""A hopper is filled from a tenth of level full to heaped; ours. [%]"""


@dataclass(frozen=True)
class Asked:
    """
    Attributes
    ----------
    plot_ids : list of int or None
        In the order of the run.
    machine : Machine or None
    level_pct : float
    """

    plot_ids: list | None
    machine: Machine | None
    level_pct: float


def asked_of(property, given):
    """Read `plot`, `machine` and `level` of an address.

    Parameters
    ----------
    property : Property
    given : QueryDict

    Raises
    ------
    Refused
        A machine that is not there, or a level out of bounds. Plots that are not sown are left out later.
    """
    plot_ids = None
    if "plot" in given:
        ids = [id_in(text) for text in given.getlist("plot")]
        plot_ids = list(dict.fromkeys(pk for pk in ids if pk is not None))
    return Asked(plot_ids, _machine(property, given.get("machine", "")), _level(given.get("level", "")))


def planting_plot_ids(season, plot_ids=None, search="", only_planned=False):
    """Ids of the plots that are sown in the season: in the order asked for, else by name; one query.

    Parameters
    ----------
    season : Season
    plot_ids : list of int, optional
    search : str
        Part of a plot's name.
    only_planned : bool
        Those that are still to be planted.
    """
    rows = Planting.objects.filter(COUNTED, season=season).order_by("plot__name", "pk")
    if search:
        rows = rows.filter(plot__name__icontains=search)
    if only_planned:
        rows = rows.filter(state=Planting.State.PLANNED)
    found = list(rows.values_list("plot_id", flat=True))
    if plot_ids is None:
        return found
    known = set(found)
    return [pk for pk in plot_ids if pk in known]


def _machine(property, text):
    if not text:
        return None
    pk = id_in(text)
    machine = Machine.objects.filter(property=property, pk=pk).first() if pk is not None else None
    if machine is None:
        refuse(
            "machine",
            f"Machine “{text[:40]}” is not there; a drill or spreader of this property is accepted.",
        )
    return machine


def _level(text):
    if not text:
        return 100.0
    try:
        level = float(text.replace("%", "").strip())
    except ValueError:
        level = float("nan")
    if not LEAST_LEVEL <= level <= MOST_LEVEL:
        refuse(
            "level",
            f"The boxes are filled to “{text[:40]}” %; accepted is {LEAST_LEVEL} to {MOST_LEVEL} % of level full.",
        )
    return level
