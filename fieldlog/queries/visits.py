"""Who was where, and when last."""

from django.db.models import Max, Prefetch

from fieldlog.models import Photo, Reading, Visit

SHOWN = 4  # on a plot's page
# Every version of what was read, and every picture.
PARTS = (
    Prefetch("readings", Reading.objects.select_related("recorded_by", "struck_by")),
    Prefetch("photos", Photo.objects.select_related("taken_by", "point")),
)


def visits_of(plot):
    """The plot's visits, the latest first."""
    return plot.visits.select_related("recorded_by", "corrected_by")


def visits_for(property):
    """The visits of all plots of the property, archived ones too, the latest first."""
    return (
        Visit.objects.filter(plot__property=property)
        .select_related("plot", "recorded_by", "corrected_by", "phone")
        .prefetch_related(*PARTS)
    )


def last_visits(property):
    """When each plot was visited last; a plot that never was is not in it.

    Returns
    -------
    dict
        {id of the plot: datetime}, in one query.
    """
    return dict(
        Visit.objects.filter(plot__property=property)
        .order_by()
        .values_list("plot_id")
        .annotate(last=Max("visited_at"))
    )


def latest_visits(plot):
    """What a plot's page shows of its visits: `visits`, the last few, and `visit_count`, how many there are."""
    visits = list(visits_of(plot)[:SHOWN])
    return {"visits": visits, "visit_count": len(visits) if len(visits) < SHOWN else plot.visits.count()}
