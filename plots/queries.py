"""Reads, always starting from a property."""

from django.db.models import Count, F, Max, Min, Q, Sum

from plots.calc.units import M2_PER_ACRE
from plots.geojson import as_stored, collection_text, compact
from plots.models import Boundary, BoundaryImport, Plot, Property


def plots_for(property, search="", archived=False):
    """The property's plots with their current boundary, its geometry left in the database."""
    plots = (
        Plot.objects.filter(property=property, is_archived=archived)
        .select_related("boundary")
        .defer("boundary__geometry")
    )
    wanted = search.replace("\x00", "").strip()  # PostgreSQL takes no such character
    if wanted:
        plots = plots.filter(Q(name__icontains=wanted) | Q(notes__icontains=wanted))
    return plots


def boundaries_for(property, plot_ids=None, archived=False):
    """The current boundaries of the plots that are not archived (or of those that are), with their plot."""
    boundaries = Boundary.objects.filter(
        current_of__property=property, current_of__is_archived=archived
    ).select_related("plot")
    if plot_ids is not None:
        boundaries = boundaries.filter(plot_id__in=list(plot_ids))
    return boundaries.order_by("plot__name", "plot_id")


def live_names(property):
    """{id: name} of the plots that are not archived: thousands are read on a page that shows few."""
    return dict(
        Plot.objects.filter(property=property, is_archived=False).order_by("pk").values_list("pk", "name")
    )


def outlines_for(property, plot_ids=None, archived=False):
    """Current boundaries as the text of a GeoJSON FeatureCollection (RFC 7946, 7 decimals).

    Properties of each feature: `id` and `name` of the plot, `acres` (null while unmeasured).
    """
    boundaries = boundaries_for(property, plot_ids, archived)
    rows = list(boundaries.values_list("plot_id", "plot__name", "area_m2", "geometry"))
    facts = [
        compact({"id": pk, "name": name, "acres": None if area_m2 is None else area_m2 / M2_PER_ACRE})
        for pk, name, area_m2, _ in rows
    ]
    return collection_text(as_stored([row[3] for row in rows]), facts, ids=[row[0] for row in rows])


def middle_of(property):
    """Longitude and latitude in the middle of the property's plots; None while none has a boundary."""
    ends = boundaries_for(property).aggregate(Min("west"), Max("east"), Min("south"), Max("north"))
    west, east, south, north = ends.values()
    return None if west is None else ((west + east) / 2, (south + north) / 2)


def properties_with_totals(user):
    """The person's properties with `.role`, `.plot_count`, `.unmeasured_count` and `.acres` (of the measured)."""
    live = Q(plots__is_archived=False)
    found = (
        Property.objects.filter(memberships__user=user)
        .annotate(role=F("memberships__role"))
        .annotate(
            plot_count=Count("plots", filter=live),
            unmeasured_count=Count("plots", filter=live & Q(plots__boundary__area_m2__isnull=True)),
            area_m2=Sum("plots__boundary__area_m2", filter=live),
        )
        .order_by("name")
    )
    for property in found:
        area_m2 = property.area_m2 if property.plot_count else 0.0
        property.acres = None if area_m2 is None else area_m2 / M2_PER_ACRE
    return found


def imports_for(property):
    """Earlier imports, newest first, with `.stored_count`: boundaries that came from each."""
    return (
        BoundaryImport.objects.filter(property=property)
        .select_related("created_by")
        .annotate(stored_count=Count("boundaries"))
        .order_by("-created_at")  # a grouped query forgets the model's order
        .defer("report")
    )
