"""How visits are answered in JSON."""

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from fieldlog.api.said import JSON_OBJECT
from fieldlog.models import Photo, Reading, Visit
from fieldlog.services.figures import doubted


@extend_schema_field({"type": "array", "items": JSON_OBJECT})
class RowsField(serializers.JSONField):
    """Rows as they are stored."""


@extend_schema_field(JSON_OBJECT)
class ObjectField(serializers.JSONField):
    """An object as it is stored."""


class ReadingSerializer(serializers.ModelSerializer):
    protocol = serializers.CharField(source="protocol_key")
    settings = ObjectField()
    values = ObjectField()
    sure_of = serializers.ListField(child=serializers.CharField())
    figures = RowsField(help_text="name, label, value (null where unknown), unit, error, expected_low, …")
    doubted = serializers.SerializerMethodField(help_text="Questionable answers that nobody stood by.")
    recorded_by = serializers.CharField(source="recorded_by.shown_name")
    counts = serializers.BooleanField(help_text="Neither replaced nor struck.")

    class Meta:
        model = Reading
        fields = [
            *(
                "id",
                "kind",
                "protocol",
                "settings",
                "values",
                "sure_of",
                "taken_at",
                "lon",
                "lat",
                "accuracy_m",
            ),
            *(
                "note",
                "figures",
                "doubted",
                "recorded_by",
                "received_at",
                "counts",
                "replaces",
                "replaced_by",
            ),
            *("rival_of", "why", "struck_at"),
        ]
        read_only_fields = fields

    def get_doubted(self, reading) -> list[str]:
        return doubted(reading)


class PhotoSerializer(serializers.ModelSerializer):
    is_here = serializers.SerializerMethodField(help_text="Whether its bytes have come.")
    reading_id = serializers.UUIDField(allow_null=True)
    point_id = serializers.IntegerField(allow_null=True)

    class Meta:
        model = Photo
        fields = [
            *("id", "sha256", "is_here", "taken_at", "lon", "lat", "accuracy_m", "bearing_deg", "caption"),
            *("reading_id", "point_id", "media_type", "width_px", "height_px", "trouble", "struck_at"),
        ]
        read_only_fields = fields

    def get_is_here(self, photo) -> bool:
        return photo.arrived_at is not None


class RefusedPartSerializer(serializers.Serializer):
    id = serializers.CharField()
    what = serializers.CharField(help_text="reading or photo.")
    code = serializers.CharField()
    sentence = serializers.CharField()
    fields = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))


class VisitSerializer(serializers.ModelSerializer):
    plot_id = serializers.IntegerField()
    plot = serializers.CharField(source="plot.name", help_text="Its name.")
    recorded_by = serializers.CharField(source="recorded_by.shown_name")
    said_at = serializers.DateTimeField(
        allow_null=True, help_text="As the phone's clock had it, where that was put right."
    )
    readings = ReadingSerializer(many=True)
    photos = PhotoSerializer(many=True)

    class Meta:
        model = Visit
        fields = [
            *("id", "plot_id", "plot", "visited_at", "said_at", "sent_at", "clock_ahead_s", "note"),
            *("lon", "lat", "accuracy_m", "recorded_by", "received_at", "corrected_at", "why_corrected"),
            *("readings", "photos"),
        ]
        read_only_fields = fields


class VisitTakenSerializer(VisitSerializer):
    refused = RefusedPartSerializer(many=True, help_text="What of it was not taken in, while the rest was.")

    class Meta(VisitSerializer.Meta):
        fields = [*VisitSerializer.Meta.fields, "refused"]
        read_only_fields = fields


class ErrorSerializer(serializers.Serializer):
    code = serializers.CharField()
    message = serializers.CharField()
    fields = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))


class VisitAnswerSerializer(serializers.Serializer):
    id = serializers.CharField()
    status = serializers.IntegerField(help_text="201 new, 200 known, else as PUT would answer.")
    visit = VisitTakenSerializer(required=False)
    error = ErrorSerializer(required=False)


class BatchAnswerSerializer(serializers.Serializer):
    answers = VisitAnswerSerializer(many=True, help_text="In the order of the visits.")
