"""What a writer is given: plots as plain values, and the columns that every format carries."""

from dataclasses import dataclass
from datetime import UTC, date, datetime

import numpy as np
import shapely
from shapely.geometry import MultiPolygon

from plots.calc.units import m2_to_acres, m_to_ft


@dataclass(frozen=True)
class ExportedPlot:
    """One plot on its way out.

    `geometry` is longitude and latitude on WGS84. What is not known is None, never 0 or an empty text.
    `boundary_how` and `objective` are the words that the API has for them; `boundary_told` says the first in a
    person's words. `accuracy_m` is how far off the edge may be.
    """

    plot_id: int
    name: str
    geometry: MultiPolygon
    area_m2: float | None = None
    perimeter_m: float | None = None
    boundary_how: str | None = None
    boundary_told: str | None = None
    boundary_at: datetime | None = None
    accuracy_m: float | None = None
    objective: str | None = None
    notes: str | None = None

    @property
    def outline(self):
        """The parts with outer rings counter-clockwise and holes clockwise (RFC 7946, section 3.1.6)."""
        return shapely.orient_polygons(shapely.force_2d(self.geometry), exterior_cw=False)

    @property
    def boundary_at_utc(self):
        return None if self.boundary_at is None else self.boundary_at.astimezone(UTC)

    @property
    def attributes(self):
        """{column: value} in the order of `COLUMNS`; every value is a text, a number, a date or None."""
        return {
            "plot_id": self.plot_id,
            "name": self.name,
            "acres_mapped": None if self.area_m2 is None else m2_to_acres(self.area_m2),
            "perimeter_ft": None if self.perimeter_m is None else m_to_ft(self.perimeter_m),
            "boundary_how": self.boundary_how,
            "boundary_on": None if self.boundary_at is None else self.boundary_at_utc.date(),
            "accuracy_ft": None if self.accuracy_m is None else m_to_ft(self.accuracy_m),
            "objective": self.objective,
            "notes": self.notes,
        }


@dataclass(frozen=True)
class Selection:
    """Plots of one property. `slug` is what fiboa calls a collection; `title` is the property's name."""

    title: str
    slug: str
    plots: list


@dataclass(frozen=True)
class Column:
    """A column of every format; `short` fits into a Shapefile's ten characters, `kind` is a Python type."""

    name: str
    short: str
    kind: type


COLUMNS = [
    Column("plot_id", "plot_id", int),
    Column("name", "name", str),
    Column("acres_mapped", "acres", float),
    Column("perimeter_ft", "perim_ft", float),
    Column("boundary_how", "bound_how", str),
    Column("boundary_on", "bound_on", date),
    Column("accuracy_ft", "accur_ft", float),
    Column("objective", "objective", str),
    Column("notes", "notes", str),
]


def ring_positions(polygon):
    """[[(longitude, latitude), …], …]: the outer ring, then the holes, as floats that lose no digit as text."""
    return [shapely.get_coordinates(ring).tolist() for ring in (polygon.exterior, *polygon.interiors)]


def degrees_text(value):
    """The shortest text that reads back as the same number, without an exponent: GPX and WKT know none."""
    return np.format_float_positional(value, trim="-")
