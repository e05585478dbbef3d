"""Ground that the boundaries of a property share, found as they arise and kept as `Overlap`."""

import logging

import numpy as np
import shapely
from django.db import transaction

from plots.calc.change import overlaid
from plots.calc.geodesy import geodesic_area_perimeter
from plots.calc.shape import width_m
from plots.models import Boundary, Overlap
from plots.queries import boundaries_for
from plots.services.locking import lock_property
from plots.services.overlaps import LEAST_KEPT_M2

logger = logging.getLogger(__name__)

_AT_ONCE = 200  # boundaries a transaction, and ids a statement


def compare_with_neighbours(boundaries):
    """Store the ground that boundaries share with the current ones of the plots around them. Safe to run twice.

    Of two boundaries that arise at once the later has to see the earlier: call it while the property is locked, or
    of boundaries that have been committed.

    Parameters
    ----------
    boundaries : list of Boundary
        Of one property, with their geometry.
    """
    outlines = {boundary.pk: boundary.geometry for boundary in boundaries}
    pairs = _pairs_that_may_meet(boundaries)
    outlines |= _geometries({pk for pair in pairs for pk in pair} - outlines.keys())
    overlaps = [_overlap(first, second, outlines[first], outlines[second]) for first, second in pairs]
    Overlap.objects.bulk_create([each for each in overlaps if each], batch_size=100, ignore_conflicts=True)
    Boundary.objects.filter(pk__in=[boundary.pk for boundary in boundaries]).update(is_compared=True)


def compare_uncompared():
    """Compare current boundaries that were stored before there were overlaps, or whose comparing was cut short."""
    left = Boundary.objects.filter(
        is_compared=False, area_m2__isnull=False, current_of__is_archived=False
    ).order_by("pk")
    for property_id in left.order_by().values_list("plot__property_id", flat=True).distinct():
        try:
            while _compare_some(left.filter(plot__property_id=property_id), property_id):
                pass
        except Exception:
            logger.exception("boundaries of property %s could not be compared", property_id)


@transaction.atomic
def _compare_some(left, property_id):
    lock_property(property_id)
    chunk = list(left.select_related("plot")[:_AT_ONCE])
    if chunk:
        compare_with_neighbours(chunk)
    return len(chunk)


def _pairs_that_may_meet(boundaries):
    """Ids in order, (smaller, larger), of each of the boundaries with the current ones whose extent it meets.

    A property may have thousands of plots: first their extents are read, then the geometry of few.
    """
    if not boundaries:
        return []
    boxes = shapely.box(*shapely.bounds([boundary.geometry for boundary in boundaries]).T)
    around = boundaries_for(boundaries[0].plot.property_id).filter(
        geometry__bbox=shapely.total_bounds(boxes).tolist()
    )
    there = list(around.order_by("pk").values_list("pk", "plot_id", "west", "south", "east", "north"))
    if not there:
        return []
    extents = shapely.box(*np.array([row[2:] for row in there]).T)
    found = shapely.STRtree(extents).query(boxes, predicate="intersects").T.tolist()
    met = {
        (boundaries[mine].pk, there[other][0])
        for mine, other in found
        if boundaries[mine].plot_id != there[other][1]
    }
    return sorted({(min(pair), max(pair)) for pair in met})


def _geometries(ids):
    ids, found = sorted(ids), {}
    for start in range(0, len(ids), _AT_ONCE):
        rows = Boundary.objects.filter(pk__in=ids[start : start + _AT_ONCE])
        found |= dict(rows.values_list("pk", "geometry"))
    return found


def _overlap(first_id, second_id, first, second):
    """The ground in common as a row to store; None where it is too little."""
    ground = overlaid(shapely.intersection, first, second)
    area_m2 = float(geodesic_area_perimeter(ground)[0])
    if area_m2 < LEAST_KEPT_M2:
        return None
    return Overlap(
        first_id=first_id, second_id=second_id, geometry=ground, area_m2=area_m2, width_m=width_m(ground)
    )
