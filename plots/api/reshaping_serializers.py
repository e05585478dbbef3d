"""What the API takes and gives when a plot is split or plots are merged."""

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from plots.api.serializers import GeometryField, IdField, PlotSerializer
from plots.services.reshaping import WHY_ROOM

_LINE = {
    "type": "object",
    "description": "GeoJSON (RFC 7946) in longitude and latitude on WGS84; it goes from outside to outside.",
    "properties": {
        "type": {"type": "string", "enum": ["LineString", "MultiLineString"]},
        "coordinates": {"type": "array", "items": {}},
    },
    "required": ["type", "coordinates"],
}


@extend_schema_field(_LINE)
class LineField(serializers.Field):
    """A GeoJSON line, passed on as it is; plots.geojson checks it."""

    def to_internal_value(self, data):
        return data

    def to_representation(self, value):
        return value


class _Reshaping(serializers.Serializer):
    replaces = IdField(
        help_text="Id of the boundary that you saw; refused when the plot has another one by now."
    )
    why = serializers.CharField(
        max_length=WHY_ROOM,
        required=False,
        allow_blank=True,
        default="",
        help_text="Added to what the record says anyway.",
    )
    dry = serializers.BooleanField(default=False, help_text="Only tell what it would give.")


class SplitSerializer(_Reshaping):
    line = LineField()
    names = serializers.ListField(
        child=serializers.CharField(max_length=80, allow_null=True),
        required=False,
        default=list,
        max_length=1000,
        help_text="For each piece, largest first: null keeps it with the plot, a name makes a new plot; pieces of one "
        "name become one plot.",
    )


class PieceSerializer(serializers.Serializer):
    geometry = GeometryField()
    acres = serializers.FloatField(help_text="Geodesic, international acres.")
    area_m2 = serializers.FloatField()
    perimeter_ft = serializers.FloatField()
    perimeter_m = serializers.FloatField()
    name = serializers.CharField(
        allow_null=True, help_text="Proposed; null for the one that keeps the plot's name."
    )


class SplitPreviewSerializer(serializers.Serializer):
    problems = serializers.ListField(child=serializers.CharField(), help_text="Why it cannot be split so.")
    pieces = PieceSerializer(many=True, help_text="Largest first.")
    untouched_parts = serializers.IntegerField(help_text="Parts that no line cuts; they stay with the plot.")
    untouched_acres = serializers.FloatField()


class SplitDoneSerializer(serializers.Serializer):
    plot = PlotSerializer(help_text="The one that was split.")
    new_plots = PlotSerializer(many=True)
    said = serializers.ListField(child=serializers.CharField(), help_text="What else to know.")


class OtherSerializer(serializers.Serializer):
    plot_id = IdField()
    replaces = IdField(help_text="Id of its boundary that you saw.")


class MergeSerializer(_Reshaping):
    others = OtherSerializer(many=True, help_text="Plots whose ground the plot gets.")
    closes_gaps = serializers.BooleanField(
        default=False, help_text="Gaps between them that are nowhere wider than 1 m become the plot's."
    )


class MergePreviewSerializer(serializers.Serializer):
    geometry = GeometryField()
    acres = serializers.FloatField(help_text="Geodesic, international acres.")
    area_m2 = serializers.FloatField()
    perimeter_ft = serializers.FloatField()
    perimeter_m = serializers.FloatField()
    parts = serializers.IntegerField()
    holes = serializers.IntegerField()
    acres_apart = serializers.FloatField(help_text="The sum of what they have now.")
    gap_acres = serializers.FloatField(help_text="Ground in narrow gaps between them.")
    notes = serializers.ListField(child=serializers.CharField())


class MergedSerializer(serializers.Serializer):
    plot = PlotSerializer(help_text="The one that has the ground of all.")
    archived = PlotSerializer(many=True)
    said = serializers.ListField(child=serializers.CharField(), help_text="What else to know.")
