"""Splitting a plot and merging plots, tried before they are stored."""

import json

import shapely
from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.response import Response
from rest_framework.views import APIView

from config.errors import Refused
from plots.access import EDIT, plot_for
from plots.api.outlines import CONFLICT
from plots.api.reshaping_serializers import (
    MergedSerializer,
    MergePreviewSerializer,
    MergeSerializer,
    SplitDoneSerializer,
    SplitPreviewSerializer,
    SplitSerializer,
)
from plots.geojson import lines_from
from plots.models import Plot
from plots.services.boundaries import BoundaryChanged
from plots.services.merging import merge_plots, merge_preview
from plots.services.splitting import split_plot, split_preview


class PlotSplit(APIView):
    @extend_schema(
        request=SplitSerializer,
        responses={200: SplitPreviewSerializer, 201: SplitDoneSerializer, 409: CONFLICT},
    )
    def post(self, request, slug, plot_id):
        """Cut the plot along a line; with `dry`, tell the pieces and store nothing."""
        plot = plot_for(request.user, slug, plot_id, EDIT)
        asked = SplitSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        wanted = asked.validated_data
        lines = lines_from(wanted["line"])
        if wanted["dry"]:
            preview = split_preview(plot=plot, lines=lines, replaces=wanted["replaces"])
            for piece in preview["pieces"]:
                piece["geometry"] = _geojson(piece["geometry"])
            return Response(SplitPreviewSerializer(preview).data)
        plot, new_plots, said = split_plot(
            plot=plot,
            lines=lines,
            names=wanted["names"],
            user=request.user,
            replaces=wanted["replaces"],
            why=wanted["why"],
        )
        done = SplitDoneSerializer({"plot": plot, "new_plots": new_plots, "said": said})
        return Response(done.data, status=status.HTTP_201_CREATED)


class PlotMerge(APIView):
    @extend_schema(
        request=MergeSerializer,
        responses={200: MergePreviewSerializer, 201: MergedSerializer, 409: CONFLICT},
    )
    def post(self, request, slug, plot_id):
        """Give the plot the ground of others, which are archived; with `dry`, tell what it would be and store nothing."""
        plot = plot_for(request.user, slug, plot_id, EDIT)
        asked = MergeSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        wanted = asked.validated_data
        others = _others(plot, wanted["others"])
        if wanted["dry"]:
            _refuse_changed([(plot, wanted["replaces"]), *others])
            preview = merge_preview(
                plot=plot, others=[other for other, _ in others], closes_gaps=wanted["closes_gaps"]
            )
            preview["geometry"] = _geojson(preview["geometry"])
            return Response(MergePreviewSerializer(preview).data)
        plot, archived, said = merge_plots(
            plot=plot,
            others=others,
            user=request.user,
            replaces=wanted["replaces"],
            closes_gaps=wanted["closes_gaps"],
            why=wanted["why"],
        )
        done = MergedSerializer({"plot": plot, "archived": archived, "said": said})
        return Response(done.data, status=status.HTTP_201_CREATED)


def _others(plot, named):
    """[(plot, id of the boundary that was seen)], each of the same property."""
    ids = [each["plot_id"] for each in named]
    found = Plot.objects.filter(property=plot.property, pk__in=ids).select_related("boundary").in_bulk()
    missing = [each for each in ids if each not in found]
    if missing:
        sentence = f"There is no plot {missing[0]} on {plot.property}."
        raise Refused(sentence, fields={"others": [sentence]})
    return [(found[each["plot_id"]], each["replaces"]) for each in named]


def _refuse_changed(plots_seen):
    for plot, boundary_id in plots_seen:
        if plot.boundary_id != boundary_id:
            raise BoundaryChanged(plot, plot.boundary)


def _geojson(geometry):
    return json.loads(shapely.to_geojson(geometry))
