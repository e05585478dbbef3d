"""Check-ins of people who work alone. A phone makes the id before it sends, so that sending again does no harm."""

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from fieldlog.api.said import NumberField
from fieldlog.models import CheckIn
from fieldlog.services.check_ins import LONGEST_NOTE, receive_check_in
from fieldlog.services.phones import check_phone
from fieldlog.services.said import PLACE
from plots.access import RECORD, plot_for, property_for
from plots.api.serializers import IdField

_UNKNOWN = {"required": False, "allow_null": True, "default": None}


class CheckInSerializer(serializers.ModelSerializer):
    plot_id = IdField(required=False, allow_null=True, default=None, help_text="Where they work.")
    began_at = serializers.DateTimeField(help_text="By the phone's clock.")
    back_by = serializers.DateTimeField(
        help_text="By the phone's clock; sent again it moves later, never earlier."
    )
    ended_at = serializers.DateTimeField(
        required=False,
        allow_null=True,
        default=None,
        help_text="When they were back; null while they are out.",
    )
    lon = NumberField(**_UNKNOWN, min_value=-180, max_value=180, help_text="WGS84. [°]")
    lat = NumberField(**_UNKNOWN, min_value=-90, max_value=90, help_text="WGS84. [°]")
    accuracy_m = NumberField(**_UNKNOWN, min_value=0, help_text="[m]")
    note = serializers.CharField(required=False, allow_blank=True, default="", max_length=LONGEST_NOTE)
    recorded_by = IdField(
        required=False,
        allow_null=True,
        default=None,
        write_only=True,
        help_text="Id of who is out; refused from another.",
    )
    phone_id = serializers.UUIDField(required=False, allow_null=True, default=None, write_only=True)
    sent_at = serializers.DateTimeField(
        required=False, allow_null=True, default=None, write_only=True, help_text="By the phone's clock."
    )
    who = serializers.CharField(source="user.shown_name", read_only=True)
    is_overdue = serializers.SerializerMethodField()

    class Meta:
        model = CheckIn
        fields = [
            *("id", "plot_id", "began_at", "back_by", "ended_at", *PLACE, "note"),
            *("recorded_by", "phone_id", "sent_at", "who", "is_overdue", "received_at"),
        ]
        read_only_fields = ["id", "received_at"]

    def get_is_overdue(self, check_in) -> bool:
        return check_in.is_overdue


class CheckInDetail(APIView):
    @extend_schema(request=CheckInSerializer, responses={200: CheckInSerializer, 201: CheckInSerializer})
    def put(self, request, slug, check_in_id):
        """Say that you work alone and by when you are back: 201 when it is new, 200 when it is here already. Sent again with
        a later `back_by` it takes longer, with `ended_at` you are back, and stay so."""
        property = property_for(request.user, slug, RECORD)
        asked = CheckInSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        said = dict(asked.validated_data)
        check_phone(request.user, said.pop("phone_id"))
        plot_id = said.pop("plot_id")
        plot = None if plot_id is None else plot_for(request.user, slug, plot_id, RECORD)
        place = {name: said.pop(name) for name in PLACE}
        check_in, is_new = receive_check_in(
            id=check_in_id, property=property, user=request.user, plot=plot, place=place, **said
        )
        return Response(
            CheckInSerializer(check_in).data,
            status=status.HTTP_201_CREATED if is_new else status.HTTP_200_OK,
        )
