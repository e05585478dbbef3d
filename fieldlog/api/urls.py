"""Addresses under /api/v1/ of visits and of the calculations."""

from django.urls import path, register_converter

from fieldlog.api import arithmetic, check_ins, phones_urls, photos, protocols, readings, visits, work_urls
from fieldlog.api.hashes import Sha256

register_converter(Sha256, "sha256")
_ONE = "properties/<slug:slug>/"

urlpatterns = [
    path(f"{_ONE}visits/", visits.VisitList.as_view(), name="api-visits"),
    path(f"{_ONE}visits/batch/", visits.VisitBatch.as_view(), name="api-visit-batch"),
    path(f"{_ONE}visits/<uuid:visit_id>/", visits.VisitDetail.as_view(), name="api-visit"),
    path(f"{_ONE}readings/<uuid:reading_id>/", readings.ReadingDetail.as_view(), name="api-reading"),
    path(
        f"{_ONE}readings/<uuid:reading_id>/strike/",
        readings.ReadingStrike.as_view(),
        name="api-reading-strike",
    ),
    path(
        f"{_ONE}readings/<uuid:reading_id>/choose/",
        readings.ReadingChoose.as_view(),
        name="api-reading-choose",
    ),
    path(f"{_ONE}photos/<sha256:sha256>/", photos.PhotoBytes.as_view(), name="api-photo"),
    path(f"{_ONE}check-ins/<uuid:check_in_id>/", check_ins.CheckInDetail.as_view(), name="api-check-in"),
    path(f"{_ONE}protocols/", protocols.Protocols.as_view(), name="api-protocols"),
    path(f"{_ONE}protocols/<slug:key>/", protocols.ProtocolDetail.as_view(), name="api-protocol"),
    path("arithmetic/", arithmetic.CalculationList.as_view(), name="api-arithmetic"),
    path("arithmetic/<slug:calculation>/", arithmetic.CalculationDetail.as_view(), name="api-calculation"),
    *work_urls.urlpatterns,
    *phones_urls.urlpatterns,
]
