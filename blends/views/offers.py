"""What suppliers offer: the list, a new offer, a changed one."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db import transaction
from django.db.models import Q
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_safe

from blends.access import offer_for, species_rows
from blends.forms.blends import species_choices
from blends.forms.offers import OfferForm
from blends.models import Blend, Offer, Supplier
from blends.queries import blends_to_assign
from blends.queries.offers import is_expired, priced, tag_notes
from blends.services.offers import is_settled, offer_again, save_offer, withdraw_offer
from blends.services.suppliers import add_supplier
from config.errors import SwardbookError
from config.pages import Complaint, complaints, section, show_refusal
from plots.access import COSTS, EDIT, id_in, property_for

OFFERS_A_PAGE = 200


@section("orders")
@require_safe
def offers(request, slug):
    """Offers in use, or those withdrawn; `?q=` names a seed or variety, `?supplier=` one supplier."""
    property = property_for(request.user, slug, COSTS)
    withdrawn = "withdrawn" in request.GET
    text, supplier_id = request.GET.get("q", "").strip(), id_in(request.GET.get("supplier", ""))
    every = Offer.objects.filter(property=property)
    rows = every.filter(is_withdrawn=withdrawn)
    if text:
        rows = rows.filter(
            Q(species__common_name__icontains=text)
            | Q(blend__name__icontains=text)
            | Q(variety__icontains=text)
        )
    if supplier_id is not None:
        rows = rows.filter(supplier=supplier_id)
    rows = rows.select_related("supplier", "species", "blend").prefetch_related("breaks")
    rows = sorted(priced(rows), key=lambda row: (row.offer.species is None, str(row.item).casefold()))
    page = Paginator(rows, OFFERS_A_PAGE).get_page(request.GET.get("page"))
    today = timezone.localdate()
    context = {
        "property": property,
        "page": page,
        "rows": [(row, is_expired(row.offer, today)) for row in page],
        "withdrawn": withdrawn,
        "withdrawn_count": every.filter(is_withdrawn=True).count(),
        "any": every.filter(is_withdrawn=withdrawn).exists(),
        "suppliers": Supplier.objects.filter(property=property),
        "asked": {"q": text, "supplier": supplier_id},
    }
    return render(request, "blends/offers.html", context)


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def offer_new(request, slug):
    """`?species=` or `?blend=` names the seed; `?next=` is where to go on."""
    property = property_for(request.user, slug, EDIT)
    asked = next((f"{kind}:{request.GET[kind]}" for kind in ("species", "blend") if kind in request.GET), "")
    form = OfferForm(
        request.POST or None, items=item_choices(property), initial={"item": asked, "least_packs": 1}
    )
    if request.method == "POST" and form.is_valid():
        offer = stored_offer(property, form, **item_of(property, form.cleaned_data["item"]))
        if offer is not None:
            messages.success(request, f"The offer is kept: {offer}.")
            return redirect(_next(request) or "offers", *([] if _next(request) else [slug]))
    return _form_page(request, property, form)


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def offer_edit(request, slug, offer_id):
    """Change an offer; `act` is save, withdraw, or again to offer a withdrawn one."""
    offer = offer_for(request.user, slug, offer_id, EDIT)
    property, act = offer.property, request.POST.get("act", "save")
    form = OfferForm(
        request.POST if request.method == "POST" and act == "save" else None,
        initial=_typed_before(offer),
        breaks=list(offer.breaks.all()),
    )
    if request.method == "POST":
        try:
            if act == "withdraw":
                withdraw_offer(offer=offer)
                messages.success(request, f"Withdrawn: {offer}. Orders that chose it keep it.")
                return redirect("offers", slug)
            if act == "again":
                offer_again(offer=offer)
                messages.success(request, f"Offered again: {offer}.")
                return redirect("offers", slug)
        except SwardbookError as error:
            return _form_page(request, property, form, offer, [Complaint(error.sentence)])
        saved = stored_offer(property, form, offer) if form.is_valid() else None
        if saved is not None:
            how = saved.replacement.said if saved.replacement else "Orders that chose it are computed again."
            messages.success(request, f"The offer is saved: {saved}. {how}")
            return redirect("offers", slug)
    return _form_page(request, property, form, offer)


def _form_page(request, property, form, offer=None, said=()):
    context = {
        "property": property,
        "form": form,
        "offer": offer,
        "is_settled": offer is not None and is_settled(offer),
        "notes": tag_notes(offer) if offer is not None else [],
        "is_expired": offer is not None and is_expired(offer, timezone.localdate()),
        "suppliers": Supplier.objects.filter(property=property, is_archived=False),
        "complaints": [*said, *complaints(form)],
    }
    return render(request, "blends/offer_edit.html", context)


def _next(request):
    """A page of this site to go on to, or None."""
    target = request.GET.get("next", "")
    is_ours = target.startswith("/") and url_has_allowed_host_and_scheme(target, {request.get_host()})
    return target if is_ours else None


def _typed_before(offer):
    names = [*OfferForm.PACK, *OfferForm.TERMS, *OfferForm.TAG]
    return {name: getattr(offer, name) for name in names} | {"supplier_name": offer.supplier.name}


def item_choices(property):
    """What an offer can be of: a bought mix or a species."""
    mixes = blends_to_assign(property).filter(kind=Blend.Kind.BOUGHT)
    mixes = [(f"blend:{blend.pk}", str(blend)) for blend in mixes]
    groups = [
        (label, [(f"species:{pk}", name) for pk, name in options])
        for label, options in species_choices(species_rows(property))[1:]
    ]
    return [("", "Choose the seed"), *([("Bought mixes", mixes)] if mixes else []), *groups]


def item_of(property, value):
    """{"species": …} or {"blend": …} for a choice of `item_choices`."""
    kind, _, pk = value.partition(":")
    rows = species_rows(property) if kind == "species" else Blend.objects.filter(property=property)
    return {kind: rows.get(pk=pk)}


def stored_offer(property, form, offer=None, **item):
    """The offer of a valid form with its supplier, made if new; None where a service refused it."""
    values = dict(form.cleaned_data)
    name = values.pop("supplier_name")
    values.pop("item", None)
    try:
        with transaction.atomic():
            supplier = Supplier.objects.filter(property=property, name__iexact=name).first()
            supplier = supplier or add_supplier(property=property, name=name)
            return save_offer(property=property, offer=offer, supplier=supplier, **values, **item)
    except SwardbookError as error:
        names = {"supplier": "supplier_name", "name": "supplier_name", "species": "item", "blend": "item"}
        show_refusal(form, error, names=names)
        return None
