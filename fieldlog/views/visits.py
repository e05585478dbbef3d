"""Visits: those of the property, those of a plot, one of them, recording one, correcting one."""

import uuid

from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from fieldlog.access import may_correct_reading, may_correct_visit, visit_for, visit_to_correct_for
from fieldlog.forms.visit_log import LogForm
from fieldlog.forms.visits import VisitForm
from fieldlog.queries.visit_log import conflicts_of, log_of, people_of, readings_shown
from fieldlog.queries.visits import spots_of, visits_of
from fieldlog.services.visits import correct_visit, record_visit
from fieldlog.told import clock_words
from plots.access import RECORD, plot_for, property_for

VISITS_A_PAGE = 50
LOG_A_PAGE = 30


@section("visits")
@require_safe
def visit_log(request, slug):
    """The property's visits, the latest first, with what was asked of somebody on top."""
    property = property_for(request.user, slug)
    form = LogForm(request.GET, property.plots.order_by("name"), people_of(property))
    visits = log_of(property, **form.asked)
    return render(
        request,
        "fieldlog/visit_log.html",
        {
            "property": property,
            "form": form,
            "is_asked": bool(form.asked),
            "complaints": complaints(form),
            "conflicts": conflicts_of(property),
            "page": Paginator(visits, LOG_A_PAGE).get_page(request.GET.get("page")),
        },
    )


@section("visits")
@require_safe
def visit(request, slug, visit_id):
    """One visit with every version of what was read there."""
    visit = visit_for(request.user, slug, visit_id)
    property = visit.plot.property
    readings = readings_shown(visit)
    for each in readings:
        each.reading.visit = visit
        each.may_correct = may_correct_reading(request.user, each.reading)
    photos = list(visit.photos.all())
    spots = spots_of(visit, readings, photos)
    return render(
        request,
        "fieldlog/visit.html",
        {
            "visit": visit,
            "plot": visit.plot,
            "property": property,
            "clock": clock_words(visit.clock_ahead_s) if visit.said_at else "",
            "readings": readings,
            "photos": [each for each in photos if each.arrived_at and not each.struck_at],
            "set_aside": [each for each in photos if each.struck_at],
            "awaited": sum(1 for each in photos if not each.arrived_at and not each.struck_at),
            "spots": spots,
            "spot_kinds": {each["properties"]["kind"] for each in spots},
            "may_correct": may_correct_visit(request.user, visit),
        },
    )


@section("visits")
@require_safe
def visits(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id)
    page = Paginator(visits_of(plot), VISITS_A_PAGE).get_page(request.GET.get("page"))
    return render(
        request,
        "fieldlog/visits.html",
        {"plot": plot, "property": plot.property, "page": page, "visits": page},
    )


@section("visits")
@require_http_methods(["GET", "HEAD", "POST"])
def visit_new(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id, RECORD)
    form = VisitForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            visit, _ = record_visit(
                id=said["id"] or uuid.uuid4(),
                plot=plot,
                user=request.user,
                visited_at=said["visited_at"],
                note=said["note"],
            )
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, f"The visit to {plot.name} is recorded.")
            if "readings" in request.POST:
                return redirect("reading-new", slug, visit.pk)
            return redirect("plot", slug, plot.pk)
    return _page(request, plot, form)


@section("visits")
@require_http_methods(["GET", "HEAD", "POST"])
def visit_edit(request, slug, visit_id):
    visit = visit_to_correct_for(request.user, slug, visit_id)
    form = VisitForm(request.POST if request.method == "POST" else None, visit)
    if request.method == "POST" and form.is_valid():
        said = {name: form.cleaned_data[name] for name in ("visited_at", "note", "plot", "why")}
        if said["visited_at"] == visit.visited_at.replace(second=0):
            said["visited_at"] = visit.visited_at  # the form shows no seconds; they are no correction
        try:
            correct_visit(visit=visit, user=request.user, **said)
        except SwardbookError as error:
            show_refusal(form, error, names={"plot_id": "plot"})
        else:
            messages.success(request, "The visit is corrected.")
            return redirect("visit", slug, visit.pk)
    return _page(request, visit.plot, form, visit)


def _page(request, plot, form, visit=None):
    return render(
        request,
        "fieldlog/visit_edit.html",
        {
            "plot": plot,
            "property": plot.property,
            "visit": visit,
            "form": form,
            "complaints": complaints(form),
        },
    )
