"""What a reader of one format hands on: features in the file's own coordinates, not yet checked or repaired."""

from dataclasses import dataclass, field

import numpy as np
import shapely
from pyproj import CRS
from shapely.geometry import MultiPolygon

from plots.formats.attributes import as_name, quoted
from plots.formats.model import LeftOut, NotAnOutline
from plots.formats.rings import NOT_FINITE, polygon

_KINDS = {
    "Point": "a point",
    "MultiPoint": "points",
    "LineString": "a line",
    "MultiLineString": "lines",
    "LinearRing": "a line",
    "CircularString": "a curve",
    "CompoundCurve": "a curve",
    "CurvePolygon": "a curved outline",
    "MultiCurve": "curves",
    "MultiSurface": "curved outlines",
}


@dataclass
class Gathering:
    """The members of one feature's geometry, sorted as they come."""

    polygons: list = field(default_factory=list)
    others: list = field(default_factory=list)  # 'a point', 'a line' …
    failures: list = field(default_factory=list)  # why a part is no polygon
    notes: list = field(default_factory=list)
    repaired: bool = False

    def add(self, rings):
        """Take an outer ring and its holes, each an array of (x, y)."""
        try:
            part, notes = polygon(rings)
        except NotAnOutline as error:
            self.failures.append(str(error))
            return
        self.polygons.append(part)
        self.mended(*notes)

    def mended(self, *notes):
        """Say what was changed."""
        self.repaired |= bool(notes)
        self.notes.extend(note for note in notes if note not in self.notes)

    def add_shape(self, geometry):
        """Take any shapely geometry apart; None and empty ones fail."""
        if geometry is None:
            self.failures.append("no geometry")
            return
        if geometry.is_empty:
            self.failures.append("an empty geometry")
            return
        geometry = shapely.force_2d(geometry)
        if not np.isfinite(shapely.get_coordinates(geometry)).all():
            self.failures.append(NOT_FINITE)
            return
        waiting = [geometry]
        while waiting:
            member = waiting.pop()
            if member.geom_type in ("MultiPolygon", "GeometryCollection"):
                waiting.extend(reversed(member.geoms))
            elif member.geom_type != "Polygon":
                self.others.append(_KINDS.get(member.geom_type, "another kind of geometry"))
            elif not member.is_empty:
                self.polygons.append(member)


@dataclass
class Found:
    """A feature with at least one ring: `drawn` is as the file has it and may be invalid."""

    what: str
    drawn: MultiPolygon
    attributes: dict
    repaired: bool = False
    notes: list = field(default_factory=list)


@dataclass
class Source:
    """`crs` is None when the file names none; `crs_is_fixed` when the format's standard allows no other."""

    format: str
    crs: CRS | None = None
    crs_is_fixed: bool = False
    layer: str | None = None
    layers: list = field(default_factory=list)
    found: list = field(default_factory=list)
    left_out: list = field(default_factory=list)
    notes: list = field(default_factory=list)

    def leave_out(self, what, why):
        self.left_out.append(LeftOut(what, why))

    def add(self, what, attributes, gathered):
        """Keep a feature's polygons as one plot, and say what of it is not kept."""
        if not gathered.polygons:
            why = [
                *gathered.failures,
                *(f"{kind}, not an outline" for kind in gathered.others),
                "no geometry",
            ]
            self.leave_out(what, why[0])
            return
        gathered.mended(*(f"A part was left out: {why}." for why in gathered.failures))
        for kind in gathered.others:
            self.leave_out(what, f"{kind} beside the outline")
        self.found.append(
            Found(what, MultiPolygon(gathered.polygons), attributes, gathered.repaired, gathered.notes)
        )


def label(kind, number, name=None):
    """'Row 3 (“Pond”)'."""
    name = as_name(name)
    return f"{kind} {number} ({quoted(name)})" if name else f"{kind} {number}"


def counted(count, noun, plural=None):
    """'1 point', '3 points'."""
    return f"{count:,} {noun if count == 1 else plural or noun + 's'}"
