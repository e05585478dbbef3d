"""Taking up an older boundary again, as a new one."""

from config.errors import Refused
from plots.models import Boundary, Plot
from plots.services.boundaries import ANY, set_boundary


def restore_boundary(*, boundary, user, why="", replaces=ANY):
    """Give the plot the ground of one of its older boundaries; the record gets longer and loses nothing.

    How and how accurately the older one was obtained is kept, since it is the same line.

    Parameters
    ----------
    boundary : Boundary
        With its plot.
    replaces : int or None, optional
        Id of the boundary that the person saw as the current one, as in `set_boundary`.

    Raises
    ------
    Refused
        It is the current boundary.
    BoundaryChanged
        The plot has another boundary than `replaces`.
    """
    if Plot.objects.filter(boundary=boundary).exists():
        raise Refused(
            f"This boundary of {boundary.plot} holds now already; choose an older one to take up again."
        )
    return set_boundary(
        plot=boundary.plot,
        geometry=boundary.geometry,
        user=user,
        how=boundary.how,
        why=why,
        accuracy_m=boundary.accuracy_m,
        restored_from=boundary,
        replaces=replaces,
    )


def boundary_before(boundary):
    """The one that the plot had before this; None of its first."""
    earlier = Boundary.objects.filter(plot=boundary.plot_id, created_at__lte=boundary.created_at)
    return earlier.exclude(pk__gte=boundary.pk).select_related("plot").first()
