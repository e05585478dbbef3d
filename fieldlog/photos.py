"""The answer with a picture, for the page and the API."""

from django.http import FileResponse, Http404, HttpResponseNotModified


def photo_answer(request, photo, is_small=False):
    """A picture's bytes, for members alone: only the browser that asked keeps them, and asks again whether it may.

    `is_small` gives the small copy where there is one, else the picture.
    """
    is_small = is_small and bool(photo.small)
    if not photo.file:
        raise Http404
    etag = f'"{photo.sha256}{"-small" if is_small else ""}"'
    if request.headers.get("If-None-Match") == etag:
        answer = HttpResponseNotModified()
    else:
        answer = _file(photo, is_small)
    answer["ETag"] = etag
    answer["Cache-Control"] = "private, no-cache"
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return answer


def _file(photo, is_small):
    media_type = "image/jpeg" if is_small else photo.media_type
    try:
        file = (photo.small if is_small else photo.file).open("rb")
    except FileNotFoundError as error:
        raise Http404 from error
    answer = FileResponse(file, content_type=media_type)
    extension = media_type.removeprefix("image/")
    name = f"{photo.taken_at:%Y-%m-%d-%H%M}-{photo.sha256[:8]}.{extension}"
    answer["Content-Disposition"] = f'inline; filename="{name}"'
    return answer
