"""Ground that outlines would share with plots that are already there, before they are stored."""

import numpy as np
import shapely

from plots.calc.change import overlaid
from plots.calc.geodesy import geodesic_area_perimeter
from plots.queries import boundaries_for

_LEAST_M2 = 20.0  # 0.005 acre: less would read 0.00 ac, and neighbours that share an edge do share slivers
_SAME_SHARE = 0.9999  # of both
LEAST_KEPT_M2 = 1.0  # common edges that two programs rounded differently share less; also what is stored


def shared_ground(property, outlines, areas_m2, *, but=None, least_m2=_LEAST_M2):
    """What each outline shares with the property's plots, largest first.

    Parameters
    ----------
    outlines : list of shapely MultiPolygon, shape (n,)
    areas_m2 : array_like, shape (n,)
        Geodesic.
    but : int, optional
        Id of a plot that is left out.
    least_m2 : float, optional
        Less is not told.

    Returns
    -------
    list of list of dict
        Per outline [{"plot": name, "plot_id": id, "area_m2": geodesic area of the ground in common,
        "is_same": whether that is all of both}, …].
    """
    around = boundaries_for(property).filter(geometry__bbox=shapely.total_bounds(outlines).tolist())
    there = list(around if but is None else around.exclude(plot_id=but))
    shared = [[] for _ in outlines]
    if not there:
        return shared
    drawn, standing = np.array(outlines, dtype=object), np.array([b.geometry for b in there], dtype=object)
    of_outline, of_plot = shapely.STRtree(standing).query(drawn, predicate="intersects")
    common = [
        overlaid(shapely.intersection, drawn[one], standing[other])
        for one, other in zip(of_outline, of_plot, strict=True)
    ]
    common_m2 = np.atleast_1d(geodesic_area_perimeter(common)[0])
    for outline, plot, area_m2 in zip(of_outline, of_plot, common_m2, strict=True):
        if area_m2 >= least_m2:
            boundary = there[plot]
            whole_m2 = max(areas_m2[outline], boundary.area_m2 or np.inf)
            shared[outline].append(
                {
                    "plot": boundary.plot.name,
                    "plot_id": boundary.plot_id,
                    "area_m2": float(area_m2),
                    "is_same": bool(area_m2 >= _SAME_SHARE * whole_m2),
                }
            )
    return [sorted(found, key=lambda item: -item["area_m2"]) for found in shared]
