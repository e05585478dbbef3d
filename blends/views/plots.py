"""One plot: its outline and acres, where they came from, and what has grown there."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.views.decorators.http import require_http_methods, require_safe

from blends.forms.plots import PlotForm
from blends.queries.plots import plantings_of, rings_of
from blends.views.overview import outlines_address
from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import COSTS, EDIT, plot_for
from plots.calc.units import M2_PER_ACRE, m_to_ft
from plots.services.plots import archive_plot, restore_plot, update_plot


@section("plots")
@require_safe
def plot(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id)
    boundary = plot.boundary
    measured = boundary is not None and boundary.area_m2 is not None
    history = plot.boundaries.select_related("created_by", "source_import").defer(
        "geometry", "source_import__report"
    )
    return render(
        request,
        "blends/plot.html",
        {
            "plot": plot,
            "property": plot.property,
            "boundary": boundary,
            "outlines": outlines_address(plot.property, plot=plot.pk),
            "how_obtained": _how_obtained(boundary),
            "measured": measured,
            "perimeter_ft": m_to_ft(boundary.perimeter_m) if measured else None,
            "rings": rings_of(boundary.geometry) if measured else [],
            "m2_per_acre": M2_PER_ACRE,
            "history": history,
            "plantings": plantings_of(plot),
            "shows_costs": COSTS in plot.property.allowed,
        },
    )


def _how_obtained(boundary):
    """'Imported from a file, Nov 25, 2026.'"""
    if boundary is None:
        return ""
    return f"{boundary.get_how_display()}, {date_format(localtime(boundary.created_at), 'M j, Y')}."


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def plot_edit(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id, EDIT)
    act = request.POST.get("act")
    if act == "archive":
        archive_plot(plot=plot)
        messages.success(request, f"{plot.name} is archived: it is left out of lists and coming seasons.")
        return redirect("plot", slug, plot.pk)
    if act == "restore":
        restore_plot(plot=plot)
        messages.success(request, f"{plot.name} is back among the plots.")
        return redirect("plot", slug, plot.pk)

    form = PlotForm(request.POST or None, initial={"name": plot.name, "notes": plot.notes})
    if request.method == "POST" and form.is_valid():
        try:
            update_plot(plot=plot, **form.cleaned_data)
        except SwardbookError as error:
            show_refusal(form, error)
            plot.refresh_from_db(fields=["name"])
        else:
            messages.success(request, f"{plot.name} is saved.")
            return redirect("plot", slug, plot.pk)
    return render(
        request,
        "blends/plot_edit.html",
        {"plot": plot, "property": plot.property, "form": form, "complaints": complaints(form)},
    )
