"""One plot: its outline and acres, where they came from, and what has grown there."""

from datetime import timedelta
from itertools import pairwise

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.views.decorators.http import require_http_methods, require_safe

from blends.queries.moved import what_moved
from blends.queries.overview import latest_used, seasons_of
from blends.queries.plots import plantings_of, rings_of
from blends.queries.restrictions import restrictions
from blends.queries.soil import soil_of
from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from fieldlog.forms.plots import OBJECTIVES, PlotForm
from fieldlog.queries.proposals import proposals_of
from fieldlog.queries.visits import latest_visits
from fieldlog.queries.work import work_of_plot
from fieldlog.views.overview import outlines_address
from plots.access import COSTS, EDIT, plot_for
from plots.calc.units import M2_PER_ACRE, m_to_ft
from plots.queries import overlaps_of, record_of
from plots.services.plots import archive_plot, restore_plot, update_plot

_RECORD_SHOWN = 5  # boundaries; the record's own page has all
_NEWS = timedelta(days=14)  # for so long what moved stands first


@section("plots")
@require_safe
def plot(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id)
    boundary = plot.boundary
    measured = boundary is not None and boundary.area_m2 is not None
    latest = list(record_of(plot)[: _RECORD_SHOWN + 1])
    moved = _moved(plot, latest)
    plantings = plantings_of(plot)
    return render(
        request,
        "fieldlog/plot.html",
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
            "history": latest[:_RECORD_SHOWN],
            "history_is_longer": len(latest) > _RECORD_SHOWN,
            "moved": moved,
            "moved_is_news": moved is not None and timezone.now() - boundary.created_at < _NEWS,
            "overlaps": _overlaps(plot) if boundary is not None else [],
            "plantings": plantings,
            "restrictions": restrictions(plot.property, [plot.pk]),
            "undecided_in": _undecided_in(plot, plantings),
            "objective": dict(OBJECTIVES)[plot.objective],
            "shows_costs": COSTS in plot.property.allowed,
            **proposals_of(plot),
            **latest_visits(plot),
            **work_of_plot(plot),
            **soil_of(plot),
        },
    )


def _undecided_in(plot, plantings):
    """The season that the maps show, where the plot gets nothing in it and is in use; else None."""
    season = None if plot.is_archived else latest_used(seasons_of(plot.property))
    return None if season is None or any(each.season_id == season.pk for each in plantings) else season


def _moved(plot, latest):
    """What moved with the current boundary; None of the first one."""
    for after, before in pairwise(latest):
        if after.pk == plot.boundary_id:
            return what_moved(plot, before, after)
    return None


def _overlaps(plot):
    """The plot's standing overlaps, each with `.other`, the plot that it shares the ground with, and `.widest_ft`."""
    found = list(overlaps_of(plot))
    for overlap in found:
        pair = (overlap.first.plot, overlap.second.plot)
        overlap.other = pair[1] if pair[0].pk == plot.pk else pair[0]
        overlap.widest_ft = m_to_ft(overlap.width_m)
    return found


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

    form = PlotForm(
        request.POST or None, initial={name: getattr(plot, name) for name in PlotForm.Meta.fields}
    )
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
        "fieldlog/plot_edit.html",
        {"plot": plot, "property": plot.property, "form": form, "complaints": complaints(form)},
    )
