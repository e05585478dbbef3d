"""Addresses below /ogc/, without a slash at the end, as the standard has them."""

from django.urls import path

from blends.ogc import views

_ONE = "collections/<slug:collection_id>"

urlpatterns = [
    path("", views.Landing.as_view(), name="ogc-landing"),
    path("api", views.Api.as_view(), name="ogc-api"),
    path("conformance", views.Conformance.as_view(), name="ogc-conformance"),
    path("collections", views.Collections.as_view(), name="ogc-collections"),
    path(_ONE, views.OneCollection.as_view(), name="ogc-collection"),
    path(f"{_ONE}/items", views.Items.as_view(), name="ogc-items"),
    path(f"{_ONE}/items/<slug:feature_id>", views.Item.as_view(), name="ogc-item"),
    path("<path:rest>", views.Nothing.as_view(), name="ogc-nothing"),
]
