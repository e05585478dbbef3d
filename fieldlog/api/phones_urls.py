"""Addresses under /api/v1/ of phones."""

from django.urls import path

from fieldlog.api import phones

urlpatterns = [path("phones/<uuid:phone_id>/", phones.PhoneDetail.as_view(), name="api-phone")]
