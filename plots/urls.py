"""Addresses of people, properties, imports and jobs."""

from django.http import HttpResponse
from django.urls import path

from plots.views import people, properties


def pending(request, **kwargs):
    return HttpResponse(status=501)


pending.section = ""

urlpatterns = [
    path("", properties.home, name="home"),
    path("sign-in/", people.SignIn.as_view(), name="sign-in"),
    path("sign-out/", people.SignOut.as_view(), name="sign-out"),
    path("welcome/<str:token>/", people.welcome, name="welcome"),
    path("account/", people.account, name="account"),
    path("account/tokens/<int:token_id>/end/", people.token_end, name="token-end"),
    path("properties/new/", properties.property_new, name="property-new"),
    path("p/<slug:slug>/import/", pending, name="import-new"),
    path("p/<slug:slug>/imports/<uuid:import_id>/", pending, name="import"),
    path("p/<slug:slug>/imports/<uuid:import_id>/outlines.geojson", pending, name="import-outlines"),
    path("p/<slug:slug>/imports/<uuid:import_id>/original/", pending, name="import-original"),
    path("p/<slug:slug>/jobs/<uuid:job_id>/", pending, name="job"),
]
