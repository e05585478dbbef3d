"""Which plots lie near another one."""

from dataclasses import dataclass

import numpy as np
import shapely

from plots.calc.nearness import between_m
from plots.calc.plane import Plane
from plots.calc.units import m_to_ft
from plots.queries import boundaries_for

_TOUCHING_M = 0.3  # nearer, and two outlines are taken to touch


@dataclass(frozen=True)
class Beside:
    id: int
    name: str
    boundary_id: int
    acres: float | None  # None while not measured
    away_m: float  # from edge to edge

    @property
    def away_ft(self):
        """None where the two touch."""
        return None if self.away_m < _TOUCHING_M else m_to_ft(self.away_m)


def plots_beside(plot, most, *, always=()):
    """The other plots in use that have a boundary, nearest first.

    Parameters
    ----------
    plot : Plot
        With a boundary.
    most : int
        They are chosen by their extents, which needs no outline of thousands, and sorted by their edges.
    always : collection of int
        Ids of plots that are told however far they lie.

    Returns
    -------
    list of Beside
    """
    others = boundaries_for(plot.property).exclude(plot=plot).order_by("pk")
    extents = list(others.values_list("pk", "plot_id", "west", "south", "east", "north"))
    if not extents:
        return []
    outline = plot.boundary.geometry
    away_m = between_m([outline.bounds] * len(extents), [row[2:] for row in extents])
    near = [extents[place][0] for place in np.argsort(away_m, kind="stable")[:most]]
    wanted = near + [pk for pk, plot_id, *_ in extents if plot_id in always]
    plane = Plane.about(outline)
    flat = plane.to_metres(outline)
    found = [
        Beside(
            id=row.plot_id,
            name=row.plot.name,
            boundary_id=row.pk,
            acres=row.acres,
            away_m=float(shapely.distance(flat, plane.to_metres(row.geometry))),
        )
        for row in others.filter(pk__in=wanted)
    ]
    return sorted(found, key=lambda each: (each.away_m, each.name, each.id))
