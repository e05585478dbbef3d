"""Landmarks as GeoJSON: points, lines and areas with a note, no part of any acreage."""

import json

from django.db import transaction
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field
from rest_framework import serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from config.errors import Refused
from plots.access import RECORD, check_may_correct, landmark_for, property_for
from plots.api.formats import GeoJSONAnswers, GeoJSONParser
from plots.asked import bbox_asked
from plots.geojson import as_stored
from plots.ground import landmarks_for
from plots.landmark_places import measures_of, place_from
from plots.models import Landmark
from plots.services.landmarks import add_landmark, archive_landmark, bring_back_landmark, change_landmark
from plots.uploads import SafeJSONParser

MOST_AT_ONCE = 2_000

_GEOMETRY = {
    "type": "object",
    "description": (
        "GeoJSON in longitude and latitude on WGS84: a Point for a gate, a well or a camera; a LineString or "
        "MultiLineString for a road or a power line; a Polygon or MultiPolygon to keep out of; any of them for "
        "something else."
    ),
    "properties": {"type": {"type": "string"}, "coordinates": {"type": "array", "items": {}}},
    "required": ["type", "coordinates"],
}


@extend_schema_field(_GEOMETRY)
class _PlaceField(serializers.JSONField):
    """Passed on as it is; plots.landmark_places checks it."""


class LandmarkFactsSerializer(serializers.ModelSerializer):
    length_ft = serializers.FloatField(read_only=True, allow_null=True, help_text="Of a line; else null.")
    acres_inside = serializers.FloatField(
        read_only=True, allow_null=True, help_text="Of an area, no part of any acreage; else null."
    )

    class Meta:
        model = Landmark
        fields = ["kind", "name", "note", "is_archived", "length_ft", "acres_inside", "created_at"]


class LandmarkSerializer(serializers.Serializer):
    """A GeoJSON Feature. `is_sure` passes over the question why it lies far from every plot."""

    type = serializers.CharField(default="Feature", help_text="Feature")
    id = serializers.IntegerField(read_only=True)
    geometry = _PlaceField()
    properties = LandmarkFactsSerializer()
    is_sure = serializers.BooleanField(default=False, write_only=True)


class LandmarkCollectionSerializer(serializers.Serializer):
    type = serializers.CharField(help_text="FeatureCollection")
    features = LandmarkSerializer(many=True)


class LandmarkList(GeoJSONAnswers, APIView):
    parser_classes = [SafeJSONParser, GeoJSONParser]

    @extend_schema(
        operation_id="landmarks_list",
        parameters=[
            OpenApiParameter("bbox", str, description="west,south,east,north in degrees."),
            OpenApiParameter("archived", bool, description="Those that were set aside instead."),
        ],
        responses={(200, "application/geo+json"): LandmarkCollectionSerializer},
    )
    def get(self, request, slug):
        """The property's landmarks."""
        property = property_for(request.user, slug)
        archived = request.query_params.get("archived", "").lower() in ("1", "true")
        found = landmarks_for(property, bbox=bbox_asked(request.query_params), archived=archived)
        rows = list(found[: MOST_AT_ONCE + 1])
        if len(rows) > MOST_AT_ONCE:
            raise Refused(
                f"More than {MOST_AT_ONCE:,} landmarks lie there; ask for a smaller bbox to get at most "
                f"{MOST_AT_ONCE:,}."
            )
        return Response({"type": "FeatureCollection", "features": _features(rows)})

    @extend_schema(
        request={"application/json": LandmarkSerializer, "application/geo+json": LandmarkSerializer},
        responses={(201, "application/geo+json"): LandmarkSerializer},
    )
    def post(self, request, slug):
        """Put a landmark on the map."""
        property = property_for(request.user, slug, RECORD)
        given = LandmarkSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        values = given.validated_data
        facts = dict(values["properties"])
        is_archived = facts.pop("is_archived", False)
        with transaction.atomic():
            landmark = add_landmark(
                property=property,
                user=request.user,
                geometry=place_from(values["geometry"], facts["kind"]),
                is_sure=values["is_sure"],
                **facts,
            )
            if is_archived:
                landmark = archive_landmark(landmark=landmark, user=request.user)
        return Response(_features([landmark])[0], status=status.HTTP_201_CREATED)


class LandmarkDetail(GeoJSONAnswers, APIView):
    parser_classes = [SafeJSONParser, GeoJSONParser]

    @extend_schema(responses={(200, "application/geo+json"): LandmarkSerializer})
    def get(self, request, slug, landmark_id):
        """One landmark."""
        return Response(_features([landmark_for(request.user, slug, landmark_id)])[0])

    @extend_schema(
        request={"application/json": LandmarkSerializer, "application/geo+json": LandmarkSerializer},
        responses={(200, "application/geo+json"): LandmarkSerializer},
    )
    @transaction.atomic
    def patch(self, request, slug, landmark_id):
        """Change it, set it aside or bring it back. Name and note may be changed by whoever records; the rest by
        who added it and by who edits. What it said before is kept."""
        landmark = landmark_for(request.user, slug, landmark_id, RECORD)
        given = LandmarkSerializer(data=request.data, partial=True)
        given.is_valid(raise_exception=True)
        values = given.validated_data
        facts = dict(values.get("properties", {}))
        if "geometry" in values or facts.keys() - {"name", "note"}:
            check_may_correct(request.user, landmark.property, landmark)
        is_archived = facts.pop("is_archived", landmark.is_archived)
        if "geometry" in values:
            facts["geometry"] = place_from(values["geometry"], facts.get("kind", landmark.kind))
        changed = change_landmark(
            landmark=landmark, user=request.user, is_sure=values.get("is_sure", False), **facts
        )
        if is_archived != changed.is_archived:
            act = archive_landmark if is_archived else bring_back_landmark
            changed = act(landmark=changed, user=request.user)
        return Response(_features([changed])[0])


def _features(landmarks):
    geometries = [landmark.geometry for landmark in landmarks]
    for landmark, (length_ft, acres) in zip(landmarks, measures_of(geometries), strict=True):
        landmark.length_ft, landmark.acres_inside = length_ft, acres
    return [
        {
            "type": "Feature",
            "id": landmark.pk,
            "geometry": json.loads(geometry),
            "properties": LandmarkFactsSerializer(landmark).data,
        }
        for landmark, geometry in zip(landmarks, as_stored(geometries), strict=True)
    ]
