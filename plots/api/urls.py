"""Addresses under /api/v1/ of properties, plots, boundaries, imports and jobs."""

from django.urls import path

from plots.api import imports, plots

_ONE = "properties/<slug:slug>/"

urlpatterns = [
    path("properties/", plots.PropertyList.as_view(), name="api-properties"),
    path(_ONE, plots.PropertyDetail.as_view(), name="api-property"),
    path(f"{_ONE}plots/", plots.PlotList.as_view(), name="api-plots"),
    path(f"{_ONE}plots/<int:plot_id>/", plots.PlotDetail.as_view(), name="api-plot"),
    path(f"{_ONE}plots/<int:plot_id>/boundary/", plots.PlotBoundary.as_view(), name="api-boundary"),
    path(f"{_ONE}boundaries/", plots.BoundaryList.as_view(), name="api-boundaries"),
    path(f"{_ONE}imports/", imports.ImportList.as_view(), name="api-imports"),
    path(f"{_ONE}imports/<uuid:import_id>/", imports.ImportDetail.as_view(), name="api-import"),
    path(f"{_ONE}imports/<uuid:import_id>/accept/", imports.ImportAccept.as_view(), name="api-import-accept"),
    path(f"{_ONE}jobs/<uuid:job_id>/", imports.JobDetail.as_view(), name="api-job"),
]
