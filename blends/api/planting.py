"""Planting sheets, the lots that plots take, and the run of a day. Nothing here shows a price."""

from django.http import Http404
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics
from rest_framework.response import Response

from blends.access import planting_for, season_for
from blends.api.planting_serializers import (
    FilledSerializer,
    LotBalanceSerializer,
    LotChoicesSerializer,
    PlotsNamedSerializer,
    RunSerializer,
    SheetSerializer,
)
from blends.api.serializers import ChangedSerializer
from blends.queries.sheets import sheets
from blends.queries.sheets.asked import asked_of, planting_plot_ids
from blends.queries.sheets.promised import balances
from blends.queries.sheets.runs import runs
from blends.services.lot_choices import choose_lots, clear_lots, fill_from_stock
from plots.access import EDIT

_ASKED = [
    OpenApiParameter("plot", int, many=True, description="Plots in the order of the run; all without it."),
    OpenApiParameter("machine", int, description="The drill or spreader; else the only one of its kind."),
    OpenApiParameter("level", float, description="How full the boxes are filled, 10 to 150 % of level full."),
]


class Sheets(generics.GenericAPIView):
    @extend_schema(responses=SheetSerializer(many=True), parameters=_ASKED)
    def get(self, request, slug, season):
        """The planting sheets: which seed of which lot, in which box, at which setting, in how many fills."""
        season = season_for(request.user, slug, season)
        asked = asked_of(season.property, request.query_params)
        page = self.paginate_queryset(planting_plot_ids(season, asked.plot_ids))
        found = sheets(season, page, asked.machine, asked.level_pct)
        return self.get_paginated_response(SheetSerializer(found, many=True).data)


class Runs(generics.GenericAPIView):
    @extend_schema(responses=RunSerializer(many=True), parameters=_ASKED)
    def get(self, request, slug, season):
        """Plots one after the other: fills over a run, and what stays in the box from plot to plot."""
        season = season_for(request.user, slug, season)
        asked = asked_of(season.property, request.query_params)
        page = self.paginate_queryset(planting_plot_ids(season, asked.plot_ids))
        found = runs(sheets(season, page, asked.machine, asked.level_pct))
        return self.get_paginated_response(RunSerializer(found, many=True).data)


class Balances(generics.GenericAPIView):
    @extend_schema(responses=LotBalanceSerializer(many=True))
    def get(self, request, slug, season):
        """What of each lot is on hand, and promised to plots that are still to be planted."""
        season = season_for(request.user, slug, season)
        page = self.paginate_queryset(balances(season))
        return self.get_paginated_response(LotBalanceSerializer(page, many=True).data)


class PlantingLots(generics.GenericAPIView):
    @extend_schema(responses=LotChoicesSerializer)
    def get(self, request, slug, season, plot_id):
        """The lots chosen for a plot."""
        return _choices(_sown(request, slug, season, plot_id))

    @extend_schema(request=LotChoicesSerializer, responses=LotChoicesSerializer)
    def put(self, request, slug, season, plot_id):
        """Choose a plot's lots; those chosen before give way."""
        planting = _sown(request, slug, season, plot_id, EDIT)
        given = LotChoicesSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        choose_lots(planting=planting, user=request.user, choices=given.validated_data["choices"])
        return _choices(planting)


class Fill(generics.GenericAPIView):
    @extend_schema(request=PlotsNamedSerializer, responses={200: FilledSerializer})
    def post(self, request, slug, season):
        """Give planned plots the lots that they lack, the oldest test first; what was chosen stays."""
        season = season_for(request.user, slug, season, EDIT)
        given = PlotsNamedSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        plot_ids = given.validated_data["plots"]
        filled = fill_from_stock(season=season, user=request.user, plot_ids=plot_ids)
        return Response(FilledSerializer(filled).data)


class Clear(generics.GenericAPIView):
    @extend_schema(request=PlotsNamedSerializer, responses={200: ChangedSerializer})
    def post(self, request, slug, season):
        """Take the chosen lots off planned plots."""
        season = season_for(request.user, slug, season, EDIT)
        given = PlotsNamedSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        plot_ids = given.validated_data["plots"]
        return Response({"changed": clear_lots(season=season, user=request.user, plot_ids=plot_ids)})


def _sown(request, slug, season, plot_id, *may):
    planting = planting_for(request.user, slug, season, plot_id, *may)
    if planting.blend is None:
        raise Http404
    return planting


def _choices(planting):
    rows = planting.chosen_lots.select_related("lot__species", "lot__blend")
    return Response(LotChoicesSerializer({"choices": rows}).data)
