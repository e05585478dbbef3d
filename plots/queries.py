"""Reads, always starting from a property."""

import json

from django.db.models import Count, F, Max, Min, Q, Sum

from config.errors import Refused
from plots.calc.units import M2_PER_ACRE
from plots.geojson import as_stored, collection_text, compact
from plots.models import Boundary, BoundaryImport, Overlap, Plot, Property


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


def outlines_for(property, plot_ids=None, archived=False, *, bbox=None, but=None, most=None):
    """Current boundaries as the text of a GeoJSON FeatureCollection (RFC 7946, 7 decimals).

    Properties of each feature: `id` and `name` of the plot, `acres` (null while unmeasured), and of the boundary
    `boundary_id`, `how`, `who` (null where nobody knows) and `at`.

    Parameters
    ----------
    bbox : tuple of float, optional
        (west, south, east, north): only those whose extent meets it. [degrees]
    but : int, optional
        Id of a plot that is left out.
    most : int, optional

    Raises
    ------
    Refused
        There are more than `most`.
    """
    boundaries = boundaries_for(property, plot_ids, archived).select_related(None)
    if bbox is not None:
        boundaries = boundaries.filter(geometry__bbox=bbox)
    if but is not None:
        boundaries = boundaries.exclude(plot_id=but)
    rows = list(boundaries.values_list(*_FEATURE_COLUMNS)[: None if most is None else most + 1])
    if most is not None and len(rows) > most:
        raise Refused(f"More than {most:,} plots lie there; ask for a smaller bbox to get at most {most:,}.")
    return _collection_of(rows)


def feature_of(boundary):
    """One boundary, current or not, as a GeoJSON Feature with the properties of `outlines_for`."""
    rows = Boundary.objects.filter(pk=boundary.pk).values_list(*_FEATURE_COLUMNS)
    return json.loads(_collection_of(list(rows)))["features"][0]


_FEATURE_COLUMNS = (
    "plot_id", "plot__name", "area_m2", "pk", "how", "created_at",
    "created_by__first_name", "created_by__last_name", "created_by__username", "geometry",
)  # fmt: skip


def _collection_of(rows):
    facts = [
        compact(
            {
                "id": plot_id,
                "name": name,
                "acres": None if area_m2 is None else area_m2 / M2_PER_ACRE,
                "boundary_id": pk,
                "how": how,
                "who": f"{first} {last}".strip() or username if username else None,
                "at": at.isoformat(),
            }
        )
        for plot_id, name, area_m2, pk, how, at, first, last, username, _ in rows
    ]
    return collection_text(as_stored([row[-1] for row in rows]), facts, ids=[row[0] for row in rows])


def extents_for(property, but=None):
    """[(west, south, east, north)] of the property's plots, without the plot `but`; empty while none has a boundary."""
    boundaries = boundaries_for(property)
    if but is not None:
        boundaries = boundaries.exclude(plot=but)
    return list(
        boundaries.filter(west__isnull=False).order_by().values_list("west", "south", "east", "north")
    )


def extent_of(property):
    """(west, south, east, north) of the property's plots; None while none has a boundary."""
    ends = boundaries_for(property).aggregate(Min("west"), Min("south"), Max("east"), Max("north"))
    return None if ends["west__min"] is None else tuple(ends.values())


def middle_of(property):
    """Longitude and latitude in the middle of the property's plots; None while none has a boundary."""
    extent = extent_of(property)
    if extent is None:
        return None
    west, south, east, north = extent
    return (west + east) / 2, (south + north) / 2


def standing_overlaps(property):
    """Ground that two plots in use share now, largest first; `.first` and `.second` come with their plots."""
    return (
        Overlap.objects.filter(
            first__current_of__property=property,
            first__current_of__is_archived=False,
            second__current_of__is_archived=False,
        )
        .select_related("first__plot", "second__plot")
        .defer("geometry", "first__geometry", "second__geometry")
    )


def overlaps_of(plot):
    """The standing overlaps of one plot, largest first."""
    return standing_overlaps(plot.property).filter(Q(first__plot=plot) | Q(second__plot=plot))


def record_of(plot):
    """The boundaries of a plot, newest first, with who made them and from which file; no geometry is read."""
    return plot.boundaries.select_related("created_by", "source_import", "restored_from").defer(
        "geometry", "restored_from__geometry", "source_import__report"
    )


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
