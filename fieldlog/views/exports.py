"""Taking boundaries along: the page on which plots and a format are chosen, and the file."""

from dataclasses import replace
from urllib.parse import parse_qsl

from django.http import Http404
from django.shortcuts import render
from django.views.decorators.http import require_safe

from blends.queries.overview import Wanted, plot_row, plot_rows, seasons_of
from config.errors import Refused
from config.pages import Complaint, section
from fieldlog.queries.measures import PLANTED
from fieldlog.wanted import NAME, Asked, asked_for
from plots.access import property_for
from plots.asked import plot_ids_asked
from plots.exports import file_answer, selection_of
from plots.formats.write import KINDS

MOST_TICKED = 500  # more would make an address that is longer than servers take
_ALL = Wanted()


@section("plots")
@require_safe
def export_page(request, slug):
    """The plots that the plots page would show for the same query; `?plot=1` ticks that one alone, `?tick=none` none."""
    property = property_for(request.user, slug)
    try:
        asked = _asked(request, property)
    except Refused as error:
        return _page(request, property, Asked(wanted=_ALL), error=error)
    ticked = () if request.GET.get("tick") == "none" else request.GET.getlist("plot") or None
    return _page(request, property, asked, ticked)


@section("plots")
@require_safe
def export_file(request, slug, form):
    """`?plot=1&plot=2` names plots, with `of=ticked` none is none; otherwise all are meant that the query finds."""
    property = property_for(request.user, slug)
    if form not in KINDS:
        raise Http404
    asked = Asked(wanted=_ALL)
    try:
        asked = _asked(request, property)
        plot_ids = plot_ids_asked(request.GET)
        if plot_ids is None and request.GET.get("of") == "ticked":
            plot_ids = []
        elif plot_ids is None and asked.wanted.is_found_by:
            plot_ids = [plot.id for plot in _found(property, asked)]
        selection = selection_of(property, plot_ids, asked.wanted.archived)
    except Refused as error:
        return _page(request, property, asked, ticked=request.GET.getlist("plot"), error=error)
    return file_answer(selection, KINDS[form])


def _asked(request, property):
    """What is looked at; how it is coloured and sorted says nothing of a file."""
    asked = asked_for(request, property, seasons_of(property))
    return replace(asked, colour=PLANTED, sort=NAME)


def _found(property, asked):
    """The plots asked for that have a boundary."""
    rows = plot_rows(property, asked.season, asked.wanted).filter(boundary__isnull=False)
    return [plot_row(values) for values in rows]


def _page(request, property, asked, ticked=None, error=None):
    """The page with some plots ticked, by the ids as text; None ticks all."""
    plots = _found(property, asked)
    rows = [(plot, ticked is None or str(plot.id) in ticked) for plot in plots]
    facts = {
        "property": property,
        "rows": rows,
        "asked": asked,
        "hidden": parse_qsl(asked.query),
        "is_by_tick": len(rows) <= MOST_TICKED,
        "is_none_ticked": not any(is_ticked for _, is_ticked in rows),
        "kinds": KINDS.values(),
        "complaints": [Complaint(error.sentence)] if error else [],
    }
    return render(request, "fieldlog/export.html", facts, status=error.http_status if error else 200)
