"""What a person does with a plot: rename it, set it aside, give it another boundary."""

from django.db import transaction

from config.errors import Refused
from plots.calc.geodesy import geodesic_area_perimeter
from plots.geojson import checked_outline
from plots.models import Boundary, Plot
from plots.services.measuring import tell_acreage_changed
from plots.services.rows import save_clean


@transaction.atomic
def update_plot(*, plot, name, notes):
    plot.name, plot.notes = " ".join(name.split()), notes.strip()
    return save_clean(plot, update_fields=["name", "notes"])


@transaction.atomic
def archive_plot(*, plot):
    """Set the plot aside: it leaves lists and coming seasons, its past stays."""
    return _set_archived(plot, True)


@transaction.atomic
def restore_plot(*, plot):
    return _set_archived(plot, False)


def _set_archived(plot, is_archived):
    plot.is_archived = is_archived
    plot.save(update_fields=["is_archived"])
    tell_acreage_changed([plot.pk])
    return plot


@transaction.atomic
def set_boundary(*, plot, geometry, user, how, why="", repairs=(), source_import=None):
    """Give the plot a new, measured boundary; the ones before it stay in its history.

    Parameters
    ----------
    geometry : shapely Polygon or MultiPolygon
        Longitude and latitude on WGS84. [degrees]
    how : Boundary.How

    Raises
    ------
    Refused
        The outline is empty, out of range, crosses itself or encloses no ground.
    """
    outline = checked_outline(geometry)
    area_m2, perimeter_m = geodesic_area_perimeter(outline)
    if area_m2 <= 0:
        raise Refused("The boundary encloses no ground; an outline with at least three corners is accepted.")
    locked = Plot.objects.select_for_update().get(pk=plot.pk)
    locked.boundary = plot.boundary = save_clean(
        Boundary(
            plot=locked,
            geometry=outline,
            area_m2=float(area_m2),
            perimeter_m=float(perimeter_m),
            how=how,
            why=why.strip(),
            repairs=list(repairs),
            source_import=source_import,
            created_by=user,
        )
    )
    locked.save(update_fields=["boundary"])
    tell_acreage_changed([plot.pk])
    return plot.boundary
