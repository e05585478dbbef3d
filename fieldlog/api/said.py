"""How visits, readings and pictures are said in JSON by whoever records them."""

import math

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from config.errors import LONGEST_TEXT, Refused
from fieldlog.services.photo_facts import LONGEST_CAPTION, MOST_PHOTOS
from fieldlog.services.readings import LONGEST_NOTE as LONGEST_OF_READING
from fieldlog.services.said import LONGEST_NOTE, PHOTO, READING, RefusedPart
from plots.api.serializers import IdField

MOST_READINGS = 200  # of one visit; ours
MOST_VISITS = 100  # of one batch
JSON_OBJECT = {"type": "object", "additionalProperties": True}


class NumberField(serializers.FloatField):
    """A number that is one: neither NaN nor without end."""

    def to_internal_value(self, data):
        value = super().to_internal_value(data)
        if not math.isfinite(value):
            raise serializers.ValidationError(f"{str(data)[:40]} is no number; a finite one is accepted.")
        return value


@extend_schema_field(JSON_OBJECT)
class AnswersField(serializers.Field):
    """Passed on as it is: the kind of reading knows what is accepted."""

    def to_internal_value(self, data):
        if not isinstance(data, dict):
            raise serializers.ValidationError(f"This is {str(data)[:40]!r}; an object by name is accepted.")
        return data

    def to_representation(self, value):
        return value


class PlaceSerializer(serializers.Serializer):
    lon = NumberField(required=False, allow_null=True, min_value=-180, max_value=180)
    lat = NumberField(required=False, allow_null=True, min_value=-90, max_value=90)
    accuracy_m = NumberField(
        required=False, allow_null=True, min_value=0, max_value=1e6, help_text="95 % radius, metres."
    )


class ReadingSaidSerializer(PlaceSerializer):
    id = serializers.UUIDField(help_text="Made where it is recorded.")
    kind = serializers.CharField(max_length=20)
    protocol = serializers.SlugField(max_length=40, required=False, allow_blank=True)
    settings = AnswersField(required=False, allow_null=True, help_text="Of the protocol when it was taken.")
    values = AnswersField(
        required=False, allow_null=True, help_text="Answers by the names of the kind's steps."
    )
    sure_of = serializers.ListField(
        child=serializers.CharField(max_length=60),
        required=False,
        max_length=100,
        help_text="Names of steps that were questioned and stood by.",
    )
    taken_at = serializers.DateTimeField(
        required=False, allow_null=True, help_text="By the phone's clock; else when the visit was."
    )
    note = serializers.CharField(required=False, allow_blank=True, max_length=LONGEST_OF_READING)


class PhotoSaidSerializer(PlaceSerializer):
    id = serializers.UUIDField(help_text="Made where it is taken.")
    sha256 = serializers.RegexField(
        r"^[0-9a-fA-F]{64}\Z", help_text="Of the bytes that follow, in hexadecimal."
    )
    taken_at = serializers.DateTimeField(required=False, allow_null=True)
    bearing_deg = NumberField(
        required=False, allow_null=True, min_value=0, max_value=360, help_text="From true north through east."
    )
    caption = serializers.CharField(required=False, allow_blank=True, max_length=LONGEST_CAPTION)
    reading_id = serializers.UUIDField(required=False, allow_null=True)
    point_id = IdField(required=False, allow_null=True, help_text="The photo point that it was taken from.")


class SenderSerializer(serializers.Serializer):
    recorded_by = IdField(
        required=False, allow_null=True, help_text="Id of who was signed in while recording; 409 for another."
    )
    phone_id = serializers.UUIDField(required=False, allow_null=True)
    sent_at = serializers.DateTimeField(
        required=False,
        allow_null=True,
        help_text="By the same clock as the other moments; where it is off they are put right.",
    )


class VisitSaidSerializer(PlaceSerializer):
    plot_id = IdField()
    visited_at = serializers.DateTimeField(
        help_text="Such as 2026-11-20T16:05:00-06:00; without an offset it is in the site's time zone."
    )
    note = serializers.CharField(required=False, allow_blank=True, default="", max_length=LONGEST_NOTE)
    readings = ReadingSaidSerializer(many=True, required=False)
    photos = PhotoSaidSerializer(many=True, required=False)


class VisitPutSerializer(VisitSaidSerializer, SenderSerializer):
    """A visit with what was read and photographed there."""


class VisitInBatchSerializer(VisitSaidSerializer):
    id = serializers.UUIDField(help_text="Made where it is recorded.")
    recorded_by = IdField(required=False, allow_null=True)


class BatchSerializer(SenderSerializer):
    visits = VisitInBatchSerializer(many=True, max_length=MOST_VISITS)


class PartField(serializers.Field):
    """Read later and by itself, so that what is wrong with it keeps nothing else."""

    def to_internal_value(self, data):
        return data


def parts(most, **how):
    """A list of at most so many parts."""
    return serializers.ListField(child=PartField(), max_length=most, **how)


class VisitPutReader(VisitPutSerializer):
    readings = parts(MOST_READINGS, required=False)
    photos = parts(MOST_PHOTOS, required=False)


class VisitInBatchReader(VisitInBatchSerializer):
    readings = parts(MOST_READINGS, required=False)
    photos = parts(MOST_PHOTOS, required=False)


class BatchReader(BatchSerializer):
    visits = parts(MOST_VISITS)


class PartsReader:
    """Reads readings and pictures one by one; made once for many."""

    def __init__(self):
        self._by_name = {
            "readings": (READING, ReadingSaidSerializer()),
            "photos": (PHOTO, PhotoSaidSerializer()),
        }

    def read(self, name, raws):
        """Those that have the shape, and a `RefusedPart` for each that has not."""
        what, serializer = self._by_name[name]
        good, refused = [], []
        for raw in raws:
            try:
                good.append(serializer.run_validation(raw))
            except serializers.ValidationError as error:
                refused.append(_refused(raw, what, error))
        return good, refused


def _refused(raw, what, error):
    part_id = raw.get("id") if isinstance(raw, dict) else ""
    refusal = refused_in_words(error)
    part_id = part_id[:36] if isinstance(part_id, str) else ""
    return RefusedPart(part_id, what, refusal.code, refusal.sentence, refusal.fields)


def refused_in_words(error):
    """A Refused with the words of a serializer's error, field by field."""
    detail = error.detail if isinstance(error.detail, dict) else {"": error.detail}
    fields = {name: [str(text)[:LONGEST_TEXT] for text in _flat(texts)] for name, texts in detail.items()}
    fields = {("" if name == "non_field_errors" else name): texts for name, texts in fields.items()}
    sentence = " ".join((f"{name}: " if name else "") + " ".join(texts) for name, texts in fields.items())
    return Refused(sentence, fields=fields)


def _flat(detail):
    if isinstance(detail, dict):
        return [text for inner in detail.values() for text in _flat(inner)]
    if isinstance(detail, list):
        return [text for inner in detail for text in _flat(inner)]
    return [detail]
