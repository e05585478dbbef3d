"""Terminations: one written, looked at, corrected, struck; and what was to follow it."""

import uuid

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from blends.access import planting_for, termination_for
from blends.calc.labels import federal_number
from blends.forms.terminations import TerminationForm, product_rows, typed_before
from blends.models import Termination
from blends.queries.fieldwork import dry_lb_per_acre, groups_of, history_of, stage_choices
from blends.queries.restrictions import KEEP_OUT, LABEL_IS_LAW, LICENCE, restrictions, silences
from blends.services.terminations import (
    correct_termination,
    finish_follow_up,
    record_termination,
    strike_termination,
)
from config.errors import SwardbookError
from config.pages import Complaint, complaints, section, show_refusal
from plots.access import RECORD, VIEW, check_may_correct, may_correct

LABEL_WORDS = (LABEL_IS_LAW, LICENCE, KEEP_OUT)


@section("planting")
@require_http_methods(["GET", "HEAD", "POST"])
def terminate(request, slug, season, plot_id):
    planting = planting_for(request.user, slug, season, plot_id, RECORD)
    page = _TerminationPage(request, planting, {"done_on": timezone.localdate()})
    if request.method == "POST" and page.is_valid():
        row = page.stored(
            lambda said, products: record_termination(
                id=page.id, planting=planting, user=request.user, said=said, products=products
            )[0]
        )
        if row is not None:
            messages.success(request, f"The termination of {planting.plot} is recorded.")
            return redirect("termination", slug, row.pk)
    return page.shown()


@section("planting")
@require_http_methods(["GET", "HEAD", "POST"])
def termination_correct(request, slug, termination_id):
    """Correct a termination: another takes its place, and the old one stays."""
    row = termination_for(request.user, slug, termination_id, RECORD)
    check_may_correct(request.user, row.planting.plot.property, row)
    if row.replaced_by_id is not None or row.is_struck:
        return redirect("termination", slug, row.replaced_by_id or row.pk)
    page = _TerminationPage(request, row.planting, *typed_before(row), row)
    if request.method == "POST" and page.is_valid():
        new = page.stored(
            lambda said, products: correct_termination(
                termination=row, id=page.id, user=request.user, said=said, products=products
            )
        )
        if new is not None:
            messages.success(request, "It is corrected." if new.pk != row.pk else "Nothing was changed.")
            return redirect("termination", slug, new.pk)
    return page.shown()


@section("planting")
@require_http_methods(["GET", "HEAD", "POST"])
def termination(request, slug, termination_id):
    """How a stand was ended; `act` strikes it, or says that what was to follow is done (`done`) or not (`open`)."""
    row = termination_for(request.user, slug, termination_id, RECORD if request.method == "POST" else VIEW)
    property = row.planting.plot.property
    found = []
    if request.method == "POST":
        try:
            _act(request, row, property)
        except SwardbookError as error:
            found = [Complaint(error.sentence)]
        else:
            return redirect("termination", slug, row.pk)
    products = list(row.products.all())
    for product in products:
        product.federal = federal_number(product.registration_number)
    holds = row.replaced_by_id is None and not row.is_struck
    held = restrictions(property, [row.planting.plot_id])
    stages = dict(stage_choices(groups_of(row.planting)))
    return render(
        request,
        "blends/termination.html",
        {
            "property": property,
            "season": row.planting.season,
            "planting": row.planting,
            "row": row,
            "holds": holds,
            "stage": stages.get(row.stage, row.get_stage_display()),
            "dry_lb_per_acre": dry_lb_per_acre(row),
            "products": products,
            "held": [each for each in held if each.termination.pk == row.pk],
            "silences": silences(row),
            "label_words": LABEL_WORDS,
            "history": history_of(Termination, row),
            "may_correct": holds and may_correct(request.user, property, row),
            "may_record": holds and RECORD in property.allowed,
            "reason": request.POST.get("reason", ""),
            "complaints": found,
        },
    )


def _act(request, row, property):
    act = request.POST.get("act")
    if act in ("done", "open"):
        finish_follow_up(termination=row, on=timezone.localdate() if act == "done" else None)
        messages.success(request, "Noted as done today." if act == "done" else "It is open again.")
        return
    check_may_correct(request.user, property, row)
    strike_termination(termination=row, user=request.user, reason=request.POST.get("reason", ""))
    messages.success(request, "It is struck, and stays here; without another the stand stands again.")


class _TerminationPage:
    """The form with its products, as it opens or as it was typed."""

    def __init__(self, request, planting, initial, products=(), row=None):
        data = request.POST if request.method == "POST" else None
        self.request, self.planting, self.row = request, planting, row
        stages = stage_choices(groups_of(planting))
        if row is not None and row.stage and row.stage not in dict(stages):
            stages.append((row.stage, row.get_stage_display()))
        self.form = TerminationForm(data, stages=stages, initial=initial)
        self.products = product_rows(data, products)

    def is_valid(self):
        is_good = self.form.is_valid()
        return (self.products.is_valid() or not self.form.is_herbicide) and is_good

    @property
    def id(self):
        return self.form.cleaned_data["id"] or uuid.uuid4()

    def stored(self, write):
        filled = []
        if self.form.is_herbicide:
            filled = [form for form in self.products.filled if form.is_filled]
        try:
            return write(self.form.said, [form.product for form in filled])
        except SwardbookError as error:
            show_refusal(self.form, error, rows={"products": filled})
            return None

    def shown(self):
        planting, form = self.planting, self.form
        shows_products = form.is_bound and getattr(form, "cleaned_data", None) and form.is_herbicide
        said = [form, self.products] if shows_products else [form]
        return render(
            self.request,
            "blends/terminate.html",
            {
                "property": planting.plot.property,
                "season": planting.season,
                "planting": planting,
                "row": self.row,
                "form": form,
                "products": self.products,
                "label_words": LABEL_WORDS,
                "complaints": complaints(*said) if form.is_bound else [],
            },
        )
