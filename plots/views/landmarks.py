"""Landmarks: the list with its map, a new one, a changed one, and what the maps ask for."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.dateparse import parse_datetime
from django.views.decorators.http import require_http_methods, require_safe

from config.errors import Refused, SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import RECORD, landmark_for, may_correct, property_for
from plots.asked import bbox_asked
from plots.geojson import MEDIA_TYPE, as_stored
from plots.ground import landmarks_for, landmarks_text
from plots.landmark_form import LandmarkForm
from plots.landmark_places import POINT, SHAPES, measures_of, shape_of
from plots.models import Landmark
from plots.queries import extent_of
from plots.services.boundaries import Questioned
from plots.services.landmarks import add_landmark, archive_landmark, bring_back_landmark, change_landmark

LANDMARKS_A_PAGE = 100
_FIELD_NAMES = {"kind": "what it is", "name": "name", "note": "note", "geometry": "place"}


@section("plots")
@require_safe
def landmarks(request, slug):
    property = property_for(request.user, slug)
    archived = "archived" in request.GET
    page = Paginator(landmarks_for(property, archived=archived), LANDMARKS_A_PAGE).get_page(
        request.GET.get("page")
    )
    measures = measures_of([landmark.geometry for landmark in page])
    for landmark, (length_ft, acres) in zip(page, measures, strict=True):
        landmark.length_ft, landmark.acres_inside = length_ft, acres
        landmark.is_point = shape_of(landmark.geometry) == POINT
    return render(
        request,
        "plots/landmarks.html",
        {
            "property": property,
            "page": page,
            "archived": archived,
            "archived_count": 0 if archived else landmarks_for(property, archived=True).count(),
        },
    )


@section("plots")
@require_safe
def landmarks_map(request, slug):
    """`?bbox=west,south,east,north`: those in view, at most `MOST_ON_A_MAP`."""
    property = property_for(request.user, slug)
    records = RECORD in property.allowed
    try:
        bbox = bbox_asked(request.GET)
    except Refused as error:
        return HttpResponse(
            error.sentence, status=error.http_status, content_type="text/plain; charset=utf-8"
        )

    def href_of(landmark):
        return reverse("landmark-edit", args=[slug, landmark.pk]) if records else None

    return HttpResponse(landmarks_text(property, bbox, href_of), content_type=MEDIA_TYPE)


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def landmark_new(request, slug):
    property = property_for(request.user, slug, RECORD)
    form = LandmarkForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        landmark = _stored(
            form,
            lambda: add_landmark(
                property=property,
                user=request.user,
                geometry=said["place"],
                **{name: said[name] for name in ("kind", "name", "note", "is_sure")},
            ),
        )
        if landmark is not None:
            messages.success(request, f"{landmark} is on the map.")
            return redirect("landmarks", slug)
    return _form_page(request, property, form)


@section("plots")
@require_http_methods(["GET", "HEAD", "POST"])
def landmark_edit(request, slug, landmark_id):
    """Name and note may be changed by whoever records; the rest by who added it and by who edits."""
    landmark = landmark_for(request.user, slug, landmark_id, RECORD)
    property = landmark.property
    is_whole = may_correct(request.user, property, landmark)
    act = request.POST.get("act")
    if act in ("archive", "restore"):
        if not is_whole:
            raise PermissionDenied("What another person added is set aside by a manager or the owner.")
        if act == "archive":
            archive_landmark(landmark=landmark, user=request.user)
            messages.success(request, f"{landmark} is set aside: it is left out of the maps.")
        else:
            bring_back_landmark(landmark=landmark, user=request.user)
            messages.success(request, f"{landmark} is back on the maps.")
        return redirect("landmarks", slug)
    form = LandmarkForm(request.POST if request.method == "POST" else None, landmark, only_words=not is_whole)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        wanted = {name: said[name] for name in ("kind", "name", "note", "is_sure") if name in said}
        if said.get("place") is not None:
            wanted["geometry"] = said["place"]
        changed = _stored(form, lambda: change_landmark(landmark=landmark, user=request.user, **wanted))
        if changed is not None:
            messages.success(request, f"{changed} is saved.")
            return redirect("landmarks", slug)
    return _form_page(request, property, form, landmark)


def _stored(form, save):
    """What `save` stored; None where it was refused, and the form says why."""
    try:
        return save()
    except Questioned as error:
        form.questioned = True
        form.add_error("is_sure" if "is_sure" in form.fields else None, error.sentence)
    except SwardbookError as error:
        show_refusal(form, error)
    return None


def _form_page(request, property, form, landmark=None):
    geometry = form.data.get("geometry") or ("" if landmark is None else as_stored([landmark.geometry])[0])
    return render(
        request,
        "plots/landmark_edit.html",
        {
            "property": property,
            "landmark": landmark,
            "form": form,
            "geometry": geometry,
            "extent": extent_of(property),
            "shapes": {kind: list(shapes) for kind, shapes in SHAPES.items()},
            "before": _before(landmark),
            "complaints": complaints(form),
        },
    )


def _before(landmark):
    """What the landmark said before, the latest first: when, who, and [(field, value)]."""
    return [
        {
            "at": parse_datetime(each["at"]),
            "by": each["by"],
            "was": [
                (_FIELD_NAMES[name], _said(name, value))
                for name, value in each["was"].items()
                if name in _FIELD_NAMES
            ],
            "archived": each["was"].get("is_archived"),
        }
        for each in reversed(landmark.earlier if landmark else [])
    ]


def _said(name, value):
    if name == "kind":
        return Landmark.Kind(value).label
    if name == "geometry":
        return _place_words(value)
    return value or "empty"


def _place_words(geometry):
    if geometry["type"] == "Point":
        lon, lat = geometry["coordinates"]
        return f"{lat:.6f}, {lon:.6f}"
    return "another line" if "Line" in geometry["type"] else "another area"
