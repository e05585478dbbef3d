"""The property at a glance: its plots on a map and in a list, and what needs doing."""

from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.cache import get_conditional_response, patch_cache_control
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from blends.queries.overview import Outlines, latest_used, plot_row, plot_rows, seasons_of, sums_of
from config.pages import section
from config.templatetags.figures import acres_text
from plots.access import EDIT, plot_for, property_for
from plots.geojson import MEDIA_TYPE
from plots.models import BoundaryImport

PLOTS_A_PAGE = 100


@section("plots")
@require_safe
def overview(request, slug):
    property = property_for(request.user, slug)
    seasons = seasons_of(property)
    season = _season_asked_for(request, seasons)
    sums = sums_of(property, season)
    if request.htmx:
        return _measuring(request, property, sums)

    search, archived = request.GET.get("q", "").strip(), "archived" in request.GET
    rows = plot_rows(property, season, search=search, archived=archived)
    page = Paginator(rows, PLOTS_A_PAGE).get_page(request.GET.get("page"))
    waiting = []
    if EDIT in property.allowed:
        unanswered = [BoundaryImport.State.ASKING, BoundaryImport.State.PREVIEW]
        waiting = BoundaryImport.objects.filter(property=property, state__in=unanswered).defer("report")[:3]
    return render(
        request,
        "blends/overview.html",
        {
            "property": property,
            "seasons": seasons,
            "season": season,
            "outlines": outlines_address(property, season=season.slug if season else None),
            "sums": sums,
            "page": page,
            "rows": [plot_row(values) for values in page.object_list],
            "search": search,
            "archived": archived,
            "archived_count": property.plots.filter(is_archived=True).count(),
            "waiting": waiting,
        },
    )


def _measuring(request, property, sums):
    """The note that polls while boundaries are unmeasured; once all are, the page loads anew."""
    if sums.unmeasured:
        return render(request, "blends/_measuring.html", {"property": property, "sums": sums})
    response = HttpResponse()
    response["HX-Refresh"] = "true"
    return response


def _season_asked_for(request, seasons):
    """The season that `?season=2027-warm` names, or the latest in which anything is planned or planted."""
    asked = request.GET.get("season")
    if not asked:
        return latest_used(seasons)
    for season in seasons:
        if season.slug == asked:
            return season
    raise Http404


def outlines_address(property, **query):
    """Where the map finds its outlines; `season` (its slug) or `plot` (its id)."""
    return reverse("overview-outlines", args=[property.slug], query={k: v for k, v in query.items() if v})


@section("plots")
@require_safe
@gzip_page
def outlines(request, slug):
    """GeoJSON for the map: every plot seen from afar, or `?plot=` one with all its corners."""
    plot_id = request.GET.get("plot")
    if plot_id is None:
        plot, property = None, property_for(request.user, slug)
    elif plot_id.isdecimal():
        plot = plot_for(request.user, slug, int(plot_id))
        property = plot.property
    else:
        raise Http404
    season = _season_asked_for(request, seasons_of(property))
    found = Outlines(property, season, _on_the_map(slug, season), plot)
    response = get_conditional_response(request, etag=found.etag)
    if response is None:
        response = HttpResponse(found.geojson(), content_type=MEDIA_TYPE)
    response["ETag"] = found.etag
    patch_cache_control(response, private=True, no_cache=True)
    return response


def _on_the_map(slug, season):
    """A function that gives what plots/static/plots/map.js reads of a plot."""
    plots_address = reverse("plot", args=[slug, 0]).removesuffix("0/")  # reversing thousands is slow

    def properties_of(row):
        return {
            "id": row.id,
            "name": row.name,
            "acres": "being measured" if row.is_measuring else acres_text(row.acres),
            "look": row.use.look if season else "plain",
            "mark": row.use.mark or "",
            "blend": row.use.name if season else "",
            "stage": row.stage,
            "href": f"{plots_address}{row.id}/",
        }

    return properties_of
