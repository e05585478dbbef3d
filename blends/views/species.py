"""The species table, one species with its sources, and a property's own values."""

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from blends.access import species_for
from blends.facts import FACT_FIELDS
from blends.forms.species import OverrideForm, OwnSpeciesForm, SpeciesFilter
from blends.models import Species, SpeciesOverride
from blends.queries.species import override_history, species_facts
from blends.services.species import add_species, end_override, override_value
from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import EDIT, property_for

PARTS = [
    ("What it is", ["scientific_name", "family", "group", "life_cycle", "fixes_nitrogen", "inoculant_group"]),
    (
        "Seed and full rates",
        [
            "seeds_per_lb",
            "seeds_per_lb_range",
            "lb_per_bu",
            "drill_lb_ac_low",
            "drill_lb_ac_high",
            "broadcast_lb_ac_low",
            "broadcast_lb_ac_high",
        ],
    ),
    ("Sowing", ["depth_in_low", "depth_in_high", "min_soil_temp_f"]),
    (
        "Growth and browse",
        [
            "days_to_browse_low",
            "days_to_browse_high",
            "days_to_bloom_low",
            "days_to_bloom_high",
            "days_to_seed_low",
            "days_to_seed_high",
            "browse_preference",
            "browsed_when",
            "seed_use",
            "winter_fate",
        ],
    ),
    (
        "Residue",
        [
            "dry_matter_lb_ac_low",
            "dry_matter_lb_ac_high",
            "nitrogen_pct_vegetative",
            "nitrogen_pct_mature",
            "cn_vegetative",
            "cn_mature",
            "cover_cm2_per_g",
        ],
    ),
]


@section("species")
@require_safe
def species_list(request, slug):
    property = property_for(request.user, slug)
    form = SpeciesFilter(request.GET)
    facts = species_facts(property)
    found = form.found(facts) if form.is_valid() else facts
    groups = [
        (label, [each for each in found if each.species.group == value])
        for value, label in Species.Group.choices
    ]
    return render(
        request,
        "blends/species_list.html",
        {
            "property": property,
            "form": form,
            "groups": [(label, rows) for label, rows in groups if rows],
            "found": len(found),
            "total": len(facts),
        },
    )


@section("species")
@require_safe
def species(request, slug, species_id):
    row, property = species_for(request.user, slug, species_id)
    [facts] = species_facts(property, [row])
    sources = list(
        {source.pk: source for fact in facts.facts.values() for source in fact.original_sources}.values()
    )
    numbers = {source.pk: number for number, source in enumerate(sources, start=1)}
    parts = [(title, [_numbered(facts.facts[name], numbers) for name in names]) for title, names in PARTS]
    return render(
        request,
        "blends/species.html",
        {
            "property": property,
            "species": row,
            "facts": facts,
            "parts": parts,
            "cautions": _numbered(facts.cautions, numbers),
            "hazards": _numbered(facts.hazards, numbers),
            "sources": sources,
            "ended": [
                (FACT_FIELDS[each.field].label, _said(each), each)
                for each in override_history(property, row)
                if each.ended_at and each.field in FACT_FIELDS
            ],
        },
    )


def _said(override):
    """An override's value as the page writes it."""
    fact = FACT_FIELDS[override.field]
    return fact.shown(fact.cleaned(override.value))


def _numbered(fact, numbers):
    """A fact with the numbers of its sources in the page's list."""
    return fact, [numbers[source.pk] for source in fact.original_sources]


@section("species")
@require_http_methods(["GET", "HEAD", "POST"])
def species_new(request, slug):
    property = property_for(request.user, slug, EDIT)
    form = OwnSpeciesForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            made = add_species(property=property, user=request.user, **form.cleaned_data)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, f"{made} is in the species list.")
            return redirect("species", slug, made.pk)
    return render(
        request,
        "blends/species_new.html",
        {"property": property, "form": form, "complaints": complaints(form)},
    )


@section("species")
@require_http_methods(["GET", "HEAD", "POST"])
def species_override(request, slug, species_id):
    """`?field=seeds_per_lb` names the value; `act=end` returns to the original."""
    row, property = species_for(request.user, slug, species_id, EDIT)
    field = request.GET.get("field", "")
    if field not in FACT_FIELDS:
        raise Http404
    [facts] = species_facts(property, [row])
    fact = facts.facts[field]
    if request.POST.get("act") == "end":
        overrides = SpeciesOverride.objects.filter(property=property, species=row, ended_at=None)
        end_override(override=get_object_or_404(overrides, field=field))
        messages.success(request, f"{fact.label}: the original value counts again.")
        return redirect("species", slug, row.pk)

    counts = {"value": (fact.value or "").split()} if field == "hazards" else {}
    form = OverrideForm(request.POST or None, fact=FACT_FIELDS[field], initial=counts)
    if request.method == "POST" and form.is_valid():
        try:
            override_value(
                property=property, species=row, user=request.user, field=field, **form.cleaned_data
            )
        except SwardbookError as error:
            error.fields = {
                ("value" if name == field else name): texts for name, texts in error.fields.items()
            }
            show_refusal(form, error)
        else:
            messages.success(request, f"{fact.label}: your value counts from now on.")
            return redirect("species", slug, row.pk)
    return render(
        request,
        "blends/species_override.html",
        {"property": property, "species": row, "fact": fact, "form": form, "complaints": complaints(form)},
    )
