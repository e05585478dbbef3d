"""Addresses of people, properties, imports and jobs."""

from django.urls import path

from plots.views import (
    drawing,
    imagery,
    imports,
    jobs,
    landmarks,
    overlaps,
    people,
    pictures,
    preview_map,
    properties,
    reshaping,
)

urlpatterns = [
    path("", properties.home, name="home"),
    path("sign-in/", people.SignIn.as_view(), name="sign-in"),
    path("sign-out/", people.SignOut.as_view(), name="sign-out"),
    path("welcome/<str:token>/", people.welcome, name="welcome"),
    path("account/", people.account, name="account"),
    path("account/tokens/<int:token_id>/end/", people.token_end, name="token-end"),
    path("properties/new/", properties.property_new, name="property-new"),
    path("p/<slug:slug>/settings/", properties.property_settings, name="property-settings"),
    path("p/<slug:slug>/import/", imports.import_new, name="import-new"),
    path("p/<slug:slug>/imports/<uuid:import_id>/", imports.import_page, name="import"),
    path(
        "p/<slug:slug>/imports/<uuid:import_id>/outlines.geojson",
        preview_map.import_outlines,
        name="import-outlines",
    ),
    path("p/<slug:slug>/imports/<uuid:import_id>/original/", imports.import_original, name="import-original"),
    path("p/<slug:slug>/plots/draw/", drawing.boundary_draw, name="boundary-draw"),
    path(
        "p/<slug:slug>/plots/<int:plot_id>/boundary/edit/",
        drawing.boundary_edit,
        name="boundary-edit",
    ),
    path("p/<slug:slug>/plots/<int:plot_id>/split/", reshaping.plot_split, name="plot-split"),
    path("p/<slug:slug>/plots/<int:plot_id>/merge/", reshaping.plot_merge, name="plot-merge"),
    path("p/<slug:slug>/jobs/<uuid:job_id>/", jobs.job, name="job"),
    path("p/<slug:slug>/plots/overlaps/", overlaps.overlaps, name="overlaps"),
    path("p/<slug:slug>/plots/overlaps.geojson", overlaps.overlaps_map, name="overlaps-map"),
    path("p/<slug:slug>/landmarks/", landmarks.landmarks, name="landmarks"),
    path("p/<slug:slug>/landmarks.geojson", landmarks.landmarks_map, name="landmarks-map"),
    path("p/<slug:slug>/landmarks/new/", landmarks.landmark_new, name="landmark-new"),
    path("p/<slug:slug>/landmarks/<int:landmark_id>/", landmarks.landmark_edit, name="landmark-edit"),
    path("p/<slug:slug>/imagery/", imagery.imagery, name="imagery"),
    path("p/<slug:slug>/pictures/", pictures.pictures, name="pictures"),
    path("p/<slug:slug>/pictures/outlines.geojson", pictures.picture_outlines, name="picture-outlines"),
    path("p/<slug:slug>/pictures/<uuid:picture_id>/", pictures.picture, name="picture"),
    path("p/<slug:slug>/pictures/<uuid:picture_id>/remove/", pictures.picture_remove, name="picture-remove"),
    path(
        "p/<slug:slug>/pictures/<uuid:picture_id>/<int:z>/<int:x>/<int:y>.webp",
        pictures.picture_tile,
        name="picture-tile",
    ),
]
