"""Pictures: their files, those of a plot beside each other, photo points."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from fieldlog.access import photo_for, photo_point_for, photo_to_change_for, visit_for
from fieldlog.forms.visit_log import PhotoForm, PointForm
from fieldlog.photos import photo_answer
from fieldlog.queries.pictures import views_of
from fieldlog.services.desk_photos import add_photo
from fieldlog.services.photo_points import archive_point, make_point, plot_of
from fieldlog.services.photos import strike_photo
from plots.access import EDIT, RECORD, plot_for


@require_safe
def photo(request, slug, photo_id):
    return photo_answer(request, photo_for(request.user, slug, photo_id), is_small="small" in request.GET)


@section("visits")
@require_safe
def photo_points(request, slug, plot_id):
    plot = plot_for(request.user, slug, plot_id)
    points, others, awaited = views_of(plot)
    return render(
        request,
        "fieldlog/photo_points.html",
        {
            "plot": plot,
            "property": plot.property,
            "points": points,
            "others": others,
            "awaited": awaited,
            "away": plot.photo_points.filter(is_archived=True),
        },
    )


@section("visits")
@require_http_methods(["GET", "HEAD", "POST"])
def photo_add(request, slug, visit_id):
    visit = visit_for(request.user, slug, visit_id, RECORD)
    is_sent = request.method == "POST"
    form = PhotoForm(visit.plot, request.POST if is_sent else None, request.FILES if is_sent else None)
    if is_sent and form.is_valid():
        try:
            add_photo(visit=visit, user=request.user, **form.cleaned_data)
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(request, "The picture is added.")
            return redirect("visit", slug, visit.pk)
    return render(
        request,
        "fieldlog/photo_add.html",
        {"visit": visit, "property": visit.plot.property, "form": form, "complaints": complaints(form)},
    )


@require_POST
def photo_strike(request, slug, photo_id):
    """Set a picture aside, or show it again."""
    photo = photo_to_change_for(request.user, slug, photo_id)
    is_struck = request.POST.get("act") != "show"
    strike_photo(photo=photo, is_struck=is_struck)
    messages.success(request, "The picture is set aside." if is_struck else "The picture is shown again.")
    return _back(photo, slug)


@section("visits")
@require_http_methods(["GET", "HEAD", "POST"])
def photo_point_new(request, slug, photo_id):
    """Make a photo point of where a picture was taken."""
    photo = photo_for(request.user, slug, photo_id, EDIT)
    form = PointForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            point = make_point(photo=photo, user=request.user, name=form.cleaned_data["name"])
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            messages.success(
                request, f"“{point.name}” is a photo point now; phones offer it from their next sync."
            )
            return redirect("photo-points", slug, point.plot_id)
    return render(
        request,
        "fieldlog/photo_point.html",
        {
            "photo": photo,
            "plot": plot_of(photo),
            "property": photo.property,
            "form": form,
            "complaints": complaints(form),
        },
    )


@require_POST
def photo_point_archive(request, slug, point_id):
    """Offer a photo point no more, or again."""
    point = photo_point_for(request.user, slug, point_id)
    is_archived = request.POST.get("act") != "back"
    archive_point(point=point, is_archived=is_archived)
    done = "is put away; its pictures stay" if is_archived else "is offered again"
    messages.success(request, f"“{point.name}” {done}.")
    return redirect("photo-points", slug, point.plot_id)


def _back(photo, slug):
    if photo.visit_id:
        return redirect("visit", slug, photo.visit_id)
    return redirect("work-item", slug, photo.work_report.item_id)
