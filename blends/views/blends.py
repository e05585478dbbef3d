"""Blends: the list, one blend with its figures, and the page on which it is put together."""

from dataclasses import dataclass

from django.contrib import messages
from django.db.models import Count, Q, Sum, prefetch_related_objects
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from blends.access import blend_for, species_rows
from blends.forms.blends import BlendForm, CopyBlendForm, component_rows
from blends.models import Blend, Planting, Season
from blends.queries import blend_figures, draft_of
from blends.queries.blends import FULL_RATE, figures_of_blends
from blends.queries.order_inputs import PLANTED_OR_MAPPED_ACRES
from blends.services.blends import archive_blend, copy_blend, restore_blend, save_blend
from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import COSTS, EDIT, property_for

ROW_FIELDS = [
    "species_id",
    "drilled_pls_lb_per_acre",
    "broadcast_pls_lb_per_acre",
    "tag_pct_by_weight",
    "tag_germination_pct",
]
MORE_ROWS = 5


def _shown(figures):
    """The context of the figures' templates: by method, by species, and what they rest on."""
    methods = []
    for value, label in Planting.Method.choices:
        totals = getattr(figures, value)
        if not totals.is_used:
            continue
        low, high = FULL_RATE[value]
        rows = [
            {
                "species": row.species,
                "facts": row.facts,
                "given": row.given,
                "rate": getattr(row, value),
                "full_low": row.facts.facts[low],
                "full_high": row.facts.facts[high],
            }
            for row in figures.rows
        ]
        methods.append({"name": value, "label": label, "totals": totals, "rows": rows})
    names = ["seeds_per_lb", *(name for method in methods for name in FULL_RATE[method["name"]])]
    sources = {
        source.pk: source
        for row in figures.rows
        for name in names
        for source in row.facts.facts[name].sources
    }
    return {
        "figures": figures,
        "methods": methods,
        "missing": list(dict.fromkeys(said for method in methods for said in method["totals"].missing)),
        "by_species": [_by_method(row, [method["name"] for method in methods]) for row in figures.rows],
        "sources": list(sources.values()),
    }


def _by_method(row, methods):
    facts = row.facts.facts
    return {
        "species": row.species,
        "rates": [getattr(row, method) for method in methods],
        "full_rates": [
            {"low": facts[low], "high": facts[high]}
            for low, high in (FULL_RATE[method] for method in methods)
        ],
    }


@section("blends")
@require_safe
def blends(request, slug):
    property = property_for(request.user, slug)
    archived = "archived" in request.GET
    rows = Blend.objects.filter(property=property, next=None).prefetch_related("components")
    figures = figures_of_blends(
        property, rows.filter(is_archived=archived), with_costs=COSTS in property.allowed
    )
    planted = _plots_by_season(Q(blend__in=[blend for blend, _ in figures]))
    return render(
        request,
        "blends/blends.html",
        {
            "property": property,
            "rows": [(blend, each, planted.get(blend.pk, [])[:2]) for blend, each in figures],
            "archived": archived,
            "archived_count": rows.filter(is_archived=True).count(),
        },
    )


def _plots_by_season(which):
    """{blend id: [{"season", "plots", "planted", "acres"}, …]}, the latest season first."""
    rows = (
        Planting.objects.filter(which)
        .values("blend_id", "season_id")
        .annotate(
            plots=Count("pk"),
            planted=Count("pk", filter=~Q(state=Planting.State.PLANNED)),
            acres=Sum(PLANTED_OR_MAPPED_ACRES),
        )
        .order_by("-season__year", "season__kind")
    )
    rows = list(rows)
    seasons = Season.objects.in_bulk({row["season_id"] for row in rows})
    found = {}
    for row in rows:
        found.setdefault(row["blend_id"], []).append(row | {"season": seasons[row["season_id"]]})
    return found


@section("blends")
@require_http_methods(["GET", "HEAD", "POST"])
def blend(request, slug, blend_id):
    """One blend; posted, `act` is copy, archive or restore."""
    row = blend_for(request.user, slug, blend_id, EDIT if request.method == "POST" else "view")
    property = row.property
    copy = CopyBlendForm(request.POST if request.POST.get("act") == "copy" else None)
    if request.method == "POST":
        answer = _act_on_blend(request, row, copy)
        if answer is not None:
            return answer
    figures = blend_figures(property, draft_of(row), with_costs=COSTS in property.allowed)
    return render(
        request,
        "blends/blend.html",
        {
            "property": property,
            "blend": row,
            **_shown(figures),
            "seasons": _plots_by_season(Q(blend=row)).get(row.pk, []),
            "next": getattr(row, "next", None),
            "previous": row.previous,
            "copy": copy,
            "complaints": complaints(copy),
        },
    )


def _act_on_blend(request, row, copy):
    act = request.POST.get("act")
    slug = row.property.slug
    if act == "archive":
        archive_blend(blend=row)
        messages.success(
            request, f"{row} is put away: it stays where it is planted and is not offered for new plots."
        )
        return redirect("blends", slug)
    if act == "restore":
        restore_blend(blend=row)
        messages.success(request, f"{row} can be planted again.")
        return redirect("blend", slug, row.pk)
    if act == "copy" and copy.is_valid():
        try:
            made = copy_blend(blend=row, user=request.user, name=copy.cleaned_data["name"])
        except SwardbookError as error:
            show_refusal(copy, error)
        else:
            messages.success(request, f"{made} is a copy of {row}. Change what should differ.")
            return redirect("blend-edit", slug, made.pk)
    return None


@dataclass
class Typed:
    """A blend as it stands in the form: the head, the rows, and what they come to."""

    form: BlendForm
    rows: object
    blend: Blend | None

    @property
    def is_valid(self):
        return all([self.form.is_valid(), self.rows.is_valid()])

    @property
    def draft(self):
        """For `blend_figures`: what was typed, whether or not it can be saved."""
        self.is_valid  # noqa: B018  runs the cleaning; what cannot be read is left out and said at its field
        head = self.form.cleaned_data
        return {
            "kind": head.get("kind"),
            "blend": self.blend,
            "drilled_bulk_lb_per_acre": head.get("drilled_bulk_lb_per_acre"),
            "broadcast_bulk_lb_per_acre": head.get("broadcast_bulk_lb_per_acre"),
            "components": self.rows.values,
        }

    def save(self, property, user):
        return save_blend(
            property=property,
            user=user,
            blend=self.blend,
            components=self.rows.values,
            **self.form.cleaned_data,
        )

    def show_refusal(self, error):
        """`components.2.rate` belongs to the third row that has a species; the rest to the head."""
        head = {}
        for name, texts in error.fields.items():
            where = name.split(".")
            if where[0] == "components" and len(where) == 3:
                for text in texts:
                    self.rows.with_species[int(where[1])].add_error(where[2], text)
            else:
                head[name] = texts
        if head or not error.fields:
            error.fields = head
            show_refusal(self.form, error)


def _typed(property, data, blend, spare):
    species = species_rows(property)
    if data is not None:
        return Typed(BlendForm(data), component_rows(species, data), blend)
    if blend is None:
        return Typed(
            BlendForm(initial={"kind": Blend.Kind.MIXED_HERE}), component_rows(species, spare=6), None
        )
    head = {name: getattr(blend, name) for name in BlendForm.Meta.fields}
    rows = [{name: getattr(row, name) for name in ROW_FIELDS} for row in blend.components.all()]
    return Typed(BlendForm(initial=head), component_rows(species, initial=rows, spare=spare), blend)


@section("blends")
@require_http_methods(["GET", "HEAD", "POST"])
def blend_edit(request, slug, blend_id=None):
    """A new blend, or a change of one; `act` is save, figures (work it out) or more (rows)."""
    if blend_id is None:
        property, row = property_for(request.user, slug, EDIT), None
    else:
        row = blend_for(request.user, slug, blend_id, EDIT)
        property = row.property
        prefetch_related_objects([row], "components")
    data = request.POST.copy() if request.method == "POST" else None
    act = request.POST.get("act", "save")
    if act == "more" and data.get("row-TOTAL_FORMS", "").isdecimal():
        data["row-TOTAL_FORMS"] = int(data["row-TOTAL_FORMS"]) + MORE_ROWS
    typed = _typed(property, data, row, spare=2)
    if data is not None and act == "save" and typed.is_valid:
        try:
            saved = typed.save(property, request.user)
        except SwardbookError as error:
            typed.show_refusal(error)
        else:
            messages.success(request, _saved_words(row, saved))
            return redirect("blend", slug, saved.pk)

    if data is not None:
        draft = typed.draft
    else:
        draft = {"kind": Blend.Kind.MIXED_HERE, "components": []} if row is None else draft_of(row)
    return render(
        request,
        "blends/blend_edit.html",
        {
            "property": property,
            "blend": row,
            "form": typed.form,
            "rows": typed.rows,
            **_shown(blend_figures(property, draft, with_costs=COSTS in property.allowed)),
            **_plots_with(row),
            "complaints": complaints(typed.form, typed.rows) if act == "save" and data is not None else [],
            "figures_address": _figures_address(slug, row),
            "is_changed": data is not None,
        },
    )


def _figures_address(slug, row):
    address = reverse("blend-figures", args=[slug])
    return address if row is None else f"{address}?blend={row.pk}"


def _plots_with(row):
    """On how many plots the blend is planted, and for how many it is planned."""
    if row is None:
        return {"planted": 0, "planned": 0}
    planned = Q(state=Planting.State.PLANNED)
    return row.plantings.aggregate(planted=Count("pk", filter=~planned), planned=Count("pk", filter=planned))


def _saved_words(before, after):
    if before is None or before.pk == after.pk:
        return f"{after} is saved."
    return f"{after} is saved as a new version; {before} stays as it was planted."


@section("blends")
@require_POST
def figures(request, slug):
    """What the blend that is being typed comes to, as a fragment."""
    property = property_for(request.user, slug, EDIT)
    asked = request.GET.get("blend", "")
    row = blend_for(request.user, slug, int(asked), EDIT) if asked.isdecimal() else None
    typed = _typed(property, request.POST, row, spare=0)
    found = blend_figures(property, typed.draft, with_costs=COSTS in property.allowed)
    context = {"property": property, "is_fragment": True} | _shown(found)
    return render(request, "blends/_blend_typed.html", context)
