"""What the API takes and gives. Services check and write; nothing is saved here."""

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from plots.access import LARGEST_ID
from plots.calc.shape import part_and_hole_counts
from plots.calc.units import m2_to_acres
from plots.days import day_of_year
from plots.models import Boundary, BoundaryImport, Job, Plot, Property


@extend_schema_field({"type": "string", "example": "04-20", "nullable": True})
class DayOfYearField(serializers.Field):
    """A month and a day, given as MM-DD; null while not known."""

    def to_internal_value(self, data):
        try:
            return day_of_year(data if isinstance(data, str) else repr(data))
        except ValueError as error:
            raise serializers.ValidationError(str(error)) from error

    def to_representation(self, value):
        return f"{value:%m-%d}"


class IdField(serializers.IntegerField):
    """What a row is known by; a number that no database holds is refused before one is asked."""

    def __init__(self, **kwargs):
        super().__init__(min_value=1, max_value=LARGEST_ID, **kwargs)


class PropertySerializer(serializers.ModelSerializer):
    last_frost_on = DayOfYearField(
        required=False, allow_null=True, help_text="Average last frost of spring, MM-DD; null while unknown."
    )
    first_frost_on = DayOfYearField(
        required=False, allow_null=True, help_text="Average first frost of autumn, MM-DD; null while unknown."
    )
    role = serializers.CharField(read_only=True, help_text="Your role: owner, manager, recorder or viewer.")

    class Meta:
        model = Property
        fields = [
            "slug",
            "name",
            "last_frost_on",
            "first_frost_on",
            "address",
            "order_terms",
            "role",
            "created_at",
        ]
        read_only_fields = ["slug"]


class PlotSerializer(serializers.ModelSerializer):
    mapped_acres = serializers.FloatField(
        read_only=True, allow_null=True, help_text="Geodesic, international acres; null while not measured."
    )
    area_m2 = serializers.FloatField(source="boundary.area_m2", read_only=True, allow_null=True, default=None)
    perimeter_m = serializers.FloatField(
        source="boundary.perimeter_m", read_only=True, allow_null=True, default=None
    )
    boundary_id = serializers.IntegerField(
        read_only=True, allow_null=True, help_text="Of its current boundary; null while it has none."
    )

    class Meta:
        model = Plot
        fields = [
            "id",
            "name",
            "notes",
            "objective",
            "mapped_acres",
            "area_m2",
            "perimeter_m",
            "boundary_id",
            "is_archived",
            "created_at",
        ]


GEOMETRY = {
    "type": "object",
    "description": "GeoJSON (RFC 7946) in longitude and latitude on WGS84.",
    "properties": {
        "type": {"type": "string", "enum": ["Polygon", "MultiPolygon"]},
        "coordinates": {"type": "array", "items": {}},
    },
    "required": ["type", "coordinates"],
}


@extend_schema_field(GEOMETRY)
class GeometryField(serializers.Field):
    """A GeoJSON geometry, passed on as it is; plots.geojson checks it."""

    def to_internal_value(self, data):
        return data

    def to_representation(self, value):
        return value


class DrawnSerializer(serializers.Serializer):
    geometry = GeometryField()
    how = serializers.ChoiceField(choices=Boundary.How.choices, default=Boundary.How.DRAWN)
    why = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")
    is_sure = serializers.BooleanField(
        default=False, help_text="Store it although it lies far from the other plots."
    )


class BoundarySerializer(DrawnSerializer):
    """A GeoJSON Feature is accepted too: its `geometry` is read."""

    replaces = IdField(
        required=False,
        allow_null=True,
        help_text="Id of the boundary that you saw, null if there was none; refused when the plot has another "
        "one by now. Left out, it replaces whichever there is.",
    )


class NewPlotSerializer(DrawnSerializer):
    name = serializers.CharField(max_length=80)


class MeasureSerializer(serializers.Serializer):
    geometry = GeometryField()
    plot = IdField(
        required=False,
        allow_null=True,
        default=None,
        help_text="Whose boundary it would be; null for a new plot.",
    )


class SharedSerializer(serializers.Serializer):
    plot_id = serializers.IntegerField()
    plot = serializers.CharField(help_text="Its name.")
    acres = serializers.FloatField(help_text="In common.")


class MeasuredSerializer(serializers.Serializer):
    """Figures are null where there is a problem."""

    acres = serializers.FloatField(allow_null=True, help_text="Geodesic, international acres.")
    area_m2 = serializers.FloatField(allow_null=True)
    perimeter_ft = serializers.FloatField(allow_null=True)
    perimeter_m = serializers.FloatField(allow_null=True)
    parts = serializers.IntegerField(allow_null=True)
    holes = serializers.IntegerField(allow_null=True)
    problems = serializers.ListField(
        child=serializers.CharField(), help_text="Why it cannot be stored, with the place."
    )
    overlaps = SharedSerializer(many=True, help_text="Ground that other plots have too, largest first.")
    doubts = serializers.ListField(child=serializers.CharField(), help_text="Why it may not be meant.")


class PlotFactsSerializer(serializers.Serializer):
    id = serializers.IntegerField(help_text="Of the plot.")
    name = serializers.CharField()
    acres = serializers.FloatField(allow_null=True, help_text="Null while not measured.")
    boundary_id = serializers.IntegerField()
    how = serializers.ChoiceField(choices=Boundary.How.choices)
    who = serializers.CharField(allow_null=True, help_text="Null where nobody knows.")
    at = serializers.DateTimeField()


class FeatureSerializer(serializers.Serializer):
    type = serializers.ChoiceField(choices=["Feature"])
    id = serializers.IntegerField(help_text="Of the plot.")
    geometry = GeometryField()
    properties = PlotFactsSerializer()


class FeatureCollectionSerializer(serializers.Serializer):
    type = serializers.ChoiceField(choices=["FeatureCollection"])
    features = FeatureSerializer(many=True)


class JobSerializer(serializers.ModelSerializer):
    class Meta:
        model = Job
        fields = ["id", "kind", "state", "steps_done", "steps_total", "message", "created_at", "ended_at"]


class AnswersSerializer(serializers.Serializer):
    """How a file is to be read, where it does not say so itself."""

    crs = serializers.CharField(
        max_length=20, required=False, allow_blank=True, help_text="Such as EPSG:26915."
    )
    layer = serializers.CharField(max_length=255, required=False, allow_blank=True)
    swap_axes = serializers.BooleanField(
        required=False, help_text="The file's two coordinates are exchanged."
    )
    name_field = serializers.CharField(
        max_length=255, required=False, allow_blank=True, help_text="Attribute that names the plots."
    )


class ImportFileSerializer(AnswersSerializer):
    file = serializers.FileField(allow_empty_file=True)


class LeftOutSerializer(serializers.Serializer):
    what = serializers.CharField()
    why = serializers.CharField()


class ReportSerializer(serializers.Serializer):
    sentence = serializers.CharField(allow_null=True, help_text="Why the file could not be read.")
    needs = serializers.ChoiceField(
        choices=["crs", "layer", "axes"], allow_null=True, help_text="Answer missing."
    )
    format = serializers.CharField(default=None, allow_null=True)
    crs = serializers.CharField(default=None, allow_null=True)
    layer = serializers.CharField(default=None, allow_null=True)
    layers = serializers.ListField(child=serializers.CharField(), default=list)
    likely_crs = serializers.ListField(
        child=serializers.ListField(child=serializers.CharField()),
        default=list,
        help_text="[code, words] of systems that fit the file's numbers; none of them is assumed.",
    )
    name_fields = serializers.ListField(child=serializers.CharField(), default=list)
    notes = serializers.ListField(child=serializers.CharField(), default=list)
    left_out = LeftOutSerializer(many=True, default=list)


class OverlapSerializer(serializers.Serializer):
    plot_id = serializers.IntegerField()
    plot = serializers.CharField(help_text="Its name.")
    area_m2 = serializers.FloatField()
    acres = serializers.FloatField()


class OutlineSerializer(serializers.Serializer):
    position = serializers.IntegerField()
    name = serializers.CharField()
    acres = serializers.FloatField()
    area_m2 = serializers.FloatField()
    perimeter_m = serializers.FloatField()
    parts = serializers.IntegerField()
    holes = serializers.IntegerField()
    repaired = serializers.BooleanField()
    notes = serializers.ListField(child=serializers.CharField())
    overlaps = OverlapSerializer(many=True)
    attributes = serializers.DictField()


class ImportSummarySerializer(serializers.ModelSerializer):
    job = serializers.UUIDField(source="job_id", allow_null=True, read_only=True)

    class Meta:
        model = BoundaryImport
        fields = ["id", "file_name", "state", "crs", "layer", "swap_axes", "name_field", "job", "created_at"]


class ImportSerializer(ImportSummarySerializer):
    report = ReportSerializer(read_only=True)
    outlines = serializers.SerializerMethodField()

    class Meta(ImportSummarySerializer.Meta):
        fields = [*ImportSummarySerializer.Meta.fields, "report", "outlines"]

    @extend_schema_field(OutlineSerializer(many=True))
    def get_outlines(self, row):
        # By hand and not by the serializer that describes them: there may be thousands.
        outlines = list(row.outlines.values())
        counts = part_and_hole_counts([outline["geometry"] for outline in outlines])
        return [_outline(*facts) for facts in zip(outlines, *counts, strict=True)]


def _outline(outline, parts, holes):
    return {
        **{
            name: outline[name]
            for name in ("position", "name", "area_m2", "perimeter_m", "notes", "attributes")
        },
        "acres": m2_to_acres(outline["area_m2"]),
        "parts": parts,
        "holes": holes,
        "repaired": outline["is_repaired"],
        "overlaps": [
            {
                "plot_id": item["plot_id"],
                "plot": item["plot"],
                "area_m2": item["area_m2"],
                "acres": m2_to_acres(item["area_m2"]),
            }
            for item in outline["overlaps"]
        ],
    }


class AcceptedSerializer(serializers.Serializer):
    position = serializers.IntegerField(min_value=1)
    name = serializers.CharField(
        required=False, allow_blank=True, trim_whitespace=True, help_text="Default: as in the preview."
    )
    plot_id = IdField(
        required=False, allow_null=True, default=None, help_text="The outline is this plot's new boundary."
    )


class AcceptSerializer(serializers.Serializer):
    accepted = AcceptedSerializer(
        many=True, required=False, help_text="Default: every outline as a new plot."
    )
