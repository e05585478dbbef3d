"""Protocols: how things are measured on a property."""

from django.http import Http404
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import generics, serializers, status
from rest_framework.response import Response

from fieldlog.kinds import KINDS
from fieldlog.queries.protocols import protocol_of, protocols_of
from fieldlog.services.protocols import (
    LONGEST_INSTRUCTIONS,
    LONGEST_NAME,
    MOST_DAYS,
    add_protocol,
    change_protocol,
)
from plots.access import OWN, property_for
from plots.api.serializers import IdField


@extend_schema_field({"type": "object", "additionalProperties": True})
class SettingsField(serializers.Field):
    """{setting: value}, by the settings of the kind; the service checks them."""

    def to_internal_value(self, said):
        if not isinstance(said, dict):
            raise serializers.ValidationError(
                f"The settings are {str(said)[:40]!r}; an object by setting is accepted."
            )
        return said

    def to_representation(self, value):
        return value


class ProtocolSerializer(serializers.Serializer):
    key = serializers.CharField(read_only=True)
    kind = serializers.ChoiceField(
        choices=[(key, kind.title) for key, kind in KINDS.items()],
        source="kind.key",
        required=False,
        help_text="What kind of reading it is; fixed once it is there.",
    )
    name = serializers.CharField(max_length=LONGEST_NAME)
    instructions = serializers.CharField(max_length=LONGEST_INSTRUCTIONS, allow_blank=True, required=False)
    settings = SettingsField(required=False, help_text="What is left out is as the tool has it.")
    is_on = serializers.BooleanField(required=False, help_text="Whether visits ask for it.")
    plot_ids = serializers.ListField(
        child=IdField(), allow_null=True, required=False, help_text="On which plots; null is all of them."
    )
    every_days = serializers.IntegerField(
        min_value=1,
        max_value=MOST_DAYS,
        allow_null=True,
        required=False,
        help_text="Due again after so many days; null is offered and never due.",
    )
    is_own = serializers.BooleanField(read_only=True, help_text="Made here, beside those of the tool.")
    is_changed = serializers.BooleanField(read_only=True, help_text="Other than the tool has it.")
    asks = serializers.SerializerMethodField(help_text="The questions that a visit asks.")

    def get_asks(self, now) -> list[str]:
        return [step.label for step in now.steps]


class ProtocolChangeSerializer(ProtocolSerializer):
    kind = serializers.CharField(source="kind.key", read_only=True)
    name = serializers.CharField(max_length=LONGEST_NAME, required=False)


class Protocols(generics.GenericAPIView):
    @extend_schema(responses=ProtocolSerializer(many=True))
    def get(self, request, slug):
        """The property's protocols: the tool's as they were changed here, then its own."""
        page = self.paginate_queryset(protocols_of(property_for(request.user, slug)))
        return self.get_paginated_response(ProtocolSerializer(page, many=True).data)

    @extend_schema(request=ProtocolSerializer, responses={201: ProtocolSerializer})
    def post(self, request, slug):
        """Add a protocol of a kind beside the tool's."""
        property = property_for(request.user, slug, OWN)
        said = _given(ProtocolSerializer(data=request.data))
        kind = said.pop("kind", {}).get("key", "")
        now = add_protocol(property=property, user=request.user, kind=kind, **said)
        return Response(ProtocolSerializer(now).data, status=status.HTTP_201_CREATED)


class ProtocolDetail(generics.GenericAPIView):
    @extend_schema(responses=ProtocolSerializer)
    def get(self, request, slug, key):
        """One protocol."""
        return Response(ProtocolSerializer(_found(property_for(request.user, slug), key)).data)

    @extend_schema(request=ProtocolChangeSerializer, responses=ProtocolSerializer)
    def put(self, request, slug, key):
        """Change a protocol; what is left out stays, and what it said before is kept."""
        property = property_for(request.user, slug, OWN)
        now = _found(property, key)
        said = _given(ProtocolChangeSerializer(data=request.data))
        stays = {
            name: getattr(now, name)
            for name in ("name", "instructions", "settings", "is_on", "plot_ids", "every_days")
        }
        now = change_protocol(property=property, user=request.user, key=key, **stays | said)
        return Response(ProtocolSerializer(now).data)


def _found(property, key):
    now = protocol_of(property, key)
    if now is None:
        raise Http404
    return now


def _given(serializer):
    serializer.is_valid(raise_exception=True)
    return dict(serializer.validated_data)
