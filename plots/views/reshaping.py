"""The pages on which a plot is split, and on which plots are merged."""

import json

import shapely
from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from config.errors import Refused, SwardbookError
from config.pages import Complaint, section
from config.templatetags.figures import acres_text
from plots.access import EDIT, id_in, plot_for
from plots.beside import plots_beside
from plots.geojson import lines_from
from plots.models import Plot
from plots.services.boundaries import BoundaryChanged
from plots.services.merging import merge_plots
from plots.services.reshaping import WHY_ROOM, listed
from plots.services.splitting import split_off, split_plot, undo_split
from plots.uploads import is_too_deep

_MOST_LISTED = 12


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def plot_split(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id, EDIT)
    typed, refusal = _Typed(request.POST), None
    if request.method == "POST":
        try:
            if typed.act == "undo":
                archived = undo_split(plot=plot, user=request.user, replaces=typed.replaces)
                messages.success(request, f"{plot} has its ground again; {listed(archived)} archived.")
            else:
                _split(request, plot, typed)
            return redirect("plot", slug, plot.pk)
        except SwardbookError as error:
            refusal = error
            plot = plot_for(request.user, slug, plot_id, EDIT)
    new_plots, before = split_off(plot)
    return render(
        request,
        "plots/split.html",
        {
            **_facts(request, plot, typed, refusal),
            "new_plots": new_plots,
            "before": before,
            "given": {
                **_given(request, plot),
                "try": reverse("api-split", args=[slug, plot.pk]),
                "line": typed.line,
                "names": typed.names,
                "keeps": typed.keeps,
            },
        },
    )


def _split(request, plot, typed):
    if typed.line is None:
        sentence = "No line is drawn; draw one across the plot, from outside one edge to outside another."
        raise Refused(sentence, fields={"line": [sentence]})
    names = [None if number == typed.keeps else name for number, name in enumerate(typed.names)]
    plot, new_plots, said = split_plot(
        plot=plot,
        lines=lines_from(typed.line),
        names=names,
        user=request.user,
        replaces=typed.replaces,
        why=typed.why,
    )
    came = listed(f"{new} ({acres_text(new.mapped_acres)})" for new in new_plots)
    messages.success(
        request,
        f"{plot} is split: it keeps {acres_text(plot.mapped_acres)}, and {came} came off it. "
        "If that was not meant, its Split page can undo it.",
    )
    for sentence in said:
        messages.info(request, sentence)


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def plot_merge(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id, EDIT)
    typed, refusal = _Typed(request.POST), None
    if request.method == "POST":
        try:
            _merge(request, plot, typed)
            return redirect("plot", slug, plot.pk)
        except SwardbookError as error:
            refusal = error
            plot = plot_for(request.user, slug, plot_id, EDIT)
    return render(
        request,
        "plots/merge.html",
        {
            **_facts(request, plot, typed, refusal),
            "beside": plots_beside(plot, _MOST_LISTED, always=typed.others) if plot.boundary else [],
            "given": {**_given(request, plot), "try": reverse("api-merge", args=[slug, plot.pk])},
        },
    )


def _merge(request, plot, typed):
    found = (
        Plot.objects.filter(property=plot.property, pk__in=typed.others).select_related("boundary").in_bulk()
    )
    missing = [each for each in typed.others if each not in found]
    if missing:
        raise Refused(f"There is no plot {missing[0]} on {plot.property}.")
    plot, archived, said = merge_plots(
        plot=plot,
        others=[(found[each], typed.seen(each)) for each in typed.others],
        user=request.user,
        replaces=typed.replaces,
        closes_gaps=typed.closes_gaps,
        why=typed.why,
    )
    messages.success(
        request,
        f"{plot} has the ground of {listed(archived)} too: {acres_text(plot.mapped_acres)}. To take it apart again, "
        f"restore the boundary before in its record, and bring {listed(archived)} back.",
    )
    for sentence in said:
        messages.info(request, sentence)


class _Typed:
    """What a person has sent, as far as it can be read; services check it."""

    def __init__(self, sent):
        self.act = sent.get("act", "")
        self.why = " ".join(sent.get("why", "").replace("\x00", "").split())
        self.replaces = id_in(sent.get("replaces", ""))
        self.names = [name.replace("\x00", "") for name in sent.getlist("name")]
        self.keeps = id_in(sent.get("keeps", "")) or 0
        self.others = list(dict.fromkeys(filter(None, map(id_in, sent.getlist("others")))))
        self.closes_gaps = "closes_gaps" in sent
        self.line = _json(sent.get("line", ""))
        self._sent = sent

    def seen(self, plot_id):
        return id_in(self._sent.get(f"seen-{plot_id}", ""))


def _json(text):
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) and not is_too_deep(found) else None


def _facts(request, plot, typed, refusal):
    said = []
    if isinstance(refusal, BoundaryChanged):
        said = [
            Complaint(
                f"{refusal.sentence.split(' Yours is')[0]} This page shows it as it is now; look again, and repeat."
            )
        ]
    elif refusal is not None:
        said = [Complaint(refusal.sentence)]
    return {
        "plot": plot,
        "property": plot.property,
        "boundary": plot.boundary,
        "typed": typed,
        "complaints": said,
        "why_length": WHY_ROOM,
        "name_length": Plot._meta.get_field("name").max_length,
    }


def _given(request, plot):
    boundary = plot.boundary
    return {
        "person": request.user.pk,
        "plot": plot.pk,
        "name": plot.name,
        "boundary": boundary and boundary.pk,
        "geometry": boundary and json.loads(shapely.to_geojson(boundary.geometry)),
        "around": reverse("api-boundaries", args=[plot.property.slug]),
    }
