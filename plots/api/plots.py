"""Properties, plots and boundaries."""

import json

from django.db import transaction
from django.http import Http404, HttpResponse
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, status
from rest_framework.response import Response
from rest_framework.views import APIView

from config.errors import Refused
from plots.access import EDIT, plot_for, property_for
from plots.api.formats import GeoJSONAnswers, GeoJSONParser
from plots.api.serializers import (
    BoundarySerializer,
    FeatureCollectionSerializer,
    FeatureSerializer,
    PlotSerializer,
    PropertySerializer,
)
from plots.geojson import outline_from
from plots.models import Membership, Plot, Property
from plots.queries import outlines_for, plots_for, properties_with_totals
from plots.services import plots as services
from plots.services.properties import create_property
from plots.uploads import SafeJSONParser

_LARGEST_ID = 2**63 - 1  # beyond it a database cannot even be asked


class PropertyList(generics.ListAPIView):
    """Your properties."""

    serializer_class = PropertySerializer
    queryset = Property.objects.none()

    def get_queryset(self):
        return properties_with_totals(self.request.user)

    @extend_schema(request=PropertySerializer, responses={201: PropertySerializer})
    def post(self, request):
        """Make a property, which you then own."""
        asked = PropertySerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        property = create_property(user=request.user, name=asked.validated_data["name"])
        property.role = Membership.Role.OWNER
        return Response(PropertySerializer(property).data, status=status.HTTP_201_CREATED)


class PropertyDetail(APIView):
    @extend_schema(responses=PropertySerializer)
    def get(self, request, slug):
        """One property."""
        return Response(PropertySerializer(property_for(request.user, slug)).data)


class PlotList(generics.ListAPIView):
    """The property's plots, by name."""

    serializer_class = PlotSerializer
    queryset = Plot.objects.none()

    def get_queryset(self):
        property = property_for(self.request.user, self.kwargs["slug"])
        archived = self.request.query_params.get("archived", "").lower() in ("1", "true")
        return plots_for(property, self.request.query_params.get("search", ""), archived)

    @extend_schema(
        parameters=[
            OpenApiParameter("search", str, description="Part of the name or of the notes."),
            OpenApiParameter("archived", bool, description="The archived plots instead."),
        ]
    )
    def get(self, request, *args, **kwargs):
        return super().get(request, *args, **kwargs)


class PlotDetail(APIView):
    @extend_schema(responses=PlotSerializer)
    def get(self, request, slug, plot_id):
        """One plot."""
        return Response(PlotSerializer(plot_for(request.user, slug, plot_id)).data)

    @extend_schema(request=PlotSerializer, responses=PlotSerializer)
    @transaction.atomic
    def patch(self, request, slug, plot_id):
        """Rename the plot, change its notes, archive or restore it."""
        plot = plot_for(request.user, slug, plot_id, EDIT)
        asked = PlotSerializer(plot, data=request.data, partial=True)
        asked.is_valid(raise_exception=True)
        wanted = asked.validated_data
        services.update_plot(
            plot=plot, name=wanted.get("name", plot.name), notes=wanted.get("notes", plot.notes)
        )
        is_archived = wanted.get("is_archived", plot.is_archived)
        if is_archived != plot.is_archived:
            (services.archive_plot if is_archived else services.restore_plot)(plot=plot)
        return Response(PlotSerializer(plot).data)


class BoundaryList(GeoJSONAnswers, APIView):
    @extend_schema(
        parameters=[OpenApiParameter("plot", int, many=True, description="Only these plots, by id.")],
        responses={(200, "application/geo+json"): FeatureCollectionSerializer},
    )
    def get(self, request, slug):
        """The current boundaries of the plots that are not archived."""
        property = property_for(request.user, slug)
        text = outlines_for(property, _asked_plots(request))
        return HttpResponse(text, content_type=request.accepted_renderer.media_type)


class PlotBoundary(GeoJSONAnswers, APIView):
    parser_classes = [SafeJSONParser, GeoJSONParser]

    @extend_schema(responses={(200, "application/geo+json"): FeatureSerializer})
    def get(self, request, slug, plot_id):
        """The plot's current boundary; 404 while it has none."""
        return Response(_feature(plot_for(request.user, slug, plot_id)))

    @extend_schema(
        request={"application/json": BoundarySerializer, "application/geo+json": BoundarySerializer},
        responses={(200, "application/geo+json"): FeatureSerializer},
    )
    def put(self, request, slug, plot_id):
        """Give the plot another boundary: a GeoJSON geometry or Feature. The earlier ones stay in its history."""
        plot = plot_for(request.user, slug, plot_id, EDIT)
        sent = request.data
        is_bare = isinstance(sent, dict) and "coordinates" in sent
        asked = BoundarySerializer(data={"geometry": sent} if is_bare else sent)
        asked.is_valid(raise_exception=True)
        services.set_boundary(
            plot=plot,
            geometry=outline_from(asked.validated_data["geometry"]),
            user=request.user,
            how=asked.validated_data["how"],
            why=asked.validated_data["why"],
        )
        return Response(_feature(plot))


def _asked_plots(request):
    asked = request.query_params.getlist("plot")
    wrong = [text for text in asked if not text.isdecimal()]
    if wrong:
        raise Refused(f"plot is {wrong[0][:40]!r}; the whole number that identifies a plot is accepted.")
    return [int(text) for text in asked if int(text) <= _LARGEST_ID] if asked else None


def _feature(plot):
    features = json.loads(outlines_for(plot.property, [plot.pk], archived=plot.is_archived))["features"]
    if not features:
        raise Http404
    return features[0]
