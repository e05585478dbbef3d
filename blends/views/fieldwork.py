"""Planting records: one written, looked at, corrected, struck."""

import uuid

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from blends.access import planting_for, record_for
from blends.forms.fieldwork import PlantingForm, seed_rows, today
from blends.models import PlantingRecord
from blends.queries.delivered import delivered
from blends.queries.fieldwork import history_of, records_for, with_seeds
from blends.queries.record_form import from_record, from_sheet, machines_of, seed_choices
from blends.queries.restrictions import restrictions
from blends.services.planting_records import correct_planting, record_planting, strike_planting
from config.errors import SwardbookError
from config.pages import Complaint, complaints, section, show_refusal
from plots.access import COSTS, RECORD, VIEW, check_may_correct, may_correct

_FORM_FIELD = {
    "settings": "setting_main",
    "hopper_left_lb": "left_main",
    "boxes_left_lb.main": "left_main",
    "boxes_left_lb.small": "left_small",
    **dict.fromkeys(("lot_id", "species_id", "blend_id"), "what"),
}


@section("planting")
@require_http_methods(["GET", "HEAD", "POST"])
def record_new(request, slug, season, plot_id):
    """Write down a planting; the plot's sheet is filled in."""
    planting = planting_for(request.user, slug, season, plot_id, RECORD)
    if planting.blend_id is None:
        messages.error(
            request, f"{planting.plot} is fallow in the {planting.season}; there is nothing to plant."
        )
        return redirect("season", slug, planting.season.slug)
    initial, rows, has_two = from_sheet(planting)
    page = _RecordPage(request, planting, {"done_on": today()} | initial, rows, has_two)
    if request.method == "POST" and page.is_valid():
        record = page.stored(
            lambda said, seeds: record_planting(
                id=page.id, planting=planting, user=request.user, said=said, seeds=seeds
            )[0]
        )
        if record is not None:
            messages.success(request, f"The planting of {planting.plot} is recorded.")
            return redirect("record", slug, record.pk)
    held = restrictions(planting.plot.property, [planting.plot_id])
    earlier = records_for(planting.plot.property, False, planting.season, [planting.plot_id])[:]
    return page.shown({"restrictions": held, "earlier": earlier})


@section("planting")
@require_http_methods(["GET", "HEAD", "POST"])
def record_correct(request, slug, record_id):
    """Correct a record: another takes its place, and the old one stays."""
    record = record_for(request.user, slug, record_id, RECORD)
    planting = record.planting
    check_may_correct(request.user, planting.plot.property, record)
    if record.replaced_by_id is not None or record.is_struck:
        return redirect("record", slug, record.replaced_by_id or record.pk)
    initial, rows, has_two = from_record(record)
    page = _RecordPage(request, planting, initial, rows, has_two, record)
    if request.method == "POST" and page.is_valid():
        new = page.stored(
            lambda said, seeds: correct_planting(
                record=record, id=page.id, user=request.user, said=said, seeds=seeds
            )
        )
        if new is not None:
            is_new = new.pk != record.pk
            said = "The record is corrected; stock and cost follow." if is_new else "Nothing was changed."
            messages.success(request, said)
            return redirect("record", slug, new.pk)
    return page.shown()


@section("planting")
@require_http_methods(["GET", "HEAD", "POST"])
def record(request, slug, record_id):
    """What was planted, against its target, with what it said before; `act=strike` strikes it."""
    record = record_for(request.user, slug, record_id, RECORD if request.method == "POST" else VIEW)
    planting = record.planting
    property = planting.plot.property
    reason, found = "", []
    if request.method == "POST":
        check_may_correct(request.user, property, record)
        reason = request.POST.get("reason", "")
        try:
            strike_planting(record=record, user=request.user, reason=reason)
        except SwardbookError as error:
            found = [Complaint(error.sentence, "Reason", "id_reason" if error.fields else "")]
        else:
            messages.success(
                request, "The record is struck: it stays here, and its seed is back in its lots."
            )
            return redirect("record", slug, record.pk)
    shows_costs = COSTS in property.allowed
    with_seeds([record], shows_costs)
    plots = delivered(planting.season, shows_costs, [planting.plot_id]) if record.holds else []
    return render(
        request,
        "blends/record.html",
        {
            "property": property,
            "season": planting.season,
            "planting": planting,
            "record": record,
            "plot_sown": plots[0] if plots else None,
            "history": history_of(PlantingRecord, record),
            "shows_costs": shows_costs,
            "may_correct": record.holds and may_correct(request.user, property, record),
            "reason": reason,
            "complaints": found,
            "refused": "Not struck",
        },
    )


class _RecordPage:
    """The form with its rows of seed, as it opens or as it was typed."""

    def __init__(self, request, planting, initial, rows, has_two, record=None):
        data = request.POST if request.method == "POST" else None
        self.request, self.planting, self.record = request, planting, record
        kept = (
            []
            if record is None
            else list(record.seeds.select_related("lot__species", "lot__blend", "species", "blend"))
        )
        self.has_two = has_two
        machines = machines_of(planting, record)
        self.form = PlantingForm(data, machines=machines, has_small_box=has_two, initial=initial)
        self.rows = seed_rows(seed_choices(planting, kept), data, rows)

    def is_valid(self):
        return all([self.form.is_valid(), self.rows.is_valid()])

    @property
    def id(self):
        return self.form.cleaned_data["id"] or uuid.uuid4()

    def stored(self, write):
        """What `write` stored; None where it was refused, with the sentence beside its field."""
        filled = [row for row in self.rows.filled if row.line is not None]
        try:
            return write(self.form.said, [row.line for row in filled])
        except SwardbookError as error:
            show_refusal(self.form, error, names=_FORM_FIELD, rows={"seeds": filled})
            return None

    def shown(self, more=None):
        planting = self.planting
        return render(
            self.request,
            "blends/record_edit.html",
            {
                "property": planting.plot.property,
                "season": planting.season,
                "planting": planting,
                "record": self.record,
                "form": self.form,
                "rows": self.rows,
                "has_two": self.has_two,
                "complaints": complaints(self.form, self.rows) if self.form.is_bound else [],
                **(more or {}),
            },
        )
