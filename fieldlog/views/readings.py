"""Readings at the desk: recorded, corrected, struck, chosen between."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from fieldlog.access import reading_to_correct_for, visit_for
from fieldlog.forms.readings import ReadingForm
from fieldlog.kinds import KINDS
from fieldlog.queries.planted_facts import facts_at
from fieldlog.queries.protocols import protocol_of, protocols_of
from fieldlog.queries.visit_log import shown
from fieldlog.services.reading_versions import add_reading, choose_reading, correct_reading, strike_reading
from plots.access import RECORD


@section("visits")
@require_http_methods(["GET", "HEAD", "POST"])
def reading_new(request, slug, visit_id):
    """Without `?protocol=` the protocols to choose from, with it the form of one."""
    visit = visit_for(request.user, slug, visit_id, RECORD)
    property = visit.plot.property
    key = request.GET.get("protocol", "")
    if not key:
        found = [each for each in protocols_of(property) if each.is_on]
        return render(
            request,
            "fieldlog/reading_choose.html",
            {"visit": visit, "property": property, "protocols": found},
        )
    protocol = protocol_of(property, key)
    if protocol is None:
        raise Http404
    sown = _sown(visit)
    form = ReadingForm(protocol.kind, protocol.settings, sown, request.POST or None)
    if request.method == "POST" and form.is_valid():
        said = form.said | {"kind": protocol.kind.key, "protocol": protocol.key}
        try:
            add_reading(visit=visit, user=request.user, said=said)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, f"{protocol.name} is recorded.")
            return redirect("visit", slug, visit.pk)
    return _page(request, visit, form, sown, protocol.name, protocol.instructions)


@section("visits")
@require_http_methods(["GET", "HEAD", "POST"])
def reading_edit(request, slug, reading_id):
    reading = reading_to_correct_for(request.user, slug, reading_id)
    visit, kind = reading.visit, KINDS.get(reading.kind)
    if kind is None:
        raise Http404
    sown = _sown(visit)
    form = ReadingForm(kind, reading.settings, sown, request.POST or None, reading)
    if request.method == "POST" and form.is_valid():
        said = form.said
        try:
            version, _ = correct_reading(
                reading=reading,
                user=request.user,
                id=said.pop("id"),
                said=said,
                why=form.cleaned_data["why"],
            )
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            if version.rival_of_id:
                messages.warning(request, "Somebody corrected it meanwhile. Both versions stand; choose one.")
            else:
                messages.success(request, "The reading is corrected; what it said before is kept.")
            return redirect("visit", slug, visit.pk)
    return _page(request, visit, form, sown, kind.title, kind.instructions, shown(reading))


@require_POST
def reading_strike(request, slug, reading_id):
    reading = reading_to_correct_for(request.user, slug, reading_id)
    is_struck = request.POST.get("act") != "up"
    done = "The reading is struck; it stays to be read." if is_struck else "The reading counts again."
    return _do(request, slug, reading, strike_reading, done, is_struck=is_struck)


@require_POST
def reading_choose(request, slug, reading_id):
    reading = reading_to_correct_for(request.user, slug, reading_id)
    return _do(request, slug, reading, choose_reading, "This version counts; the other is kept beside it.")


def _do(request, slug, reading, service, done, **how):
    try:
        service(reading=reading, user=request.user, **how)
    except SwardbookError as error:
        messages.error(request, error.sentence)
    else:
        messages.success(request, done)
    return redirect("visit", slug, reading.visit_id)


def _sown(visit):
    key = (visit.plot_id, timezone.localdate(visit.visited_at))
    return facts_at(visit.plot.property, {key})[key][1].sown


def _page(request, visit, form, sown, title, instructions, before=None):
    return render(
        request,
        "fieldlog/reading_edit.html",
        {
            "visit": visit,
            "property": visit.plot.property,
            "form": form,
            "sown": sown,
            "title": title,
            "instructions": instructions,
            "before": before,
            "complaints": complaints(form),
        },
    )
