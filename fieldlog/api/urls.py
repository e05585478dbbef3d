"""Addresses under /api/v1/ of visits and of the calculations."""

from django.urls import path

from fieldlog.api import arithmetic, visits

_ONE = "properties/<slug:slug>/"

urlpatterns = [
    path(f"{_ONE}visits/", visits.VisitList.as_view(), name="api-visits"),
    path(f"{_ONE}visits/<uuid:visit_id>/", visits.VisitDetail.as_view(), name="api-visit"),
    path("arithmetic/", arithmetic.CalculationList.as_view(), name="api-arithmetic"),
    path("arithmetic/<slug:calculation>/", arithmetic.CalculationDetail.as_view(), name="api-calculation"),
]
