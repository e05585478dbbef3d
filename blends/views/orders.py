"""The seed order of a season: what to buy, the plots behind each figure, the sheet and the files."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe
from rest_framework.renderers import JSONRenderer

from blends.access import order_for, species_rows
from blends.exports import order_csv, order_json, order_xlsx
from blends.forms.offers import OfferForm
from blends.forms.orders import ChoiceForm, TermsForm
from blends.models import Blend, OrderChoice, OrderLine, Supplier
from blends.queries import offers_by_item, order_plots
from blends.queries.offers import priced
from blends.queries.order_inputs import order_inputs
from blends.queries.orders import order_figures, told_of_way
from blends.queries.overview import latest_used, seasons_of
from blends.services.orders import choose, set_terms
from blends.views.offers import stored_offer
from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from config.spreadsheets import XLSX
from plots.access import COSTS, EDIT, property_for

PLOTS_A_PAGE = 100
MOST_PLOTS_ON_PAPER = 300  # about eight pages
FILES = {
    "csv": ("text/csv; charset=utf-8", order_csv),
    "xlsx": (XLSX, order_xlsx),
    "json": ("application/json", lambda order: JSONRenderer().render(order_json(order))),
}


@section("orders")
@require_safe
def orders(request, slug):
    """To the order of the latest season in which anything is planned."""
    property = property_for(request.user, slug, COSTS)
    season = latest_used(seasons_of(property))
    if season is not None:
        return redirect("order", slug, season.slug)
    return render(request, "blends/orders_empty.html", {"property": property})


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def order(request, slug, season):
    """The order's page; posted, its terms. While the figures are stale it asks for itself again."""
    order = order_for(request.user, slug, season, EDIT if request.method == "POST" else COSTS)
    terms = TermsForm(request.POST or None, initial=_terms(order))
    if request.method == "POST" and terms.is_valid():
        try:
            set_terms(order=order, **terms.cleaned_data)
        except SwardbookError as error:
            show_refusal(terms, error)
        else:
            messages.success(request, "The terms are saved; the figures follow.")
            return redirect("order", slug, order.season.slug)
    property = order.season.property
    figures = order_figures(order)
    return render(
        request,
        "blends/order.html",
        {
            "property": property,
            "season": order.season,
            "order": order,
            "figures": figures,
            "page": Paginator(figures.costs.by_plot, PLOTS_A_PAGE).get_page(request.GET.get("page")),
            "terms": terms,
            "complaints": complaints(terms),
            "seasons": seasons_of(property),
            "is_recomputing": order.is_stale and figures.costs.property.plots > 0,
            "may_edit": EDIT in property.allowed,
        },
    )


def _terms(order):
    return {name: getattr(order, name) for name in TermsForm.Meta.fields}


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def order_line(request, slug, season, kind, item_id):
    """One item: the plots behind its pounds, and its offer. `act` is choose or offer (add one and choose it)."""
    order = order_for(request.user, slug, season, EDIT if request.method == "POST" else COSTS)
    item = _item(order.season.property, kind, item_id)
    page = _LinePage(request, order, kind, item)
    if request.method == "POST" and page.stored():
        return redirect("order-line", slug, order.season.slug, kind, item_id)
    return render(request, "blends/order_line.html", page.context())


def _item(property, kind, item_id):
    if kind == "species":
        return get_object_or_404(species_rows(property), pk=item_id)
    if kind == "blend":
        return get_object_or_404(Blend.objects.filter(property=property, kind=Blend.Kind.BOUGHT), pk=item_id)
    raise Http404


class _LinePage:
    """One item of an order with its offers and forms, whether just opened or given back with errors."""

    def __init__(self, request, order, kind, item):
        self.request, self.order, self.kind, self.item = request, order, kind, item
        self.key = {kind: item}
        self.inputs = order_inputs(order)
        self.chosen = self._chosen_before()
        rows = order.orderlines.select_related("offer__supplier").filter(**self.key)
        self.line = next(iter(told_of_way(self.inputs.taken, rows)), None)
        if self.line is not None:
            setattr(self.line, kind, item)
        # without a line, because something stops the order, an offer can still be chosen
        stand_in = self.line or OrderLine(order=order, offer_id=self.chosen.offer_id, **self.key)
        [self.offers] = offers_by_item(order, [stand_in]).values()
        self.act = request.POST.get("act")
        self.choice = ChoiceForm(
            request.POST if self.act == "choose" else None,
            offers=self.offers,
            initial={"offer_id": self.chosen.offer_id, "on_hand_lb": self.chosen.on_hand_lb or None},
        )
        self.offer_form = OfferForm(request.POST if self.act == "offer" else None)

    def _chosen_before(self):
        """What was chosen for the item, with the offer among those that are shown."""
        rows = OrderChoice.objects.select_related("offer__supplier")
        return rows.filter(order=self.order, **self.key).first() or OrderChoice()

    def stored(self):
        """Do what was posted; False when something has to be mended first."""
        if self.act == "offer":
            return self._offer_added()
        return self.choice.is_valid() and self._chosen(self.choice, **self.choice.cleaned_data)

    def _offer_added(self):
        if not self.offer_form.is_valid():
            return False
        property = self.order.season.property
        offer = stored_offer(property, self.offer_form, **self.key)
        if offer is None:
            return False
        self.offers.append(offer)
        return self._chosen(self.offer_form, offer.pk, self.chosen.on_hand_lb)

    def _chosen(self, form, offer_id, on_hand_lb):
        offer = next((offer for offer in self.offers if offer.pk == offer_id), None)
        try:
            choose(order=self.order, offer=offer, on_hand_lb=on_hand_lb, **self.key)
        except SwardbookError as error:
            show_refusal(form, error)
            return False
        said = f"{self.item} is bought as {offer}." if offer else f"No offer is chosen for {self.item}."
        messages.success(self.request, said)
        return True

    def _stock(self):
        """OnHand of the item where its lots are what is on hand; None where somebody has said it, or it is not known."""
        key = (self.item.pk, None) if self.kind == "species" else (None, self.item.pk)
        return next((one.stock for one in self.inputs.items if (one.species_id, one.blend_id) == key), None)

    def context(self):
        property = self.order.season.property
        plots = order_plots(self.order, self.item, self.inputs) if self.line else []
        return {
            "property": property,
            "season": self.order.season,
            "order": self.order,
            "item": self.item,
            "kind": self.kind,
            "line": self.line,
            "stock": self._stock(),
            "plots": plots,
            "page": Paginator(plots, PLOTS_A_PAGE).get_page(self.request.GET.get("page")),
            "acres": sum(part.acres for part in plots),
            "offers": priced(self.offers, self.order),
            "chosen_id": self.chosen.offer_id,
            "choice": self.choice,
            "form": self.offer_form,
            "suppliers": Supplier.objects.filter(property=property),
            "complaints": complaints(self.choice, self.offer_form),
            "may_edit": EDIT in property.allowed,
        }


@section("orders")
@require_safe
def order_sheet(request, slug, season):
    """The order for paper: to phone in, to take along, to write on."""
    order = order_for(request.user, slug, season)
    context = {
        "property": order.season.property,
        "season": order.season,
        "order": order,
        "figures": order_figures(order),
        "most_plots": MOST_PLOTS_ON_PAPER,
    }
    return render(request, "blends/order_sheet.html", context)


@section("orders")
@require_safe
def order_file(request, slug, season, form):
    order = order_for(request.user, slug, season)
    if form not in FILES:
        raise Http404
    media_type, contents = FILES[form]
    name = f"{slug}-{order.season.slug}-seed-order.{form}"
    disposition = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(contents(order), content_type=media_type, headers=disposition)
