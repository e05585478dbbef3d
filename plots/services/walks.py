"""Edges walked with a phone: taken in once however often they are sent, looked at, made a boundary or set aside."""

import math

from django.db import transaction
from django.http import Http404

from config.errors import Conflict, Refused
from plots.formats.model import NotAnOutline
from plots.formats.walked import walked_outline
from plots.models import Boundary, Walk
from plots.services.boundaries import ANY, set_boundary
from plots.services.locking import lock_property
from plots.services.plots import create_plot
from plots.services.recorders import check_recorder
from plots.services.rows import save_clean

MOST_FIXES = 20_000  # five hours at one a second
WORST_ACCURACY_M, TOLERANCE_M = 10.0, 2.0  # what a phone under open sky keeps, and about two steps; ours
# What can be chosen; beyond it a limit leaves nothing out, and a line has little to do with the fixes.
LEAST_M, MOST_ACCURACY_M, MOST_TOLERANCE_M = 0.1, 200.0, 50.0
_MOST_MS = 366 * 24 * 3600 * 1000  # a walk may be left open and gone on with
_MOST_STRETCHES = 1_000
_COLUMNS = (
    ("longitude", -180, 180),
    ("latitude", -90, 90),
    ("accuracy in metres", 0.001, 1_000_000),
    ("milliseconds since the start", 0, _MOST_MS),
    ("number of the stretch", 0, _MOST_STRETCHES),
)


@transaction.atomic
def receive_walk(
    *,
    property,
    user,
    walk_id,
    fixes,
    started_at,
    sent_at,
    plot=None,
    new_name="",
    worst_accuracy_m=WORST_ACCURACY_M,
    tolerance_m=TOLERANCE_M,
    note="",
    recorded_by=None,
):
    """Take a walk in. Sent again, it is the same walk: a phone whose answer was lost does not know that it arrived.

    Parameters
    ----------
    walk_id : UUID
        Made on the phone.
    fixes : list of [longitude, latitude, accuracy in m, milliseconds since the start, stretch]
    started_at, sent_at : datetime
        By the phone's clock.
    plot : Plot, optional
        The plot whose edge it is; else `new_name` may hold the name of a new one.
    recorded_by : int, optional
        Id of the person who was signed in while walking.

    Returns
    -------
    walk : Walk
    is_new : bool

    Raises
    ------
    Refused
        Fixes or limits that cannot be used, another property's plot.
    OtherPerson
        `recorded_by` is not `user`.
    Conflict
        The id belongs to a walk with other fixes.
    Http404
        The id belongs to a walk of another property.
    """
    check_recorder(user, recorded_by, "walked this edge")
    if plot is not None and plot.property_id != property.pk:
        sentence = "This plot belongs to another property."
        raise Refused(sentence, fields={"plot_id": [sentence]})
    fixes = _checked(fixes)
    check_limits(worst_accuracy_m, tolerance_m)
    lock_property(property.pk)
    there = Walk.objects.select_related("plot", "boundary").filter(pk=walk_id).first()
    if there is not None:
        # Only what was walked: plot, limits and state may have been changed here since.
        if there.property_id != property.pk:
            raise Http404
        if (there.fixes, there.started_at) != (fixes, started_at):
            raise Conflict(
                "This id belongs to a walk with other points; a walk is sent under an id of its own."
            )
        return there, False
    walk = Walk(
        id=walk_id,
        property=property,
        plot=plot,
        new_name="" if plot else " ".join(new_name.split()),
        fixes=fixes,
        worst_accuracy_m=worst_accuracy_m,
        tolerance_m=tolerance_m,
        started_at=started_at,
        sent_at=sent_at,
        note=note.strip(),
        created_by=user,
    )
    return save_clean(walk, force_insert=True), True


def walked_of(walk, *, worst_accuracy_m=None, tolerance_m=None):
    """What the walk comes to, by its own limits or by others; stores nothing.

    Raises
    ------
    Refused
        The limits cannot be used, or no outline comes of the walk.
    """
    worst_accuracy_m = walk.worst_accuracy_m if worst_accuracy_m is None else worst_accuracy_m
    tolerance_m = walk.tolerance_m if tolerance_m is None else tolerance_m
    check_limits(worst_accuracy_m, tolerance_m)
    try:
        return walked_outline(walk.fixes, worst_accuracy_m, tolerance_m)
    except NotAnOutline as error:
        raise Refused(f"No outline comes of this walk: {error}.") from error


@transaction.atomic
def accept_walk(
    *,
    walk,
    user,
    plot=None,
    new_name="",
    worst_accuracy_m=None,
    tolerance_m=None,
    why="",
    replaces=ANY,
    is_sure=True,
):
    """Make the walk the boundary of a plot, or of a new one.

    Parameters
    ----------
    plot : Plot, optional
        Of the same property; without one a new plot is made that is called `new_name`.
    worst_accuracy_m, tolerance_m : float, optional
        Left out, those of the walk; what was used stays with it. [m]
    why, replaces, is_sure
        As for `set_boundary`; an empty `why` is the walk's note.

    Returns
    -------
    Boundary

    Raises
    ------
    Refused
        No outline comes of it, another property's plot, a name that cannot be used.
    Conflict
        It has been made a boundary already.
    BoundaryChanged, Questioned
        As for `set_boundary`.
    """
    if plot is not None and plot.property_id != walk.property_id:
        sentence = "This plot belongs to another property."
        raise Refused(sentence, fields={"plot_id": [sentence]})
    lock_property(walk.property_id)
    locked = _undecided(walk)
    walked = walked_of(locked, worst_accuracy_m=worst_accuracy_m, tolerance_m=tolerance_m)
    about = {
        "geometry": walked.outline,
        "user": user,
        "how": Boundary.How.WALKED,
        "why": why.strip() or locked.note,
        "accuracy_m": walked.accuracy_m,
        "is_sure": is_sure,
    }
    if plot is None:
        plot = create_plot(property=locked.property, name=new_name, **about)
        boundary = plot.boundary
    else:
        boundary = set_boundary(plot=plot, replaces=replaces, **about)
    locked.plot, locked.boundary, locked.state = plot, boundary, Walk.State.ACCEPTED
    locked.worst_accuracy_m = worst_accuracy_m or locked.worst_accuracy_m
    locked.tolerance_m = tolerance_m or locked.tolerance_m
    save_clean(locked, update_fields=["plot", "boundary", "state", "worst_accuracy_m", "tolerance_m"])
    walk.refresh_from_db()
    return boundary


@transaction.atomic
def set_walk_aside(*, walk, is_set_aside=True):
    """Set a walk aside, or take it up again; it is kept either way."""
    locked = _undecided(walk)
    locked.state = Walk.State.SET_ASIDE if is_set_aside else Walk.State.WAITING
    locked.save(update_fields=["state"])
    walk.state = locked.state
    return walk


def check_limits(worst_accuracy_m, tolerance_m):
    """Refuse limits that cannot be used."""
    said = {
        name: [f"The {called} is {value:g} m; accepted is {LEAST_M:g} to {most:g} m."]
        for name, called, value, most in (
            ("worst_accuracy_m", "worst accuracy", worst_accuracy_m, MOST_ACCURACY_M),
            ("tolerance_m", "tolerance", tolerance_m, MOST_TOLERANCE_M),
        )
        if not LEAST_M <= value <= most
    }
    if said:
        raise Refused(" ".join(text for texts in said.values() for text in texts), fields=said)


def _undecided(walk):
    locked = Walk.objects.select_for_update().get(pk=walk.pk)
    if locked.state == Walk.State.ACCEPTED:
        raise Conflict(f"This walk has become a boundary of {locked.plot} already.")
    return locked


def _checked(fixes):
    """The fixes as they are stored: numbers within their ranges, time and stretch whole."""
    if not isinstance(fixes, list) or not fixes:
        _refuse("The walk has no points; at least one is accepted.")
    if len(fixes) > MOST_FIXES:
        _refuse(f"The walk has {len(fixes):,} points; at most {MOST_FIXES:,} are accepted.")
    stretch = 0
    for number, fix in enumerate(fixes, 1):
        if not isinstance(fix, list) or len(fix) != len(_COLUMNS) or not all(map(_is_number, fix)):
            _refuse(
                f"Point {number} is {str(fix)[:60]}; accepted are five numbers: "
                f"{', '.join(name for name, _, _ in _COLUMNS)}."
            )
        for value, (name, least, most) in zip(fix, _COLUMNS, strict=True):
            if not least <= value <= most:
                _refuse(
                    f"The {name} of point {number} is {str(value)[:40]}; accepted is {least:g} to {most:g}."
                )
        if fix[4] < stretch or fix[4] != int(fix[4]):
            _refuse(
                f"Point {number} is of stretch {fix[4]:g} after stretch {stretch}; accepted are whole numbers in order."
            )
        stretch = int(fix[4])
    return [[float(lon), float(lat), float(at), int(ms), int(part)] for lon, lat, at, ms, part in fixes]


def _is_number(value):
    if isinstance(value, float):
        return math.isfinite(value)
    return isinstance(value, int) and not isinstance(value, bool)


def _refuse(sentence):
    raise Refused(sentence, fields={"fixes": [sentence]})
