"""Planting records. A phone makes the id before it sends, so that sending again does no harm."""

import uuid

from django.http import Http404
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, status
from rest_framework.response import Response

from blends.access import planting_for, record_for, season_for
from blends.api.fieldwork_serializers import (
    PlantingRecordCorrectionSerializer,
    PlantingRecordGivenSerializer,
    PlantingRecordSerializer,
    StrikeSerializer,
)
from blends.models import PlantingRecord
from blends.queries.fieldwork import records_for, with_seeds
from blends.services.planting_records import correct_planting, given_of, record_planting, strike_planting
from plots.access import COSTS, RECORD, check_may_correct, property_for
from plots.asked import plot_ids_asked
from plots.services.recorders import check_recorder

LIST_PARAMETERS = [
    OpenApiParameter("season", str, description="Only of this season, like 2027-warm."),
    OpenApiParameter("plot", int, many=True, description="Only of these plots, by id."),
    OpenApiParameter("every", bool, description="Those too that were corrected or struck."),
]


def asked_of(request, slug):
    """`season`, `plot_ids` and `every` that the address asks for."""
    asked = request.query_params
    season = season_for(request.user, slug, asked["season"]) if "season" in asked else None
    return {
        "season": season,
        "plot_ids": plot_ids_asked(asked),
        "every": asked.get("every") in ("true", "1"),
    }


def check_is_of(model, property, row_id):
    """Http404 where the id names a row of another property; one that names none may be recorded."""
    if model.objects.filter(pk=row_id).exclude(planting__plot__property=property).exists():
        raise Http404


class PlantingRecords(generics.GenericAPIView):
    @extend_schema(responses=PlantingRecordSerializer(many=True), parameters=LIST_PARAMETERS)
    def get(self, request, slug):
        """Planting records that hold, the latest first."""
        property = property_for(request.user, slug)
        rows = records_for(property, COSTS in property.allowed, **asked_of(request, slug))
        return self.get_paginated_response(
            PlantingRecordSerializer(self.paginate_queryset(rows), many=True).data
        )


class PlantingRecordDetail(generics.GenericAPIView):
    @extend_schema(responses=PlantingRecordSerializer)
    def get(self, request, slug, record_id):
        """One of them, corrected and struck ones too."""
        return Response(_told(record_for(request.user, slug, record_id)))

    @extend_schema(
        request=PlantingRecordGivenSerializer,
        responses={200: PlantingRecordSerializer, 201: PlantingRecordSerializer},
    )
    def put(self, request, slug, record_id):
        """Record a planting under an id of your own: 201 when it is new, 200 when it is here already, 409 when the id
        says something else, or when a lot has less than was used and `is_counted` is not said."""
        check_is_of(PlantingRecord, property_for(request.user, slug, RECORD), record_id)
        given = PlantingRecordGivenSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        said = dict(given.validated_data)
        check_recorder(request.user, said.pop("recorded_by"), "recorded this planting")
        planting = planting_for(request.user, slug, said.pop("season"), said.pop("plot_id"), RECORD)
        record, is_new = record_planting(
            id=record_id, planting=planting, user=request.user, seeds=said.pop("seeds", []), said=said
        )
        code = status.HTTP_201_CREATED if is_new else status.HTTP_200_OK
        return Response(_told(record_for(request.user, slug, record.pk)), status=code)

    @extend_schema(request=PlantingRecordCorrectionSerializer, responses=PlantingRecordSerializer)
    def patch(self, request, slug, record_id):
        """Correct it: your own, or any where you may edit. The answer is the record that takes its place; the old one
        stays. 409 when somebody has corrected it since."""
        record = record_for(request.user, slug, record_id, RECORD)
        check_may_correct(request.user, record.planting.plot.property, record)
        given = PlantingRecordCorrectionSerializer(record, data=request.data, partial=True)
        given.is_valid(raise_exception=True)
        changed = dict(given.validated_data)
        said, seeds = given_of(record)
        new = correct_planting(
            record=record,
            id=changed.pop("id", None) or uuid.uuid4(),
            user=request.user,
            seeds=changed.pop("seeds", seeds),
            said=said | changed,
        )
        return Response(_told(record_for(request.user, slug, new.pk)))


class PlantingRecordStrike(generics.GenericAPIView):
    @extend_schema(request=StrikeSerializer, responses=PlantingRecordSerializer)
    def post(self, request, slug, record_id):
        """Say that it was entered by mistake. It stays, and its seed goes back to its lots."""
        record = record_for(request.user, slug, record_id, RECORD)
        check_may_correct(request.user, record.planting.plot.property, record)
        given = StrikeSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        strike_planting(record=record, user=request.user, reason=given.validated_data["reason"])
        return Response(_told(record_for(request.user, slug, record_id)))


def _told(record):
    [record] = with_seeds([record], COSTS in record.planting.plot.property.allowed)
    return PlantingRecordSerializer(record).data
