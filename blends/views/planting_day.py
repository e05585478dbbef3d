"""Planting day: what is still to be planted, which lots it takes, and the run of the day."""

from urllib.parse import urlencode

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from blends.access import planting_for, season_for
from blends.forms.lot_choices import ItemLots
from blends.models import Planting
from blends.queries.fieldwork import follow_ups
from blends.queries.overview import latest_used, seasons_of
from blends.queries.seasons import season_sums
from blends.queries.sheets import sheets
from blends.queries.sheets.asked import planting_plot_ids
from blends.queries.sheets.promised import balances, promised_by_choices
from blends.queries.sheets.taking import lots_for
from blends.services.lot_choices import choose_lots, clear_lots, fill_from_stock
from config.errors import SwardbookError
from config.pages import Complaint, section
from plots.access import EDIT, VIEW, id_in, property_for

PLOTS_A_PAGE = 100
FOLLOW_UPS = 12


@section("planting")
@require_safe
def planting_latest(request, slug):
    """To the latest season in which anything is planned."""
    property = property_for(request.user, slug)
    season = latest_used(seasons_of(property))
    if season is not None:
        return redirect("planting-day", slug, season.slug)
    return render(request, "blends/planting_empty.html", {"property": property})


@section("planting")
@require_http_methods(["GET", "HEAD", "POST"])
def planting_day(request, slug, season):
    """Plots of the season; posted, `act` is run (show the ticked as a run), fill or clear (ticked, or all planned)."""
    act = request.POST.get("act", "")
    season = season_for(request.user, slug, season, EDIT if act in ("fill", "clear") else VIEW)
    ticked = [pk for pk in map(id_in, request.POST.getlist("plot")) if pk is not None]
    if act in ("fill", "clear"):
        _fill(request, season, act, ticked or None)
        return redirect(request.get_full_path())
    if request.method == "POST" and ticked:
        address = reverse("sheets", args=[slug, season.slug])
        return redirect(f"{address}?{urlencode({'plot': ticked}, doseq=True)}")
    complaints = []
    if request.method == "POST":
        complaints.append(Complaint("No plot is ticked; tick the plots of the run."))
    return render(request, "blends/planting_day.html", _day(request, season) | {"complaints": complaints})


def _fill(request, season, act, plot_ids):
    if act == "clear":
        count = clear_lots(season=season, user=request.user, plot_ids=plot_ids)
        said = (
            f"The lots are taken off {count} plot{'s'[: count != 1]}."
            if count
            else "No planned plot had a lot."
        )
        messages.success(request, said)
        return
    filled = fill_from_stock(season=season, user=request.user, plot_ids=plot_ids)
    count = filled.plots
    said = f"{count} plot{'s'[: count != 1]} got lots from stock." if count else "No plot got a lot."
    messages.success(request, said)
    if filled.sentences:
        messages.warning(request, " ".join(filled.sentences[:12]))


def _day(request, season):
    search, shows_all = request.GET.get("q", "").strip(), request.GET.get("show") == "all"
    ids = planting_plot_ids(season, search=search, only_planned=not shows_all)
    page = Paginator(ids, PLOTS_A_PAGE).get_page(request.GET.get("page"))
    property = season.property
    return {
        "property": property,
        "season": season,
        "seasons": seasons_of(property),
        "sums": season_sums(season),
        "planned_count": season.plantings.filter(
            state=Planting.State.PLANNED, blend__isnull=False, plot__is_archived=False
        ).count(),
        "page": page,
        "sheets": sheets(season, list(page)),
        "balances": balances(season),
        "follow_ups": list(follow_ups(property)[:FOLLOW_UPS]),
        "today": timezone.localdate(),
        "search": search,
        "shows_all": shows_all,
        "may_edit": EDIT in property.allowed,
    }


@section("planting")
@require_http_methods(["GET", "HEAD", "POST"])
def sheet_lots(request, slug, season, plot_id):
    """Choose the lots of one plot."""
    planting = planting_for(request.user, slug, season, plot_id, EDIT if request.method == "POST" else VIEW)
    if planting.blend is None:
        raise Http404
    complaints, data = [], request.POST if request.method == "POST" else None
    items = _items(planting, data)
    if data is not None:
        complaints = [each for item in items for each in item.complaints]
        if not complaints:
            choices = [choice for item in items for choice in item.choices]
            try:
                choose_lots(planting=planting, user=request.user, choices=choices)
            except SwardbookError as error:
                complaints = _refused(error, items, choices)
            else:
                messages.success(request, f"The lots of {planting.plot} are chosen.")
                return redirect("sheet", slug, planting.season.slug, planting.plot_id)
    return render(
        request,
        "blends/sheet_lots.html",
        {
            "property": planting.season.property,
            "season": planting.season,
            "planting": planting,
            "items": items,
            "complaints": complaints,
            "may_edit": EDIT in planting.season.property.allowed and planting.state == Planting.State.PLANNED,
        },
    )


def _items(planting, data):
    [sheet] = sheets(planting.season, [planting.plot_id])
    promised = promised_by_choices(planting.season.property, but_planting=planting)
    chosen = dict(planting.chosen_lots.values_list("lot_id", "lb"))
    found = []
    for key, lots in lots_for(planting).items():
        seeds = [seed for seed in sheet.seeds if _key(seed) == key]
        if seeds:
            found.append(ItemLots(seeds, lots, chosen, promised, sheet.acres, data))
    return found


def _key(seed):
    return (seed.species.pk, None) if seed.species is not None else (None, seed.blend.pk)


def _refused(error, items, choices):
    """The sentences of the service, each at its lot's field."""
    found = []
    for name, sentences in error.fields.items():
        position, _, field = name.partition(".")
        choice = choices[int(position)] if position.isdecimal() and int(position) < len(choices) else None
        row = choice and next(row for item in items for row in item.rows if row.lot.pk == choice["lot_id"])
        for sentence in sentences:
            if row is not None:
                row.error = sentence
            target = f"id_{'lb' if field == 'lb' else 'take'}_{row.lot.pk}" if row else ""
            found.append(Complaint(sentence, str(row.lot) if row else "", target))
    return found or [Complaint(error.sentence)]
