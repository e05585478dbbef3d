"""Addresses of people, properties, imports and jobs."""

from django.urls import path

from plots.views import imports, jobs, people, preview_map, properties

urlpatterns = [
    path("", properties.home, name="home"),
    path("sign-in/", people.SignIn.as_view(), name="sign-in"),
    path("sign-out/", people.SignOut.as_view(), name="sign-out"),
    path("welcome/<str:token>/", people.welcome, name="welcome"),
    path("account/", people.account, name="account"),
    path("account/tokens/<int:token_id>/end/", people.token_end, name="token-end"),
    path("properties/new/", properties.property_new, name="property-new"),
    path("p/<slug:slug>/import/", imports.import_new, name="import-new"),
    path("p/<slug:slug>/imports/<uuid:import_id>/", imports.import_page, name="import"),
    path(
        "p/<slug:slug>/imports/<uuid:import_id>/outlines.geojson",
        preview_map.import_outlines,
        name="import-outlines",
    ),
    path("p/<slug:slug>/imports/<uuid:import_id>/original/", imports.import_original, name="import-original"),
    path("p/<slug:slug>/jobs/<uuid:job_id>/", jobs.job, name="job"),
]
