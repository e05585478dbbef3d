"""A property's plots on their way out to another program."""

from django.http import Http404, HttpResponse

from config.errors import Refused
from plots.calc.units import m_to_ft
from plots.formats.write import ExportedPlot, Selection
from plots.models import Plot
from plots.queries import boundaries_for

# What is said beside `determination:method`; an import's day is not the day on which its outlines were made.
_TOLD = {
    "imported": "Imported from a file; the time is that of the import.",
    "reshaped": "Split, merged or trimmed from boundaries before it, which may have been made in several ways.",
}


def selection_of(property, plot_ids=None, archived=False):
    """The plots in use with their boundaries, by name: all that have one, or those asked for.

    Parameters
    ----------
    property : Property
    plot_ids : list of int, optional
    archived : bool
        The archived plots instead.

    Raises
    ------
    Http404
        One of the ids is no plot of this property, or one that is archived where `archived` is not said.
    Refused
        There is no boundary to export.
    """
    boundaries = list(boundaries_for(property, plot_ids, archived))
    if plot_ids is not None:
        _check_all_found(property, set(plot_ids) - {boundary.plot_id for boundary in boundaries}, archived)
    if not boundaries:
        raise Refused("No plot is chosen that has a boundary; at least one is needed for a file.")
    return Selection(property.name, property.slug, [_exported(boundary) for boundary in boundaries])


def _check_all_found(property, missing, archived):
    bare = {
        plot.pk: plot.name
        for plot in Plot.objects.filter(property=property, is_archived=archived, boundary=None)
    }
    if missing - set(bare):
        raise Http404
    if missing:
        raise Refused(f"“{bare[min(missing)]}” has no boundary yet; a plot with one can be exported.")


def _exported(boundary):
    plot = boundary.plot
    return ExportedPlot(
        plot_id=plot.pk,
        name=plot.name,
        geometry=boundary.geometry,
        area_m2=boundary.area_m2,
        perimeter_m=boundary.perimeter_m,
        boundary_how=boundary.how,
        boundary_told=_told(boundary),
        boundary_at=boundary.created_at,
        accuracy_m=boundary.accuracy_m,
        objective=plot.objective or None,
        notes=plot.notes or None,
    )


def _told(boundary):
    told = _TOLD.get(boundary.how, f"{boundary.get_how_display()}.")
    if boundary.accuracy_m is None:
        return told
    off = f"{boundary.accuracy_m:.1f} m ({m_to_ft(boundary.accuracy_m):.0f} ft)"
    return f"{told} Its edge is typically off by {off}."


def file_answer(selection, kind):
    """The answer that hands over a file to be kept, never to be shown in the browser."""
    return HttpResponse(
        kind.write(selection),
        content_type=kind.media_type,
        headers={
            "Content-Disposition": f'attachment; filename="{kind.file_name(selection.slug)}"',
            "X-Content-Type-Options": "nosniff",
            "Cache-Control": "private, no-store",
        },
    )
