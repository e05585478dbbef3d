"""The property at a glance: its plots on a map and in a list, and what needs doing."""

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import get_conditional_response, patch_cache_control
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from blends.queries.overview import Wanted, seasons_of, sums_of
from blends.queries.restrictions import restrictions_by_plot
from config.errors import Refused
from config.pages import section
from config.templatetags.figures import acres_text
from fieldlog.queries.measures import LABELS, PLANTED, measure_of
from fieldlog.queries.outlines import OneOutline, OutlinesInView, WholeOutlines
from fieldlog.queries.overview import overlap_sums, page_of_plots, waiting_imports, waiting_walks
from fieldlog.queries.work import waiting_counts
from fieldlog.wanted import OBJECTIVES, SORTS, asked_for, season_asked_for, zoom_asked
from plots.access import EDIT, id_in, plot_for, property_for
from plots.asked import bbox_asked
from plots.geojson import MANY, MEDIA_TYPE


@section("plots")
@require_safe
def overview(request, slug):
    property = property_for(request.user, slug)
    seasons = seasons_of(property)
    asked = asked_for(request, property, seasons)
    whole = sums_of(property, asked.season, Wanted())
    if request.htmx:
        return _measuring(request, property, whole)

    found = whole if asked.wanted.is_all else sums_of(property, asked.season, asked.wanted)
    measure = measure_of(asked.colour, property, asked.season, asked.wanted)
    # Where nothing is found the map is there all the same, for what is looked for next.
    extent = found.extent or whole.extent
    held = restrictions_by_plot(property)
    page = page_of_plots(property, asked, measure, found.plots, request.GET.get("page"), held)
    may_edit = EDIT in property.allowed
    return render(
        request,
        "fieldlog/overview.html",
        {
            "property": property,
            "seasons": seasons,
            "season": asked.season,
            "asked": asked,
            "uses": _uses(whole, asked),
            "objectives": OBJECTIVES,
            "colours": LABELS.items(),
            "outlines": f"{reverse('overview-outlines', args=[slug])}?{asked.query}",
            # A map of many draws what is in view; one of few asks for what is in view only from near.
            "views": "all" if whole.plots > MANY else "near",
            "extent": ",".join(f"{side:.6f}" for side in extent) if extent else "",
            "sums": whole,
            "found": found,
            "legend": measure.legend(found),
            "held": held,
            "page": page,
            "rows": page.object_list,
            "sorting": {sort: asked.sorted_by(sort) for sort in SORTS},
            "sorted_how": SORTS[asked.sort],
            "archived_count": property.plots.filter(is_archived=True).count(),
            "overlaps": overlap_sums(property),
            "waiting": waiting_imports(property) if may_edit else [],
            "walks_waiting": waiting_walks(property),
            "waits": waiting_counts(property),
        },
    )


def _measuring(request, property, sums):
    """The note that polls while boundaries are unmeasured; once all are, the page loads anew."""
    if sums.unmeasured:
        return render(request, "fieldlog/_measuring.html", {"property": property, "sums": sums})
    response = HttpResponse()
    response["HX-Refresh"] = "true"
    return response


def _uses(sums, asked):
    """[(value, words)] for the choice by blend: what plots get in the season, and the blend that is asked for."""
    blends = {str(group.use.blend_id): group.use.name for group in sums.groups if group.use.blend_id}
    if asked.blend and str(asked.blend.pk) not in blends:
        blends[str(asked.blend.pk)] = f"{asked.blend.name} (not in this season)"
    others = [(group.use.kind, group.use.name) for group in sums.groups if not group.use.blend_id]
    return [*blends.items(), *others] if asked.season else []


def outlines_address(property, **query):
    """Where the map finds its outlines; `season` (its slug) or `plot` (its id)."""
    return reverse("overview-outlines", args=[property.slug], query={k: v for k, v in query.items() if v})


@section("plots")
@require_safe
@gzip_page
def outlines(request, slug):
    """GeoJSON for the map.

    `?plot=` one plot with all its corners; otherwise the plots that the page's own query asks for, all of them seen
    from afar, or with `bbox=west,south,east,north` and `zoom=` those in view as they look there.
    """
    found = _found(request, slug)
    response = get_conditional_response(request, etag=found.etag)
    if response is None:
        response = HttpResponse(found.geojson(), content_type=MEDIA_TYPE)
    response["ETag"] = found.etag
    patch_cache_control(response, private=True, no_cache=True)
    return response


def _found(request, slug):
    plot_id = request.GET.get("plot")
    if plot_id is not None:
        known = id_in(plot_id)
        if known is None:
            raise Http404
        plot = plot_for(request.user, slug, known)
        season = season_asked_for(request, seasons_of(plot.property))
        return OneOutline(plot, season, _on_the_map(slug, season, _coloured(request, plot.property, season)))
    property = property_for(request.user, slug)
    asked = asked_for(request, property, seasons_of(property))
    measure = measure_of(asked.colour, property, asked.season, asked.wanted)
    facts_of = _on_the_map(slug, asked.season, measure)
    view = bbox_asked(request.GET)
    if view is None:
        return WholeOutlines(property, asked.season, asked.wanted, facts_of)
    zoom = zoom_asked(request.GET)
    return OutlinesInView(property, asked.season, asked.wanted, measure, facts_of, view, zoom)


def _coloured(request, property, season):
    """By what one plot's facts are told; a page of one plot asks for none."""
    colour = request.GET.get("colour") or PLANTED
    if colour not in LABELS:
        raise Refused(f"colour is {colour[:40]!r}; {', '.join(LABELS)} are accepted.")
    return measure_of(colour, property, season, Wanted())


def _on_the_map(slug, season, measure):
    """A function that gives what plots/static/plots/map.js reads of a plot."""
    plots_address = reverse("plot", args=[slug, 0]).removesuffix("0/")  # reversing thousands is slow

    def facts_of(row):
        return {
            "id": row.id,
            "name": row.name,
            "acres": "being measured" if row.is_measuring else acres_text(row.acres),
            "look": measure.look(row.id, row.area_m2, row.use),
            "mark": measure.mark(row.id, row.use),
            "blend": row.use.name if season else "",
            "stage": row.stage,
            "href": f"{plots_address}{row.id}/",
        } | measure.facts(row.id)

    return facts_of
