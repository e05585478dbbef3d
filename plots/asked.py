"""What an address asks for, read from its query."""

import math

from config.errors import Refused
from plots.access import id_in


def plot_ids_asked(query):
    """The ids that `?plot=1&plot=2` names, or None where it names none. One too large to exist becomes 0.

    Raises
    ------
    Refused
        Something that is no id.
    """
    return [_id("plot", text) for text in query.getlist("plot")] or None


def id_asked(query, name, of="a plot"):
    """The id, `of` something, that `?name=1` names, or None where it names none. One too large to exist becomes 0.

    Raises
    ------
    Refused
        Something that is no id.
    """
    return _id(name, query[name], of) if name in query else None


def _id(name, text, of="a plot"):
    if not text.isdecimal():
        raise Refused(f"{name} is {text[:40]!r}; the whole number that identifies {of} is accepted.")
    return id_in(text) or 0


def bbox_asked(query):
    """(west, south, east, north) of `?bbox=`, or None without one. [degrees]

    Raises
    ------
    Refused
        Something other than four numbers in order.
    """
    text = query.get("bbox")
    if text is None:
        return None
    try:
        west, south, east, north = map(float, text.split(","))
    except ValueError:
        west = math.nan
    if not math.isfinite(west) or not all(map(math.isfinite, (south, east, north))):
        raise Refused(f"bbox is {text[:80]!r}; west,south,east,north in degrees are accepted.")
    if west > east or south > north:
        raise Refused(f"bbox is {text[:80]!r}; west comes before east, and south before north.")
    return west, south, east, north
