"""Addresses of map tiles on other servers: which are accepted, and what is made of them."""

import re
from dataclasses import dataclass
from urllib.parse import parse_qsl, urlsplit

LONGEST = 500

_XYZ, _TMS = {"{z}", "{x}", "{y}"}, {"{z}", "{x}", "{-y}"}
_WMTS = {"{tilematrix}": "{z}", "{tilerow}": "{y}", "{tilecol}": "{x}"}
_PLACEHOLDER = re.compile(r"\{[^{}]*\}")
_PRINTABLE = re.compile(r"[!-~]+")
_HOST = re.compile(r"(?=.{1,253}$)[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*")
_THIS_MACHINE = {"localhost", "127.0.0.1", "::1"}
_SECRETS = re.compile(
    r"(access|api|auth|sub(scription)?)?[_-]?(key|token)|secret|signature|sig|password|pwd|user(name)?", re.I
)
# Names under which servers keep the tile matrix set in web Mercator whose level 0 is one tile of 256 pixels.
_WEB_MERCATOR = re.compile(
    r"GoogleMapsCompatible(_Level\d+)?|WebMercator(Quad)?|(EPSG:{1,2})?(3857|900913)|"
    r"urn:ogc:def:(crs:EPSG:[\d.]*:3857|wkss:OGC:1\.0:GoogleMapsCompatible)|default028mm",
    re.I,
)


@dataclass(frozen=True)
class TileAddress:
    """`template` has {z}, {x} and {y} or {-y}; `origin` is what a Content-Security-Policy may let in."""

    template: str
    origin: str


def read_address(text, *, is_wmts=False, http_anywhere=False):
    """What an address of tiles means.

    Parameters
    ----------
    text : str
        XYZ: with {z}, {x} and {y}, or {-y} where rows are counted from the south. WMTS: a template with
        {TileMatrix}, {TileRow} and {TileCol}, as a path or as a query, that names a set in web Mercator.
    is_wmts : bool
    http_anywhere : bool
        Without it plain http is for this machine alone.

    Returns
    -------
    TileAddress

    Raises
    ------
    ValueError
        With the sentence for a person.
    """
    text = text.strip()
    if len(text) > LONGEST:
        raise ValueError(f"The address has {len(text)} characters; at most {LONGEST} are accepted.")
    if not _PRINTABLE.fullmatch(text) or set(text) & set("\"'<>\\^`"):
        raise ValueError(
            f"“{text}” has a space, a quotation mark or a letter in it that no address has; "
            "one like https://tiles.example/{z}/{x}/{y}.png is accepted."
        )
    origin = _origin(text, http_anywhere)
    template = _wmts_template(text) if is_wmts else _xyz_template(text)
    return TileAddress(template, origin)


def _origin(text, http_anywhere):
    try:
        parts = urlsplit(text)
        host, port = parts.hostname, parts.port
    except ValueError as error:
        raise ValueError(f"“{text}” is no address: its host or port cannot be read.") from error
    if parts.scheme not in ("http", "https"):
        begins = f"begins with “{parts.scheme}:”" if parts.scheme else "does not say https://"
        raise ValueError(f"The address {begins}; one that begins with https:// is accepted.")
    if not host:
        raise ValueError(
            "The address names no server; one like https://tiles.example/{z}/{x}/{y} is accepted."
        )
    if "@" in parts.netloc:
        raise ValueError(
            "The address has a user name or password in it, which everybody who opens a map would see; "
            "one without is accepted."
        )
    if "{" in parts.netloc:
        raise ValueError(
            f"The server's name is “{parts.netloc}”, with a part to fill in; give one server by its full name."
        )
    if not (_HOST.fullmatch(host) or host == "::1"):
        raise ValueError(f"“{host}” is no name of a server; one like tiles.example is accepted.")
    if parts.scheme == "http" and not http_anywhere and host not in _THIS_MACHINE:
        raise ValueError(
            f"The address begins with http://, which others can read on the way; https://{parts.netloc} is "
            "accepted, and http only for this machine itself (localhost)."
        )
    _refuse_secrets(parts)
    shown = f"[{host}]" if ":" in host else host
    return f"{parts.scheme}://{shown}{f':{port}' if port is not None else ''}"


def _refuse_secrets(parts):
    if parts.fragment or "#" in parts.path:
        raise ValueError("The address has a “#” in it, which no server gets to see; leave it out.")
    for name, value in parse_qsl(parts.query, keep_blank_values=True):
        if value and _SECRETS.fullmatch(name):
            raise ValueError(
                f"The address has a “{name}” in it, which everybody who opens a map would see; "
                "one that needs no key is accepted."
            )


def _xyz_template(text):
    named = set(_PLACEHOLDER.findall(text))
    if {each.lower() for each in named} & set(_WMTS):
        raise ValueError("The address is one of WMTS, with {TileMatrix} in it; choose WMTS for it.")
    _refuse_unknown(named - _XYZ - _TMS, "{z}, {x} and {y}, or {-y} for rows counted from the south")
    if named not in (_XYZ, _TMS):
        if named >= _XYZ | _TMS:
            raise ValueError("The address has both {y} and {-y}; one of them is accepted.")
        missing = " and ".join(sorted(_XYZ - named - ({"{y}"} if "{-y}" in named else set()), reverse=True))
        raise ValueError(
            f"The address lacks {missing}; one like https://tiles.example/{{z}}/{{x}}/{{y}}.png is accepted."
        )
    _refuse_loose_braces(text)
    return text


def _wmts_template(text):
    found = _PLACEHOLDER.findall(text)
    named = {each.lower() for each in found}
    if named & (_XYZ | _TMS):
        raise ValueError("The address has {z}, {x} or {y} in it, as XYZ tiles have; choose XYZ for it.")
    for name in ("{tilematrixset}", "{style}", "{layer}"):
        if name in named:
            written = next(each for each in found if each.lower() == name)
            raise ValueError(
                f"The address still has {written} in it; put the name that the server's capabilities give in its place."
            )
    if not named and "getcapabilities" in text.lower().replace("wmtscapabilities.xml", "getcapabilities"):
        raise ValueError(
            "This is the address of the server's capabilities; the template of the tiles that they name is "
            "accepted, with {TileMatrix}, {TileRow} and {TileCol}."
        )
    _refuse_unknown(
        {each for each in found if each.lower() not in _WMTS}, "{TileMatrix}, {TileRow} and {TileCol}"
    )
    missing = [name for name in ("{TileMatrix}", "{TileRow}", "{TileCol}") if name.lower() not in named]
    if missing:
        raise ValueError(
            f"The address lacks {' and '.join(missing)}; a template with {{TileMatrix}}, {{TileRow}} and {{TileCol}} is accepted."
        )
    _refuse_loose_braces(text)
    _check_matrix_set(text)
    return _PLACEHOLDER.sub(lambda match: _WMTS[match[0].lower()], text)


def _check_matrix_set(text):
    parts = urlsplit(text)
    asked = {name.lower(): value for name, value in parse_qsl(parts.query)}
    if "{tilematrix}" in parts.path.lower():
        sets = parts.path.split("/")
    else:
        for name, value in (("service", "WMTS"), ("request", "GetTile")):
            if asked.get(name, "").lower() != value.lower():
                raise ValueError(f"The address lacks {name.upper()}={value}, which a WMTS asks for.")
        if not asked.get("layer"):
            raise ValueError("The address lacks LAYER=, which says which pictures are wanted.")
        sets = [asked.get("tilematrixset", "")]
    if not any(_WEB_MERCATOR.fullmatch(each) for each in sets):
        named = f"is “{sets[0]}”" if len(sets) == 1 and sets[0] else "is not named"
        raise ValueError(
            f"The tile matrix set {named} in the address; one in web Mercator is accepted, such as "
            "GoogleMapsCompatible, WebMercatorQuad or EPSG:3857. Where the server calls it otherwise, choose XYZ "
            "and write {z}, {y} and {x} for matrix, row and column."
        )


def _refuse_unknown(names, accepted):
    if names:
        raise ValueError(f"{', '.join(sorted(names))} is not known here; accepted are {accepted}.")


def _refuse_loose_braces(text):
    if set(_PLACEHOLDER.sub("", text)) & set("{}"):
        raise ValueError("The address has a brace that is not closed, or closes nothing.")
