"""Ground that plots share: where it is, and slivers of it mended."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.text import get_text_list
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_http_methods, require_safe

from config.errors import Refused, SwardbookError
from config.pages import section
from plots.access import EDIT, VIEW, id_in, property_for
from plots.calc.units import ft_to_m, m2_to_acres, m_to_ft
from plots.geojson import MEDIA_TYPE
from plots.models import Boundary
from plots.queries import standing_overlaps
from plots.record import overlaps_geojson
from plots.services.mending import (
    MOST_NARROW_FT,
    NARROW_FT,
    keeper_of,
    mend_slivers,
    slivers_of,
    undo_mending,
)
from plots.templatetags.ground import ground_text

OVERLAPS_A_PAGE = 50
_MOST_SAID = 5  # sentences of one kind after a press


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def overlaps(request, slug):
    """`?width=` is how wide a sliver may be, in feet; `?mended=` names the boundaries of a trim that can be undone."""
    property = property_for(request.user, slug, EDIT if request.method == "POST" else VIEW)
    typed = request.POST.get("width") or request.GET.get("width") or f"{NARROW_FT:g}"
    narrow_ft, width_error = _width(property, typed)
    if request.method == "POST" and not width_error:
        return _act(request, property, narrow_ft)

    found = standing_overlaps(property)
    page = Paginator(found, OVERLAPS_A_PAGE).get_page(request.GET.get("page"))
    for number, overlap in enumerate(page.object_list, start=page.start_index()):
        overlap.number = number
        overlap.pair = [overlap.first.plot, overlap.second.plot]
        overlap.keeper = keeper_of(overlap)
        overlap.widest_ft = m_to_ft(overlap.width_m)
        overlap.is_sliver = overlap.width_m <= ft_to_m(narrow_ft)
    areas_m2 = list(found.values_list("area_m2", "width_m"))
    return render(
        request,
        "plots/overlaps.html",
        {
            "property": property,
            "page": page,
            "count": len(areas_m2),
            "acres": m2_to_acres(sum(area_m2 for area_m2, _ in areas_m2)),
            "sliver_count": sum(width_m <= ft_to_m(narrow_ft) for _, width_m in areas_m2),
            "narrow_ft": narrow_ft,
            "width_typed": typed,
            "width_error": width_error,
            "most_narrow_ft": MOST_NARROW_FT,
            "mended": _undoable(request, property),
            "outlines": f"{reverse('overlaps-map', args=[slug])}?page={page.number}",
            "query": f"&width={narrow_ft:g}",
        },
        status=400 if request.method == "POST" else 200,
    )


@section("plots")
@require_safe
@gzip_page
def overlaps_map(request, slug):
    """GeoJSON for the map: the shared ground of one page of the list, numbered as there, and its plots."""
    property = property_for(request.user, slug)
    page = Paginator(standing_overlaps(property), OVERLAPS_A_PAGE).get_page(request.GET.get("page"))
    text = overlaps_geojson(property, page.object_list, first_mark=page.start_index())
    return HttpResponse(text, content_type=MEDIA_TYPE)


def _width(property, typed):
    """The width in feet, and the sentence about one that cannot be used; then the default stands."""
    try:
        narrow_ft = float(typed.replace(",", "."))
    except ValueError:
        return NARROW_FT, (
            f"The width is “{typed[:40]}”; a number of feet above 0, at most {MOST_NARROW_FT:g}, is accepted."
        )
    try:
        slivers_of(property, narrow_ft)
    except Refused as error:
        return NARROW_FT, error.sentence
    return narrow_ft, ""


def _act(request, property, narrow_ft):
    act, query = request.POST.get("act"), {"width": f"{narrow_ft:g}"}
    try:
        if act == "undo":
            plots = undo_mending(property=property, user=request.user, boundary_ids=_ids(request, "mended"))
            names = get_text_list([plot.name for plot in plots], "and")
            messages.success(request, f"{names}: the boundary from before the trim holds again.")
        else:
            keepers = None
            if act == "one":
                keepers = dict.fromkeys(_ids(request, "overlap"), (_ids(request, "keeps") or [0])[0])
            outcome = mend_slivers(property=property, user=request.user, narrow_ft=narrow_ft, keepers=keepers)
            query |= _say(request, outcome)
    except SwardbookError as error:
        messages.error(request, error.sentence)
    return redirect(reverse("overlaps", args=[property.slug], query=query))


def _say(request, outcome):
    """Tell what was trimmed and what was left; gives the query that offers to undo it."""
    done = [
        f"{each.plot} was trimmed to {get_text_list([plot.name for plot in each.kept_by], 'and')} and gave up "
        f"{ground_text(each.acres_given_up)}."
        for each in outcome.mended
    ]
    for tell, sentences in ((messages.success, done), (messages.warning, outcome.left)):
        for sentence in sentences[:_MOST_SAID]:
            tell(request, sentence)
        if len(sentences) > _MOST_SAID:
            tell(request, f"And {len(sentences) - _MOST_SAID} more.")
    if not done and not outcome.left:
        messages.info(request, "There was no sliver to mend.")
    return {"mended": [each.boundary.pk for each in outcome.mended]} if done else {}


def _undoable(request, property):
    """The trimmed boundaries that the address names, as long as all of them hold."""
    ids = [each for each in map(id_in, request.GET.getlist("mended")) if each is not None]
    rows = Boundary.objects.filter(
        pk__in=ids[:500], current_of__property=property, how=Boundary.How.RESHAPED, restored_from=None
    )
    found = list(rows.select_related("plot").defer("geometry").order_by("plot__name")) if ids else []
    return found if len(found) == len(set(ids)) else []


def _ids(request, name):
    return [id_in(text) or 0 for text in request.POST.getlist(name)]
