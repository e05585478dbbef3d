"""Plots as a file."""

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.negotiation import BaseContentNegotiation
from rest_framework.views import APIView

from config.errors import Refused
from plots.access import property_for
from plots.asked import plot_ids_asked
from plots.exports import file_answer, selection_of
from plots.formats.write import KINDS


class _ByParameter(BaseContentNegotiation):
    """`as` says what the answer is, whatever the client would accept; what went wrong is JSON."""

    def select_parser(self, request, parsers):
        return parsers[0]

    def select_renderer(self, request, renderers, format_suffix=None):
        return renderers[0], renderers[0].media_type


class PlotExport(APIView):
    content_negotiation_class = _ByParameter

    @extend_schema(
        parameters=[
            OpenApiParameter("as", str, required=True, enum=list(KINDS), description="The kind of file."),
            OpenApiParameter("plot", int, many=True, description="Only these plots, by id."),
        ],
        responses={(200, kind.media_type): OpenApiTypes.BINARY for kind in KINDS.values()},
    )
    def get(self, request, slug):
        """The plots in use as a file for another program, with acres and feet; every digit of the boundary is kept."""
        property = property_for(request.user, slug)
        asked = request.query_params.get("as", "")
        if asked not in KINDS:
            raise Refused(f"as is {asked[:40]!r}; accepted are {', '.join(KINDS)}.")
        return file_answer(selection_of(property, plot_ids_asked(request.query_params)), KINDS[asked])
