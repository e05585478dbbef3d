"""The door of plots/access.py for what is recorded on the ground."""

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import get_object_or_404

from fieldlog.models import Photo, PhotoPoint, Reading, Visit
from fieldlog.queries.visits import visits_for
from plots.access import EDIT, RECORD, VIEW, property_for, row_for


def visit_for(user, slug, visit_id, may=VIEW):
    property = property_for(user, slug, may)
    visit = get_object_or_404(visits_for(property), pk=visit_id)
    visit.plot.property = property
    return visit


def visit_to_correct_for(user, slug, visit_id):
    """A visit that the person recorded, or any for who may edit."""
    visit = visit_for(user, slug, visit_id, RECORD)
    if not may_correct_visit(user, visit):
        raise PermissionDenied("Somebody else recorded this visit; they or a manager can correct it.")
    return visit


def may_correct_visit(user, visit):
    """Whoever edits may, and who recorded it. Its plot carries the property of the door."""
    allowed = visit.plot.property.allowed
    return EDIT in allowed or (RECORD in allowed and visit.recorded_by_id == user.pk)


def check_visit_is_of(property, visit_id):
    """Http404 where the id names a visit to another property; one that names none may be recorded."""
    if Visit.objects.filter(pk=visit_id).exclude(plot__property=property).exists():
        raise Http404


def reading_for(user, slug, reading_id, may=VIEW):
    """Any version of a reading, with its visit and plot."""
    property = property_for(user, slug, may)
    rows = Reading.objects.select_related("visit__plot", "visit__recorded_by", "recorded_by")
    reading = get_object_or_404(rows.filter(visit__plot__property=property), pk=reading_id)
    reading.visit.plot.property = property
    return reading


def reading_to_correct_for(user, slug, reading_id):
    """A reading that the person recorded or of their own visit, or any for who may edit."""
    reading = reading_for(user, slug, reading_id, RECORD)
    if not may_correct_reading(user, reading):
        raise PermissionDenied("Somebody else recorded this reading; they or a manager can correct it.")
    return reading


def may_correct_reading(user, reading):
    """Whether the person may correct, strike or choose it. Its visit's plot carries the property of the door."""
    is_own = user.pk in (reading.recorded_by_id, reading.visit.recorded_by_id)
    allowed = reading.visit.plot.property.allowed
    return EDIT in allowed or (RECORD in allowed and is_own)


def photo_to_change_for(user, slug, photo_id):
    """A picture that the person took, or any for who may edit."""
    photo = photo_for(user, slug, photo_id, RECORD)
    if photo.taken_by_id != user.pk and EDIT not in photo.property.allowed:
        raise PermissionDenied("Somebody else took this picture; they or a manager can set it aside.")
    return photo


def photo_point_for(user, slug, point_id, may=EDIT):
    property = property_for(user, slug, may)
    rows = PhotoPoint.objects.filter(plot__property=property).select_related("plot")
    point = get_object_or_404(rows, pk=point_id)
    point.plot.property = property
    return point


def photo_for(user, slug, photo_id, may=VIEW):
    """A picture of the property, whether its bytes have come or not."""
    rows = Photo.objects.select_related("taken_by", "visit__plot", "work_report__item__plot")
    return row_for(user, slug, rows, may, pk=photo_id)


def photo_by_hash_for(user, slug, sha256):
    """One of the pictures with these bytes; Http404 until they have come."""
    photo = Photo.objects.filter(
        property=property_for(user, slug), sha256=sha256, arrived_at__isnull=False
    ).first()
    if photo is None:
        raise Http404
    return photo
