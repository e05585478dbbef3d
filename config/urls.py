"""Every address of the site. Each app lists its own."""

from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

urlpatterns = [
    path("api/schema/", SpectacularAPIView.as_view(), name="api-schema"),
    path("api/v1/", include("plots.api.urls")),
    path("api/v1/", include("blends.api.urls")),
    path("api/v1/", include("fieldlog.api.urls")),
    path("ogc/", include("blends.ogc.urls")),
    path("", include("plots.urls")),
    path("", include("blends.urls")),
    path("", include("fieldlog.urls")),
]
