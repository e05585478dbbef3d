"""The bytes of pictures, apart from the records that name them."""

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from fieldlog.access import photo_by_hash_for
from fieldlog.photos import photo_answer
from fieldlog.services.phones import check_phone
from fieldlog.services.photos import receive_photo
from plots.access import RECORD, property_for


class ArrivedSerializer(serializers.Serializer):
    sha256 = serializers.CharField()
    is_here = serializers.BooleanField()


class PhoneAsked(serializers.Serializer):
    phone_id = serializers.UUIDField(required=False)


class PhotoBytes(APIView):
    @extend_schema(
        responses={200: OpenApiResponse(OpenApiTypes.BINARY, "The picture as it is kept: without metadata.")}
    )
    def get(self, request, slug, sha256):
        """A picture by the SHA-256 of the bytes that were sent."""
        return photo_answer(request, photo_by_hash_for(request.user, slug, sha256))

    @extend_schema(
        request={f"image/{each}": OpenApiTypes.BINARY for each in ("jpeg", "png", "webp")},
        responses={200: ArrivedSerializer, 201: ArrivedSerializer},
        parameters=[
            OpenApiParameter("phone_id", OpenApiTypes.UUID, description="Of the phone that sends it.")
        ],
    )
    def put(self, request, slug, sha256):
        """The bytes of a picture that a visit or a report of work has named, by their SHA-256: at most 12 MB of JPEG, PNG
        or WebP. 201 when they are new, 200 when they are here, 404 while no record names them, 400 when they have
        another hash. Metadata is dropped; which way up it is stays."""
        property = property_for(request.user, slug, RECORD)
        asked = PhoneAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        check_phone(request.user, asked.validated_data.get("phone_id"))
        is_new = receive_photo(property=property, sha256=sha256, read=request._request.read)
        return Response(
            {"sha256": sha256, "is_here": True},
            status=status.HTTP_201_CREATED if is_new else status.HTTP_200_OK,
        )
