"""Planting sheets on the screen and on paper: one plot, a run of plots, and the day's pounds as a file."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from blends.access import planting_for, season_for
from blends.models import Machine
from blends.queries.sheets import sheets as sheets_of
from blends.queries.sheets.asked import Asked, asked_of, planting_plot_ids
from blends.queries.sheets.rows import KIND_OF
from blends.queries.sheets.runs import runs
from blends.services.sheet_papers import KIND, ask_for_paper, paper_of
from blends.sheet_exports import day_csv, day_xlsx, pounds_by_lot
from blends.sheet_paper import TO_WRITE, sheets_pdf
from config.errors import Refused
from config.pages import Complaint, section
from config.spreadsheets import XLSX
from plots.access import EDIT, RECORD, job_for

MOST_ON_A_PAGE = 60
"""Sheets that are shown, or made into a PDF, while somebody waits."""
FILES = {
    "csv": ("text/csv; charset=utf-8", day_csv),
    "xlsx": (XLSX, day_xlsx),
    "pdf": ("application/pdf", sheets_pdf),
}


@section("planting")
@require_safe
def sheet(request, slug, season, plot_id):
    """The planting sheet of one plot; `machine` and `level` may be chosen."""
    planting = planting_for(request.user, slug, season, plot_id)
    if planting.blend is None:
        raise Http404
    season = planting.season
    asked, complaints = _asked(request, season.property)
    found = sheets_of(season, [planting.plot_id], asked.machine, asked.level_pct)
    if not found:  # an archived plot that was never planted
        raise Http404
    [one] = found
    context = _frame(request, season, asked, complaints) | {
        "sheet": one,
        "machines": _machines(season.property, one.planting.method),
    }
    return render(request, "blends/sheet.html", context)


@section("planting")
@require_safe
def sheets(request, slug, season):
    """A run of plots in its order: what goes on from plot to plot, and all their sheets to print."""
    season = season_for(request.user, slug, season)
    asked, complaints = _asked(request, season.property)
    ids = planting_plot_ids(season, asked.plot_ids, only_planned=asked.plot_ids is None)
    shown = ids[:MOST_ON_A_PAGE]
    found = sheets_of(season, shown, asked.machine, asked.level_pct)
    context = _frame(request, season, asked, complaints) | {
        "sheets": found,
        "stops": [(one, _moved(request, ids, place)) for place, one in enumerate(found)],
        "runs": runs(found),
        "by_lot": pounds_by_lot(found),
        "machines": _machines(season.property),
        "total": len(ids),
        "is_cut": len(ids) > len(shown),
        "most": MOST_ON_A_PAGE,
        "is_run": asked.plot_ids is not None,
    }
    return render(request, "blends/sheets.html", context)


@section("planting")
@require_safe
def sheets_file(request, slug, season, form):
    """The run's pounds by lot as CSV or XLSX, or its sheets as PDF."""
    season = season_for(request.user, slug, season)
    if form not in FILES:
        raise Http404
    asked, complaints = _asked(request, season.property)
    ids = planting_plot_ids(season, asked.plot_ids, only_planned=asked.plot_ids is None)
    if form == "pdf" and len(ids) > MOST_ON_A_PAGE:
        return redirect(f"{reverse('sheets', args=[slug, season.slug])}?{request.GET.urlencode()}")
    media_type, contents = FILES[form]
    data = contents(season, sheets_of(season, ids, asked.machine, asked.level_pct))
    name = f"{slug}-{season.slug}-planting.{form}"
    return HttpResponse(
        data, content_type=media_type, headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )


@section("planting")
@require_POST
def sheets_paper(request, slug, season):
    """Have the sheets made into a PDF in the background; its page says how far it is."""
    season = season_for(request.user, slug, season)
    asked, complaints = _asked(request, season.property, request.POST)
    if complaints:
        messages.error(request, complaints[0].sentence)
        return redirect("sheets", slug, season.slug)
    try:
        job = ask_for_paper(
            season=season,
            user=request.user,
            plot_ids=asked.plot_ids,
            machine=asked.machine,
            level_pct=asked.level_pct,
        )
    except Refused as error:
        messages.error(request, error.sentence)
        return redirect("planting-day", slug, season.slug)
    return redirect("sheets-made", slug, season.slug, job.pk)


@section("planting")
@require_safe
def sheets_made(request, slug, season, job_id):
    """How far the PDF is; with `file`, the file."""
    season = season_for(request.user, slug, season)
    try:
        job = job_for(request.user, slug, job_id)
    except ValidationError:
        raise Http404 from None
    if job.kind != KIND:
        raise Http404
    if "file" in request.GET:
        data = paper_of(job)
        if data is None:
            raise Http404
        name = f"{slug}-{season.slug}-planting-sheets.pdf"
        return HttpResponse(
            data,
            content_type="application/pdf",
            headers={"Content-Disposition": f'attachment; filename="{name}"'},
        )
    template = "blends/_sheets_made.html" if request.htmx else "blends/sheets_made.html"
    has_file = job.state == job.State.DONE and paper_of(job, only_ask=True)
    context = {"property": season.property, "season": season, "job": job, "has_file": has_file}
    return render(request, template, context)


def _asked(request, property, given=None):
    """(what was asked for, complaints): what cannot be used is said, and left out."""
    given = request.GET if given is None else given
    try:
        return asked_of(property, given), []
    except Refused as error:
        kept = given.copy()
        for name in error.fields:
            kept.pop(name, None)
        complaints = [Complaint(error.sentence, target=f"id_{name}") for name in error.fields]
        try:
            return asked_of(property, kept), complaints
        except Refused as again:
            return Asked(None, None, 100.0), [*complaints, Complaint(again.sentence)]


def _frame(request, season, asked, complaints):
    property = season.property
    return {
        "property": property,
        "season": season,
        "machine_id": asked.machine and asked.machine.pk,
        "level": request.GET.get("level", ""),
        "level_pct": asked.level_pct,
        "complaints": complaints,
        "may_edit": EDIT in property.allowed,
        "may_record": RECORD in property.allowed,
        "to_write": [label for row in TO_WRITE for label in row],
        "run_ids_asked": asked.plot_ids or [],
        "query": request.GET.urlencode(),
    }


def _machines(property, method=None):
    rows = Machine.objects.filter(property=property, is_archived=False)
    return list(rows if method is None else rows.filter(kind=KIND_OF[method]))


def _moved(request, ids, place):
    """Addresses of the run with this plot a place earlier, later, and left out."""

    def address(order):
        given = request.GET.copy()
        given.setlist("plot", [str(pk) for pk in order])
        return f"?{given.urlencode()}"

    def swapped(one, other):
        order = list(ids)
        order[one], order[other] = order[other], order[one]
        return address(order)

    return {
        "earlier": swapped(place - 1, place) if place > 0 else "",
        "later": swapped(place, place + 1) if place + 1 < len(ids) else "",
        "without": address([pk for at, pk in enumerate(ids) if at != place]) if len(ids) > 1 else "",
    }
