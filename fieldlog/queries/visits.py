"""Who was where, and when last."""

import shapely
from django.db.models import Max, Prefetch

from fieldlog.models import Photo, Reading, Visit

SHOWN = 4  # on a plot's page
# Every version of what was read, and every picture.
PARTS = (
    Prefetch("readings", Reading.objects.select_related("recorded_by", "struck_by")),
    Prefetch("photos", Photo.objects.select_related("taken_by", "point")),
)
SHORT = (
    Prefetch("readings", Reading.objects.filter(Reading.COUNTS)),
    Prefetch("photos", Photo.objects.filter(struck_at__isnull=True)),
)


def visits_of(plot):
    """The plot's visits, the latest first, with the readings that count and the pictures that are shown."""
    return plot.visits.select_related("recorded_by", "corrected_by").prefetch_related(*SHORT)


def visits_for(property):
    """The visits of all plots of the property, archived ones too, the latest first."""
    return (
        Visit.objects.filter(plot__property=property)
        .select_related("plot__boundary", "recorded_by", "corrected_by", "phone")
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


def spots_of(visit, readings, photos):
    """What the map of a visit shows, as GeoJSON features: the plot, where the person stood, pins and pictures."""
    features = []
    if visit.plot.boundary_id is not None:
        outline = shapely.geometry.mapping(visit.plot.boundary.geometry)
        features.append(_feature(outline, "plot", visit.plot.name))
    if visit.lon is not None:
        features.append(_spot(visit, "visit", "The visit"))
    features += [
        _spot(each.reading, "reading", each.title)
        for each in readings
        if each.reading.lon is not None and each.reading.counts
    ]
    features += [
        _spot(each, "photo", each.caption or "Picture")
        for each in photos
        if each.lon is not None and each.struck_at is None
    ]
    return features


def _spot(row, kind, title):
    return _feature({"type": "Point", "coordinates": [row.lon, row.lat]}, kind, title)


def _feature(geometry, kind, title):
    return {"type": "Feature", "geometry": geometry, "properties": {"kind": kind, "title": title}}
