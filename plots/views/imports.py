"""Bringing in boundaries: upload, preview with answers, accept, and the file as it came."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import FileResponse, Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from config.errors import SwardbookError
from config.pages import Complaint, complaints, section, show_refusal
from plots.access import EDIT, import_for, property_for
from plots.forms import AnswerForm, ImportForm
from plots.models import BoundaryImport
from plots.queries import imports_for
from plots.services import imports
from plots.views.preview import (
    OUTLINES_A_PAGE,
    accepted_from,
    page_of,
    posted_choices,
    preview_page,
    preview_sums,
)

State = BoundaryImport.State
_SHOWN_IMPORTS = 100


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
    """What was read; posted, `act` is answer, save (or `go`, a page to go to), all, none, accept or discard."""
    row = import_for(request.user, slug, import_id)
    if request.method == "GET":
        return _show(request, row, number=request.GET.get("page"))
    act = {"answer": _answer, "accept": _accept, "discard": _discard}.get(request.POST.get("act"), _save)
    return act(request, row)


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


def _save(request, row):
    """Keep what this page says, choose all or none of every page if that was asked, and go on."""
    imports.keep_choices(boundary_import=row, choices=posted_choices(request.POST))
    act = request.POST.get("act")
    if act in ("all", "none"):
        imports.choose_all(boundary_import=row, is_chosen=act == "all")
    number = request.POST.get("go") or request.GET.get("page")
    address = reverse("import", args=[row.property.slug, row.pk], query={"page": number} if number else None)
    return redirect(f"{address}#outlines")


def _accept(request, row):
    """Store what is chosen on all pages, this one as it was posted."""
    imports.keep_choices(boundary_import=row, choices=posted_choices(request.POST))
    try:
        job = imports.accept_import(boundary_import=row, user=request.user, accepted=accepted_from(row))
    except SwardbookError as error:
        return _show(request, row, error=error, number=_first_to_mend(request, error))
    return redirect("job", row.property.slug, job.pk)


def _first_to_mend(request, error):
    """The page with the first outline that is complained about, else the one that was posted."""
    positions = [int(name.partition(".")[0]) for name in error.fields]
    return page_of(min(positions)) if positions else request.GET.get("page")


def _discard(request, row):
    imports.discard_import(boundary_import=row)
    messages.success(request, f"“{row.file_name}” is discarded; no plot was changed.")
    return redirect("import-new", row.property.slug)


def _show(request, row, form=None, error=None, number=None):
    facts = {"import": row, "report": row.report, "property": row.property}
    if row.state == State.STORED:
        stored = row.boundaries.select_related("plot").defer("geometry").order_by("plot__name")
        page = Paginator(stored, OUTLINES_A_PAGE).get_page(number)
        left = row.outlines.count() - page.paginator.count
        return render(request, "plots/import_stored.html", facts | {"page": page, "left_count": left})
    form = form or AnswerForm(row)
    facts |= {"form": form, "complaints": complaints(form)}
    if row.state != State.PREVIEW:
        return render(request, "plots/import_asking.html", facts)
    page = preview_page(row, number)
    if error:
        facts["complaints"] += _complaints_of_table(error, page.rows)
    return render(
        request,
        "plots/import_preview.html",
        facts | {"page": page, "rows": page.rows, "sums": preview_sums(row)},
    )


def _complaints_of_table(error, rows):
    """The sentences of a Refused, at the rows of this page; those of other pages as a number."""
    found = []
    for row in rows:
        for field, target in (("name", f"name-{row.prefix}"), ("plot_id", f"plot-{row.prefix}")):
            row.errors[field] = error.fields.get(f"{row.prefix}.{field}", [])
            found += [Complaint(each, f"Outline {row.prefix}", target) for each in row.errors[field]]
    elsewhere = sum(map(len, error.fields.values())) - len(found)
    if not found:
        return [Complaint(error.sentence)]
    if elsewhere:
        found.append(Complaint(f"{elsewhere} more on other pages; they are said when this one is mended."))
    return found
