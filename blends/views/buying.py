"""Ways to buy an order: asked for, watched, taken; and what it sows instead."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from blends.access import order_for, plan_for, species_rows
from blends.forms.buying import AskForm, SubstituteForm
from blends.pictures.rules import rules_picture
from blends.queries.overview import latest_used, seasons_of
from blends.queries.substitutions import standing_plan, substitutions_of
from blends.queries.ways import listed, possible_swaps, substitute_groups, way_of, ways_of
from blends.services.buying import ask_for_plan, back_to_own_choices, cancel_search, take_plan
from blends.services.substitutions import substitute, take_back_substitution
from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import COSTS, EDIT, property_for

_MOST_LISTED = 30


@section("orders")
@require_safe
def ways_latest(request, slug):
    """To the ways to buy the latest season in which anything is planned."""
    season = latest_used(seasons_of(property_for(request.user, slug, COSTS)))
    return redirect("orders", slug) if season is None else redirect("ways", slug, season.slug)


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def ways(request, slug, season):
    """Ask for the cheapest way to buy; posted, start the search. `act` own goes back to the person's own choices."""
    is_post = request.method == "POST"
    order = order_for(request.user, slug, season, EDIT if is_post else COSTS)
    property = order.season.property
    if is_post and request.POST.get("act") == "own":
        back_to_own_choices(order=order)
        messages.success(request, "Your own choices stand again; the figures follow.")
        return redirect("order", slug, order.season.slug)
    may_edit = EDIT in property.allowed
    swaps = possible_swaps(order) if may_edit else []
    form = AskForm(request.POST if is_post else None, swaps=swaps)
    if is_post and form.is_valid():
        try:
            plan = ask_for_plan(
                order=order,
                user=request.user,
                most_suppliers=form.cleaned_data["most_suppliers"],
                swaps=form.pairs,
                seconds=form.cleaned_data["seconds"],
            )
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            return redirect("way", slug, order.season.slug, plan.pk)
    context = {
        "property": property,
        "season": order.season,
        "order": order,
        "plans": listed(ways_of(order)[:_MOST_LISTED]),
        "standing": standing_plan(order),
        "form": form,
        "complaints": complaints(form),
        "may_edit": may_edit,
    }
    return render(request, "blends/ways.html", context)


@section("orders")
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def way(request, slug, season, plan_id):
    """One way to buy; while it is searched the part that changes asks for itself. `act` is take or cancel."""
    is_post = request.method == "POST"
    plan = plan_for(request.user, slug, season, plan_id, EDIT if is_post else COSTS)
    refused = ""
    if is_post:
        try:
            if request.POST.get("act") == "cancel":
                cancel_search(plan)
                return redirect("way", slug, season, plan_id)
            if request.POST.get("act") == "take":
                take_plan(plan=plan, user=request.user)
                messages.success(request, "The order is bought this way; its figures follow.")
                return redirect("order", slug, season)
        except SwardbookError as error:
            refused = error.sentence
        plan = plan_for(request.user, slug, season, plan_id, COSTS)
    found = way_of(plan)
    context = {
        "property": plan.order.season.property,
        "season": plan.order.season,
        "order": plan.order,
        "way": found,
        "picture": rules_picture("rules", found.rules) if found.rules else None,
        "refused": refused,
        "may_edit": EDIT in plan.order.season.property.allowed,
    }
    return render(request, "blends/_way.html" if request.htmx else "blends/way.html", context)


@section("orders")
@require_http_methods(["GET", "HEAD", "POST"])
def order_substitutes(request, slug, season):
    """What the order sows instead of what its blends name. `act` is add or remove."""
    is_post = request.method == "POST"
    order = order_for(request.user, slug, season, EDIT if is_post else COSTS)
    property = order.season.property
    if is_post and request.POST.get("act") == "remove":
        chosen = request.POST.get("species", "")
        species = get_object_or_404(species_rows(property), pk=chosen if chosen.isdecimal() else 0)
        take_back_substitution(order=order, species=species)
        messages.success(request, f"{species} is sown itself again; the figures follow.")
        return redirect("order-substitutes", slug, season)
    form = SubstituteForm(request.POST if is_post else None, groups=substitute_groups(order))
    if is_post and form.is_valid():
        species, instead = (get_object_or_404(species_rows(property), pk=pk) for pk in form.ids)
        try:
            substitute(
                order=order,
                user=request.user,
                species=species,
                instead=instead,
                reason=form.cleaned_data["reason"],
            )
        except SwardbookError as error:
            for sentences in error.fields.values():
                for sentence in sentences:
                    form.add_error("pair", sentence)
        else:
            messages.success(request, f"{instead} is sown instead of {species}; the figures follow.")
            return redirect("order-substitutes", slug, season)
    context = {
        "property": property,
        "season": order.season,
        "order": order,
        "substitutions": substitutions_of(order),
        "form": form,
        "complaints": complaints(form),
        "may_edit": EDIT in property.allowed,
    }
    return render(request, "blends/order_substitutes.html", context)
