"""Acreage of boundaries that have none yet."""

from django.db import transaction
from django.dispatch import Signal

from plots.calc.geodesy import geodesic_area_perimeter
from plots.models import Boundary, Plot
from plots.services.comparing import compare_with_neighbours
from plots.services.progress import beat

# Sent with `plot_ids` inside the transaction that changed the acreage of these plots.
acreage_changed = Signal()

_CHUNK = 200  # boundaries a transaction: others wait for the lock no longer than this takes


def measure_boundaries(property_id, job=None):
    """Measure the property's unmeasured boundaries, in chunks. Safe to run twice, and at once.

    Returns
    -------
    int
        Boundaries measured now.
    """
    unmeasured = (
        Boundary.objects.filter(plot__property_id=property_id, area_m2__isnull=True)
        .select_related("plot__property")
        .order_by("pk")
    )
    measured = 0
    while chunk := list(unmeasured[:_CHUNK]):
        areas_m2, perimeters_m = geodesic_area_perimeter([boundary.geometry for boundary in chunk])
        for boundary, area_m2, perimeter_m in zip(chunk, areas_m2, perimeters_m, strict=True):
            boundary.area_m2, boundary.perimeter_m = float(area_m2), float(perimeter_m)
        with transaction.atomic():
            Boundary.objects.bulk_update(chunk, ["area_m2", "perimeter_m"])
            compare_with_neighbours(chunk)
            tell_acreage_changed({boundary.plot_id for boundary in chunk})
            if job is not None:
                beat(job, job.steps_total - unmeasured.count())
        measured += len(chunk)
    return measured


def tell_acreage_changed(plot_ids):
    """Send `acreage_changed`; call it inside the transaction that changes the acreage."""
    acreage_changed.send(sender=Plot, plot_ids=sorted(plot_ids))
