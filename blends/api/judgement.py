"""What a blend will do: one that is stored, a draft, or several side by side."""

from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import generics
from rest_framework.response import Response

from blends.access import blend_for
from blends.api.judgement_serializers import (
    ComparedBlendSerializer,
    ComparedSerializer,
    JudgedDraftSerializer,
    JudgementSerializer,
    OptionsSerializer,
)
from blends.models import Blend
from blends.queries import draft_of
from blends.queries.judgement import judge, judge_blends
from plots.access import COSTS, property_for

_OPTIONS = ("method", "objective", "seeding_on", "end_on")


class StoredJudgement(generics.GenericAPIView):
    @extend_schema(parameters=[OptionsSerializer], responses=JudgementSerializer)
    def get(self, request, slug, blend_id):
        """What a stored blend will do, with the working of every figure."""
        blend = blend_for(request.user, slug, blend_id)
        given = _checked(OptionsSerializer, request.query_params)
        judgement = judge(blend.property, draft_of(blend), **_options(blend.property, given))
        return Response(JudgementSerializer(judgement).data)


class DraftJudgement(generics.GenericAPIView):
    @extend_schema(request=JudgedDraftSerializer, responses=JudgementSerializer)
    def post(self, request, slug):
        """What a blend would do; nothing is stored, rates may be as typed."""
        property = property_for(request.user, slug)
        given = _checked(JudgedDraftSerializer, request.data)
        draft = {name: value for name, value in given.items() if name not in _OPTIONS}
        return Response(JudgementSerializer(judge(property, draft, **_options(property, given))).data)


class Compare(generics.GenericAPIView):
    @extend_schema(parameters=[ComparedSerializer], responses=ComparedBlendSerializer(many=True))
    def get(self, request, slug):
        """Two to four stored blends, judged alike, in the order in which they are asked for."""
        property = property_for(request.user, slug)
        given = _checked(ComparedSerializer, request.query_params)
        ids = list(dict.fromkeys(given["blend"]))
        blends = Blend.objects.filter(property=property, pk__in=ids)
        judged = {
            blend.pk: {"blend": blend, "judgement": judgement}
            for blend, judgement in judge_blends(property, blends, **_options(property, given))
        }
        if len(judged) < len(ids):
            raise Http404
        return Response(ComparedBlendSerializer([judged[pk] for pk in ids], many=True).data)


def _checked(serializer, data):
    given = serializer(data=data)
    given.is_valid(raise_exception=True)
    return given.validated_data


def _options(property, given):
    options = {name: given[name] for name in _OPTIONS if name in given}
    return options | {"with_costs": COSTS in property.allowed}
