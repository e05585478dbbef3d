"""Giving a plot another boundary. The ones before it stay in its history, and none is ever changed."""

from django.db import transaction

from config.errors import Conflict, Refused
from plots.calc.geodesy import geodesic_area_perimeter
from plots.geojson import checked_outline
from plots.models import Boundary, Plot
from plots.queries import feature_of
from plots.services.comparing import compare_with_neighbours
from plots.services.doubts import doubts_about
from plots.services.locking import lock_property
from plots.services.measuring import tell_acreage_changed
from plots.services.rows import save_clean

ANY = object()  # whichever boundary the plot has


class BoundaryChanged(Conflict):
    """Somebody else gave the plot another boundary since the person looked at it. `.current` is that one."""

    code = "boundary_changed"

    def __init__(self, plot, current):
        self.plot, self.current = plot, current
        who = current.created_by.shown_name if current and current.created_by else "Somebody"
        super().__init__(
            f"{who} has changed the boundary of {plot} since you opened it. Yours is not saved yet; look at both."
        )

    @property
    def beside(self):
        return {"current": feature_of(self.current) if self.current else None}


class Questioned(Conflict):
    """The boundary can be stored, but looks like a mistake; the person may say that it is meant."""

    code = "questioned"

    def __init__(self, doubts):
        self.doubts = doubts
        super().__init__(" ".join(doubts))


@transaction.atomic
def set_boundary(
    *,
    plot,
    geometry,
    user,
    how,
    why="",
    repairs=(),
    source_import=None,
    accuracy_m=None,
    restored_from=None,
    replaces=ANY,
    is_sure=True,
):
    """Give the plot a new, measured boundary; the ones before it stay in its history.

    Parameters
    ----------
    geometry : shapely Polygon or MultiPolygon
        Longitude and latitude on WGS84. [degrees]
    how : Boundary.How
    accuracy_m : float, optional
        How far off a corner may be; of a walk the mean 95 % radius of its fixes. [m]
    restored_from : Boundary, optional
        The older boundary of the plot that is taken up again.
    replaces : int or None, optional
        Id of the boundary that the person saw; None if the plot had none. Left out, whichever it has.
    is_sure : bool
        False: doubts about where it lies are raised and not passed over.

    Raises
    ------
    Refused
        The outline is empty, out of range, crosses itself or encloses no ground.
    BoundaryChanged
        The plot has another boundary than `replaces`.
    Questioned
        The outline lies where it hardly can be meant to, and the person has not said that it is.
    """
    outline = checked_outline(geometry)
    area_m2, perimeter_m = geodesic_area_perimeter(outline)
    if area_m2 <= 0:
        raise Refused("The boundary encloses no ground; an outline with at least three corners is accepted.")
    lock_property(plot.property_id)
    locked = Plot.objects.select_for_update().get(pk=plot.pk)
    if replaces is not ANY and replaces != locked.boundary_id:
        raise BoundaryChanged(locked, locked.boundary)
    if not is_sure and (doubts := doubts_about(locked.property, outline, name=locked.name, but=locked)):
        raise Questioned(doubts)
    locked.boundary = plot.boundary = save_clean(
        Boundary(
            plot=locked,
            geometry=outline,
            area_m2=float(area_m2),
            perimeter_m=float(perimeter_m),
            accuracy_m=accuracy_m,
            how=how,
            why=why.strip(),
            repairs=list(repairs),
            source_import=source_import,
            restored_from=restored_from,
            created_by=user,
        )
    )
    locked.save(update_fields=["boundary"])
    compare_with_neighbours([plot.boundary])
    tell_acreage_changed([plot.pk])
    return plot.boundary
