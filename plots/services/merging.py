"""Making one plot of several."""

from django.db import transaction

from config.errors import Refused
from plots.calc.geodesy import geodesic_area_perimeter
from plots.calc.merging import GAP_M, gaps_between, merged
from plots.calc.shape import part_and_hole_counts
from plots.calc.units import m2_to_acres, m_to_ft
from plots.models import Boundary
from plots.services.boundaries import set_boundary
from plots.services.plots import archive_plot
from plots.services.reshaping import listed, locked_plots, plots_merged, refuse_unready, told, why_of

MOST = 50
"""Plots that are merged at once; more is a slip of the hand."""

_LEAST_TOLD_M2 = 20.0  # less would read 0.00 acre
_LEAST_GAP_M2 = 1.0  # of a gap that keeps nothing apart


def merge_preview(*, plot, others, closes_gaps=False):
    """What plots would be together. Nothing is stored.

    Parameters
    ----------
    others : list of Plot
    closes_gaps : bool
        Whether gaps between them that are nowhere wider than `GAP_M` become the plot's.

    Returns
    -------
    dict
        `geometry`, `acres`, `area_m2`, `perimeter_ft`, `perimeter_m`, `parts`, `holes`; `acres_apart`, the sum of what
        they have now; `gap_acres`, the ground in narrow gaps between them; `notes` (sentences).

    Raises
    ------
    Refused
        Fewer than two plots, one named twice, or one that is archived or has no boundary.
    """
    plots = _checked(plot, others)
    outlines = [each.boundary.geometry for each in plots]
    ground = merged(outlines)
    gaps = gaps_between(outlines)
    whole = merged([*outlines, *gaps]) if gaps else ground
    chosen = whole if closes_gaps else ground
    (area_m2, ground_m2, whole_m2), (perimeter_m, _, _) = geodesic_area_perimeter([chosen, ground, whole])
    apart_m2 = float(geodesic_area_perimeter(outlines)[0].sum())
    parts, holes = _pieces(chosen)
    if gaps and whole_m2 - ground_m2 < _LEAST_GAP_M2 and _pieces(whole) == _pieces(ground):
        gaps = []  # where outer edges meet in a bend; nobody would see what closing it does
    gap_m2, shared_m2 = float(whole_m2 - ground_m2), apart_m2 - float(ground_m2)
    return {
        "geometry": chosen,
        "acres": m2_to_acres(float(area_m2)),
        "area_m2": float(area_m2),
        "perimeter_ft": m_to_ft(float(perimeter_m)),
        "perimeter_m": float(perimeter_m),
        "parts": parts,
        "holes": holes,
        "acres_apart": m2_to_acres(apart_m2),
        "gap_acres": m2_to_acres(gap_m2) if gaps else 0.0,
        "notes": [*_notes(plots, parts, shared_m2), *_about_gaps(gaps, gap_m2, closes_gaps)],
    }


@transaction.atomic
def merge_plots(*, plot, others, user, replaces, closes_gaps=False, why=""):
    """Give a plot the ground of others too; they are archived, with all that is known of them.

    Parameters
    ----------
    others : list of (Plot, int)
        Each with the id of the boundary that the person saw.
    replaces : int
        The same of the plot.
    closes_gaps : bool
        As in `merge_preview`.
    why : str
        Is added to what the record says anyway.

    Returns
    -------
    plot : Plot
    archived : list of Plot
    said : list of str
        What else the person should know.

    Raises
    ------
    Refused
        As `merge_preview`.
    BoundaryChanged
        One of the plots has another boundary by now.
    """
    _checked(plot, [other for other, _ in others])
    plot, *others = locked_plots([(plot, replaces), *others])
    outlines = [each.boundary.geometry for each in (plot, *others)]
    gaps = gaps_between(outlines) if closes_gaps else []
    accuracies_m = [each.boundary.accuracy_m for each in (plot, *others)]
    for other in others:
        archive_plot(plot=other)
    set_boundary(
        plot=plot,
        geometry=merged([*outlines, *gaps]),
        user=user,
        how=Boundary.How.RESHAPED,
        why=why_of(f"Merged with {listed(others)}", why),
        # the whole edge is known no better than its worst stretch, and not at all where one is unknown
        accuracy_m=None if None in accuracies_m else max(accuracies_m),
    )
    return plot, others, told(plots_merged, kept=plot, archived=others)


def _checked(plot, others):
    plots = [plot, *others]
    ids = [each.pk for each in plots]
    if not others:
        raise _refused(f"{plot} alone is chosen; choose one plot or more to merge it with.")
    if len(others) > MOST:
        raise _refused(f"{len(others)} plots are chosen; at most {MOST} at once are accepted.")
    if len(set(ids)) < len(ids):
        twice = next(each for each in plots if ids.count(each.pk) > 1)
        raise _refused(f"{twice} is named twice; once is accepted.")
    for each in plots:
        if each.property_id != plot.property_id:
            raise _refused(f"There is no plot {each.pk} on {plot.property}.")
        refuse_unready(each)
    return plots


def _refused(sentence):
    return Refused(sentence, fields={"others": [sentence]})


def _pieces(outline):
    [parts], [holes] = part_and_hole_counts([outline])
    return parts, holes


def _notes(plots, parts, shared_m2):
    notes = []
    before = sum(len(each.boundary.geometry.geoms) for each in plots)
    if parts > 1:
        notes.append(
            f"They do not all touch: the plot will have {parts} parts."
            if parts == before
            else f"The plot will have {parts} parts."
        )
    if shared_m2 >= _LEAST_TOLD_M2:
        notes.append(f"They share {m2_to_acres(shared_m2):.2f} acre, which counts once.")
    return notes


def _about_gaps(gaps, gap_m2, closes_gaps):
    if not gaps:
        return []
    acres = f"{m2_to_acres(gap_m2):.3f} acre"
    width_ft = f"{m_to_ft(GAP_M):.1f} ft"
    if closes_gaps:
        return [f"The gap between them, nowhere wider than {width_ft}, becomes the plot's: {acres}."]
    return [f"Between them is a gap that is nowhere wider than {width_ft}: {acres}. It can be closed."]
