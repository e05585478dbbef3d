"""Clippings of a blend."""

from drf_spectacular.utils import extend_schema
from rest_framework import generics, serializers, status
from rest_framework.response import Response

from blends.access import blend_for, clipping_for
from blends.models import Clipping
from blends.services.clippings import delete_clipping, record_clipping
from plots.access import RECORD, plot_for
from plots.api.serializers import IdField


class ClippingSerializer(serializers.ModelSerializer):
    """A species clipped inside frames; `dry_lb_per_acre` follows from the weights."""

    species_id = IdField()
    plot_id = IdField(required=False, allow_null=True)
    dry_lb_per_acre = serializers.FloatField(read_only=True)

    class Meta:
        model = Clipping
        fields = [
            "id",
            "species_id",
            "plot_id",
            "stage",
            "clipped_on",
            "frames",
            "frame_ft2",
            "dry_g",
            "wet_g",
            "dry_lb_per_acre",
        ]


class Clippings(generics.GenericAPIView):
    @extend_schema(responses=ClippingSerializer(many=True))
    def get(self, request, slug, blend_id):
        """What was clipped of the blend, the latest first."""
        page = self.paginate_queryset(blend_for(request.user, slug, blend_id).clippings.all())
        return self.get_paginated_response(ClippingSerializer(page, many=True).data)

    @extend_schema(request=ClippingSerializer, responses={201: ClippingSerializer})
    def post(self, request, slug, blend_id):
        """Record a clipping; it goes before the table's dry matter."""
        blend = blend_for(request.user, slug, blend_id, RECORD)
        given = ClippingSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        values = dict(given.validated_data)
        plot_id = values.pop("plot_id", None)
        plot = None if plot_id is None else plot_for(request.user, slug, plot_id, RECORD)
        row = record_clipping(blend=blend, user=request.user, plot=plot, **values)
        return Response(ClippingSerializer(row).data, status=status.HTTP_201_CREATED)


class ClippingDetail(generics.GenericAPIView):
    @extend_schema(responses={204: None})
    def delete(self, request, slug, blend_id, clipping_id):
        """Take a clipping away."""
        delete_clipping(clipping=clipping_for(request.user, slug, blend_id, clipping_id, RECORD))
        return Response(status=status.HTTP_204_NO_CONTENT)
