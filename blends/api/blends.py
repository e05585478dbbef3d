"""Blends, their versions and their figures."""

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, status
from rest_framework.response import Response

from blends.access import blend_for
from blends.api.serializers import ArchiveSerializer, BlendFiguresSerializer, BlendSerializer, DraftSerializer
from blends.models import Blend
from blends.queries import blend_figures, draft_of
from blends.services.blends import archive_blend, restore_blend, save_blend
from plots.access import COSTS, EDIT, property_for


def with_components(blends):
    return blends.prefetch_related("components__species")


class BlendList(generics.GenericAPIView):
    @extend_schema(
        responses=BlendSerializer(many=True),
        parameters=[OpenApiParameter("archived", bool, description="Those that were put away.")],
    )
    def get(self, request, slug):
        """The newest version of every blend."""
        property = property_for(request.user, slug)
        archived = request.query_params.get("archived") in ("true", "1")
        rows = Blend.objects.filter(property=property, next=None, is_archived=archived)
        page = self.paginate_queryset(with_components(rows))
        return self.get_paginated_response(BlendSerializer(page, many=True).data)

    @extend_schema(request=BlendSerializer, responses={201: BlendSerializer})
    def post(self, request, slug):
        """Make a blend."""
        property = property_for(request.user, slug, EDIT)
        blend = save_blend(property=property, user=request.user, **_given(request))
        return Response(_blend(blend), status=status.HTTP_201_CREATED)


class BlendDetail(generics.GenericAPIView):
    @extend_schema(responses=BlendSerializer)
    def get(self, request, slug, blend_id):
        """One version of a blend."""
        return Response(_blend(blend_for(request.user, slug, blend_id)))

    @extend_schema(request=BlendSerializer, responses=BlendSerializer)
    def put(self, request, slug, blend_id):
        """Change a blend. One that has been planted stays; the answer is then its next version."""
        blend = blend_for(request.user, slug, blend_id, EDIT)
        return Response(
            _blend(save_blend(property=blend.property, user=request.user, blend=blend, **_given(request)))
        )

    @extend_schema(request=ArchiveSerializer, responses=BlendSerializer)
    def patch(self, request, slug, blend_id):
        """Put a blend away, or bring it back."""
        blend = blend_for(request.user, slug, blend_id, EDIT)
        given = ArchiveSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        (archive_blend if given.validated_data["is_archived"] else restore_blend)(blend=blend)
        return Response(_blend(blend))


class StoredFigures(generics.GenericAPIView):
    @extend_schema(responses=BlendFiguresSerializer)
    def get(self, request, slug, blend_id):
        """What a blend holds and, where the role includes them, its costs per acre."""
        blend = blend_for(request.user, slug, blend_id)
        return Response(_figures(blend.property, draft_of(blend)))


class DraftFigures(generics.GenericAPIView):
    @extend_schema(request=DraftSerializer, responses=BlendFiguresSerializer)
    def post(self, request, slug):
        """What a blend would hold; nothing is stored, values may be as typed."""
        property = property_for(request.user, slug)
        given = DraftSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        return Response(_figures(property, given.validated_data))


def _given(request):
    given = BlendSerializer(data=request.data)
    given.is_valid(raise_exception=True)
    return given.validated_data


def _blend(blend):
    return BlendSerializer(with_components(Blend.objects.filter(pk=blend.pk)).get()).data


def _figures(property, draft):
    figures = blend_figures(property, draft, with_costs=COSTS in property.allowed)
    return BlendFiguresSerializer(figures).data
