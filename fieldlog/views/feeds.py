"""The calendar of work: its secret addresses, and what a calendar reads there."""

import hashlib

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response, patch_cache_control
from django.views.decorators.http import require_http_methods, require_safe

from config.errors import SwardbookError
from config.pages import section
from fieldlog.calendars import work_calendar
from fieldlog.services.feeds import end_feed, feed_by, feeds_of, make_feed
from plots.access import id_in, property_for

MEDIA_TYPE = "text/calendar; charset=utf-8"


@login_not_required
@require_safe
def feed(request, token):
    """Nobody signs in here: the address is the secret, and a wrong one is nothing."""
    text = work_calendar(feed_by(token), request.build_absolute_uri)
    etag = f'"{hashlib.sha256(text).hexdigest()[:32]}"'
    response = get_conditional_response(request, etag=etag)
    if response is None:
        response = HttpResponse(text, content_type=MEDIA_TYPE)
        response["Content-Disposition"] = 'inline; filename="work.ics"'
    response["ETag"] = etag
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex"
    patch_cache_control(response, private=True, no_cache=True)
    return response


@section("work")
@require_http_methods(["GET", "HEAD", "POST"])
def work_calendar_page(request, slug):
    property = property_for(request.user, slug)
    address = ""
    if request.method == "POST":
        known = id_in(request.POST.get("end", ""))
        if known is not None:
            end_feed(property=property, user=request.user, feed_id=known)
            messages.success(request, "That address is ended: a calendar that has it reads nothing any more.")
            return redirect("work-calendar", slug)
        try:
            only_mine = request.POST.get("only_mine") == "yes"
            _, secret = make_feed(property=property, user=request.user, only_mine=only_mine)
            address = request.build_absolute_uri(reverse("feed", args=[secret]))
        except SwardbookError as error:
            messages.error(request, error.sentence)
    response = render(
        request,
        "fieldlog/work_calendar.html",
        {"property": property, "feeds": feeds_of(property, request.user), "address": address},
    )
    patch_cache_control(response, no_store=True)
    return response
