"""What suppliers offer: the list, a new offer, a changed one."""

from django.contrib import messages
from django.db import transaction
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods, require_safe

from blends.access import offer_for, species_rows
from blends.forms.blends import species_choices
from blends.forms.orders import OfferForm
from blends.models import Blend, Offer, Supplier
from blends.queries import blends_to_assign
from blends.queries.offers import priced
from blends.services.offers import add_supplier, save_offer, withdraw_offer
from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import COSTS, EDIT, property_for


@section("orders")
@require_safe
def offers(request, slug):
    property = property_for(request.user, slug, COSTS)
    withdrawn = "withdrawn" in request.GET
    every = Offer.objects.filter(property=property)
    rows = every.filter(is_withdrawn=withdrawn).select_related("supplier", "species", "blend")
    return render(
        request,
        "blends/offers.html",
        {
            "property": property,
            "rows": sorted(
                priced(rows), key=lambda row: (row.offer.species is None, str(row.item).casefold())
            ),
            "withdrawn": withdrawn,
            "withdrawn_count": every.filter(is_withdrawn=True).count(),
        },
    )


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def offer_new(request, slug):
    """`?species=` or `?blend=` names the seed; `?next=` is where to go on."""
    property = property_for(request.user, slug, EDIT)
    asked = next((f"{kind}:{request.GET[kind]}" for kind in ("species", "blend") if kind in request.GET), "")
    form = OfferForm(request.POST or None, items=item_choices(property), initial={"item": asked})
    if request.method == "POST" and form.is_valid():
        offer = stored_offer(property, form, **item_of(property, form.cleaned_data["item"]))
        if offer is not None:
            messages.success(request, f"The offer is kept: {offer}.")
            return redirect(_next(request) or "offers", *([] if _next(request) else [slug]))
    return _form_page(request, property, form)


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def offer_edit(request, slug, offer_id):
    """Change an offer, or withdraw it (`act=withdraw`)."""
    offer = offer_for(request.user, slug, offer_id, EDIT)
    property = offer.property
    if request.POST.get("act") == "withdraw":
        withdraw_offer(offer=offer)
        messages.success(request, f"Withdrawn: {offer}. Orders that chose it keep it.")
        return redirect("offers", slug)
    form = OfferForm(request.POST or None, initial=_typed_before(offer))
    if request.method == "POST" and form.is_valid() and stored_offer(property, form, offer) is not None:
        messages.success(request, f"The offer is changed: {offer}. Orders that chose it are computed again.")
        return redirect("offers", slug)
    return _form_page(request, property, form, offer)


def _form_page(request, property, form, offer=None):
    context = {
        "property": property,
        "form": form,
        "offer": offer,
        "suppliers": Supplier.objects.filter(property=property),
        "complaints": complaints(form),
    }
    return render(request, "blends/offer_edit.html", context)


def _next(request):
    """A page of this site to go on to, or None."""
    target = request.GET.get("next", "")
    is_ours = target.startswith("/") and url_has_allowed_host_and_scheme(target, {request.get_host()})
    return target if is_ours else None


def _typed_before(offer):
    names = [*OfferForm.PACK, *OfferForm.TAG]
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
        error.fields = {names.get(field, field): texts for field, texts in error.fields.items()}
        show_refusal(form, error)
        return None
