"""The property's own pictures of its ground: sent, placed, shown or not, removed; and their tiles."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_http_methods, require_safe

from config.errors import SwardbookError
from config.pages import complaints, section, show_refusal
from plots.access import EDIT, VIEW, property_for, row_for
from plots.backdrop import pictures_for
from plots.calc.tiles import MOST_ZOOM
from plots.calc.units import M_PER_IN
from plots.geojson import MEDIA_TYPE, collection_text, compact, from_afar
from plots.ground_forms import AboutPictureForm, PictureForm, PlaceForm
from plots.models import GroundPicture
from plots.pictures.limits import MAX_FILE_BYTES
from plots.queries import boundaries_for
from plots.services import pictures as services
from plots.services.cutting import tiles_folder
from plots.uploads import takes_files

State = GroundPicture.State
# A WebP of one see-through pixel: a tile on which the picture shows nothing.
_EMPTY_TILE = bytes.fromhex("524946461a000000574542505650384c0d0000002f00000010071011118888fe0700")


@section("plots")
@takes_files(MAX_FILE_BYTES)
@require_http_methods(["GET", "POST"])
def pictures(request, slug):
    property = property_for(request.user, slug, EDIT if request.method == "POST" else VIEW)
    form = PictureForm(request.POST, request.FILES) if request.method == "POST" else PictureForm()
    if request.method == "POST" and form.is_valid():
        try:
            said = dict(form.cleaned_data)
            row = services.receive_picture(
                property=property,
                user=request.user,
                upload=said.pop("file"),
                lacks_room=getattr(request, "lacks_room", False),
                **said,
            )
        except SwardbookError as error:
            show_refusal(form, error)
        else:
            return _next(row)
    listed = [_facts(row) for row in pictures_for(property)]
    facts = {"property": property, "form": form, "complaints": complaints(form), "pictures": listed}
    return render(request, "plots/pictures.html", facts)


@section("plots")
@require_http_methods(["GET", "POST"])
def picture(request, slug, picture_id):
    """One of them; posted, `act` is describe, or place with what was asked (or to cut it again)."""
    may = EDIT if request.method == "POST" else VIEW
    row = row_for(
        request.user, slug, GroundPicture.objects.select_related("job", "created_by"), may, pk=picture_id
    )
    about, place = _about_form(row), PlaceForm(row)
    if request.method == "POST" and request.POST.get("act") == "place":
        place = PlaceForm(row, request.POST, request.FILES)
        if place.is_valid():
            try:
                answered = services.answer_picture(picture=row, user=request.user, **place.answers())
            except SwardbookError as error:
                show_refusal(place, error)
            else:
                return _next(answered)
    elif request.method == "POST":
        about = AboutPictureForm(request.POST)
        if about.is_valid():
            try:
                services.describe_picture(picture=row, **about.cleaned_data)
            except SwardbookError as error:
                show_refusal(about, error)
                row.refresh_from_db()
            else:
                messages.success(request, f"What is said about “{row.name}” is saved.")
                return redirect("pictures", slug)
    facts = {
        "property": row.property,
        "picture": _facts(row),
        "about": about,
        "place": place,
        "complaints": complaints(about, place),
    }
    return render(request, "plots/picture.html", facts)


@section("plots")
@require_http_methods(["GET", "POST"])
def picture_remove(request, slug, picture_id):
    row = row_for(request.user, slug, GroundPicture.objects.all(), EDIT, pk=picture_id)
    if request.method == "POST":
        services.remove_picture(picture=row)
        messages.success(request, f"“{row.name}” is removed, its file and its tiles with it.")
        return redirect("pictures", slug)
    return render(request, "plots/picture_remove.html", {"property": row.property, "picture": _facts(row)})


@require_safe
@gzip_page
def picture_outlines(request, slug):
    """The plots as GeoJSON, open, so that the ground inside is seen."""
    rows = list(
        boundaries_for(property_for(request.user, slug)).values_list("geometry", "plot_id", "plot__name")
    )
    facts = [compact({"id": str(plot_id), "name": name, "look": "undecided"}) for _, plot_id, name in rows]
    text = collection_text(from_afar([geometry for geometry, _, _ in rows]), facts)
    return HttpResponse(text, content_type=MEDIA_TYPE, headers={"Cache-Control": "private, no-cache"})


@require_safe
def picture_tile(request, slug, picture_id, z, x, y):
    """A tile; see-through where the picture shows nothing. Its folder is the property's, so the door is enough."""
    property = property_for(request.user, slug)
    folder = tiles_folder(property.pk, picture_id)
    if not (z <= MOST_ZOOM and x < 2**z and y < 2**z and folder.is_dir()):
        raise Http404
    try:
        content = (folder / str(z) / str(x) / f"{y}.webp").read_bytes()
    except FileNotFoundError:
        content = _EMPTY_TILE
    return HttpResponse(
        content,
        content_type="image/webp",
        headers={
            "Cache-Control": "private, max-age=31536000, immutable",
            "X-Content-Type-Options": "nosniff",
        },
    )


def _about_form(row):
    return AboutPictureForm(initial={"name": row.name, "taken_on": row.taken_on, "is_shown": row.is_shown})


def _next(row):
    if row.state == State.CUTTING:
        return redirect("job", row.property.slug, row.job_id)
    return redirect("picture", row.property.slug, row.pk)


def _facts(row):
    """The row with what the pages say of it."""
    row.pixel_in = None if row.pixel_m is None else row.pixel_m / M_PER_IN
    try:
        row.original_bytes = row.original.size
    except OSError:
        row.original_bytes = 0
    row.disk_bytes = row.original_bytes + (row.tile_bytes or 0)
    return row
