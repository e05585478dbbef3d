"""What a file is by its content; its name is only what someone called it."""

from plots.formats.model import UnusableFile
from plots.formats.text import decoded

ACCEPTED = "GeoJSON, KML, KMZ, GPX, zipped Shapefile, GeoPackage or CSV with WKT"
_PICTURES = (b"\x89PNG", b"\xff\xd8\xff", b"GIF8", b"II*\x00", b"MM\x00*", b"%PDF", b"RIFF")
_SHAPEFILE = b"\x00\x00\x27\x0a"
_SPREADSHEET = b"\xd0\xcf\x11\xe0"
LOOKED_AT = 4096  # bytes


def kind_of(head):
    """'zip', 'sqlite', 'xml', 'json' or 'csv' by the first bytes of a file.

    Parameters
    ----------
    head : bytes
        The first 4,096.

    Raises
    ------
    UnusableFile
        Empty, or of a kind that is not read.
    """
    if not head.strip():
        raise UnusableFile("The file is empty.")
    if head.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        return "zip"
    if head.startswith(b"SQLite format 3\x00"):
        return "sqlite"
    if head.startswith(_SHAPEFILE):
        raise UnusableFile("A .shp alone is not enough: zip it together with its .dbf, .shx and .prj.")
    if head.startswith(_PICTURES):
        raise UnusableFile(f"The file is a picture or a document, not boundaries; accepted are {ACCEPTED}.")
    text = decoded(head)[0].lstrip("\ufeff\x1e \t\r\n")
    if text.startswith("<"):
        return "xml"
    if text.startswith(("{", "[")):
        return "json"
    if head.startswith(_SPREADSHEET) or _is_binary(text):
        raise UnusableFile(f"The file is of a kind that is not read here; accepted are {ACCEPTED}.")
    return "csv"


def _is_binary(text):
    strange = sum(not (character.isprintable() or character.isspace()) for character in text)
    return strange > len(text) / 20
