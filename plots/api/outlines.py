"""Current boundaries of plots, and what an outline would be."""

from django.http import Http404, HttpResponse
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework.response import Response
from rest_framework.views import APIView

from config.errors import Refused
from plots.access import EDIT, plot_for, property_for
from plots.api.formats import GeoJSONAnswers, GeoJSONParser
from plots.api.serializers import (
    BoundarySerializer,
    FeatureCollectionSerializer,
    FeatureSerializer,
    MeasuredSerializer,
    MeasureSerializer,
)
from plots.asked import bbox_asked, id_asked, plot_ids_asked
from plots.geojson import drawn_from, outline_from
from plots.models import Plot
from plots.queries import feature_of, outlines_for
from plots.services import boundaries
from plots.services.trying import measured_outline
from plots.uploads import SafeJSONParser

MOST_IN_A_BOX = 2_000
CONFLICT = OpenApiResponse(
    description="`boundary_changed`: the plot has another boundary than `replaces`; it stands beside the error as "
    "`current`. `questioned`: it lies far from the other plots; send it again with `is_sure`."
)


class BoundaryList(GeoJSONAnswers, APIView):
    @extend_schema(
        parameters=[
            OpenApiParameter("plot", int, many=True, description="Only these plots, by id."),
            OpenApiParameter(
                "bbox",
                str,
                description=f"Only those whose extent meets west,south,east,north; at most {MOST_IN_A_BOX:,}.",
            ),
            OpenApiParameter("but", int, description="Without this plot."),
        ],
        responses={(200, "application/geo+json"): FeatureCollectionSerializer},
    )
    def get(self, request, slug):
        """The current boundaries of the plots that are not archived, with every corner."""
        property = property_for(request.user, slug)
        asked = request.query_params
        bbox = bbox_asked(asked)
        text = outlines_for(
            property,
            plot_ids_asked(asked),
            bbox=bbox,
            but=id_asked(asked, "but"),
            most=MOST_IN_A_BOX if bbox else None,
        )
        return HttpResponse(text, content_type=request.accepted_renderer.media_type)


class PlotBoundary(GeoJSONAnswers, APIView):
    parser_classes = [SafeJSONParser, GeoJSONParser]

    @extend_schema(responses={(200, "application/geo+json"): FeatureSerializer})
    def get(self, request, slug, plot_id):
        """The plot's current boundary; 404 while it has none."""
        plot = plot_for(request.user, slug, plot_id)
        if plot.boundary is None:
            raise Http404
        return Response(feature_of(plot.boundary))

    @extend_schema(
        request={"application/json": BoundarySerializer, "application/geo+json": BoundarySerializer},
        responses={(200, "application/geo+json"): FeatureSerializer, 409: CONFLICT},
    )
    def put(self, request, slug, plot_id):
        """Give the plot another boundary: a GeoJSON geometry or Feature. The earlier ones stay in its history."""
        plot = plot_for(request.user, slug, plot_id, EDIT)
        sent = request.data
        is_bare = isinstance(sent, dict) and "coordinates" in sent
        asked = BoundarySerializer(data={"geometry": sent} if is_bare else sent)
        asked.is_valid(raise_exception=True)
        boundary = boundaries.set_boundary(
            plot=plot,
            user=request.user,
            **asked.validated_data | {"geometry": outline_from(asked.validated_data["geometry"])},
        )
        return Response(feature_of(boundary))


class Measure(APIView):
    @extend_schema(request=MeasureSerializer, responses=MeasuredSerializer)
    def post(self, request, slug):
        """What an outline would be: its acres, what is wrong with it, what it overlaps. Nothing is stored."""
        property = property_for(request.user, slug)
        asked = MeasureSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        return Response(
            measured_outline(
                property=property,
                drawn=drawn_from(asked.validated_data["geometry"]),
                plot=_plot_of(property, asked.validated_data["plot"]),
            )
        )


def _plot_of(property, plot_id):
    if plot_id is None:
        return None
    plot = Plot.objects.filter(property=property, pk=plot_id).first()
    if plot is None:
        sentence = f"There is no plot {plot_id} on {property}."
        raise Refused(sentence, fields={"plot": [sentence]})
    return plot
