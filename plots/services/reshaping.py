"""What splitting and merging have in common."""

from django.dispatch import Signal

from config.errors import Conflict, Refused
from plots.models import Boundary, Plot
from plots.services.boundaries import BoundaryChanged
from plots.services.locking import lock_property

WHY_ROOM = 160
"""Characters that a person may add to the reason of a split or a merge, beside what is said anyway."""

_WHY_MOST = Boundary._meta.get_field("why").max_length

# Each is sent inside the transaction. `about_to_reshape(plot_ids)` comes before anything is locked or changed;
# receivers of the others may answer with sentences for the person, and may refuse.
about_to_reshape = Signal()
plot_split = Signal()  # plot, new_plots
split_undone = Signal()  # plot, archived
plots_merged = Signal()  # kept, archived


def locked_plots(plots_seen):
    """The plots, locked in one order, each with the boundary that was seen and none of them archived.

    Parameters
    ----------
    plots_seen : list of (Plot, int)
        Of one property; with the id of the boundary that the person saw.

    Raises
    ------
    Refused
        A plot is archived or has no boundary.
    BoundaryChanged
        A plot has another boundary by now.
    """
    seen = {plot.pk: boundary_id for plot, boundary_id in plots_seen}
    about_to_reshape.send(sender=Plot, plot_ids=sorted(seen))
    property_id = plots_seen[0][0].property_id
    lock_property(property_id)
    rows = Plot.objects.filter(pk__in=seen, property=property_id).order_by("pk").select_for_update()
    locked = {plot.pk: plot for plot in rows}
    for pk, boundary_id in seen.items():
        plot = locked[pk]
        refuse_unready(plot)
        if plot.boundary_id != boundary_id:
            raise BoundaryChanged(plot, plot.boundary)
    return [locked[plot.pk] for plot, _ in plots_seen]


def refuse_unready(plot):
    if plot.is_archived:
        raise Refused(f"{plot} is archived; bring it back first.")
    if plot.boundary_id is None:
        raise Refused(f"{plot} has no boundary yet; draw it first.")


def told(signal, **facts):
    """Send the signal; the sentences that its receivers answer, in one list."""
    answers = [answer for _, answer in signal.send(sender=Plot, **facts)]
    return [sentence for sentences in answers if sentences for sentence in sentences]


def why_of(said, typed):
    """What the record says of a boundary: what was done, shortened where it would leave no room, and the person's words.

    Raises
    ------
    Refused
        The person's words are longer than `WHY_ROOM`.
    """
    typed = typed.strip()
    if len(typed) > WHY_ROOM:
        sentence = f"The reason has {len(typed)} characters; at most {WHY_ROOM} are accepted."
        raise Refused(sentence, fields={"why": [sentence]})
    room = _WHY_MOST - (len(typed) + 2 if typed else 1)
    short = said if len(said) <= room else f"{said[: room - 1]}…"
    return f"{short}. {typed}" if typed else f"{short}."


def listed(names):
    """'A', 'A and B', 'A, B and C'."""
    names = [str(name) for name in names]
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)


class CannotUndo(Conflict):
    """Something has happened since that the undoing would lose."""

    code = "cannot_undo"
