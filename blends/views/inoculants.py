"""Inoculant on the shelf: what there is, what expires, what is used up."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from blends.access import inoculant_for
from blends.forms.stock import InoculantForm
from blends.queries.inoculants import groups_known, inoculants_of, mark
from blends.queries.stock import places_known
from blends.services.inoculants import add_inoculant, correct_inoculant, use_up
from blends.views.lots import before_of
from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import COSTS, RECORD, check_may_correct, may_correct, property_for


@section("stock")
@require_safe
def inoculants(request, slug):
    property = property_for(request.user, slug)
    today = timezone.localdate()
    rows = [mark(row, today) for row in inoculants_of(property)]
    for row in rows:
        row.is_mine = may_correct(request.user, property, row)
    context = {
        "property": property,
        "rows": [row for row in rows if row.used_up_on is None],
        "gone": [row for row in rows if row.used_up_on is not None],
        "with_costs": COSTS in property.allowed,
    }
    return render(request, "blends/inoculants.html", context)


@section("stock")
@require_http_methods(["GET", "HEAD", "POST"])
def inoculant_new(request, slug):
    property = property_for(request.user, slug, RECORD)
    form = _form(request, property, initial={"received_on": timezone.localdate()})
    if request.method == "POST" and form.is_valid():
        try:
            add_inoculant(property=property, user=request.user, **form.cleaned_data)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, "The inoculant is kept.")
            return redirect("inoculants", slug)
    return _form_page(request, property, form)


@section("stock")
@require_http_methods(["GET", "HEAD", "POST"])
def inoculant(request, slug, inoculant_id):
    """Correct it, or posted with `act`: used-up, or not-used-up."""
    row = inoculant_for(request.user, slug, inoculant_id, RECORD)
    property = row.property
    act = request.POST.get("act", "")
    if act in ("used-up", "not-used-up"):
        use_up(inoculant=row, user=request.user, on=timezone.localdate() if act == "used-up" else None)
        said = (
            "It is used up, and stays in the list below." if act == "used-up" else "It is on the shelf again."
        )
        messages.success(request, said)
        return redirect("inoculants", slug)
    check_may_correct(request.user, property, row)
    form = _form(request, property, instance=row)
    if request.method == "POST" and form.is_valid():
        try:
            correct_inoculant(inoculant=row, user=request.user, **form.cleaned_data)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, "The inoculant is corrected.")
            return redirect("inoculants", slug)
    return _form_page(request, property, form, row)


def _form(request, property, **how):
    return InoculantForm(
        request.POST if request.method == "POST" else None,
        groups=groups_known(property),
        may_see_costs=COSTS in property.allowed,
        **how,
    )


def _form_page(request, property, form, row=None):
    context = {
        "property": property,
        "form": form,
        "inoculant": mark(row, timezone.localdate()) if row else None,
        "before": before_of(row) if row else [],
        "places": places_known(property),
        "complaints": complaints(form),
    }
    return render(request, "blends/inoculant_edit.html", context)
