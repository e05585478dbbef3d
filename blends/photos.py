"""The answer with the photo of a seed tag, for the page and the API."""

from django.http import FileResponse, Http404


def photo_answer(lot):
    """The bytes of the tag's photo, for members alone: nothing keeps it but the browser that asked."""
    if not lot.tag_photo:
        raise Http404
    try:
        file = lot.tag_photo.open("rb")
    except FileNotFoundError as error:
        raise Http404 from error
    answer = FileResponse(file, content_type=lot.tag_photo_type)
    extension = lot.tag_photo_type.removeprefix("image/")
    answer["Content-Disposition"] = f'inline; filename="tag-{lot.pk}.{extension}"'
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Cache-Control"] = "private, max-age=0, must-revalidate"
    answer["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return answer
