"""Purchase orders: the list, one as a document with its steps and changes, and its files."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from blends.access import order_for, purchase_for
from blends.forms.purchases import CloseForm, DetailsForm, LineForm, NewLineForm, SendForm
from blends.models import Offer, PurchaseOrder, Season
from blends.purchase_files import purchase_pdf, purchase_xlsx, treated_lines
from blends.queries.overview import latest_used, seasons_of
from blends.queries.purchases import figures_of, is_undone, purchases_of, receipts_of
from blends.services.purchase_drafts import draft_purchases
from blends.services.purchases import (
    add_line,
    change_details,
    change_line,
    close_purchase,
    reopen_purchase,
    send_purchase,
    take_back_sending,
)
from config.errors import SwardbookError
from config.pages import Complaint, complaints, section, show_refusal
from config.spreadsheets import XLSX
from plots.access import COSTS, EDIT, property_for

PURCHASES_A_PAGE = 50
FILES = {
    "pdf": ("application/pdf", purchase_pdf),
    "xlsx": (XLSX, purchase_xlsx),
}
State = PurchaseOrder.State


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def purchases(request, slug):
    """`?season=` and `?state=` choose some. Posted, `season` says of which order the drafts are made."""
    is_posted = request.method == "POST"
    property = property_for(request.user, slug, EDIT if is_posted else COSTS)
    problems = []
    if is_posted:
        order = order_for(request.user, slug, request.POST.get("season", ""), EDIT)
        try:
            made = draft_purchases(order=order, user=request.user)
        except SwardbookError as error:
            problems = [Complaint(error.sentence)]
        else:
            if len(made) == 1:
                messages.success(
                    request, f"{made[0]} to {made[0].supplier} is drafted. Look it over, then send it."
                )
                return redirect("purchase", slug, made[0].number)
            said = ", ".join(f"{each.number} to {each.supplier}" for each in made)
            messages.success(
                request, f"Drafted: {said}." if made else "Nothing is left to buy; the drafts are closed."
            )
            return redirect("purchases", slug)
    seasons = seasons_of(property)
    season = _season(seasons, request.GET.get("season", ""))
    state = request.GET.get("state", "") if request.GET.get("state", "") in State.values else ""
    page = Paginator(purchases_of(property, season=season, state=state), PURCHASES_A_PAGE).get_page(
        request.GET.get("page")
    )
    latest = season or latest_used(seasons)
    return render(
        request,
        "blends/purchases.html",
        {
            "property": property,
            "page": page,
            "rows": [figures_of(purchase) for purchase in page],
            "seasons": seasons,
            "season": season,
            "state": state,
            "states": State.choices,
            "latest": latest,
            "has_any": bool(page.paginator.count) or bool(season or state),
            "complaints": problems,
            "may_edit": EDIT in property.allowed,
        },
    )


def _season(seasons, slug):
    return next((each for each in seasons if isinstance(each, Season) and each.slug == slug), None)


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def purchase(request, slug, number):
    """Posted, `act` is lines, add, details, send, unsend, close or reopen."""
    found = purchase_for(request.user, slug, number, EDIT if request.method == "POST" else COSTS)
    page = _PurchasePage(request, found)
    if request.method == "POST" and page.is_done():
        return redirect("purchase", slug, number)
    return render(request, "blends/purchase.html", page.context())


class _PurchasePage:
    """A purchase order with its forms, whether just opened or given back with errors."""

    def __init__(self, request, found):
        self.request, self.purchase, self.property = request, found, found.property
        self.act = request.POST.get("act", "")
        self.figures = figures_of(found)
        offers = Offer.objects.filter(property=self.property, supplier=found.supplier, is_withdrawn=False)
        has_line = {each.line.offer_id for each in self.figures.lines}
        offers = [
            each for each in offers.select_related("species", "blend", "supplier") if each.pk not in has_line
        ]
        self.lines = [LineForm(self._data("lines"), line=each.line) for each in self.figures.lines]
        self.new = NewLineForm(self._data("add"), offers=offers)
        self.offers = offers
        self.details = DetailsForm(self._data("details"), instance=found)
        self.send = SendForm(self._data("send"), initial={"sent_on": timezone.localdate()})
        self.close = CloseForm(self._data("close"))
        self.problems = []

    def _data(self, act):
        return self.request.POST if self.act == act else None

    def is_done(self):
        """Do what was posted; False when something has to be mended first."""
        acts = {
            "lines": (self.lines, self._lines),
            "add": ([self.new], self._add),
            "details": ([self.details], self._details),
            "send": ([self.send], self._send),
            "close": ([self.close], self._close),
            "unsend": ([], lambda: take_back_sending(purchase=self.purchase, user=self.request.user)),
            "reopen": ([], lambda: reopen_purchase(purchase=self.purchase, user=self.request.user)),
        }
        if self.act not in acts:
            raise Http404
        forms, do = acts[self.act]
        if all([form.is_valid() for form in forms]):
            try:
                do()
            except SwardbookError as error:
                if forms and self.act != "lines":
                    show_refusal(forms[0], error)
                else:
                    self.problems.append(Complaint(error.sentence))
            else:
                messages.success(self.request, _DONE[self.act])
                return True
        self.problems += complaints(*forms)
        return False

    @transaction.atomic
    def _lines(self):
        for form in self.lines:
            if form.is_changed:
                typed = form.typed_price
                price_usd = None if typed == form.line.price_usd else typed
                change_line(
                    line=form.line,
                    user=self.request.user,
                    packs=int(form.cleaned_data["packs"]),
                    price_usd=price_usd,
                )

    def _add(self):
        given = self.new.cleaned_data
        offer = get_object_or_404(Offer, pk=given["offer_id"], property=self.property)
        add_line(purchase=self.purchase, offer=offer, packs=int(given["packs"]), user=self.request.user)

    def _details(self):
        change_details(purchase=self.purchase, user=self.request.user, **self.details.cleaned_data)

    def _send(self):
        send_purchase(purchase=self.purchase, user=self.request.user, on=self.send.cleaned_data["sent_on"])

    def _close(self):
        close_purchase(
            purchase=self.purchase, user=self.request.user, because=self.close.cleaned_data["because"]
        )

    def context(self):
        state = self.purchase.state
        receipts = list(receipts_of(self.property).filter(purchase=self.purchase))
        for each in receipts:
            each.is_undone = is_undone(each)
        return {
            "property": self.property,
            "purchase": self.purchase,
            "season": self.purchase.order.season,
            "figures": self.figures,
            "line_forms": list(zip(self.figures.lines, self.lines, strict=True)),
            "new": self.new,
            "offers": self.offers,
            "details": self.details,
            "send": self.send,
            "close": self.close,
            "act": self.act,
            "steps": _steps(state, self.purchase.sent_on),
            "treated": treated_lines(self.figures),
            "doubts": _doubts(self.purchase, self.property),
            "receipts": receipts,
            "changes": list(self.purchase.changes.select_related("by")),
            "complaints": self.problems,
            "may_edit": EDIT in self.property.allowed,
            "is_draft": state == State.DRAFT,
            "is_closed": state == State.CLOSED,
            "may_receive": state in (State.SENT, State.PART_RECEIVED, State.RECEIVED),
        }


_DONE = {
    "lines": "The lines are saved.",
    "add": "The line is added.",
    "details": "The details are saved.",
    "send": "It is marked as sent. What is changed from now on stays in its record.",
    "unsend": "It is a draft again.",
    "close": "It is closed.",
    "reopen": "It is open again.",
}


def _steps(state, sent_on):
    """(label, "done", "now" or "") for each state that a purchase order goes through."""
    order = [State.DRAFT, State.SENT, State.PART_RECEIVED, State.RECEIVED, State.CLOSED]
    if state == State.CLOSED:
        passed = {State.DRAFT, *([State.SENT] if sent_on else [])}
    else:
        passed = set(order[: order.index(state)])
        if state == State.RECEIVED:
            passed.discard(State.PART_RECEIVED)
    return [(each.label, "now" if each == state else "done" if each in passed else "") for each in order]


def _doubts(purchase, property):
    """What a person should know before sending it; the document is theirs, so nothing is refused."""
    if purchase.state != State.DRAFT:
        return []
    order, found = purchase.order, []
    if order.is_stale:
        found.append("The seed order's figures are being computed again; these packs are of before.")
    elif order.problems:
        found.append("The seed order is stopped by something; look at it before this is sent.")
    if not property.address:
        found.append("Your own address is not known; it is entered in the settings of the property.")
    if not purchase.supplier.address:
        found.append(f"The address of {purchase.supplier} is not known.")
    return found


@section("orders")
@require_safe
def purchase_file(request, slug, number, form):
    found = purchase_for(request.user, slug, number)
    if form not in FILES:
        raise Http404
    media_type, contents = FILES[form]
    figures = figures_of(found)
    figures.purchase.property = found.property
    name = f"{slug}-purchase-order-{found.number}.{form}"
    disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(contents(figures), content_type=media_type, headers=disposition)
