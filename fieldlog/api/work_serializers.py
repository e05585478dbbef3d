"""What the API takes and gives of work and of what was reported on it."""

from rest_framework import serializers

from fieldlog.api.said import PhotoSaidSerializer, PlaceSerializer, SenderSerializer, parts
from fieldlog.api.told import RefusedPartSerializer
from fieldlog.models import WorkItem, WorkReport
from fieldlog.queries.work import is_overdue
from plots.api.serializers import IdField

MOST_OF_A_REPORT = 60  # pictures; ours


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


class WorkPutSerializer(WorkSaidSerializer, SenderSerializer):
    """Work written down under an id that was made where it was found."""


class WorkReportPutSerializer(PlaceSerializer, SenderSerializer):
    item_id = serializers.UUIDField()
    done_at = serializers.DateTimeField(help_text="By the clock of whoever reports.")
    minutes = serializers.DecimalField(
        6, 1, required=False, allow_null=True, default=None, min_value=0, max_value=10_000
    )
    is_finished = serializers.BooleanField(default=True, help_text="False: more is to be done.")
    note = serializers.CharField(max_length=1000, required=False, allow_blank=True, default="")
    photos = PhotoSaidSerializer(
        many=True, required=False, help_text="One that cannot be used is refused alone."
    )


class WorkReportReader(WorkReportPutSerializer):
    photos = parts(MOST_OF_A_REPORT, required=False)


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
    refused = RefusedPartSerializer(many=True, read_only=True)

    class Meta(WorkReportSerializer.Meta):
        fields = [*WorkReportSerializer.Meta.fields, "item", "refused"]


class PlotMinutesSerializer(serializers.Serializer):
    plot_id = serializers.IntegerField()
    minutes = serializers.DecimalField(10, 1, help_text="Reported on its work. [min]")
