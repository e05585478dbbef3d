"""Bringing in boundaries: upload, preview with answers, accept, and the file as it came."""

import shapely
from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_http_methods, require_safe

from config.errors import SwardbookError
from config.pages import Complaint, complaints, section, show_refusal
from config.templatetags.figures import acres_text
from plots.access import EDIT, import_for, property_for
from plots.calc.units import m2_to_acres
from plots.forms import AnswerForm, ImportForm
from plots.geojson import MANY, MEDIA_TYPE, as_stored, collection_text, compact, from_afar
from plots.models import BoundaryImport
from plots.queries import boundaries_for, imports_for
from plots.services import imports
from plots.views.preview import accepted_from, preview_rows

State = BoundaryImport.State
_SHOWN_IMPORTS = 100
_AROUND_DEGREES = 0.01  # about a kilometre


@section("plots")
@require_http_methods(["GET", "POST"])
def import_new(request, slug):
    property = property_for(request.user, slug, EDIT)
    form = ImportForm(request.POST, request.FILES) if request.method == "POST" else ImportForm()
    if request.method == "POST" and form.is_valid():
        try:
            row = imports.receive_file(property=property, user=request.user, upload=form.cleaned_data["file"])
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            return redirect("import", slug, row.pk)
    facts = {
        "form": form,
        "complaints": complaints(form),
        "imports": imports_for(property)[:_SHOWN_IMPORTS],
        "property": property,
    }
    return render(request, "plots/import_new.html", facts)


@section("plots")
@require_http_methods(["GET", "POST"])
def import_page(request, slug, import_id):
    row = import_for(request.user, slug, import_id)
    act = {"answer": _answer, "accept": _accept, "discard": _discard}.get(request.POST.get("act"), _show)
    return act(request, row)


@section("plots")
@require_safe
@gzip_page
def import_outlines(request, slug, import_id):
    """What the preview's map draws: the file's outlines, and the plots that are already there."""
    row = import_for(request.user, slug, import_id)
    outlines = list(row.outlines.values_list("position", "name", "area_m2", "geometry", "overlaps"))
    geometries = [each[3] for each in outlines]
    there = _neighbours(row.property, geometries) if row.state != State.STORED else []
    covered = {item["plot_id"] for *_, overlaps in outlines for item in overlaps}
    properties = [
        *(_there_on_the_map(plot_id, "" if plot_id in covered else name) for plot_id, name, _ in there),
        *(_on_the_map(*each[:3]) for each in outlines),
    ]
    # A file of a few plots is looked at closely, for what was repaired; what surrounds it is not.
    write = as_stored if len(geometries) <= MANY else from_afar
    drawn = [*from_afar([each[2] for each in there]), *write(geometries)]
    return HttpResponse(collection_text(drawn, properties), content_type=MEDIA_TYPE)


def _there_on_the_map(plot_id, name):
    """Without a name where an outline has its label."""
    return compact({"id": f"plot-{plot_id}", "name": name, "look": "there"})


def _on_the_map(position, name, area_m2):
    shown = {"id": str(position), "name": name, "acres": acres_text(m2_to_acres(area_m2))}
    return compact(shown | {"mark": str(position), "look": "plain"})


def _neighbours(property, geometries):
    """Plots close enough to be seen beside the outlines; far ones would make both too small to see."""
    if not geometries:
        return []
    west, south, east, north = shapely.total_bounds(geometries).tolist()
    view = (west - _AROUND_DEGREES, south - _AROUND_DEGREES, east + _AROUND_DEGREES, north + _AROUND_DEGREES)
    found = boundaries_for(property).filter(geometry__bbox=view)
    return list(found.values_list("plot_id", "plot__name", "geometry"))


@section("plots")
@require_safe
def import_original(request, slug, import_id):
    """The file as it came, never shown by the browser: it is a stranger's file on our address."""
    row = import_for(request.user, slug, import_id)
    try:
        content = row.original.open("rb")
    except FileNotFoundError as error:
        raise Http404 from error
    return FileResponse(
        content,
        as_attachment=True,
        filename=row.file_name,
        content_type="application/octet-stream",
        headers={
            "X-Content-Type-Options": "nosniff",
            "Content-Security-Policy": "default-src 'none'; sandbox",
            "Cache-Control": "private, no-store",
        },
    )


def _answer(request, row):
    form = AnswerForm(row, request.POST)
    if form.is_valid():
        try:
            imports.answer_import(boundary_import=row, **form.answers())
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            return redirect("import", row.property.slug, row.pk)
    return _show(request, row, form=form)


def _accept(request, row):
    positions = row.outlines.values_list("position", flat=True)
    accepted = accepted_from(request.POST, positions)
    try:
        job = imports.accept_import(boundary_import=row, user=request.user, accepted=accepted)
    except SwardbookError as error:
        return _show(request, row, error=error)
    return redirect("job", row.property.slug, job.pk)


def _discard(request, row):
    imports.discard_import(boundary_import=row)
    messages.success(request, f"“{row.file_name}” is discarded; no plot was changed.")
    return redirect("import-new", row.property.slug)


def _show(request, row, form=None, error=None):
    facts = {"import": row, "report": row.report, "property": row.property}
    if row.state == State.STORED:
        stored = row.boundaries.select_related("plot").defer("geometry").order_by("plot__name")
        left = row.outlines.count() - len(stored)
        return render(request, "plots/import_stored.html", facts | {"boundaries": stored, "left_count": left})
    form = form or AnswerForm(row)
    rows = preview_rows(row, request.POST if error else None, error and error.fields)
    facts |= {
        "form": form,
        "rows": rows,
        "complaints": complaints(form) + (_table_complaints(error, rows) if error else []),
        "acres": m2_to_acres(sum(each.outline.area_m2 for each in rows)),
        "repaired_count": sum(each.outline.is_repaired for each in rows),
    }
    template = "plots/import_preview.html" if row.state == State.PREVIEW else "plots/import_asking.html"
    return render(request, template, facts)


def _table_complaints(error, rows):
    found = [
        Complaint(sentence, f"Outline {row.prefix}", f"{'name' if field == 'name' else 'plot'}-{row.prefix}")
        for row in rows
        for field, sentences in row.errors.items()
        for sentence in sentences
    ]
    return found or [Complaint(error.sentence)]
