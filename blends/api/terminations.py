"""Terminations, what their labels forbid, and target against delivered."""

import uuid

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, status
from rest_framework.response import Response

from blends.access import planting_for, season_for, termination_for
from blends.api.fieldwork import LIST_PARAMETERS, asked_of, check_is_of
from blends.api.fieldwork_serializers import (
    FollowUpSerializer,
    PlotDeliveredSerializer,
    RestrictionSerializer,
    StrikeSerializer,
    TerminationCorrectionSerializer,
    TerminationGivenSerializer,
    TerminationSerializer,
)
from blends.models import Termination
from blends.queries.delivered import delivered
from blends.queries.fieldwork import terminations_for
from blends.queries.restrictions import restrictions
from blends.services.terminations import (
    correct_termination,
    finish_follow_up,
    given_of,
    record_termination,
    strike_termination,
)
from plots.access import COSTS, RECORD, check_may_correct, property_for
from plots.asked import plot_ids_asked

PLOTS = OpenApiParameter("plot", int, many=True, description="Only of these plots, by id.")


class Terminations(generics.GenericAPIView):
    @extend_schema(responses=TerminationSerializer(many=True), parameters=LIST_PARAMETERS)
    def get(self, request, slug):
        """Terminations that hold, the latest first."""
        property = property_for(request.user, slug)
        page = self.paginate_queryset(terminations_for(property, **asked_of(request, slug)))
        return self.get_paginated_response(TerminationSerializer(page, many=True).data)


class TerminationDetail(generics.GenericAPIView):
    @extend_schema(responses=TerminationSerializer)
    def get(self, request, slug, termination_id):
        """One of them, corrected and struck ones too."""
        return Response(TerminationSerializer(termination_for(request.user, slug, termination_id)).data)

    @extend_schema(
        request=TerminationGivenSerializer, responses={200: TerminationSerializer, 201: TerminationSerializer}
    )
    def put(self, request, slug, termination_id):
        """Record a termination under an id of your own: 201 when it is new, 200 when it is here already, 409 when the
        id says something else. A herbicide needs its products with what their labels say."""
        check_is_of(Termination, property_for(request.user, slug, RECORD), termination_id)
        given = TerminationGivenSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        said = dict(given.validated_data)
        planting = planting_for(request.user, slug, said.pop("season"), said.pop("plot_id"), RECORD)
        row, is_new = record_termination(
            id=termination_id,
            planting=planting,
            user=request.user,
            products=said.pop("products", []),
            said=said,
        )
        code = status.HTTP_201_CREATED if is_new else status.HTTP_200_OK
        told = TerminationSerializer(termination_for(request.user, slug, row.pk)).data
        return Response(told, status=code)

    @extend_schema(request=TerminationCorrectionSerializer, responses=TerminationSerializer)
    def patch(self, request, slug, termination_id):
        """Correct it: your own, or any where you may edit. The answer is the one that takes its place; the old one
        stays. 409 when somebody has corrected it since."""
        row = _to_correct(request, slug, termination_id)
        given = TerminationCorrectionSerializer(row, data=request.data, partial=True)
        given.is_valid(raise_exception=True)
        changed = dict(given.validated_data)
        said, products = given_of(row)
        new = correct_termination(
            termination=row,
            id=changed.pop("id", None) or uuid.uuid4(),
            user=request.user,
            products=changed.pop("products", products),
            said=said | changed,
        )
        return Response(TerminationSerializer(termination_for(request.user, slug, new.pk)).data)


class TerminationStrike(generics.GenericAPIView):
    @extend_schema(request=StrikeSerializer, responses=TerminationSerializer)
    def post(self, request, slug, termination_id):
        """Say that it was entered by mistake. It stays, and a stand without another stands again."""
        row = _to_correct(request, slug, termination_id)
        given = StrikeSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        strike_termination(termination=row, user=request.user, reason=given.validated_data["reason"])
        return Response(TerminationSerializer(termination_for(request.user, slug, row.pk)).data)


class TerminationFollowUp(generics.GenericAPIView):
    @extend_schema(request=FollowUpSerializer, responses=TerminationSerializer)
    def post(self, request, slug, termination_id):
        """Say on which day what was to follow was done."""
        row = termination_for(request.user, slug, termination_id, RECORD)
        given = FollowUpSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        finish_follow_up(termination=row, on=given.validated_data["done_on"])
        return Response(TerminationSerializer(termination_for(request.user, slug, row.pk)).data)


class Restrictions(generics.GenericAPIView):
    @extend_schema(responses=RestrictionSerializer(many=True), parameters=[PLOTS])
    def get(self, request, slug):
        """What the labels of sprayed products forbid now, by plot; what has passed is not in it."""
        property = property_for(request.user, slug)
        found = restrictions(property, plot_ids_asked(request.query_params))
        page = self.paginate_queryset(found)
        return self.get_paginated_response(RestrictionSerializer(page, many=True).data)


class Sown(generics.GenericAPIView):
    @extend_schema(responses=PlotDeliveredSerializer(many=True), parameters=[PLOTS])
    def get(self, request, slug, season):
        """Target against delivered on the season's planted plots, with the difference in acres and in rate."""
        season = season_for(request.user, slug, season)
        shows_costs = COSTS in season.property.allowed
        page = self.paginate_queryset(delivered(season, shows_costs, plot_ids_asked(request.query_params)))
        return self.get_paginated_response(PlotDeliveredSerializer(page, many=True).data)


def _to_correct(request, slug, termination_id):
    row = termination_for(request.user, slug, termination_id, RECORD)
    check_may_correct(request.user, row.planting.plot.property, row)
    return row
