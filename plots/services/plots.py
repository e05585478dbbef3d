"""What a person does with a plot: make it, rename it, set it aside, bring it back. Its boundary is in boundaries.py."""

from django.db import transaction

from config.errors import Refused
from plots.models import Plot
from plots.services.boundaries import set_boundary
from plots.services.comparing import compare_with_neighbours
from plots.services.locking import lock_property
from plots.services.measuring import tell_acreage_changed
from plots.services.rows import save_clean

_NAME_ROOM = Plot._meta.get_field("name").max_length


@transaction.atomic
def create_plot(*, property, name, geometry, user, how, why="", accuracy_m=None, is_sure=True):
    """A new plot with its first boundary; the arguments are those of `set_boundary`.

    Raises
    ------
    Refused
        A name that is missing, too long or taken, or an outline that cannot be used.
    Questioned
        The outline lies where it hardly can be meant to, and the person has not said that it is.
    """
    lock_property(property.pk)
    plot = save_clean(Plot(property=property, name=free_name(property, name)))
    set_boundary(
        plot=plot, geometry=geometry, user=user, how=how, why=why, accuracy_m=accuracy_m, is_sure=is_sure
    )
    return plot


def free_name(property, typed, *, field="name"):
    """The name as it is stored, if a new plot can have it.

    Raises
    ------
    Refused
        It is empty, too long, or that of another plot, an archived one too; `fields` has `field`.
    """
    name = " ".join(typed.split())
    there = Plot.objects.filter(property=property, name__iexact=name).first() if name else None
    if not name:
        sentence = "A name is missing; each new plot needs one."
    elif len(name) > _NAME_ROOM:
        sentence = f"The name has {len(name)} characters; at most {_NAME_ROOM} are accepted."
    elif there is not None and there.is_archived:
        sentence = f"An archived plot is called “{there}”; give another name, or bring that plot back."
    elif there is not None:
        sentence = f"There is a plot “{there}”; give another name."
    else:
        return name
    raise Refused(sentence, fields={field: [sentence]})


@transaction.atomic
def update_plot(*, plot, name, notes, objective):
    """What is known of a plot by typing; `objective` is a Plot.Objective, or empty while it is not decided."""
    lock_property(plot.property_id)
    plot.name, plot.notes, plot.objective = " ".join(name.split()), notes.strip(), objective
    return save_clean(plot, update_fields=["name", "notes", "objective"])


@transaction.atomic
def archive_plot(*, plot):
    """Set the plot aside: it leaves lists and coming seasons, its past stays."""
    return _set_archived(plot, True)


@transaction.atomic
def restore_plot(*, plot):
    """Bring the plot back, and look for ground that its neighbours have taken meanwhile."""
    _set_archived(plot, False)
    if plot.boundary is not None:
        compare_with_neighbours([plot.boundary])
    return plot


def _set_archived(plot, is_archived):
    lock_property(plot.property_id)
    plot.is_archived = is_archived
    plot.save(update_fields=["is_archived"])
    tell_acreage_changed([plot.pk])
    return plot
