"""Walking an edge with a phone, and what becomes of it at the desk."""

from datetime import timedelta

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.core.paginator import Paginator
from django.db.models import Case, Value, When
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.timesince import timesince
from django.views.decorators.csrf import ensure_csrf_cookie
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_http_methods, require_safe

from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from fieldlog import offline
from fieldlog.forms.walks import NEW, AcceptForm, LookForm
from fieldlog.queries.walks import ground_known, looked_at, walk_on_the_map
from plots.access import EDIT, RECORD, VIEW, id_in, property_for, walk_for
from plots.calc.units import M2_PER_ACRE
from plots.formats.write.walk_gpx import write_walk
from plots.geojson import MEDIA_TYPE
from plots.models import Plot, Walk
from plots.services.walks import accept_walk, set_walk_aside
from plots.walking import figures_of, walks_for

WALKS_A_PAGE = 50
_WAITING_FIRST = Case(When(state=Walk.State.WAITING, then=Value(0)), default=Value(1))
_TELLING_SKEW = timedelta(minutes=2)


@require_safe
@login_not_required
def service_worker(request):
    """At the root, so that it may stand before every page."""
    answer = HttpResponse(offline.worker(), content_type="text/javascript; charset=utf-8")
    answer["Cache-Control"] = "no-cache"
    return answer


@section("plots")
@require_safe
@login_not_required
def walk_shell(request):
    """What a phone keeps: the page of a walk, in which nothing is anybody's."""
    return HttpResponse(offline.WALK.text())


@section("plots")
@require_safe
@ensure_csrf_cookie
def walk(request, slug):
    property_for(request.user, slug, RECORD)
    return HttpResponse(offline.WALK.text())


@section("plots")
@require_safe
@gzip_page
def walk_ground(request, slug):
    """What a phone has to know of the property before it leaves the signal."""
    property = property_for(request.user, slug, RECORD)
    answer = HttpResponse(ground_known(property, request.user), content_type="application/json")
    answer["Cache-Control"] = "private, no-store"
    return answer


@section("plots")
@require_safe
def walks(request, slug):
    """Walks that wait, then the others. `?aside=1` shows those set aside."""
    property = property_for(request.user, slug)
    is_aside = request.GET.get("aside") == "1"
    found = walks_for(property)
    aside = found.filter(state=Walk.State.SET_ASIDE)
    page = Paginator(
        aside
        if is_aside
        else found.exclude(state=Walk.State.SET_ASIDE).order_by(_WAITING_FIRST, "-started_at"),
        WALKS_A_PAGE,
    ).get_page(request.GET.get("page"))
    facts = {"property": property, "page": page, "is_aside": is_aside, "aside_count": aside.count()}
    return render(request, "fieldlog/walks.html", facts)


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def walk_review(request, slug, walk_id):
    walk = walk_for(request.user, slug, walk_id, EDIT if request.method == "POST" else VIEW)
    act = request.POST.get("act")
    if act in ("aside", "up"):
        set_walk_aside(walk=walk, is_set_aside=act == "aside")
        said = "It is set aside, and kept." if act == "aside" else "It waits again to be looked at."
        messages.success(request, said)
        return redirect("walks", slug) if act == "aside" else redirect("walk-review", slug, walk.pk)

    look, looked = _looked(request.POST or request.GET, walk)
    initial = {"new_name": walk.new_name, "why": walk.note}
    form = AcceptForm(request.POST if act == "accept" else None, initial=initial)
    is_questioned = bool(looked.doubts)
    if act == "accept" and form.is_valid():
        try:
            boundary = _accepted(request, walk, looked, form.cleaned_data)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, f"{boundary.plot} has the boundary that was walked.")
            return redirect("plot", slug, boundary.plot_id)
    walked = looked.walked
    return render(
        request,
        "fieldlog/walk_review.html",
        {
            "property": walk.property,
            "walk": walk,
            "look": look,
            "looked": looked,
            "figures": walked and figures_of(walked),
            "now": looked.plot and looked.plot.boundary,
            "m2_per_acre": M2_PER_ACRE,
            "form": form,
            "complaints": complaints(form),
            "is_questioned": is_questioned,
            "track": f"{reverse('walk-track', args=[slug, walk.pk])}?{_query(looked)}",
            "skew": _skew_of(walk),
        },
    )


@section("plots")
@require_safe
@gzip_page
def walk_track(request, slug, walk_id):
    """GeoJSON for the map of a walk, by the limits of the address."""
    walk = walk_for(request.user, slug, walk_id)
    _, looked = _looked(request.GET, walk)
    answer = HttpResponse(walk_on_the_map(walk, looked), content_type=MEDIA_TYPE)
    answer["Cache-Control"] = "private, no-store"
    return answer


@section("plots")
@require_safe
def walk_gpx(request, slug, walk_id):
    """Every point as it came."""
    walk = walk_for(request.user, slug, walk_id)
    name = f"{walk.plot or walk.new_name or 'New plot'}, walked {walk.started_at:%Y-%m-%d}"
    return HttpResponse(
        write_walk(name, walk.started_at, walk.fixes),
        content_type="application/gpx+xml",
        headers={
            "Content-Disposition": f'attachment; filename="walk-{walk.started_at:%Y-%m-%d}-{str(walk.pk)[:8]}.gpx"',
            "X-Content-Type-Options": "nosniff",
            "Cache-Control": "private, no-store",
        },
    )


def _looked(asked, walk):
    """The form of what is looked at, and what comes of it."""
    look = LookForm(asked, walk=walk)
    plot_id, worst_accuracy_m, tolerance_m = look.wanted
    if plot_id is None:
        plot = None
    elif plot_id == walk.plot_id:
        plot = walk.plot
    else:
        plot = Plot.objects.select_related("boundary").get(pk=plot_id)  # one of the form's choices
    return look, looked_at(walk, plot, worst_accuracy_m, tolerance_m)


def _query(looked):
    plot = looked.plot.pk if looked.plot else NEW
    return urlencode({"plot": plot, "worst": looked.worst_accuracy_m, "tolerance": looked.tolerance_m})


def _accepted(request, walk, looked, typed):
    seen = request.POST.get("replaces", "")
    return accept_walk(
        walk=walk,
        user=request.user,
        plot=looked.plot,
        worst_accuracy_m=looked.worst_accuracy_m,
        tolerance_m=looked.tolerance_m,
        replaces=id_in(seen),
        **typed,
    )


def _skew_of(walk):
    """How far the phone's clock was off, in words; empty where nobody would notice."""
    ahead = walk.sent_at - walk.received_at
    if abs(ahead) < _TELLING_SKEW:
        return ""
    return f"The phone's clock was {timesince(walk.received_at - abs(ahead), walk.received_at)} {'ahead' if ahead > timedelta(0) else 'behind'} when it was sent; times are the phone's."
