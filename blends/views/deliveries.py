"""Deliveries that have come: the list, and one to be looked at, corrected or taken back."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from blends.access import receipt_for
from blends.forms.receiving import CorrectedLotForm, DeliveryForm, UndoForm
from blends.models import PurchaseOrder
from blends.queries.purchases import is_undone, receipts_of
from blends.services.receiving import correct_delivery, undo_delivery
from config.errors import SwardbookError
from config.pages import Complaint, complaints, section
from plots.access import COSTS, EDIT, RECORD, VIEW, check_may_correct, may_correct, property_for

DELIVERIES_A_PAGE = 50
_OPEN = (PurchaseOrder.State.SENT, PurchaseOrder.State.PART_RECEIVED)


@section("stock")
@require_safe
def deliveries(request, slug):
    """What may come, and what has come. Without prices, which a recorder does not see."""
    property = property_for(request.user, slug)
    page = Paginator(receipts_of(property), DELIVERIES_A_PAGE).get_page(request.GET.get("page"))
    for each in page:
        each.is_undone = is_undone(each)
    waiting = PurchaseOrder.objects.filter(property=property, state__in=_OPEN).select_related("supplier")
    context = {
        "property": property,
        "page": page,
        "waiting": waiting.order_by("-number"),
        "may_record": RECORD in property.allowed,
    }
    return render(request, "blends/deliveries.html", context)


@section("stock")
@require_http_methods(["GET", "HEAD", "POST"])
def delivery(request, slug, receipt_id):
    """One delivery. Posted, `act` is correct or undo; by whoever edits, or whoever entered it."""
    receipt = receipt_for(request.user, slug, receipt_id, RECORD if request.method == "POST" else VIEW)
    property = receipt.property
    if request.method == "POST":
        check_may_correct(request.user, property, receipt)
    receipt.all_lots = list(receipts_of(property).get(pk=receipt.pk).all_lots)
    page = _DeliveryPage(request, receipt)
    if request.method == "POST" and page.is_done():
        return redirect("delivery", slug, receipt.pk)
    return render(request, "blends/delivery.html", page.context())


class _DeliveryPage:
    def __init__(self, request, receipt):
        self.request, self.receipt, self.property = request, receipt, receipt.property
        self.act = request.POST.get("act", "")
        self.with_money = EDIT in self.property.allowed
        data = request.POST if self.act == "correct" else None
        initial = {name: getattr(receipt, name) for name in ("received_on", "invoice", "freight_usd", "note")}
        self.form = DeliveryForm(data, with_money=self.with_money, initial=initial)
        self.lots = [
            CorrectedLotForm(data, lot=lot, with_money=self.with_money)
            for lot in receipt.all_lots
            if lot.came_lb
        ]
        self.undo = UndoForm(request.POST if self.act == "undo" else None)
        self.problems = []

    def is_done(self):
        forms = {"correct": [self.form, *self.lots], "undo": [self.undo]}.get(self.act)
        if forms is None:
            raise Http404
        if all([form.is_valid() for form in forms]):
            try:
                self._undo() if self.act == "undo" else self._correct()
            except SwardbookError as error:
                self.problems = [Complaint(error.sentence)]
                return False
            return True
        self.problems = complaints(*forms)
        return False

    def _correct(self):
        changed = [form.changes for form in self.lots if form.changes]
        correct_delivery(receipt=self.receipt, user=self.request.user, lots=changed, **self.form.cleaned_data)
        messages.success(self.request, "The delivery is corrected; what it said before is kept on its lots.")

    def _undo(self):
        undo_delivery(receipt=self.receipt, user=self.request.user, reason=self.undo.cleaned_data["reason"])
        messages.success(
            self.request, "The delivery is taken back. Its lots stay to be read, with nothing on hand."
        )

    def context(self):
        receipt, property = self.receipt, self.property
        lots = receipt.all_lots
        goods = [lot.goods_usd for lot in lots if lot.goods_usd is not None and lot.came_lb]
        return {
            "property": property,
            "receipt": receipt,
            "lots": lots,
            "lot_forms": self.lots,
            "lb": sum(lot.came_lb or 0 for lot in lots),
            "goods_usd": sum(goods) if goods else None,
            "unpriced": sum(lot.goods_usd is None and bool(lot.came_lb) for lot in lots),
            "is_undone": is_undone(receipt),
            "is_by_value": receipt.supplier is not None
            and receipt.supplier.freight_kind == "value"
            and not any(lot.goods_usd is None for lot in lots),
            "form": self.form,
            "undo": self.undo,
            "act": self.act,
            "with_costs": COSTS in property.allowed,
            "may_correct": RECORD in property.allowed and may_correct(self.request.user, property, receipt),
            "complaints": self.problems,
        }
