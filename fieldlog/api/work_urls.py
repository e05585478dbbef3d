"""Addresses under /api/v1/ of work."""

from django.urls import path

from fieldlog.api import work

_ONE = "properties/<slug:slug>/"

urlpatterns = [
    path(f"{_ONE}work/", work.WorkList.as_view(), name="api-work"),
    path(f"{_ONE}work/minutes/", work.WorkMinutes.as_view(), name="api-work-minutes"),
    path(f"{_ONE}work/<uuid:work_id>/", work.WorkDetail.as_view(), name="api-work-item"),
    path(f"{_ONE}work-reports/<uuid:report_id>/", work.WorkReportDetail.as_view(), name="api-work-report"),
    path(
        f"{_ONE}work-reports/<uuid:report_id>/strike/",
        work.WorkReportStrike.as_view(),
        name="api-work-report-strike",
    ),
]
