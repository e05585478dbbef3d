"""Planting day on a phone: the page that it keeps, and what it is told before it leaves the signal."""

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpResponse, JsonResponse
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from blends.access import season_for
from blends.queries.sheets.asked import asked_of
from config.errors import Refused
from config.pages import section
from fieldlog import offline
from fieldlog.queries.field_sheets import planting_known


@section("planting")
@require_safe
@login_not_required
def sheets_shell(request):
    """What a phone keeps: the page of the sheets, in which nothing is anybody's."""
    return HttpResponse(offline.SHEETS.text())


@section("planting")
@require_safe
@ensure_csrf_cookie
def field_sheets(request, slug, season):
    season_for(request.user, slug, season)
    return HttpResponse(offline.SHEETS.text())


@section("planting")
@require_safe
@gzip_page
def field_planting(request, slug, season):
    """The sheets of the season. `machine` and `level` are as on the page of the sheets."""
    found = season_for(request.user, slug, season)
    try:
        asked = asked_of(found.property, request.GET)
    except Refused as error:  # such as a machine that was put away
        raise Http404(error.sentence) from error
    answer = JsonResponse(planting_known(found, request.user, asked.machine, asked.level_pct))
    answer["Cache-Control"] = "private, no-store"
    return answer
