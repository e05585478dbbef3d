"""What the API takes and gives of work and of what was reported on it."""

from math import isfinite

from rest_framework import serializers

from fieldlog.models import WorkItem, WorkReport
from fieldlog.queries.work import is_overdue
from plots.api.serializers import IdField


class PlainNumber(serializers.FloatField):
    """A number that is one: neither infinite nor NaN."""

    def to_internal_value(self, data):
        value = super().to_internal_value(data)
        if not isfinite(value):
            raise serializers.ValidationError(
                f"{str(data)[:40]!r} is no number; a finite number is accepted."
            )
        return value


def _degrees(most):
    return PlainNumber(
        required=False, allow_null=True, min_value=-most, max_value=most, help_text="WGS84. [°]"
    )


class PlaceSerializer(serializers.Serializer):
    lon = _degrees(180)
    lat = _degrees(90)
    accuracy_m = PlainNumber(required=False, allow_null=True, min_value=0, help_text="Null: not known. [m]")


class WorkSaidSerializer(PlaceSerializer):
    kind = serializers.ChoiceField(WorkItem.Kind.choices, required=False, default=WorkItem.Kind.OTHER)
    title = serializers.CharField(
        max_length=120, required=False, allow_blank=True, default="", help_text="Blank: the kind's own words."
    )
    plot_id = IdField(required=False, allow_null=True, default=None, help_text="Null: of the whole property.")
    how = serializers.CharField(max_length=2000, required=False, allow_blank=True, default="")
    tools = serializers.CharField(max_length=200, required=False, allow_blank=True, default="")
    starts_on = serializers.DateField(required=False, allow_null=True, default=None)
    due_on = serializers.DateField(
        required=False, allow_null=True, default=None, help_text="The last day; null: no day is known."
    )
    assigned_to_id = IdField(
        required=False, allow_null=True, default=None, help_text="A person of the property; null: nobody yet."
    )


class WorkChangeSerializer(WorkSaidSerializer):
    """A part of it, or what becomes of it."""

    state = serializers.ChoiceField(
        [WorkItem.State.OPEN, WorkItem.State.DROPPED],
        required=False,
        help_text="`dropped` needs `why`; `done` comes of a report.",
    )
    why = serializers.CharField(max_length=300, required=False, allow_blank=True)


class WorkPhotoSerializer(PlaceSerializer):
    id = serializers.UUIDField(help_text="Made where it is taken.")
    sha256 = serializers.RegexField(
        "^[0-9a-fA-F]{64}$",
        help_text="Of its bytes, which are sent after the report.",
        error_messages={"invalid": "64 hexadecimal digits are accepted."},
    )
    taken_at = serializers.DateTimeField(required=False, allow_null=True, default=None)
    bearing_deg = PlainNumber(required=False, allow_null=True, min_value=0, max_value=360)
    caption = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")


class WorkReportGivenSerializer(PlaceSerializer):
    item_id = serializers.UUIDField()
    done_at = serializers.DateTimeField(help_text="By the clock of whoever reports.")
    sent_at = serializers.DateTimeField(
        required=False, allow_null=True, default=None, help_text="By the same clock."
    )
    minutes = serializers.DecimalField(
        6, 1, required=False, allow_null=True, default=None, min_value=0, max_value=10_000
    )
    is_finished = serializers.BooleanField(default=True, help_text="False: more is to be done.")
    note = serializers.CharField(max_length=1000, required=False, allow_blank=True, default="")
    photos = serializers.ListField(
        child=serializers.JSONField(),
        required=False,
        default=list,
        max_length=60,
        help_text="Objects with `id`, `sha256`, `taken_at` and, where known, `lon`, `lat`, `accuracy_m`, `bearing_deg`, "
        "`caption`. One that cannot be used is refused alone.",
    )
    recorded_by = IdField(
        required=False, allow_null=True, default=None, help_text="Id of who reported; refused from another."
    )
    phone_id = serializers.UUIDField(required=False, allow_null=True, default=None)


class PhotoToldSerializer(serializers.Serializer):
    id = serializers.UUIDField()
    sha256 = serializers.CharField()
    is_here = serializers.SerializerMethodField(help_text="Whether its bytes have come.")
    taken_at = serializers.DateTimeField()
    caption = serializers.CharField()

    def get_is_here(self, photo) -> bool:
        return photo.arrived_at is not None


class WorkReportSerializer(serializers.ModelSerializer):
    item_id = serializers.UUIDField(read_only=True)
    by = serializers.CharField(source="reported_by.shown_name", read_only=True)
    is_struck = serializers.SerializerMethodField()
    photos = PhotoToldSerializer(many=True, read_only=True)

    class Meta:
        model = WorkReport
        fields = [
            *("id", "item_id", "done_at", "said_at", "minutes", "is_finished", "note", "lon", "lat"),
            *("accuracy_m", "by", "received_at", "is_struck", "photos"),
        ]

    def get_is_struck(self, report) -> bool:
        return report.struck_at is not None


class PartRefusedSerializer(serializers.Serializer):
    id = serializers.CharField(allow_null=True)
    what = serializers.CharField(help_text="photo")
    code = serializers.CharField()
    sentence = serializers.CharField()
    fields = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))


class WorkSerializer(serializers.ModelSerializer):
    plot_id = serializers.IntegerField(read_only=True, allow_null=True)
    plot = serializers.CharField(source="plot.name", read_only=True, allow_null=True, default=None)
    is_overdue = serializers.SerializerMethodField()
    assigned_to_id = serializers.IntegerField(read_only=True, allow_null=True)
    assigned_to = serializers.CharField(
        source="assigned_to.shown_name", read_only=True, allow_null=True, default=None
    )
    minutes = serializers.DecimalField(
        10, 1, read_only=True, allow_null=True, help_text="Spent so far; null: nobody said. [min]"
    )

    class Meta:
        model = WorkItem
        fields = [
            *("id", "kind", "title", "plot_id", "plot", "how", "tools", "lon", "lat", "accuracy_m"),
            *("starts_on", "due_on", "is_overdue", "assigned_to_id", "assigned_to", "state", "minutes"),
            *("plan_key", "created_at", "changed_at"),
        ]

    def get_is_overdue(self, item) -> bool:
        return is_overdue(item)


class WorkDetailSerializer(WorkSerializer):
    reports = WorkReportSerializer(source="told_reports", many=True, read_only=True)

    class Meta(WorkSerializer.Meta):
        fields = [*WorkSerializer.Meta.fields, "reports"]


class WorkReportAnswerSerializer(WorkReportSerializer):
    """`item` is what became of the work; `refused` has the pictures that could not be used."""

    item = WorkSerializer(read_only=True)
    refused = PartRefusedSerializer(many=True, read_only=True)

    class Meta(WorkReportSerializer.Meta):
        fields = [*WorkReportSerializer.Meta.fields, "item", "refused"]


class PlotMinutesSerializer(serializers.Serializer):
    plot_id = serializers.IntegerField()
    minutes = serializers.DecimalField(10, 1, help_text="Reported on its work. [min]")
