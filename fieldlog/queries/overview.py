"""The list of the plots page: a page of rows, sorted, and what waits to be done on the property."""

from dataclasses import dataclass
from datetime import datetime

from django.core.paginator import Paginator
from django.db.models import Count, F, OuterRef, Subquery, Sum

from blends.queries.overview import PlotRow, plot_row, plot_rows
from blends.queries.restrictions import Restriction
from fieldlog.models import Visit
from fieldlog.wanted import ACRES, VISITED
from plots.calc.units import M2_PER_ACRE
from plots.models import BoundaryImport, Walk
from plots.queries import standing_overlaps

PLOTS_A_PAGE = 100
_WAITING_SHOWN = 3


@dataclass(frozen=True)
class ListedPlot:
    """A row of the list: the plot, the look that the map gives it, when it was visited last, if that is asked, and
    what labels forbid on it now."""

    plot: PlotRow
    look: str
    last_visit: datetime | None
    held: list[Restriction]


class _Counted(Paginator):
    """A paginator that is told how many rows there are, since the page has summed them already."""

    count = 0

    def __init__(self, rows, per_page, count):
        super().__init__(rows, per_page)
        self.count = count


def page_of_plots(property, asked, measure, count, number, held):
    """A page of the plots asked for, as `ListedPlot`, in the order asked for.

    `held` is what labels forbid, by plot id.
    """
    rows = plot_rows(property, asked.season, asked.wanted)
    if asked.sort == ACRES:
        rows = rows.order_by(F("boundary__area_m2").desc(nulls_last=True), "name", "pk")
    elif asked.sort == VISITED:  # those that were never visited have waited longest
        of_plot = Visit.objects.filter(plot=OuterRef("pk")).order_by("-visited_at").values("visited_at")[:1]
        rows = rows.annotate(last_visit=Subquery(of_plot))
        rows = rows.order_by(F("last_visit").asc(nulls_first=True), "name", "pk")
    page = _Counted(rows, PLOTS_A_PAGE, count).get_page(number)
    plots = [plot_row(values) for values in page.object_list]
    page.object_list = [
        ListedPlot(
            plot,
            measure.look(plot.id, plot.area_m2, plot.use),
            measure.last.get(plot.id),
            held.get(plot.id, []),
        )
        for plot in plots
    ]
    return page


def overlap_sums(property):
    """How many standing overlaps there are, and the acres that they share; None without any."""
    sums = standing_overlaps(property).order_by().aggregate(count=Count("pk"), area_m2=Sum("area_m2"))
    return {"count": sums["count"], "acres": sums["area_m2"] / M2_PER_ACRE} if sums["count"] else None


def waiting_imports(property):
    """The latest few files that were read and not yet stored."""
    unanswered = [BoundaryImport.State.ASKING, BoundaryImport.State.PREVIEW]
    return BoundaryImport.objects.filter(property=property, state__in=unanswered).defer("report")[
        :_WAITING_SHOWN
    ]


def waiting_walks(property):
    """How many walked edges nobody has looked at yet."""
    return Walk.objects.filter(property=property, state=Walk.State.WAITING).count()
