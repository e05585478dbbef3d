"""Addresses of the pages of visits, readings and pictures."""

from django.urls import path

from fieldlog.views import photos, readings, visits

_ONE = "p/<slug:slug>/"

urlpatterns = [
    path(f"{_ONE}visits/", visits.visit_log, name="visit-log"),
    path(f"{_ONE}visits/<uuid:visit_id>/", visits.visit, name="visit"),
    path(f"{_ONE}visits/<uuid:visit_id>/edit/", visits.visit_edit, name="visit-edit"),
    path(f"{_ONE}visits/<uuid:visit_id>/readings/new/", readings.reading_new, name="reading-new"),
    path(f"{_ONE}visits/<uuid:visit_id>/photos/new/", photos.photo_add, name="photo-add"),
    path(f"{_ONE}readings/<uuid:reading_id>/edit/", readings.reading_edit, name="reading-edit"),
    path(f"{_ONE}readings/<uuid:reading_id>/strike/", readings.reading_strike, name="reading-strike"),
    path(f"{_ONE}readings/<uuid:reading_id>/choose/", readings.reading_choose, name="reading-choose"),
    path(f"{_ONE}photos/<uuid:photo_id>/", photos.photo, name="photo"),
    path(f"{_ONE}photos/<uuid:photo_id>/strike/", photos.photo_strike, name="photo-strike"),
    path(f"{_ONE}photos/<uuid:photo_id>/point/", photos.photo_point_new, name="photo-point-new"),
    path(f"{_ONE}plots/<int:plot_id>/pictures/", photos.photo_points, name="photo-points"),
    path(
        f"{_ONE}photo-points/<int:point_id>/archive/", photos.photo_point_archive, name="photo-point-archive"
    ),
]
