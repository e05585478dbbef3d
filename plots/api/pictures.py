"""The property's own pictures of its ground."""

from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import generics, serializers, status
from rest_framework.parsers import MultiPartParser
from rest_framework.response import Response
from rest_framework.views import APIView

from plots.access import EDIT, property_for, row_for
from plots.backdrop import pictures_for, tile_template
from plots.models import GroundPicture
from plots.pictures.limits import MAX_FILE_BYTES
from plots.services.pictures import receive_picture
from plots.uploads import takes_files


class PictureSerializer(serializers.ModelSerializer):
    needs = serializers.SerializerMethodField(
        help_text="'crs', 'world' or 'far' while it waits for an answer."
    )
    bounds = serializers.SerializerMethodField(
        help_text="West, south, east and north on WGS84 [degrees]; null until it is placed."
    )
    ground_pixel_m = serializers.FloatField(
        source="pixel_m", allow_null=True, read_only=True, help_text="Ground that a pixel covers [m]."
    )
    tiles = serializers.SerializerMethodField(
        help_text="Address of its tiles with {z}, {x} and {y}; null until it is cut."
    )
    job = serializers.UUIDField(source="job_id", allow_null=True, read_only=True)

    class Meta:
        model = GroundPicture
        fields = [
            *("id", "name", "file_name", "taken_on", "state", "said", "needs", "bounds", "ground_pixel_m"),
            *("min_zoom", "max_zoom", "tile_bytes", "tiles", "is_shown", "job", "created_at"),
        ]

    @extend_schema_field({"type": "string", "nullable": True})
    def get_needs(self, row):
        return row.report.get("needs")

    @extend_schema_field({"type": "array", "items": {"type": "number"}, "nullable": True})
    def get_bounds(self, row):
        return row.bounds

    @extend_schema_field({"type": "string", "nullable": True})
    def get_tiles(self, row):
        is_ready = row.state == GroundPicture.State.READY
        return tile_template(self.context["slug"], row.pk) if is_ready else None


class PictureFileSerializer(serializers.Serializer):
    file = serializers.FileField(allow_empty_file=True, help_text="GeoTIFF, PNG or JPEG, at most 200 MB.")
    name = serializers.CharField(max_length=80, required=False, allow_blank=True)
    taken_on = serializers.DateField(required=False, allow_null=True)
    world_file = serializers.FileField(required=False, allow_empty_file=True)
    prj_file = serializers.FileField(required=False, allow_empty_file=True)
    crs = serializers.CharField(
        max_length=40, required=False, allow_blank=True, help_text="Such as EPSG:26915."
    )


@takes_files(MAX_FILE_BYTES)
class PictureList(generics.ListAPIView):
    """Pictures of the property's ground, the one taken last first."""

    serializer_class = PictureSerializer
    queryset = GroundPicture.objects.none()
    parser_classes = [MultiPartParser]

    def get_queryset(self):
        return pictures_for(property_for(self.request.user, self.kwargs["slug"]))

    def get_serializer_context(self):
        return super().get_serializer_context() | {"slug": self.kwargs.get("slug")}

    @extend_schema(request={"multipart/form-data": PictureFileSerializer}, responses={201: PictureSerializer})
    def post(self, request, slug):
        """Send a picture. It is kept, and cut into tiles by the job that is named.

        State 'asking' means that an answer is missing (`said`, `needs`), which the picture's page takes; a file that
        cannot be used is answered with status 400 and the sentence that says why.
        """
        property = property_for(request.user, slug, EDIT)
        asked = PictureFileSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        said = dict(asked.validated_data)
        row = receive_picture(
            property=property,
            user=request.user,
            upload=said.pop("file"),
            lacks_room=getattr(request._request, "lacks_room", False),
            **said,
        )
        return Response(PictureSerializer(row, context={"slug": slug}).data, status=status.HTTP_201_CREATED)


class PictureDetail(APIView):
    @extend_schema(responses=PictureSerializer)
    def get(self, request, slug, picture_id):
        """One of them."""
        row = row_for(request.user, slug, GroundPicture.objects.all(), pk=picture_id)
        return Response(PictureSerializer(row, context={"slug": slug}).data)
