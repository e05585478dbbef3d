"""Splitting a plot along lines, and undoing it."""

from django.db import transaction
from django.db.models import Count

from config.errors import Refused
from plots.calc.geodesy import geodesic_area_perimeter
from plots.calc.splitting import CannotSplit, joined, pieces_of
from plots.calc.units import m2_to_acres, m_to_ft
from plots.models import Boundary, Plot
from plots.services.boundaries import BoundaryChanged, set_boundary
from plots.services.plots import archive_plot, free_name
from plots.services.reshaping import (
    CannotUndo,
    listed,
    locked_plots,
    plot_split,
    refuse_unready,
    split_undone,
    told,
    why_of,
)
from plots.services.rows import save_clean

_NAME_ROOM = Plot._meta.get_field("name").max_length
_SAME_M2 = (
    0.001  # what areas of pieces and their whole may differ by; beyond a measure's own square centimetre
)


def split_preview(*, plot, lines, replaces):
    """The pieces that lines would make of a plot. Nothing is stored.

    Parameters
    ----------
    lines : list of shapely LineString
    replaces : int
        Id of the boundary that the person sees.

    Returns
    -------
    dict
        `problems` (sentences), `pieces` (list of {"geometry", "acres", "area_m2", "perimeter_ft", "perimeter_m",
        "name"}, largest first; the name is None for the one that would keep the plot's), `untouched_parts` and
        `untouched_acres` (of the parts that no line cuts, which stay with the plot).

    Raises
    ------
    Refused
        The plot is archived or has no boundary.
    BoundaryChanged
        The plot has another boundary by now.
    """
    refuse_unready(plot)
    if plot.boundary_id != replaces:
        raise BoundaryChanged(plot, plot.boundary)
    try:
        pieces, untouched = pieces_of(plot.boundary.geometry, lines)
    except CannotSplit as problem:
        return {"problems": [str(problem)], "pieces": [], "untouched_parts": 0, "untouched_acres": 0.0}
    areas_m2, perimeters_m = geodesic_area_perimeter(pieces)
    names = [None, *_free_names(plot, len(pieces) - 1)]
    return {
        "problems": [],
        "pieces": [
            {
                "geometry": piece,
                "acres": m2_to_acres(float(area_m2)),
                "area_m2": float(area_m2),
                "perimeter_ft": m_to_ft(float(perimeter_m)),
                "perimeter_m": float(perimeter_m),
                "name": name,
            }
            for piece, area_m2, perimeter_m, name in zip(pieces, areas_m2, perimeters_m, names, strict=True)
        ],
        "untouched_parts": len(untouched),
        "untouched_acres": m2_to_acres(float(sum(geodesic_area_perimeter(part)[0] for part in untouched))),
    }


@transaction.atomic
def split_plot(*, plot, lines, names, user, replaces, why=""):
    """Cut a plot along lines. The plot keeps some of the pieces, the others become new plots with what is known of it.

    Parameters
    ----------
    lines : list of shapely LineString
    names : list of str or None
        For each piece, in the order of `split_preview`. None, and the plot's own name, keep the piece with the plot;
        pieces of one new name become one plot of several parts.
    replaces : int
        Id of the boundary that the person saw, since the pieces are those of that one.
    why : str
        Is added to what the record says anyway.

    Returns
    -------
    plot : Plot
    new_plots : list of Plot
    said : list of str
        What else the person should know.

    Raises
    ------
    Refused
        No line cuts through, a piece is too small, a name cannot be given, or none or all pieces stay.
    BoundaryChanged
        The plot has another boundary than `replaces`.
    """
    [plot] = locked_plots([(plot, replaces)])
    try:
        pieces, untouched = pieces_of(plot.boundary.geometry, lines)
    except CannotSplit as problem:
        raise Refused(str(problem), fields={"line": [str(problem)]}) from problem
    kept, groups = _grouped(plot, pieces, names)
    if not kept and not untouched:
        raise _refused(f"No piece stays with {plot}; one or more keep its name.")
    if not groups:
        raise _refused(f"Every piece stays with {plot}; give one or more a new name.")
    accuracy_m, new_names = plot.boundary.accuracy_m, [name for name, _ in groups]
    set_boundary(
        plot=plot,
        geometry=joined([*kept, *untouched]),
        user=user,
        how=Boundary.How.RESHAPED,
        why=why_of(f"Split: {listed(new_names)} came off it", why),
        accuracy_m=accuracy_m,
    )
    new_plots = []
    for name, own in groups:
        new = save_clean(Plot(property=plot.property, name=name, notes=plot.notes, objective=plot.objective))
        set_boundary(
            plot=new,
            geometry=joined(own),
            user=user,
            how=Boundary.How.RESHAPED,
            why=why_of(f"Split from {plot}", why),
            accuracy_m=accuracy_m,
        )
        new_plots.append(new)
    return plot, new_plots, told(plot_split, plot=plot, new_plots=new_plots)


def split_off(plot):
    """The plots that the last change of a plot's boundary split off, and the boundary before it.

    They are known by their ground: they are in use, have had no boundary but the one that came with the split, and
    together with the plot they are exactly what it was before.

    Returns
    -------
    new_plots : list of Plot
        Empty where the last change was no split, or a piece has been changed since.
    before : Boundary or None
    """
    now = plot.boundary
    if now is None or now.how != Boundary.How.RESHAPED or now.area_m2 is None:
        return [], None
    before = plot.boundaries.filter(pk__lt=now.pk, area_m2__isnull=False).order_by("-pk").first()
    if before is None or before.area_m2 <= now.area_m2:
        return [], None
    newer = Boundary.objects.filter(
        plot__property=plot.property_id,
        plot__is_archived=False,
        pk__gt=now.pk,
        how=Boundary.How.RESHAPED,
        current_of__isnull=False,
        geometry__bbox=before.geometry.bounds,
    ).select_related("plot")
    pieces = [
        piece
        for piece in newer.annotate(boundaries=Count("plot__boundaries")).order_by("pk")
        if piece.boundaries == 1
        and before.geometry.covers(piece.geometry.representative_point())
        and not now.geometry.covers(piece.geometry.representative_point())
    ]
    whole_m2 = now.area_m2 + sum(piece.area_m2 for piece in pieces)
    is_whole = pieces and abs(whole_m2 - before.area_m2) <= _SAME_M2 + 1e-9 * before.area_m2
    return ([piece.plot for piece in pieces], before) if is_whole else ([], None)


@transaction.atomic
def undo_split(*, plot, user, replaces):
    """Give a plot back the ground that its last split took; the plots of that ground are archived.

    Returns
    -------
    list of Plot
        Those that were archived.

    Raises
    ------
    CannotUndo
        The last change was no split, a piece has been changed since, or something has been planted on one.
    BoundaryChanged
        The plot has another boundary than `replaces`.
    """
    new_plots, before = split_off(plot)
    [plot, *new_plots] = locked_plots([(plot, replaces), *((new, new.boundary_id) for new in new_plots)])
    if not new_plots:
        raise CannotUndo(
            f"The last change of {plot} was no split, or one of its pieces has been changed since; the record of "
            "boundaries can restore an older one."
        )
    told(split_undone, plot=plot, archived=new_plots)
    for new in new_plots:
        archive_plot(plot=new)
    set_boundary(
        plot=plot,
        geometry=before.geometry,
        user=user,
        how=before.how,
        why=why_of(f"Split undone: {listed(new_plots)} archived", ""),
        accuracy_m=before.accuracy_m,
        restored_from=before,
    )
    return new_plots


def _grouped(plot, pieces, names):
    """The pieces that stay, and [(new name, its pieces)], every name checked."""
    if len(names) != len(pieces):
        raise _refused(
            f"The line makes {len(pieces)} pieces, and {len(names)} names are given; one for each is accepted."
        )
    kept, groups = [], {}
    for number, (piece, typed) in enumerate(zip(pieces, names, strict=True)):
        if typed is None or " ".join(typed.split()).lower() == plot.name.lower():
            kept.append(piece)
            continue
        key = " ".join(typed.split()).lower()
        if key not in groups:
            groups[key] = (free_name(plot.property, typed, field=f"names.{number}"), [])
        groups[key][1].append(piece)
    return kept, list(groups.values())


def _refused(sentence):
    return Refused(sentence, fields={"names": [sentence]})


def _free_names(plot, count):
    """Names after the plot's own that no plot has: 'Creek Bottom 2', 'Creek Bottom 3'."""
    taken = {name.lower() for name in plot.property.plots.values_list("name", flat=True)}
    names, number = [], 1
    while len(names) < count:
        number += 1
        ending = f" {number}"
        name = plot.name[: _NAME_ROOM - len(ending)].rstrip() + ending
        if name.lower() not in taken:
            names.append(name)
    return names
