"""Blends: the list, and the page of one blend with its figures, judgement and clippings."""

from django.contrib import messages
from django.db.models import Count, Q, Sum
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from blends.access import blend_for, clipping_for
from blends.forms.bench import ClippingForm
from blends.forms.blends import CopyBlendForm
from blends.models import Blend, Planting, Season
from blends.queries import draft_of
from blends.queries.blends import figures_of_blends
from blends.queries.judgement import MOST_COMPARED
from blends.queries.order_inputs import PLANTED_OR_MAPPED_ACRES
from blends.services.blends import archive_blend, copy_blend, new_version, restore_blend
from blends.services.clippings import delete_clipping, record_clipping
from blends.views.bench import bench_context
from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import COSTS, EDIT, RECORD, VIEW, id_in, property_for


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
            "most_compared": MOST_COMPARED,
        },
    )


def _plots_by_season(which):
    """{blend id: [{"season", "plots", "planted", "acres"}, …]}, the latest season first."""
    rows = (
        Planting.objects.filter(which)
        .values("blend_id", "season__year", "season__kind")
        .annotate(
            plots=Count("pk"),
            planted=Count("pk", filter=~Q(state=Planting.State.PLANNED)),
            acres=Sum(PLANTED_OR_MAPPED_ACRES),
        )
        .order_by("-season__year", "season__kind")
    )
    found = {}
    for row in rows:
        season = Season(year=row["season__year"], kind=row["season__kind"])
        found.setdefault(row["blend_id"], []).append(row | {"season": season})
    return found


ACTS = {
    "copy": EDIT,
    "version": EDIT,
    "archive": EDIT,
    "restore": EDIT,
    "clip": RECORD,
    "unclip": RECORD,
}
"""What may be posted to a blend's page, and what it takes."""


@section("blends")
@require_http_methods(["GET", "HEAD", "POST"])
def blend(request, slug, blend_id):
    """One blend; posted, `act` is one of ACTS."""
    act = request.POST.get("act") if request.method == "POST" else None
    may = VIEW if request.method != "POST" else ACTS.get(act, EDIT)
    row = blend_for(request.user, slug, blend_id, may)
    property = row.property
    copy = CopyBlendForm(request.POST if act == "copy" else None)
    clipping = None
    if act == "clip":
        clipping = ClippingForm(
            [each.species for each in row.components.select_related("species")], request.POST
        )
    if act is not None:
        answer = _act_on_blend(request, row, act, copy, clipping)
        if answer is not None:
            return answer
    context = bench_context(property, draft_of(row), request.GET)
    if clipping is None:
        clipping = ClippingForm(
            [each.species for each in context["figures"].rows], today=timezone.localdate()
        )
    return render(
        request,
        "blends/blend.html",
        {
            "property": property,
            "blend": row,
            **context,
            "seasons": _plots_by_season(Q(blend=row)).get(row.pk, []),
            "next": getattr(row, "next", None),
            "previous": row.previous,
            "copy": copy,
            "clipping": clipping,
            "complaints": complaints(copy, clipping),
        },
    )


def _act_on_blend(request, row, act, copy, clipping):
    """Where to go after the act; None shows the page with what its form says."""
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
    if act == "version":
        return _make_version(request, row)
    if act == "copy" and copy.is_valid():
        try:
            made = copy_blend(blend=row, user=request.user, name=copy.cleaned_data["name"])
        except SwardbookError as error:
            show_refusal(copy, error)
        else:
            messages.success(request, f"{made} is a copy of {row}. Change what should differ.")
            return redirect("blend-edit", slug, made.pk)
    if act == "clip" and clipping.is_valid():
        try:
            kept = record_clipping(blend=row, user=request.user, **clipping.cleaned_data)
        except SwardbookError as error:
            show_refusal(clipping, error)
        else:
            dry = f"{kept.dry_lb_per_acre:,.0f}"
            messages.success(request, f"The clipping of {kept.species} is kept: {dry} lb/ac of dry matter.")
            return redirect("blend", slug, row.pk)
    if act == "unclip" and (asked := id_in(request.POST.get("clipping", ""))) is not None:
        taken = clipping_for(request.user, slug, row.pk, asked, RECORD)
        delete_clipping(clipping=taken)
        messages.success(request, f"The clipping of {taken.species} is taken away.")
        return redirect("blend", slug, row.pk)
    return None


def _make_version(request, row):
    slug = row.property.slug
    try:
        made = new_version(blend=row, user=request.user)
    except SwardbookError as error:
        messages.error(request, error.sentence)
        return redirect("blend", slug, row.pk)
    messages.success(
        request, f"{made} is the same as {row} so far. Change what should differ; {row} stays as it is."
    )
    return redirect("blend-edit", slug, made.pk)
