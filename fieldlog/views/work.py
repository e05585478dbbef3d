"""The work list, and one item of it."""

import uuid

from django.contrib import messages
from django.core.paginator import Paginator
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from config.errors import Refused, SwardbookError
from config.pages import complaints, section, show_refusal
from fieldlog.forms.work import ReportForm, WorkForm
from fieldlog.models import WorkItem
from fieldlog.queries.proposals import count_open
from fieldlog.queries.work import changes_told, is_overdue, minutes_by_plot, work_counts, work_for
from fieldlog.queries.work_asked import filtered
from fieldlog.queries.work_pins import work_pins
from fieldlog.services.plan_work import follow_plan
from fieldlog.services.work import add_work, change_work, drop_work, reopen_work, take_work
from fieldlog.services.work_reports import report_work, strike_report
from fieldlog.work_access import (
    check_may_change_work,
    check_may_strike,
    may_change_work,
    may_strike_report,
    work_item_for,
    work_report_for,
)
from plots.access import EDIT, RECORD, VIEW, id_in, property_for

ITEMS_A_PAGE = 50


@section("work")
@require_http_methods(["GET", "HEAD", "POST"])
def work(request, slug):
    property = property_for(request.user, slug, EDIT if request.method == "POST" else VIEW)
    if request.method == "POST":
        changed = follow_plan(property=property)
        said = (
            f"{changed} item{'' if changed == 1 else 's'} of the plan changed."
            if changed
            else "Nothing changed."
        )
        messages.success(request, f"The seasons’ plans were looked at. {said}")
        return redirect("work", slug)
    plot_id = id_in(request.GET.get("plot", ""))
    rows = filtered(work_for(property), request.user, request.GET, None if plot_id is None else [plot_id])
    page = Paginator(rows, ITEMS_A_PAGE).get_page(request.GET.get("page"))
    items = list(page.object_list)
    for number, item in enumerate(items, start=page.start_index()):
        item.number, item.is_late = number, is_overdue(item)
    return render(
        request,
        "fieldlog/work.html",
        {
            "property": property,
            "page": page,
            "items": items,
            "by_plot": request.GET.get("sort") == "plot",
            "asked": {name: request.GET.get(name, "") for name in ("state", "kind", "mine", "sort")},
            "plot_id": plot_id,
            "plots": property.plots.filter(is_archived=False).order_by("name").values_list("pk", "name"),
            "kinds": WorkItem.Kind.choices,
            "pins": work_pins(items, lambda item: f"#work-{item.pk}"),
            "counts": work_counts(property),
            "proposal_count": count_open(property),
            "minutes": minutes_by_plot(property, [plot_id]).get(plot_id) if plot_id else None,
        },
    )


@section("work")
@require_http_methods(["GET", "HEAD", "POST"])
def work_new(request, slug):
    property = property_for(request.user, slug, RECORD)
    initial = {"plot_id": id_in(request.GET.get("plot", ""))}
    form = WorkForm(property, request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and form.is_valid():
        said = dict(form.cleaned_data)
        try:
            item, _ = add_work(
                property=property, user=request.user, id=said.pop("id") or uuid.uuid4(), said=said
            )
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, f"“{item.title}” is on the list.")
            return redirect("work-item", slug, item.pk)
    return _form_page(request, property, form)


@section("work")
@require_http_methods(["GET", "HEAD", "POST"])
def work_edit(request, slug, work_id):
    item = work_item_for(request.user, slug, work_id, RECORD)
    check_may_change_work(request.user, item.property, item)
    form = WorkForm(item.property, request.POST if request.method == "POST" else None, item)
    if request.method == "POST" and form.is_valid():
        wanted = {name: value for name, value in form.cleaned_data.items() if name != "id"}
        try:
            change_work(item=item, user=request.user, wanted=wanted)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, "The work is changed.")
            return redirect("work-item", slug, item.pk)
    return _form_page(request, item.property, form, item)


@section("work")
@require_http_methods(["GET", "HEAD", "POST"])
def work_item(request, slug, work_id):
    item = work_item_for(request.user, slug, work_id, RECORD if request.method == "POST" else VIEW)
    form = ReportForm()
    why, refused = "", ""
    if request.method == "POST":
        act = request.POST.get("act")
        if act == "report":
            form = ReportForm(request.POST)
            if form.is_valid() and _report(request, item, form):
                return redirect("work-item", slug, item.pk)
        else:
            try:
                messages.success(request, _act(request, item, act))
                return redirect("work-item", slug, item.pk)
            except SwardbookError as error:
                why, refused = request.POST.get("why", ""), error.sentence
    return _item_page(request, item, form, why, refused)


def _report(request, item, form):
    said = {name: form.cleaned_data[name] for name in ("minutes", "is_finished", "note")}
    try:
        report_work(
            id=form.cleaned_data["id"] or uuid.uuid4(),
            item=item,
            user=request.user,
            done_at=form.cleaned_data["done_at"],
            said=said,
        )
    except SwardbookError as error:
        show_refusal(form, error)
        return False
    messages.success(request, "Done." if said["is_finished"] else "Noted; the work stays on the list.")
    return True


def _act(request, item, act):
    """Do what a button asks for; the sentence that says so."""
    if act == "take":
        take_work(item=item, user=request.user)
        return "It is yours."
    if act == "strike":
        report = work_report_for(request.user, item.property.slug, _uuid(request.POST.get("report")), RECORD)
        check_may_strike(request.user, report)
        strike_report(report=report, user=request.user)
        return "The report is struck."
    if act not in ("drop", "reopen"):
        raise Refused(
            "That is nothing that can be done with work; take, report, drop, reopen and strike are."
        )
    check_may_change_work(request.user, item.property, item)
    if act == "drop":
        drop_work(item=item, user=request.user, why=request.POST.get("why", ""))
        return "It is dropped."
    reopen_work(item=item, user=request.user)
    return "It is on the list again."


def _uuid(text):
    try:
        return uuid.UUID(text or "")
    except ValueError as error:
        raise Refused("No report was named.") from error


def _item_page(request, item, form, why, refused):
    property = item.property
    may_change = may_change_work(request.user, property, item)
    item.is_late, item.number = is_overdue(item), 1
    for report in item.told_reports:
        report.may_strike = report.struck_at is None and may_strike_report(request.user, property, report)
        report.shown_photos = [photo for photo in report.photos.all() if photo.struck_at is None]
    return render(
        request,
        "fieldlog/work_item.html",
        {
            "property": property,
            "item": item,
            "form": form,
            "complaints": complaints(form),
            "refused_sentence": refused,
            "why": why,
            "may_change": may_change,
            "may_take": RECORD in property.allowed and item.assigned_to_id is None,
            "pins": work_pins([item], lambda each: reverse("work-item", args=[property.slug, each.pk])),
            "proposal": getattr(item, "proposal", None),
            "changes": changes_told(item),
        },
    )


def _form_page(request, property, form, item=None):
    return render(
        request,
        "fieldlog/work_edit.html",
        {"property": property, "form": form, "item": item, "complaints": complaints(form)},
    )
