"""The bytes of pictures: kept once by what is in them, without metadata, with a small copy made in the background."""

import errno
import hashlib
import io
import logging
import os
import tempfile
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.files.storage import default_storage
from django.db import transaction
from django.http import Http404
from django.utils import timezone
from PIL import Image, ImageOps

from blends.services.tag_photos import MOST_BYTES, type_of, why_no_photo
from config.errors import Refused, SwardbookError, refuse
from fieldlog.models import Photo
from fieldlog.models.visits import photo_path, small_photo_path
from fieldlog.services.metadata import without_metadata

MOST_PIXELS = 40_000_000  # ours: 120 MB while it is opened
SMALL_PX = 480
_FORMATS = {"image/jpeg": "JPEG", "image/png": "PNG", "image/webp": "WEBP"}
_CHUNK = 1 << 16
_ORIENTATION, _LIES_ON_ITS_SIDE = 0x0112, 5  # Exif's tag; from this value on width and height change places
_INCOMING = "photos/incoming"
_UNREADABLE = (
    OSError,
    ValueError,
    SyntaxError,
    Image.DecompressionBombError,
)  # what Pillow raises over bad bytes

logger = logging.getLogger(__name__)


class NoRoom(SwardbookError):
    """The disk is full. Sent again later it may be taken."""

    code = "no_room"
    http_status = 507


@dataclass(frozen=True)
class Facts:
    """What the bytes of a picture say of it, upright."""

    media_type: str
    width_px: int
    height_px: int
    orientation: int


def receive_photo(*, property, sha256, read):
    """Keep the bytes of a picture that a record of the property names.

    Parameters
    ----------
    property : Property
    sha256 : str
        Of all that `read` gives, in hexadecimal.
    read : callable
        Given a number of bytes it returns at most as many, and b"" at the end.

    Returns
    -------
    bool
        Whether they are new here.

    Raises
    ------
    Http404
        No record of the property names it.
    Refused
        They are no picture that can be shown, too large, or others than were named.
    """
    named = Photo.objects.filter(property=property, sha256=sha256)
    if not named.exists():
        raise Http404
    data = _read(read, sha256)
    arrived = named.filter(arrived_at__isnull=False).first()
    is_kept = arrived is not None and default_storage.exists(arrived.file.name)
    if is_kept and not named.filter(arrived_at__isnull=True).exists():
        return False
    facts = _facts(data)
    try:
        clean = without_metadata(data, facts.media_type, facts.orientation)
    except ValueError:
        refuse("file", "The picture is damaged within its headers; one that a browser shows is accepted.")
    name = photo_path(Photo(property=property, sha256=sha256), "")
    _write(name, clean)
    return _say_arrived(property, sha256, name, facts)


def make_small(*, property_id, sha256):
    """Make the small copy of a picture, or say on it why there is none. Safe to run twice."""
    photos = Photo.objects.filter(property_id=property_id, sha256=sha256, arrived_at__isnull=False)
    photo = photos.first()
    if photo is None or photo.small or photo.trouble:
        return
    try:
        content = _small(photo)
    except _UNREADABLE:
        photos.update(trouble="It is damaged or made in an unusual way: no small copy could be made of it.")
        return
    name = small_photo_path(photo, "")
    _write(name, content)
    photos.update(small=name)


def make_missing_small(most=200):
    """Make the small copies that are still missing: a message was lost, or the worker was killed."""
    waiting = Photo.objects.filter(arrived_at__isnull=False, small="", trouble="").order_by("arrived_at")
    for property_id, sha256 in waiting.values_list("property_id", "sha256")[:most]:
        try:
            make_small(property_id=property_id, sha256=sha256)
        except Exception:
            logger.exception("No small copy of picture %s could be made", sha256)


@transaction.atomic
def strike_photo(*, photo, is_struck=True):
    """Set a picture aside, or let it be shown again; its bytes stay."""
    locked = Photo.objects.select_for_update(of=("self",)).get(pk=photo.pk)
    if is_struck != (locked.struck_at is not None):
        locked.struck_at = timezone.now() if is_struck else None
        locked.save(update_fields=["struck_at"])
    photo.struck_at = locked.struck_at
    return photo


def remove_left_over():
    """Remove what a sending that was cut short has left lying for a day."""
    longest = timezone.now().timestamp() - 24 * 3600
    folder = Path(default_storage.path(_INCOMING))
    for path in folder.iterdir() if folder.is_dir() else ():
        if path.stat().st_mtime < longest:
            path.unlink(missing_ok=True)


def _read(read, sha256):
    """All bytes: there are no more of them than fit beside each other in every thread's memory."""
    parts, size, found = [], 0, hashlib.sha256()
    while part := read(_CHUNK):
        size += len(part)
        if size > MOST_BYTES:
            refuse(
                "file",
                f"The picture is larger than {MOST_BYTES / 1e6:.0f} MB, which is the most that is accepted.",
            )
        found.update(part)
        parts.append(part)
    if found.hexdigest() != sha256:
        refuse(
            "file",
            f"The {size:,} bytes that came have the SHA-256 {found.hexdigest()[:12]}…, not {sha256[:12]}…; those that were "
            "named are accepted.",
        )
    return b"".join(parts)


def _facts(data):
    media_type = type_of(data[:16])
    if not media_type:
        refuse("file", why_no_photo(data[:16]))
    try:
        with Image.open(io.BytesIO(data), formats=[_FORMATS[media_type]]) as image:
            width, height = image.size
            if width * height > MOST_PIXELS:
                refuse(
                    "file",
                    f"The picture has {width:,} × {height:,} pixels; at most {MOST_PIXELS / 1e6:.0f} million are accepted.",
                )
            orientation = _orientation(image)
        with Image.open(io.BytesIO(data), formats=[_FORMATS[media_type]]) as image:
            image.verify()
    except Image.DecompressionBombError as error:
        sentence = (
            f"The picture has far more than the {MOST_PIXELS / 1e6:.0f} million pixels that are accepted."
        )
        raise Refused(sentence, fields={"file": [sentence]}) from error
    except _UNREADABLE as error:
        raise Refused(
            "The picture is damaged or made in an unusual way; one that a browser shows is accepted.",
            fields={"file": ["This picture cannot be opened."]},
        ) from error
    if orientation >= _LIES_ON_ITS_SIDE:
        width, height = height, width
    return Facts(media_type, width, height, orientation)


def _orientation(image):
    try:
        found = image.getexif().get(_ORIENTATION, 1)
    except _UNREADABLE:
        return 1
    return found if found in range(1, 9) else 1


def _small(photo):
    """A JPEG of at most 480 pixels a side, upright."""
    with photo.file.open("rb") as file, Image.open(file, formats=[_FORMATS[photo.media_type]]) as image:
        image.draft("RGB", (2 * SMALL_PX, 2 * SMALL_PX))
        upright = ImageOps.exif_transpose(image)
        upright.thumbnail((SMALL_PX, SMALL_PX))
        if upright.mode != "RGB":
            flat = Image.new("RGB", upright.size, "white")
            flat.paste(upright, mask=upright.convert("RGBA").getchannel("A"))
            upright = flat
        content = io.BytesIO()
        upright.save(content, "JPEG", quality=80, optimize=True, exif=b"")
    return content.getvalue()


def _write(name, content):
    """Under its name at once and whole, or not at all."""
    target, incoming = Path(default_storage.path(name)), Path(default_storage.path(_INCOMING))
    part = None
    try:
        for folder in (target.parent, incoming):
            folder.mkdir(parents=True, exist_ok=True, mode=settings.FILE_UPLOAD_DIRECTORY_PERMISSIONS)
        handle, part = tempfile.mkstemp(dir=incoming)  # for its owner alone
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, target)
    except OSError as error:
        if part is not None:
            Path(part).unlink(missing_ok=True)
        if error.errno != errno.ENOSPC:
            raise
        raise NoRoom("The disk is full; the picture was not kept. Make room and send it again.") from error


@transaction.atomic
def _say_arrived(property, sha256, name, facts):
    waiting = Photo.objects.filter(property=property, sha256=sha256, arrived_at__isnull=True)
    known = Photo.objects.filter(property=property, sha256=sha256, arrived_at__isnull=False).first()
    arrived = waiting.update(
        file=name,
        media_type=facts.media_type,
        width_px=facts.width_px,
        height_px=facts.height_px,
        arrived_at=timezone.now(),
        small=known.small.name if known else "",
        trouble=known.trouble if known else "",
    )
    # robust: with the broker away the sweep makes it
    transaction.on_commit(lambda: _send(property.pk, sha256), robust=True)
    return bool(arrived)


def _send(property_id, sha256):
    from fieldlog.tasks import make_small_picture

    make_small_picture.delay(property_id, sha256)
