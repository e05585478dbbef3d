"""Seasons and what plots get in them."""

from django.http import Http404
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, status
from rest_framework.response import Response

from blends.access import season_for
from blends.api.serializers import (
    AssignmentSerializer,
    ChangedSerializer,
    CopySeasonSerializer,
    PlantedSerializer,
    PlantingSerializer,
    SeasonDetailSerializer,
    SeasonSerializer,
)
from blends.models import Planting
from blends.queries import season_rows, season_sums, seasons_for
from blends.queries.seasons import SeasonRow
from blends.services.seasons import assign, copy_assignments, open_season, record_planted
from plots.access import EDIT, RECORD, property_for


class SeasonList(generics.GenericAPIView):
    @extend_schema(responses=SeasonSerializer(many=True))
    def get(self, request, slug):
        """The property's seasons, the latest first."""
        page = self.paginate_queryset(seasons_for(property_for(request.user, slug)))
        return self.get_paginated_response(SeasonSerializer(page, many=True).data)

    @extend_schema(request=SeasonSerializer, responses=SeasonSerializer)
    def post(self, request, slug):
        """Open a season; one that is open already is the answer."""
        property = property_for(request.user, slug, EDIT)
        given = SeasonSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        return Response(SeasonSerializer(open_season(property=property, **given.validated_data)).data)


class SeasonDetail(generics.GenericAPIView):
    @extend_schema(responses=SeasonDetailSerializer)
    def get(self, request, slug, season):
        """A season with its plots and acres in sum."""
        season = season_for(request.user, slug, season)
        return Response(SeasonDetailSerializer({"season": season, "sums": season_sums(season)}).data)


class Plantings(generics.GenericAPIView):
    @extend_schema(
        responses=PlantingSerializer(many=True),
        parameters=[
            OpenApiParameter("search", str, description="Part of a plot's name."),
            OpenApiParameter("undecided", bool, description="Only plots of which nothing was decided."),
        ],
    )
    def get(self, request, slug, season):
        """What every plot gets in the season, by the plot's name."""
        season = season_for(request.user, slug, season)
        undecided = request.query_params.get("undecided") in ("true", "1")
        rows = season_rows(season, request.query_params.get("search", ""), undecided)
        return self.get_paginated_response(PlantingSerializer(self.paginate_queryset(rows), many=True).data)

    @extend_schema(request=AssignmentSerializer(many=True), responses=ChangedSerializer)
    def put(self, request, slug, season):
        """Say what plots get. Plots that are not in the list stay as they are."""
        season = season_for(request.user, slug, season, EDIT)
        given = AssignmentSerializer(data=request.data, many=True)
        given.is_valid(raise_exception=True)
        changed = assign(season=season, user=request.user, assignments=given.validated_data)
        return Response({"changed": changed})


class PlantedPlot(generics.GenericAPIView):
    @extend_schema(request=PlantedSerializer, responses=PlantingSerializer)
    def patch(self, request, slug, season, plot_id):
        """Say when a plot was planted, and how many acres."""
        season = season_for(request.user, slug, season, RECORD)
        given = PlantedSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        planting = Planting.objects.filter(season=season, plot=plot_id).first()
        if planting is None:
            raise Http404
        planting = record_planted(
            planting=planting,
            on=given.validated_data["planted_on"],
            acres=given.validated_data["planted_acres"],
        )
        return Response(PlantingSerializer(SeasonRow(planting.plot, planting)).data)


class CopySeason(generics.GenericAPIView):
    @extend_schema(request=CopySeasonSerializer, responses={status.HTTP_200_OK: ChangedSerializer})
    def post(self, request, slug, season):
        """Give undecided plots what they got in another season."""
        season = season_for(request.user, slug, season, EDIT)
        given = CopySeasonSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        other = season_for(request.user, slug, given.validated_data["from_season"])
        return Response({"changed": copy_assignments(season=season, from_season=other, user=request.user)})
