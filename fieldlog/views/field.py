"""The field log on a phone: the page that it keeps, and what it is told before it leaves the signal."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from config.pages import section
from fieldlog import offline
from fieldlog.queries.field import field_known
from plots.access import property_for


@section("plots")
@require_safe
@login_not_required
@gzip_page
def field_shell(request):
    """What a phone keeps: the page of the field log, in which nothing is anybody's."""
    return HttpResponse(offline.FIELD.text())


@section("plots")
@require_safe
@ensure_csrf_cookie
@gzip_page
def field(request, slug):
    property_for(request.user, slug)
    return HttpResponse(offline.FIELD.text())


@section("plots")
@require_safe
@gzip_page
def field_facts(request, slug):
    """Plots, what grows on them, what is to be read and done there, and the last visits."""
    property = property_for(request.user, slug)
    answer = HttpResponse(field_known(property, request.user), content_type="application/json")
    answer["Cache-Control"] = "private, no-store"
    return answer
