"""Properties and plots."""

from django.db import transaction
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, status
from rest_framework.response import Response
from rest_framework.views import APIView

from plots.access import EDIT, plot_for, property_for
from plots.api.outlines import CONFLICT
from plots.api.serializers import NewPlotSerializer, PlotSerializer, PropertySerializer
from plots.geojson import outline_from
from plots.models import Membership, Plot, Property
from plots.queries import plots_for, properties_with_totals
from plots.services import plots as services
from plots.services.properties import create_property, update_property


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
        with transaction.atomic():
            property = create_property(user=request.user, name=asked.validated_data["name"])
            _update(property, asked.validated_data)
        property.role = Membership.Role.OWNER
        return Response(PropertySerializer(property).data, status=status.HTTP_201_CREATED)


class PropertyDetail(APIView):
    @extend_schema(responses=PropertySerializer)
    def get(self, request, slug):
        """One property."""
        return Response(PropertySerializer(property_for(request.user, slug)).data)

    @extend_schema(request=PropertySerializer, responses=PropertySerializer)
    def patch(self, request, slug):
        """Rename the property, say when its frosts come or what its purchase orders say; its web address stays."""
        property = property_for(request.user, slug, EDIT)
        asked = PropertySerializer(property, data=request.data, partial=True)
        asked.is_valid(raise_exception=True)
        _update(property, asked.validated_data)
        return Response(PropertySerializer(property).data)


def _update(property, wanted):
    names = ("name", "last_frost_on", "first_frost_on", "address", "order_terms")
    update_property(property=property, **{name: wanted.get(name, getattr(property, name)) for name in names})


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

    @extend_schema(request=NewPlotSerializer, responses={201: PlotSerializer, 409: CONFLICT})
    def post(self, request, slug):
        """Make a plot with the boundary that was drawn."""
        property = property_for(request.user, slug, EDIT)
        asked = NewPlotSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        plot = services.create_plot(
            property=property,
            user=request.user,
            **asked.validated_data | {"geometry": outline_from(asked.validated_data["geometry"])},
        )
        return Response(PlotSerializer(plot).data, status=status.HTTP_201_CREATED)


class PlotDetail(APIView):
    @extend_schema(responses=PlotSerializer)
    def get(self, request, slug, plot_id):
        """One plot."""
        return Response(PlotSerializer(plot_for(request.user, slug, plot_id)).data)

    @extend_schema(request=PlotSerializer, responses=PlotSerializer)
    @transaction.atomic
    def patch(self, request, slug, plot_id):
        """Rename the plot, change its notes or objective, archive or restore it."""
        plot = plot_for(request.user, slug, plot_id, EDIT)
        asked = PlotSerializer(plot, data=request.data, partial=True)
        asked.is_valid(raise_exception=True)
        wanted = asked.validated_data
        typed = {name: wanted.get(name, getattr(plot, name)) for name in ("name", "notes", "objective")}
        services.update_plot(plot=plot, **typed)
        is_archived = wanted.get("is_archived", plot.is_archived)
        if is_archived != plot.is_archived:
            (services.archive_plot if is_archived else services.restore_plot)(plot=plot)
        return Response(PlotSerializer(plot).data)
