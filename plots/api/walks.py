"""Edges walked with a phone."""

import json

import shapely
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import generics, serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from config.errors import Refused
from plots.access import EDIT, RECORD, plot_for, property_for, walk_for
from plots.api.serializers import GeometryField, IdField
from plots.models import Walk
from plots.services import walks as services
from plots.services.boundaries import ANY
from plots.walking import figures_of, walks_for


@extend_schema_field(
    {
        "type": "array",
        "maxItems": services.MOST_FIXES,
        "items": {"type": "array", "items": {"type": "number"}, "minItems": 5, "maxItems": 5},
        "example": [[-92.001, 38.002, 4.5, 0, 0], [-92.001, 38.003, 4.5, 1000, 0]],
        "description": "Longitude, latitude, accuracy in metres (95 %), milliseconds since the start, and the number of "
        "the stretch, which a pause raises.",
    }
)
class FixesField(serializers.Field):
    """Passed on as they are: the service checks thousands of them faster than nested fields would."""

    def to_internal_value(self, data):
        return data

    def to_representation(self, value):
        return value


class LimitsSerializer(serializers.Serializer):
    worst_accuracy_m = serializers.FloatField(
        required=False,
        help_text=f"Points worse than this are left out; default {services.WORST_ACCURACY_M:g}.",
    )
    tolerance_m = serializers.FloatField(
        required=False,
        help_text=f"How far the thinned line may lie from the points; default {services.TOLERANCE_M:g}.",
    )


class WalkSentSerializer(LimitsSerializer):
    plot_id = IdField(required=False, allow_null=True, default=None, help_text="Whose edge it is.")
    new_name = serializers.CharField(
        max_length=80,
        required=False,
        allow_blank=True,
        default="",
        help_text="Of a new plot, without `plot_id`.",
    )
    fixes = FixesField()
    started_at = serializers.DateTimeField(help_text="By the phone's clock.")
    sent_at = serializers.DateTimeField(help_text="By the phone's clock.")
    note = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")
    recorded_by = IdField(
        required=False,
        allow_null=True,
        default=None,
        help_text="Id of the person who walked; refused from another.",
    )


class WalkSummarySerializer(serializers.ModelSerializer):
    plot_id = serializers.IntegerField(allow_null=True, read_only=True)
    plot = serializers.CharField(allow_null=True, read_only=True, source="plot.name", default=None)
    boundary_id = serializers.IntegerField(
        allow_null=True, read_only=True, help_text="The boundary that was made of it."
    )
    by = serializers.CharField(read_only=True, source="created_by.shown_name")

    class Meta:
        model = Walk
        fields = [
            "id",
            "state",
            "plot_id",
            "plot",
            "new_name",
            "worst_accuracy_m",
            "tolerance_m",
            "started_at",
            "sent_at",
            "received_at",
            "note",
            "boundary_id",
            "by",
        ]


class WalkFiguresSerializer(serializers.Serializer):
    acres = serializers.FloatField(help_text="Geodesic, international acres.")
    margin_acres = serializers.FloatField(help_text="±: perimeter × accuracy.")
    perimeter_m = serializers.FloatField()
    perimeter_ft = serializers.FloatField()
    accuracy_m = serializers.FloatField(help_text="Mean of the used points' 95 % radii.")
    accuracy_ft = serializers.FloatField()
    gap_m = serializers.FloatField(help_text="From the last point to the first; closed with a straight line.")
    corners = serializers.IntegerField()
    used = serializers.IntegerField()
    left_out_worse = serializers.IntegerField(help_text="Worse than the accuracy asked for.")
    left_out_jumped = serializers.IntegerField(help_text="Further away than anybody moves.")
    left_out_still = serializers.IntegerField(help_text="More of a spot where the person stood.")
    notes = serializers.ListField(child=serializers.CharField(), help_text="What was done, in sentences.")
    geometry = GeometryField()


class WalkSerializer(WalkSummarySerializer):
    """`comes_to` is null where no outline comes of the walk; `refused` says why."""

    comes_to = serializers.SerializerMethodField()
    refused = serializers.SerializerMethodField()

    class Meta(WalkSummarySerializer.Meta):
        fields = [*WalkSummarySerializer.Meta.fields, "comes_to", "refused"]

    @extend_schema_field(WalkFiguresSerializer(allow_null=True))
    def get_comes_to(self, walk):
        walked, _ = self._walked(walk)
        if walked is None:
            return None
        return figures_of(walked) | {"geometry": json.loads(shapely.to_geojson(walked.outline))}

    @extend_schema_field(serializers.CharField(allow_null=True))
    def get_refused(self, walk):
        return self._walked(walk)[1]

    def _walked(self, walk):
        """(what it comes to, why nothing), computed once."""
        if not hasattr(walk, "came_to"):
            try:
                walk.came_to = services.walked_of(walk), None
            except Refused as error:
                walk.came_to = None, error.sentence
        return walk.came_to


class AcceptWalkSerializer(LimitsSerializer):
    plot_id = IdField(
        required=False, allow_null=True, help_text="Default: the plot that was named while walking."
    )
    new_name = serializers.CharField(
        max_length=80,
        required=False,
        allow_blank=True,
        help_text="Of a new plot, where there is no plot. Default: as it was walked.",
    )
    why = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")
    replaces = IdField(
        required=False,
        allow_null=True,
        help_text="Id of the boundary that you saw, null if there was none; refused when the plot has another one by "
        "now. Left out, it replaces whichever there is.",
    )
    is_sure = serializers.BooleanField(
        default=False, help_text="Store it although it lies far from the other plots."
    )


class SetAsideSerializer(serializers.Serializer):
    is_set_aside = serializers.BooleanField(default=True, help_text="False takes it up again.")


class WalkList(generics.ListAPIView):
    """Walks, the latest first."""

    serializer_class = WalkSummarySerializer
    queryset = Walk.objects.none()

    def get_queryset(self):
        return walks_for(property_for(self.request.user, self.kwargs["slug"]))


class WalkDetail(APIView):
    @extend_schema(responses=WalkSerializer)
    def get(self, request, slug, walk_id):
        """One walk, and what it comes to."""
        return Response(WalkSerializer(walk_for(request.user, slug, walk_id)).data)

    @extend_schema(request=WalkSentSerializer, responses={200: WalkSerializer, 201: WalkSerializer})
    def put(self, request, slug, walk_id):
        """Send a walk under an id made on the phone. 201 is new, 200 the same sent again, 409 an id with other points.

        Nothing becomes a boundary before somebody who may change plots accepts it.
        """
        property = property_for(request.user, slug, RECORD)
        asked = WalkSentSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        sent = dict(asked.validated_data)
        plot_id = sent.pop("plot_id")
        plot = None if plot_id is None else plot_for(request.user, slug, plot_id, RECORD)
        walk, is_new = services.receive_walk(
            property=property, user=request.user, walk_id=walk_id, plot=plot, **sent
        )
        return Response(
            WalkSerializer(walk).data, status=status.HTTP_201_CREATED if is_new else status.HTTP_200_OK
        )


class WalkAccept(APIView):
    @extend_schema(request=AcceptWalkSerializer, responses=WalkSerializer)
    def post(self, request, slug, walk_id):
        """Make the walk a plot's boundary; the earlier ones stay in its history."""
        walk = walk_for(request.user, slug, walk_id, EDIT)
        asked = AcceptWalkSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        wanted = {"replaces": ANY, "new_name": walk.new_name} | asked.validated_data
        plot_id = wanted.pop("plot_id", walk.plot_id)
        plot = None if plot_id is None else plot_for(request.user, slug, plot_id, EDIT)
        services.accept_walk(walk=walk, user=request.user, plot=plot, **wanted)
        return Response(WalkSerializer(walk).data)


class WalkSetAside(APIView):
    @extend_schema(request=SetAsideSerializer, responses=WalkSummarySerializer)
    def post(self, request, slug, walk_id):
        """Set the walk aside, or take it up again. It is kept either way."""
        walk = walk_for(request.user, slug, walk_id, EDIT)
        asked = SetAsideSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        services.set_walk_aside(walk=walk, **asked.validated_data)
        return Response(WalkSummarySerializer(walk).data)
