"""Addresses under /api/v1/ of properties, plots, boundaries, imports and jobs."""

from django.urls import path

from plots.api import exports, imports, landmarks, outlines, pictures, plots, record, reshaping, soil, walks

_ONE = "properties/<slug:slug>/"

urlpatterns = [
    path("properties/", plots.PropertyList.as_view(), name="api-properties"),
    path(_ONE, plots.PropertyDetail.as_view(), name="api-property"),
    path(f"{_ONE}plots/", plots.PlotList.as_view(), name="api-plots"),
    path(f"{_ONE}plots/export/", exports.PlotExport.as_view(), name="api-plots-export"),
    path(f"{_ONE}plots/<int:plot_id>/", plots.PlotDetail.as_view(), name="api-plot"),
    path(f"{_ONE}plots/<int:plot_id>/boundary/", outlines.PlotBoundary.as_view(), name="api-boundary"),
    path(f"{_ONE}boundaries/", outlines.BoundaryList.as_view(), name="api-boundaries"),
    path(
        f"{_ONE}plots/<int:plot_id>/boundaries/", record.BoundaryRecord.as_view(), name="api-boundary-record"
    ),
    path(
        f"{_ONE}plots/<int:plot_id>/boundaries/compare/",
        record.BoundaryCompare.as_view(),
        name="api-boundary-compare",
    ),
    path(
        f"{_ONE}plots/<int:plot_id>/boundaries/<int:boundary_id>/",
        record.BoundaryOfRecord.as_view(),
        name="api-boundary-of-record",
    ),
    path(
        f"{_ONE}plots/<int:plot_id>/boundaries/<int:boundary_id>/restore/",
        record.BoundaryRestore.as_view(),
        name="api-boundary-restore",
    ),
    path(f"{_ONE}overlaps/", record.OverlapList.as_view(), name="api-overlaps"),
    path(f"{_ONE}overlaps/mend/", record.OverlapMend.as_view(), name="api-overlaps-mend"),
    path(f"{_ONE}plots/<int:plot_id>/split/", reshaping.PlotSplit.as_view(), name="api-split"),
    path(f"{_ONE}plots/<int:plot_id>/merge/", reshaping.PlotMerge.as_view(), name="api-merge"),
    path(f"{_ONE}measure/", outlines.Measure.as_view(), name="api-measure"),
    path(f"{_ONE}plots/<int:plot_id>/soil-tests/", soil.PlotSoilTests.as_view(), name="api-plot-soil-tests"),
    path(f"{_ONE}landmarks/", landmarks.LandmarkList.as_view(), name="api-landmarks"),
    path(f"{_ONE}landmarks/<int:landmark_id>/", landmarks.LandmarkDetail.as_view(), name="api-landmark"),
    path(f"{_ONE}soil-tests/", soil.SoilTestList.as_view(), name="api-soil-tests"),
    path(f"{_ONE}soil-tests/<int:test_id>/", soil.SoilTestDetail.as_view(), name="api-soil-test"),
    path(f"{_ONE}walks/", walks.WalkList.as_view(), name="api-walks"),
    path(f"{_ONE}walks/<uuid:walk_id>/", walks.WalkDetail.as_view(), name="api-walk"),
    path(f"{_ONE}walks/<uuid:walk_id>/accept/", walks.WalkAccept.as_view(), name="api-walk-accept"),
    path(f"{_ONE}walks/<uuid:walk_id>/set-aside/", walks.WalkSetAside.as_view(), name="api-walk-set-aside"),
    path(f"{_ONE}imports/", imports.ImportList.as_view(), name="api-imports"),
    path(f"{_ONE}imports/<uuid:import_id>/", imports.ImportDetail.as_view(), name="api-import"),
    path(f"{_ONE}imports/<uuid:import_id>/accept/", imports.ImportAccept.as_view(), name="api-import-accept"),
    path(f"{_ONE}jobs/<uuid:job_id>/", imports.JobDetail.as_view(), name="api-job"),
    path(f"{_ONE}pictures/", pictures.PictureList.as_view(), name="api-pictures"),
    path(f"{_ONE}pictures/<uuid:picture_id>/", pictures.PictureDetail.as_view(), name="api-picture"),
]
