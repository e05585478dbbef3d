"""The parameters of an items request: limit, offset, bbox, datetime, and the one reference system."""

import math
import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time

import shapely
from shapely.geometry.base import BaseGeometry

from config.errors import Refused

CRS84 = "http://www.opengis.net/def/crs/OGC/1.3/CRS84"
PARAMETERS = {"limit", "offset", "bbox", "bbox-crs", "crs", "datetime"}
LIMIT, MOST = 100, 1_000
_LARGEST_OFFSET = 10**12
# GDAL 3.12 asks a column of days with a T and nothing after it.
_DAY = re.compile(r"(\d{4}-\d\d-\d\d)T?", re.ASCII)
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)", re.ASCII | re.IGNORECASE)
_FAR = 1_000.0  # degrees; beyond any place, and far from what a float cannot hold


@dataclass(frozen=True)
class Period:
    """From when to when, both included; None is open.

    Attributes
    ----------
    first_day, last_day : date or None
        As they are written, in the zone in which they are written: for what has a day and no hour.
    first, last : datetime or None
        The same as moments, in UTC: for what has an hour. A day without one begins and ends in UTC.
    """

    first_day: date | None = None
    last_day: date | None = None
    first: datetime | None = None
    last: datetime | None = None


@dataclass(frozen=True)
class Wanted:
    """What is asked for.

    Attributes
    ----------
    limit, offset : int
    places : tuple of shapely geometries
        A feature that touches one of them is wanted; two where the box crosses the 180th meridian. Empty: all.
    period : Period
    """

    limit: int
    offset: int
    places: tuple[BaseGeometry, ...]
    period: Period


def wanted_from(values):
    """What the query asks for.

    Raises
    ------
    Refused
        A value that is not accepted.
    """
    for name in ("crs", "bbox-crs"):
        if values.get(name, CRS84) != CRS84:
            raise Refused(f"The parameter {name} is {values[name][:80]!r}; {CRS84} is accepted.")
    return Wanted(
        limit=_whole("limit", values.get("limit", str(LIMIT)), 1, MOST),
        offset=_whole("offset", values.get("offset", "0"), 0, _LARGEST_OFFSET),
        places=boxes(values["bbox"]) if "bbox" in values else (),
        period=period(values["datetime"]) if "datetime" in values else Period(),
    )


def _whole(name, text, least, most):
    """A whole number; more than the most counts as the most, as the standard wants it."""
    digits = text.lstrip("0") or "0"
    if not (text.isascii() and text.isdecimal()) or (digits == "0" and least > 0):
        raise Refused(f"The parameter {name} is {text[:40]!r}; a whole number from {least} is accepted.")
    return most if len(digits) > len(str(most)) else min(int(digits), most)


def boxes(text):
    """The ground of a bbox: `west,south,east,north`, or six numbers with heights, which say nothing here."""
    refusal = Refused(
        f"The bbox is {text[:80]!r}; west,south,east,north in degrees are accepted, or six numbers with heights."
    )
    try:
        numbers = [float(part) for part in text.split(",")]
    except ValueError as error:
        raise refusal from error
    if len(numbers) not in (4, 6) or not all(map(math.isfinite, numbers)):
        raise refusal
    half = len(numbers) // 2
    west, south, east, north = (
        max(-_FAR, min(_FAR, number)) for number in (*numbers[:2], *numbers[half : half + 2])
    )
    if south > north:
        raise Refused(f"The bbox is {text[:80]!r}, where south lies above north; south comes first.")
    if west > east:
        return _ground(west, south, 180.0, north), _ground(-180.0, south, east, north)
    return (_ground(west, south, east, north),)


def _ground(west, south, east, north):
    """The box as a geometry that is valid when it has no width or no height, too."""
    if west == east or south == north:
        corners = [(west, south), (east, north)]
        return shapely.Point(corners[0]) if corners[0] == corners[1] else shapely.LineString(corners)
    return shapely.box(west, south, east, north)


def period(text):
    """What a datetime says: an instant, or an interval with `/` whose ends may be open."""
    first, is_interval, last = text.partition("/")
    if not is_interval:
        end = _End(text, text)
        return Period(end.day, end.day, end.first, end.last)
    first, last = (None if end in ("", "..") else _End(end, text) for end in (first, last))
    if first and last and first.is_after(last):
        raise Refused(
            f"The datetime is {text[:80]!r}, which ends before it begins; the earlier end comes first."
        )
    return Period(
        first and first.day, last and last.day, first.first if first else None, last.last if last else None
    )


class _End:
    """One end of an interval: its day as written, and the first and last moment that it means."""

    def __init__(self, end, text):
        only_day = _DAY.fullmatch(end)
        try:
            if only_day:
                self.day = date.fromisoformat(only_day[1])
                self.first = datetime.combine(self.day, time.min, UTC)
                self.last = datetime.combine(self.day, time.max, UTC)
            elif _MOMENT.fullmatch(end):
                written = datetime.fromisoformat(end.upper())
                self.day = written.date()
                self.first = self.last = _in_utc(written)
            else:
                raise ValueError(end)
        except ValueError as error:
            raise Refused(
                f"The datetime is {text[:80]!r}; a day like 2026-04-20, a moment like 2026-04-20T12:00:00Z, or two of "
                "them with / between, where .. is open, are accepted."
            ) from error
        self._has_hour = not only_day

    def is_after(self, other):
        if self._has_hour and other._has_hour:
            return self.first > other.first
        return self.day > other.day


def _in_utc(moment):
    """The moment in UTC, or the nearest there is where the year would be 0 or 10000."""
    try:
        return moment.astimezone(UTC)
    except OverflowError:
        return (datetime.min if moment.year == 1 else datetime.max).replace(tzinfo=UTC)
