"""The calculations: what there is, and their answers. Nothing is stored, and no property is asked for."""

from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import generics
from rest_framework.response import Response

from config.errors import Refused
from fieldlog.api.schema import CalculationSchema, InputsSerializer
from fieldlog.api.serializers import AnsweredSerializer, CalculationSerializer
from fieldlog.asking import answered
from fieldlog.calculations import calculation_named, calculations
from plots.uploads import SafeJSONParser


class CalculationList(generics.GenericAPIView):
    @extend_schema(responses=CalculationSerializer(many=True))
    def get(self, request):
        """Every calculation with its inputs, their units and limits, its formula and sources."""
        page = self.paginate_queryset(calculations())
        return self.get_paginated_response(CalculationSerializer(page, many=True).data)


class CalculationDetail(generics.GenericAPIView):
    parser_classes = [SafeJSONParser]
    schema = CalculationSchema()

    @extend_schema(responses=CalculationSerializer)
    def get(self, request, calculation):
        """One calculation with its inputs, their units and limits, its formula and sources."""
        return Response(CalculationSerializer(_named(calculation)).data)

    @extend_schema(request=InputsSerializer, responses=AnsweredSerializer)
    def post(self, request, calculation):
        """The answers to the inputs in the body. Numeric text counts as a number; null and what is left out are unknown.

        What is not known is null in the answers, and `missing` says for want of what.
        """
        described = _named(calculation)
        if not isinstance(request.data, dict):
            raise Refused("The body is no object; an object with the inputs by their names is accepted.")
        return Response(AnsweredSerializer(answered(described, request.data)).data)


def _named(name):
    calculation = calculation_named(name)
    if calculation is None:
        raise Http404
    return calculation
