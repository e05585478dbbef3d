"""A plot's visits: all of them, recording one, correcting one."""

import uuid

from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from fieldlog.access import visit_to_correct_for
from fieldlog.forms.visits import VisitForm
from fieldlog.queries.visits import visits_of
from fieldlog.services.visits import correct_visit, record_visit
from plots.access import RECORD, plot_for

VISITS_A_PAGE = 50


@section("plots")
@require_safe
def visits(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id)
    page = Paginator(visits_of(plot), VISITS_A_PAGE).get_page(request.GET.get("page"))
    return render(
        request,
        "fieldlog/visits.html",
        {"plot": plot, "property": plot.property, "page": page, "visits": page},
    )


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def visit_new(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id, RECORD)
    form = VisitForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            record_visit(
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
            return redirect("plot", slug, plot.pk)
    return _page(request, plot, form)


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def visit_edit(request, slug, visit_id):
    visit = visit_to_correct_for(request.user, slug, visit_id)
    form = VisitForm(request.POST if request.method == "POST" else None, visit)
    if request.method == "POST" and form.is_valid():
        said = {name: form.cleaned_data[name] for name in ("visited_at", "note")}
        if said["visited_at"] == visit.visited_at.replace(second=0):
            said["visited_at"] = visit.visited_at  # the form shows no seconds; they are no correction
        try:
            correct_visit(visit=visit, user=request.user, **said)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, "The visit is corrected.")
            return redirect("plot", slug, visit.plot_id)
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
