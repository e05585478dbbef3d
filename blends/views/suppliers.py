"""Suppliers: the list, and one with its terms, offers and price lists."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from blends.access import supplier_for
from blends.forms.suppliers import SupplierForm
from blends.queries.price_lists import price_lists_of
from blends.queries.suppliers import freight_words, suppliers_of
from blends.services.suppliers import add_supplier, archive_supplier, bring_back_supplier, save_supplier
from config.errors import SwardbookError
from config.pages import Complaint, complaints, section, show_refusal
from plots.access import COSTS, EDIT, property_for

LISTS_SHOWN = 20


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def suppliers(request, slug):
    """The list; posted, a new supplier by its name."""
    property = property_for(request.user, slug, EDIT if request.method == "POST" else COSTS)
    said, name = [], request.POST.get("name", "")
    if request.method == "POST":
        try:
            supplier = add_supplier(property=property, name=name)
        except SwardbookError as error:
            said = [Complaint(error.sentence, "Name", "supplier-name")]
        else:
            messages.success(request, f"{supplier} is added. Say what you know of its terms.")
            return redirect("supplier", slug, supplier.pk)
    every = list(suppliers_of(property))
    archived = "archived" in request.GET
    rows = [row for row in every if row.is_archived == archived]
    for row in rows:
        row.freight_said = freight_words(row)
    context = {
        "property": property,
        "rows": rows,
        "archived": archived,
        "archived_count": sum(row.is_archived for row in every),
        "may_edit": EDIT in property.allowed,
        "typed_name": name,
        "complaints": said,
    }
    return render(request, "blends/suppliers.html", context)


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def supplier(request, slug, supplier_id):
    """One supplier; posted, `act` is save, archive or back."""
    row = supplier_for(request.user, slug, supplier_id, EDIT if request.method == "POST" else COSTS)
    act = request.POST.get("act", "save")
    form = SupplierForm(
        request.POST if request.method == "POST" and act == "save" else None, initial=_typed_before(row)
    )
    said = []
    if request.method == "POST":
        try:
            if _done(request, row, act, form):
                return redirect("supplier", slug, row.pk)
        except SwardbookError as error:
            if act == "save":
                show_refusal(form, error)
            else:
                said = [Complaint(error.sentence)]
    context = {
        "property": row.property,
        "supplier": row,
        "freight": freight_words(row),
        "form": form,
        "lists": price_lists_of(row.property, row)[:LISTS_SHOWN],
        "offer_count": suppliers_of(row.property).get(pk=row.pk).offer_count,
        "may_edit": EDIT in row.property.allowed,
        "complaints": [*said, *complaints(form)],
    }
    return render(request, "blends/supplier.html", context)


def _done(request, row, act, form):
    """Whether what was posted is done."""
    if act == "archive":
        archive_supplier(supplier=row)
        messages.success(request, f"{row} is archived; its offers are kept and not offered for new choices.")
        return True
    if act == "back":
        bring_back_supplier(supplier=row)
        messages.success(request, f"{row} is back, with its offers.")
        return True
    if not form.is_valid():
        return False
    saved = save_supplier(property=row.property, supplier=row, **form.cleaned_data)
    messages.success(request, f"{saved} is saved.")
    return True


def _typed_before(row):
    return {name: getattr(row, name) for name in SupplierForm.Meta.fields}
