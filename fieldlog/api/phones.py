"""What a phone says of itself."""

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from fieldlog.services.phones import LONGEST_NAME, MOST_WAITING, hear_from_phone
from plots.api.serializers import IdField


class WaitingSerializer(serializers.Serializer):
    id = serializers.UUIDField()
    kind = serializers.CharField(max_length=20)
    title = serializers.CharField(max_length=120, allow_blank=True, default="")
    slug = serializers.CharField(max_length=60, help_text="Of the property that it is for.")
    started_at = serializers.DateTimeField(help_text="By the phone's clock.")
    refused = serializers.CharField(
        max_length=600,
        allow_blank=True,
        allow_null=True,
        default="",
        help_text="Why the server did not take it.",
    )
    recorded_by = IdField(
        required=False, allow_null=True, default=None, help_text="Id of the person; another's is left out."
    )


class PhoneSaidSerializer(serializers.Serializer):
    name = serializers.CharField(max_length=LONGEST_NAME, allow_blank=True, default="")
    sent_at = serializers.DateTimeField(help_text="By the phone's clock.")
    waiting = WaitingSerializer(
        many=True, help_text=f"What has not been sent, the oldest first; {MOST_WAITING} are kept."
    )


class PhoneHeardSerializer(serializers.Serializer):
    clock_ahead_s = serializers.IntegerField(
        help_text="How far the phone's clock is ahead of the server's. [s]"
    )
    is_ended = serializers.BooleanField(help_text="Whether nothing is taken from it any more.")


class PhoneDetail(APIView):
    @extend_schema(request=PhoneSaidSerializer, responses=PhoneHeardSerializer)
    def put(self, request, phone_id):
        """Say what waits on a phone, under an id made on it. Who is signed in is its person."""
        asked = PhoneSaidSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        phone = hear_from_phone(
            user=request.user,
            phone_id=phone_id,
            user_agent=request.headers.get("User-Agent", ""),
            session=request.session if request.auth is None else None,
            **asked.validated_data,
        )
        said = {"clock_ahead_s": phone.clock_ahead_s, "is_ended": phone.ended_at is not None}
        return Response(PhoneHeardSerializer(said).data)
