"""What a season's plots got: target against delivered, what labels forbid, and what is to follow."""

from django.core.paginator import Paginator
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from blends.access import season_for
from blends.models import Planting
from blends.pictures.sown import sown_picture
from blends.queries.delivered import delivered
from blends.queries.fieldwork import follow_ups, terminations_for
from blends.queries.restrictions import restrictions
from config.pages import section
from plots.access import COSTS, RECORD

PLOTS_A_PAGE = 50


@section("planting")
@require_safe
def sown(request, slug, season):
    season = season_for(request.user, slug, season)
    property = season.property
    shows_costs = COSTS in property.allowed
    planted = season.plantings.filter(blend__isnull=False).exclude(state=Planting.State.PLANNED)
    names = planted.order_by("plot__name", "plot").values_list("plot_id", flat=True)
    page = Paginator(names, PLOTS_A_PAGE).get_page(request.GET.get("page"))
    plot_ids = list(page.object_list)
    rows = delivered(season, shows_costs, plot_ids)
    ended = {}
    for each in terminations_for(property, season, plot_ids):
        ended.setdefault(each.planting.plot_id, []).append(each)
    for row in rows:
        row.planting.ended = ended.get(row.planting.plot_id, [])
    waiting = season.plantings.filter(
        blend__isnull=False, state=Planting.State.PLANNED, plot__is_archived=False
    ).select_related("plot", "blend")
    return render(
        request,
        "blends/sown.html",
        {
            "property": property,
            "season": season,
            "page": page,
            "rows": rows,
            "picture": sown_picture("sown", rows),
            "shows_costs": shows_costs,
            "may_record": RECORD in property.allowed,
            "follow_ups": list(follow_ups(property, season)),
            "today": timezone.localdate(),
            "restrictions": restrictions(property, plot_ids),
            "waiting": list(waiting.order_by("plot__name")[:PLOTS_A_PAGE])
            if RECORD in property.allowed
            else [],
        },
    )
