"""Addresses of people, properties, imports and jobs."""

from django.http import HttpResponse
from django.urls import path


def pending(request, **kwargs):
    return HttpResponse(status=501)


pending.section = ""

urlpatterns = [
    path("", pending, name="home"),
    path("sign-in/", pending, name="sign-in"),
    path("sign-out/", pending, name="sign-out"),
    path("welcome/<str:token>/", pending, name="welcome"),
    path("account/", pending, name="account"),
    path("account/tokens/<int:token_id>/end/", pending, name="token-end"),
    path("properties/new/", pending, name="property-new"),
    path("p/<slug:slug>/import/", pending, name="import-new"),
    path("p/<slug:slug>/imports/<uuid:import_id>/", pending, name="import"),
    path("p/<slug:slug>/imports/<uuid:import_id>/outlines.geojson", pending, name="import-outlines"),
    path("p/<slug:slug>/imports/<uuid:import_id>/original/", pending, name="import-original"),
    path("p/<slug:slug>/jobs/<uuid:job_id>/", pending, name="job"),
]
