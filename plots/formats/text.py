"""Bytes of a text file as text, whatever the program that wrote them chose."""

import codecs

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def decoded(data):
    """Text and the name of its encoding.

    A byte order mark decides; without one, NULs in every other byte mean UTF-16, and what is not UTF-8 is
    Windows-1252, which extends Latin-1 and in which most remaining files are.
    """
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            return data.decode(encoding, errors="replace"), encoding.removesuffix("-sig")
    head = data[:200]
    if len(head) >= 4 and head[1::2].count(0) > 0.8 * len(head[1::2]) and 0 not in head[::2]:
        return data.decode("utf-16-le", errors="replace"), "utf-16"
    if len(head) >= 4 and head[::2].count(0) > 0.8 * len(head[::2]) and 0 not in head[1::2]:
        return data.decode("utf-16-be", errors="replace"), "utf-16"
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace"), "windows-1252"
