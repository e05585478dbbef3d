"""Readings after they were recorded: put right, struck, chosen between."""

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from config.errors import refuse
from fieldlog.access import reading_for, reading_to_correct_for
from fieldlog.api.said import AnswersField, ReadingSaidSerializer, SenderSerializer
from fieldlog.api.told import ReadingSerializer
from fieldlog.services.reading_versions import choose_reading, correct_reading, strike_reading
from fieldlog.services.readings import LONGEST_WHY

_SENDER = ("sent_at", "phone_id", "recorded_by")


class CorrectionSerializer(ReadingSaidSerializer, SenderSerializer):
    """What is left out of settings, note, moment and place stays as it was."""

    id, kind, protocol = None, None, None
    replaces = serializers.UUIDField(help_text="Id of the version that was seen.")
    values = AnswersField(help_text="All answers of the new version.")
    why = serializers.CharField(required=False, allow_blank=True, default="", max_length=LONGEST_WHY)


class ReadingStrikeSerializer(serializers.Serializer):
    is_struck = serializers.BooleanField(default=True, help_text="false takes it up again.")


class ReadingDetail(APIView):
    @extend_schema(responses=ReadingSerializer)
    def get(self, request, slug, reading_id):
        """One version of a reading."""
        return Response(ReadingSerializer(reading_for(request.user, slug, reading_id)).data)

    @extend_schema(request=CorrectionSerializer, responses={200: ReadingSerializer, 201: ReadingSerializer})
    def put(self, request, slug, reading_id):
        """Put another version, under an id of your own, in the place of a reading; the one before stays to be read. Where
        somebody else has done so meanwhile both count, `rival_of` each other, until one is chosen."""
        asked = CorrectionSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        said = dict(asked.validated_data)
        before = reading_to_correct_for(request.user, slug, said.pop("replaces"))
        if before.pk == reading_id:
            refuse("replaces", "A version cannot replace itself; a new one needs a new id.")
        version, is_new = correct_reading(
            reading=before,
            user=request.user,
            id=reading_id,
            why=said.pop("why"),
            **{name: said.pop(name, None) for name in _SENDER},
            said={name: value for name, value in said.items() if value is not None},
        )
        code = status.HTTP_201_CREATED if is_new else status.HTTP_200_OK
        return Response(ReadingSerializer(version).data, status=code)


class ReadingStrike(APIView):
    @extend_schema(request=ReadingStrikeSerializer, responses=ReadingSerializer)
    def post(self, request, slug, reading_id):
        """Say that a reading was entered by mistake, or take it up again. It stays to be read."""
        reading = reading_to_correct_for(request.user, slug, reading_id)
        asked = ReadingStrikeSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        struck = strike_reading(reading=reading, user=request.user, **asked.validated_data)
        return Response(ReadingSerializer(struck).data)


class ReadingChoose(APIView):
    @extend_schema(request=None, responses=ReadingSerializer)
    def post(self, request, slug, reading_id):
        """Let this version count alone, where two were put in the place of one."""
        reading = reading_to_correct_for(request.user, slug, reading_id)
        return Response(ReadingSerializer(choose_reading(reading=reading, user=request.user)).data)
