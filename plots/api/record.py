"""The record of a plot's boundaries, and the overlaps between plots."""

from django.http import Http404, HttpResponse
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import generics, serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from config.errors import Refused
from plots.access import EDIT, boundary_for, plot_for, property_for
from plots.api.formats import GeoJSONAnswers
from plots.api.outlines import CONFLICT
from plots.api.serializers import FeatureSerializer, GeometryField, IdField
from plots.asked import id_asked
from plots.models import Boundary
from plots.queries import feature_of, record_of, standing_overlaps
from plots.record import comparison_of, overlaps_geojson
from plots.services.boundaries import ANY
from plots.services.mending import MOST_NARROW_FT, NARROW_FT, mend_slivers
from plots.services.restoring import restore_boundary


class RecordSerializer(serializers.ModelSerializer):
    is_current = serializers.SerializerMethodField()
    acres = serializers.FloatField(read_only=True, allow_null=True, help_text="Null while not measured.")
    margin_acres = serializers.FloatField(
        read_only=True,
        allow_null=True,
        help_text="± acres if the whole edge were off by `accuracy_m`; null where nobody knows.",
    )
    created_by = serializers.CharField(
        source="created_by.shown_name", read_only=True, default=None, allow_null=True
    )
    import_id = serializers.UUIDField(source="source_import_id", read_only=True, allow_null=True)
    restored_from = serializers.IntegerField(source="restored_from_id", read_only=True, allow_null=True)

    class Meta:
        model = Boundary
        fields = [
            "id",
            "is_current",
            "acres",
            "area_m2",
            "perimeter_m",
            "accuracy_m",
            "margin_acres",
            "how",
            "why",
            "repairs",
            "import_id",
            "restored_from",
            "created_by",
            "created_at",
        ]

    def get_is_current(self, row) -> bool:
        return row.pk == self.context["current_id"]


class RestoreSerializer(serializers.Serializer):
    why = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")
    replaces = IdField(
        required=False, help_text="The current boundary as you saw it; another one since then is a conflict."
    )


class CompareFactsSerializer(serializers.Serializer):
    what = serializers.ChoiceField(choices=["kept", "gained", "lost", "first", "second"])
    acres = serializers.FloatField()


class CompareFeatureSerializer(serializers.Serializer):
    type = serializers.ChoiceField(choices=["Feature"])
    geometry = GeometryField(allow_null=True)
    properties = CompareFactsSerializer()


class CompareSerializer(serializers.Serializer):
    type = serializers.ChoiceField(choices=["FeatureCollection"])
    first = serializers.IntegerField(help_text="Id of the boundary compared from.")
    second = serializers.IntegerField(help_text="Id of the boundary compared to.")
    net_acres = serializers.FloatField(help_text="Gained less lost, which is second less first.")
    features = CompareFeatureSerializer(many=True)


class PlotNameSerializer(serializers.Serializer):
    plot_id = serializers.IntegerField()
    plot = serializers.CharField(help_text="Its name.")


class StandingFactsSerializer(serializers.Serializer):
    what = serializers.ChoiceField(choices=["shared"])
    id = serializers.IntegerField(help_text="Of the overlap.")
    plots = PlotNameSerializer(many=True)
    acres = serializers.FloatField()
    area_m2 = serializers.FloatField()
    widest_ft = serializers.FloatField(help_text="Across the widest place.")
    older = serializers.IntegerField(help_text="The plot whose boundary is older: it keeps the ground.")


class StandingFeatureSerializer(serializers.Serializer):
    type = serializers.ChoiceField(choices=["Feature"])
    geometry = GeometryField()
    properties = StandingFactsSerializer()


class StandingSerializer(serializers.Serializer):
    type = serializers.ChoiceField(choices=["FeatureCollection"])
    features = StandingFeatureSerializer(many=True)


class KeepSerializer(serializers.Serializer):
    overlap = IdField()
    plot = IdField(help_text="The one of its two plots that keeps the ground.")


class MendSerializer(serializers.Serializer):
    narrow_ft = serializers.FloatField(
        default=NARROW_FT,
        help_text=f"Overlaps that are wider somewhere are left alone; at most {MOST_NARROW_FT:g}.",
    )
    keep = KeepSerializer(
        many=True,
        required=False,
        help_text="Default: all slivers, and of each pair the plot with the older boundary keeps the ground.",
    )


class MendedPlotSerializer(serializers.Serializer):
    plot_id = serializers.IntegerField(source="plot.pk")
    plot = serializers.CharField(source="plot.name")
    kept_by = serializers.ListField(
        child=serializers.CharField(), help_text="Names of the plots that keep the ground."
    )
    boundary_id = serializers.IntegerField(source="boundary.pk", help_text="Its new boundary.")
    acres_given_up = serializers.FloatField()


class MendingSerializer(serializers.Serializer):
    mended = MendedPlotSerializer(many=True)
    left = serializers.ListField(
        child=serializers.CharField(), help_text="What was left as it is, and why, in sentences."
    )


class BoundaryRecord(generics.ListAPIView):
    serializer_class = RecordSerializer
    queryset = Boundary.objects.none()

    def get_queryset(self):
        self.plot = plot_for(self.request.user, self.kwargs["slug"], self.kwargs["plot_id"])
        return record_of(self.plot)

    def get_serializer_context(self):
        plot = getattr(self, "plot", None)
        return super().get_serializer_context() | {"current_id": plot and plot.boundary_id}

    def get(self, request, *args, **kwargs):
        """Every boundary that the plot has had, newest first."""
        return super().get(request, *args, **kwargs)


class BoundaryOfRecord(GeoJSONAnswers, APIView):
    @extend_schema(responses={(200, "application/geo+json"): FeatureSerializer})
    def get(self, request, slug, plot_id, boundary_id):
        """One boundary of the record, as a GeoJSON Feature."""
        return Response(feature_of(boundary_for(request.user, slug, plot_id, boundary_id)))


class BoundaryCompare(GeoJSONAnswers, APIView):
    @extend_schema(
        parameters=[
            OpenApiParameter("first", int, required=True, description="The boundary to compare from."),
            OpenApiParameter("second", int, required=True, description="The boundary to compare to."),
        ],
        responses={(200, "application/geo+json"): CompareSerializer},
    )
    def get(self, request, slug, plot_id):
        """The ground kept, gained and lost from one boundary of the plot to another, with acres."""
        plot = plot_for(request.user, slug, plot_id)
        first, second = (id_asked(request.query_params, name, "a boundary") for name in ("first", "second"))
        if None in (first, second):
            raise Refused("first and second are not both given; the ids of two boundaries are accepted.")
        comparison = comparison_of(plot, first, second)
        if comparison is None:
            raise Http404
        return HttpResponse(comparison.geojson(), content_type=request.accepted_renderer.media_type)


class BoundaryRestore(APIView):
    @extend_schema(request=RestoreSerializer, responses={201: RecordSerializer, 409: CONFLICT})
    def post(self, request, slug, plot_id, boundary_id):
        """Take the boundary up again, as a new one; the record loses nothing."""
        boundary = boundary_for(request.user, slug, plot_id, boundary_id, EDIT)
        asked = RestoreSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        made = restore_boundary(
            boundary=boundary,
            user=request.user,
            why=asked.validated_data["why"],
            replaces=asked.validated_data.get("replaces", ANY),
        )
        said = RecordSerializer(made, context={"current_id": made.pk})
        return Response(said.data, status=status.HTTP_201_CREATED)


class OverlapList(GeoJSONAnswers, APIView):
    @extend_schema(responses={(200, "application/geo+json"): StandingSerializer})
    def get(self, request, slug):
        """The ground that plots in use share now, largest first."""
        property = property_for(request.user, slug)
        text = overlaps_geojson(property, standing_overlaps(property))
        return HttpResponse(text, content_type=request.accepted_renderer.media_type)


class OverlapMend(APIView):
    @extend_schema(request=MendSerializer, responses=MendingSerializer)
    def post(self, request, slug):
        """Give the ground of narrow overlaps to one plot of each pair, and trim the other."""
        property = property_for(request.user, slug, EDIT)
        asked = MendSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        keep = asked.validated_data.get("keep")
        outcome = mend_slivers(
            property=property,
            user=request.user,
            narrow_ft=asked.validated_data["narrow_ft"],
            keepers=None if keep is None else {each["overlap"]: each["plot"] for each in keep},
        )
        return Response(MendingSerializer(outcome).data)
