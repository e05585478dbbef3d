"""The photo of a seed tag: known by its bytes, kept as it was sent, and never overwritten."""

import errno

from config.errors import Refused
from plots.services.earlier import keep_earlier

MOST_BYTES = 12_000_000
_HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif")


def type_of(head):
    """Media type by the first bytes of a file; empty where it is none that every browser shows.

    References
    ----------
    ITU-T T.81 (JPEG), the PNG specification of the W3C and RFC 9649 (WebP); the first bytes from memory.

    Examples
    --------
    >>> type_of(bytes.fromhex("ffd8ffe0")), type_of(b"GIF89a")
    ('image/jpeg', '')
    """
    if head[:3] == b"\xff\xd8\xff":
        return "image/jpeg"
    if head[:8] == b"\x89PNG\r\n\x1a\n":
        return "image/png"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "image/webp"
    return ""


def why_no_photo(head):
    """The sentence that refuses a file by its first bytes, of which `type_of` knows no type."""
    if head[4:8] == b"ftyp" and head[8:12] in _HEIC_BRANDS:
        return (
            "The photo is in HEIC or AVIF, which not every browser shows; a JPEG, PNG or WebP is accepted. On the phone "
            "choose the compatible format for its camera."
        )
    return "The file is no JPEG, PNG or WebP; a photo in one of them is accepted."


def keep_photo(lot, file, user):
    """Store the file and name it on the locked lot. A photo that could not be named is not left lying."""
    if file.size > MOST_BYTES:
        _refuse(f"The photo has {file.size / 1e6:.1f} MB; at most {MOST_BYTES / 1e6:.0f} MB are accepted.")
    file.seek(0)
    head = file.read(16)
    file.seek(0)
    media_type = type_of(head)
    if not media_type:
        _refuse(why_no_photo(head))
    field = lot._meta.get_field("tag_photo")
    storage, name = field.storage, field.generate_filename(lot, "tag")
    try:
        stored = storage.save(name, file)
    except OSError as error:
        if error.errno != errno.ENOSPC:
            raise
        _refuse("The disk is full; the photo was not kept. Make room and send it again.")
    try:
        keep_earlier(lot, user, {"tag_photo": stored, "tag_photo_type": media_type})
        lot.save(update_fields=["tag_photo", "tag_photo_type", "earlier"])
    except BaseException:
        storage.delete(stored)
        raise
    return lot


def _refuse(sentence):
    raise Refused(sentence, fields={"file": [sentence]})
