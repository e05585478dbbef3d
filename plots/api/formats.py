"""GeoJSON in and out of the API under its own media type."""

from rest_framework.renderers import JSONRenderer

from plots.geojson import MEDIA_TYPE
from plots.uploads import SafeJSONParser


class GeoJSONRenderer(JSONRenderer):
    media_type = MEDIA_TYPE
    format = "geojson"


class GeoJSONParser(SafeJSONParser):
    media_type = MEDIA_TYPE


class GeoJSONAnswers:
    """Answers as GeoJSON; what went wrong is plain JSON."""

    renderer_classes = [GeoJSONRenderer, JSONRenderer]

    def finalize_response(self, request, response, *args, **kwargs):
        response = super().finalize_response(request, response, *args, **kwargs)
        if getattr(response, "exception", False):
            response.accepted_renderer = JSONRenderer()
            response.accepted_media_type = JSONRenderer.media_type
        return response
