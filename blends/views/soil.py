"""Soil tests: a plot's own with their trend, one entered or corrected, a report of several plots, and the file."""

import csv
import io

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_datetime
from django.views.decorators.http import require_http_methods, require_safe

from blends.forms.soil import MEASURED, PlotRowForm, ReportForm, SoilTestForm
from blends.queries.soil import depth_words, picture_of, soil_rows
from config.errors import SwardbookError
from config.pages import Complaint, complaints, section, show_refusal
from config.spreadsheets import defused
from plots.access import RECORD, check_may_correct, may_correct, plot_for, property_for, soil_test_for
from plots.calc.soil_units import is_furrow_slice
from plots.ground import soil_tests_for, soil_tests_of
from plots.models import SoilTest
from plots.queries import plots_for
from plots.services.soil import (
    correct_soil_test,
    record_soil_test,
    record_soil_tests,
    strike_soil_test,
    unstrike_soil_test,
)

PLOTS_A_REPORT = 100
_FIELD_OF = {column: field for field, column in MEASURED.items()}
_COLUMNS = (
    "plot_id", "plot", "sampled_on", "lab", "depth_top_in", "depth_bottom_in", "ph", "organic_matter_pct", "p_ppm",
    "p_method", "k_ppm", "reported_in", "cec_meq_per_100g", "notes", "is_struck",
)  # fmt: skip


@section("plots")
@require_safe
def soil_tests(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id)
    tests = list(soil_tests_of(plot))
    rows = soil_rows(tests)
    for row in rows:
        row.test.is_mine = may_correct(request.user, plot.property, row.test)
    return render(
        request,
        "blends/soil_tests.html",
        {
            "plot": plot,
            "property": plot.property,
            "rows": rows,
            "picture": picture_of("soil", tests),
            "has_odd_depth": any(row.is_depth_odd for row in rows),
        },
    )


@section("plots")
@require_safe
def soil_file(request, slug):
    """All soil tests of the property as CSV (RFC 4180), units in the names; what was not measured is empty."""
    property = property_for(request.user, slug)
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_NONNUMERIC)
    writer.writerow(_COLUMNS)
    for test in soil_tests_for(property):
        values = [test.plot.name if name == "plot" else getattr(test, name) for name in _COLUMNS]
        writer.writerow([defused(_as_cell(value)) for value in values])
    return HttpResponse(
        text.getvalue().encode("utf-8-sig"),
        content_type="text/csv; charset=utf-8",
        headers={
            "Content-Disposition": f'attachment; filename="{property.slug}-soil-tests.csv"',
            "X-Content-Type-Options": "nosniff",
            "Cache-Control": "private, no-store",
        },
    )


def _as_cell(value):
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def soil_new(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id, RECORD)
    form = SoilTestForm(request.POST if request.method == "POST" else None, today=timezone.localdate())
    if request.method == "POST" and form.is_valid():
        try:
            test = record_soil_test(plot=plot, user=request.user, **form.said)
        except SwardbookError as error:
            _show(form, error)
        else:
            messages.success(request, f"The soil test of {plot.name} is kept.")
            _warn_of_depth(request, test)
            return redirect("soil-tests", slug, plot.pk)
    return _form_page(request, plot, form)


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def soil_edit(request, slug, test_id):
    """Correct a test, strike it out (`act=strike`) or take it up again (`act=unstrike`)."""
    test = soil_test_for(request.user, slug, test_id, RECORD)
    plot = test.plot
    check_may_correct(request.user, plot.property, test)
    act = request.POST.get("act")
    if act == "strike":
        strike_soil_test(test=test, user=request.user)
        messages.success(request, "The test is struck out: it stays here and is left out of the trend.")
        return redirect("soil-tests", slug, plot.pk)
    if act == "unstrike":
        unstrike_soil_test(test=test, user=request.user)
        messages.success(request, "The test counts again.")
        return redirect("soil-tests", slug, plot.pk)
    form = SoilTestForm(request.POST if request.method == "POST" else None, test=test)
    if request.method == "POST" and form.is_valid():
        try:
            test = correct_soil_test(test=test, user=request.user, **form.said)
        except SwardbookError as error:
            _show(form, error)
        else:
            messages.success(request, "The soil test is corrected.")
            _warn_of_depth(request, test)
            return redirect("soil-tests", slug, plot.pk)
    return _form_page(request, plot, form, test)


def _show(form, error):
    show_refusal(form, error, names=_FIELD_OF)


def _warn_of_depth(request, test):
    given_lb = test.reported_in == SoilTest.ReportedIn.LB_PER_ACRE and (test.p_ppm, test.k_ppm) != (
        None,
        None,
    )
    if given_lb and not is_furrow_slice(test.depth_top_in, test.depth_bottom_in):
        messages.warning(
            request,
            f"P and K in lb/ac were halved to ppm, which holds for soil 6⅔ in deep; this sample is {depth_words(test)}. "
            "Ask the laboratory whether it counted the depth in, and give the ppm if it did.",
        )


def _form_page(request, plot, form, test=None):
    return render(
        request,
        "blends/soil_edit.html",
        {
            "plot": plot,
            "property": plot.property,
            "form": form,
            "test": test,
            "before": _before(test),
            "complaints": complaints(form),
        },
    )


def _before(test):
    """What the test said before, the latest first: when, who, and [(field, value)]."""
    return [
        {
            "at": parse_datetime(each["at"]),
            "by": each["by"],
            "was": [
                (_words(name), _said(name, value))
                for name, value in each["was"].items()
                if name != "is_struck"
            ],
            "was_struck": each["was"].get("is_struck"),
        }
        for each in reversed(test.earlier if test else [])
    ]


_WORDS = {
    "sampled_on": "the day", "lab": "the laboratory", "depth_top_in": "the top, in", "depth_bottom_in": "the bottom, in",
    "p_ppm": "P, ppm", "k_ppm": "K, ppm", "ph": "pH", "organic_matter_pct": "organic matter, %",
    "cec_meq_per_100g": "CEC, meq/100 g", "reported_in": "the unit of P and K", "p_method": "how P was extracted",
}  # fmt: skip


def _words(name):
    return _WORDS.get(name, name)


def _said(name, value):
    if name in ("reported_in", "p_method"):
        value = dict(SoilTest._meta.get_field(name).choices).get(value, value)
    return value if value not in (None, "") else "empty"


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def soil_report(request, slug):
    """One report of a laboratory that covers several plots; `?search=` names the plots to enter."""
    property = property_for(request.user, slug, RECORD)
    search = request.GET.get("search", "")
    found = plots_for(property, search)
    plots = list(found[: PLOTS_A_REPORT + 1])
    is_cut, plots = len(plots) > PLOTS_A_REPORT, plots[:PLOTS_A_REPORT]
    data = request.POST if request.method == "POST" else None
    report = ReportForm(data, initial={"sampled_on": timezone.localdate(), "depth_top_in": 0})
    rows = [PlotRowForm(plot, data) for plot in plots]
    problems = []
    if data is not None:
        # Every row is looked at, so that all that is wrong is said at once.
        is_good = all([report.is_valid(), *(row.is_valid() for row in rows)])
        filled = [row for row in rows if is_good and row.is_filled]
        if is_good and not filled:
            problems = [Complaint("No plot has a figure yet; fill the row of at least one.")]
        elif is_good and (stored := _stored_report(request.user, report, filled)):
            plural = "s" if len(stored) != 1 else ""
            messages.success(
                request, f"{len(stored)} soil test{plural} kept: {', '.join(t.plot.name for t in stored)}."
            )
            _warn_of_depth(request, stored[0])
            return redirect("overview", slug)
        problems += complaints(report, *rows)
    return render(
        request,
        "blends/soil_report.html",
        {
            "property": property,
            "report": report,
            "rows": rows,
            "search": search,
            "is_cut": is_cut,
            "most": PLOTS_A_REPORT,
            "complaints": problems,
        },
    )


def _stored_report(user, report, rows):
    """The tests of the filled rows; none where one was refused, whose row then says why."""
    unit = report.cleaned_data["reported_in"]
    by_plot = [(row.plot, row.found(unit)) for row in rows]
    try:
        return record_soil_tests(user=user, shared=report.shared, by_plot=by_plot)
    except SwardbookError as error:
        on_report = set(error.fields) & set(report.fields)
        _show(report if on_report else next(row for row in rows if row.plot is error.plot), error)
        return []
