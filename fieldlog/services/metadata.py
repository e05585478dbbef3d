"""Pictures without what else a camera writes into them: place, owner, device, thumbnails. The picture itself is not
touched: no pixel is made anew.

What stays is what is needed to show it: sizes, colours and which way up.
"""

import re
import struct
import zlib

# A TIFF header and one entry: the orientation (tag 0x0112) as a short.
_TIFF = b"MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00%c\x00\x00\x00\x00\x00\x00"
# Segments of a JPEG that say how to show it: JFIF, a colour profile, Adobe's colour transform.
_JPEG_KEPT = {0xE0: b"JFIF", 0xE2: b"ICC_PROFILE", 0xEE: b"Adobe"}
_MARKER = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")  # in coded data: neither a stuffed byte nor a restart
_PNG_KEPT = {
    *(
        b"IHDR",
        b"PLTE",
        b"IDAT",
        b"IEND",
        b"tRNS",
        b"bKGD",
        b"sBIT",
        b"pHYs",
        b"gAMA",
        b"cHRM",
        b"sRGB",
        b"iCCP",
        b"cICP",
    ),
    *(b"mDCV", b"cLLI", b"acTL", b"fcTL", b"fdAT"),
}
_PNG_HEAD = 8
_WEBP_EXIF, _WEBP_XMP = 0x08, 0x04  # flags of the VP8X chunk
_WEBP_KEPT = {b"VP8X", b"VP8 ", b"VP8L", b"ALPH", b"ANIM", b"ANMF", b"ICCP"}


def without_metadata(data, media_type, orientation):
    """The bytes of a picture without its metadata, but with its orientation.

    Parameters
    ----------
    data : bytes
    media_type : str
        'image/jpeg', 'image/png' or 'image/webp'.
    orientation : int
        1 to 8, as Exif numbers it; 1 is upright and not written.

    Raises
    ------
    ValueError
        The bytes are not laid out as the type has them.

    References
    ----------
    ITU-T T.81 (JPEG, 1992), Portable Network Graphics (W3C, 2003) and RFC 9649 (WebP, 2024); the layout of chunks and
    segments from memory.
    """
    try:
        return _STRIP[media_type](data, orientation)
    except (struct.error, IndexError) as error:
        raise ValueError("the picture ends within its headers") from error


def _jpeg(data, orientation):
    out = [b"\xff\xd8"]
    if orientation != 1:
        exif = b"Exif\x00\x00" + _TIFF % orientation
        out.append(b"\xff\xe1" + struct.pack(">H", len(exif) + 2) + exif)
    at, has_picture = 2, False
    while at + 1 < len(data) and data[at] == 0xFF:
        marker = data[at + 1]
        if marker == 0xD9:  # the end; what a camera hangs on behind it is no part of the picture
            return b"".join([*out, b"\xff\xd9"])
        if marker == 0xFF:  # a fill byte
            at += 1
            continue
        (length,) = struct.unpack_from(">H", data, at + 2)
        end = at + 2 + length
        if marker == 0xDA:  # a scan: its coded part runs to the next marker
            has_picture = True
            next_marker = _MARKER.search(data, end)
            end = next_marker.start() if next_marker else len(data)
        if _is_kept(marker, data[at + 4 : at + 20]):
            out.append(data[at:end])
        at = end
    if not has_picture:
        raise ValueError("a JPEG without a picture")
    return b"".join(out)


def _is_kept(marker, content):
    if marker in _JPEG_KEPT:
        return content.startswith(_JPEG_KEPT[marker])
    return not (0xE0 <= marker <= 0xEF or marker == 0xFE)


def _png(data, orientation):
    out, at = [data[:_PNG_HEAD]], _PNG_HEAD
    while at < len(data):
        (length,) = struct.unpack_from(">I", data, at)
        name = data[at + 4 : at + 8]
        if name == b"IDAT" and orientation != 1:
            out.append(_png_chunk(b"eXIf", _TIFF % orientation))
            orientation = 1
        if name in _PNG_KEPT:
            out.append(data[at : at + 12 + length])
        at += 12 + length
        if name == b"IEND":
            return b"".join(out)
    raise ValueError("a PNG without an end")


def _png_chunk(name, content):
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))


def _webp(data, orientation):
    out, at = [], 12
    end = min(len(data), 8 + struct.unpack_from("<I", data, 4)[0])  # what hangs behind it is no part of it
    while at + 8 <= end:
        name, length = data[at : at + 4], struct.unpack_from("<I", data, at + 4)[0]
        chunk = data[at : at + 8 + length + length % 2]
        if name == b"VP8X":
            flags = chunk[8] & ~(_WEBP_EXIF | _WEBP_XMP) | (_WEBP_EXIF if orientation != 1 else 0)
            chunk = chunk[:8] + bytes([flags]) + chunk[9:]
        if name in _WEBP_KEPT:
            out.append(chunk)
        at += 8 + length + length % 2
    if orientation != 1:
        tiff = _TIFF % orientation
        out.append(b"EXIF" + struct.pack("<I", len(tiff)) + tiff)
    body = b"WEBP" + b"".join(out)
    return b"RIFF" + struct.pack("<I", len(body)) + body


_STRIP = {"image/jpeg": _jpeg, "image/png": _png, "image/webp": _webp}
