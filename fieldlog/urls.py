"""Addresses of the pages that show things from several apps, and of the calculators."""

from django.urls import path

from fieldlog.views import (
    arithmetic,
    boundaries,
    connect,
    exports,
    field,
    gis,
    overview,
    plots,
    safety,
    sheets,
    visits,
    walks,
)

urlpatterns = [
    path("p/<slug:slug>/", overview.overview, name="overview"),
    path("p/<slug:slug>/outlines.geojson", overview.outlines, name="overview-outlines"),
    path("p/<slug:slug>/plots/export/", exports.export_page, name="plots-export"),
    path("p/<slug:slug>/plots/export.<str:form>", exports.export_file, name="plots-export-file"),
    path("p/<slug:slug>/gis/", gis.gis, name="gis"),
    path("connect/", connect.connect, name="connect"),
    path("connect/authority.crt", connect.authority, name="connect-authority"),
    path("p/<slug:slug>/plots/<int:plot_id>/", plots.plot, name="plot"),
    path("p/<slug:slug>/plots/<int:plot_id>/edit/", plots.plot_edit, name="plot-edit"),
    path(
        "p/<slug:slug>/plots/<int:plot_id>/boundaries/",
        boundaries.boundary_history,
        name="boundary-history",
    ),
    path("p/<slug:slug>/plots/<int:plot_id>/visits/", visits.visits, name="visits"),
    path("p/<slug:slug>/plots/<int:plot_id>/visits/new/", visits.visit_new, name="visit-new"),
    path("p/<slug:slug>/visits/<uuid:visit_id>/edit/", visits.visit_edit, name="visit-edit"),
    path("sw.js", walks.service_worker, name="service-worker"),
    path("field/walk/", walks.walk_shell, name="walk-shell"),
    path("p/<slug:slug>/walk/", walks.walk, name="walk"),
    path("p/<slug:slug>/walk/ground.json", walks.walk_ground, name="walk-ground"),
    path("p/<slug:slug>/walks/", walks.walks, name="walks"),
    path("p/<slug:slug>/walks/<uuid:walk_id>/", walks.walk_review, name="walk-review"),
    path("p/<slug:slug>/walks/<uuid:walk_id>/track.geojson", walks.walk_track, name="walk-track"),
    path("p/<slug:slug>/walks/<uuid:walk_id>/track.gpx", walks.walk_gpx, name="walk-gpx"),
    path("field/", field.field_shell, name="field-shell"),
    path("p/<slug:slug>/field/", field.field, name="field"),
    path("p/<slug:slug>/field/field.json", field.field_facts, name="field-facts"),
    path("field/sheets/", sheets.sheets_shell, name="sheets-shell"),
    path("p/<slug:slug>/seasons/<slug:season>/field/", sheets.field_sheets, name="field-sheets"),
    path(
        "p/<slug:slug>/seasons/<slug:season>/field/planting.json",
        sheets.field_planting,
        name="field-planting",
    ),
    path("p/<slug:slug>/safety/", safety.safety, name="safety"),
    path(
        "p/<slug:slug>/check-ins/<uuid:check_in_id>/end/",
        safety.check_in_end,
        name="check-in-end",
    ),
    path("p/<slug:slug>/arithmetic/", arithmetic.arithmetic, name="arithmetic"),
    path("p/<slug:slug>/arithmetic/<slug:calculation>/", arithmetic.calculator, name="calculator"),
]
