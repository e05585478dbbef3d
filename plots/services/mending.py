"""Slivers between neighbours: one plot keeps the shared ground, the other is trimmed to it."""

from collections import defaultdict
from dataclasses import dataclass, field

from django.db import transaction
from django.utils.text import get_text_list

from config.errors import Refused
from plots.calc.trimming import CannotTrim, trimmed
from plots.calc.units import ft_to_m, m2_to_acres
from plots.models import Boundary, Plot
from plots.queries import standing_overlaps
from plots.services.boundaries import set_boundary
from plots.services.locking import lock_property
from plots.services.restoring import boundary_before, restore_boundary

NARROW_FT = 3.0  # a pass of a small drill; ours
MOST_NARROW_FT = 30.0


@dataclass
class Mended:
    """One plot that was trimmed, to the plots `kept_by`."""

    plot: Plot
    kept_by: list
    before: Boundary
    boundary: Boundary

    @property
    def acres_given_up(self):
        return m2_to_acres(self.before.area_m2 - self.boundary.area_m2)


@dataclass
class Mending:
    """What came of it: plots that were trimmed, and sentences about overlaps that were left as they are."""

    mended: list = field(default_factory=list)
    left: list = field(default_factory=list)


def keeper_of(overlap):
    """The plot that keeps the shared ground if nobody chooses: the one whose boundary is older."""
    first, second = overlap.first, overlap.second
    return (first if (first.created_at, first.pk) <= (second.created_at, second.pk) else second).plot


def slivers_of(property, narrow_ft):
    """The standing overlaps that are nowhere wider than `narrow_ft`.

    Raises
    ------
    Refused
        A width that is no number from 0 to `MOST_NARROW_FT`.
    """
    if not 0 < narrow_ft <= MOST_NARROW_FT:
        sentence = f"The width is {narrow_ft:g} ft; a number of feet above 0, at most {MOST_NARROW_FT:g}, is accepted."
        raise Refused(sentence, fields={"narrow_ft": [sentence]})
    return standing_overlaps(property).filter(width_m__lte=ft_to_m(narrow_ft))


@transaction.atomic
def mend_slivers(*, property, user, narrow_ft, keepers=None):
    """Give the ground of slivers to one plot of each pair, and trim the other.

    Plots are trimmed one after the other, those with the older boundary first, each once. What cannot be mended is
    left as it is and said; a wide overlap is a mistake of somebody's, and people decide about it.

    Parameters
    ----------
    narrow_ft : float
        Overlaps that are wider somewhere are no slivers. [ft]
    keepers : dict, optional
        {id of the overlap: id of the plot that keeps the ground}. Left out, all slivers are mended, and the plot
        with the older boundary keeps it.

    Returns
    -------
    Mending

    Raises
    ------
    Refused
        A width that is not accepted; an overlap that is wider, that does not stand any more, or a keeper that is
        neither of its two plots.
    """
    lock_property(property.pk)
    slivers = {overlap.pk: overlap for overlap in slivers_of(property, narrow_ft)}
    if keepers is None:
        keepers = {pk: keeper_of(overlap).pk for pk, overlap in slivers.items()}
    pairs = defaultdict(list)
    for pk, keeper_id in keepers.items():
        loser, keeper = _loser_and_keeper(slivers, pk, keeper_id, narrow_ft)
        pairs[loser.pk].append(keeper)
    outcome, losers = Mending(), Boundary.objects.select_related("plot").in_bulk(pairs)
    for loser in sorted(losers.values(), key=lambda each: (each.created_at, each.pk)):
        _trim(loser, pairs[loser.pk], user, narrow_ft, outcome)
    return outcome


@transaction.atomic
def undo_mending(*, property, user, boundary_ids):
    """Take up again what plots had before they were trimmed; the trimmed boundaries stay in the record.

    Parameters
    ----------
    boundary_ids : list of int
        The boundaries that a mending made.

    Returns
    -------
    list of Plot

    Raises
    ------
    Refused
        A boundary that is none of the property's, is no trimmed one, or does not hold any more.
    """
    lock_property(property.pk)
    rows = Boundary.objects.filter(
        current_of__property=property, how=Boundary.How.RESHAPED, restored_from=None
    ).select_related("plot")
    found = rows.in_bulk(boundary_ids)
    if not found or len(found) < len(set(boundary_ids)):
        raise Refused(
            "A boundary has changed since it was trimmed; its record has every one that it had before."
        )
    for boundary in found.values():
        before = boundary_before(boundary)
        if before is None:
            raise Refused(f"{boundary.plot} had no boundary before this one.")
        restore_boundary(boundary=before, user=user, why="Trim undone", replaces=boundary.pk)
    return [boundary.plot for boundary in found.values()]


def _loser_and_keeper(slivers, pk, keeper_id, narrow_ft):
    overlap = slivers.get(pk)
    if overlap is None:
        raise Refused(
            f"Overlap {pk} is not, or not any more, one of at most {narrow_ft:g} ft; look again at what there is."
        )
    by_plot = {each.plot_id: each for each in (overlap.first, overlap.second)}
    if keeper_id not in by_plot:
        raise Refused(
            f"Plot {keeper_id} has no part in overlap {pk}; {overlap.first.plot} ({overlap.first.plot_id}) or "
            f"{overlap.second.plot} ({overlap.second.plot_id}) can keep the ground."
        )
    keeper = by_plot.pop(keeper_id)
    return by_plot.popitem()[1], keeper.plot


def _trim(before, keepers, user, narrow_ft, outcome):
    plot, outline, kept_by = before.plot, before.geometry, []
    # read here: a keeper may have been trimmed itself a moment ago
    standing = dict(
        Plot.objects.filter(pk__in=[each.pk for each in keepers]).values_list("pk", "boundary__geometry")
    )
    for keeper in keepers:
        try:
            outline = trimmed(outline, standing[keeper.pk], ft_to_m(narrow_ft))
        except CannotTrim as why:
            outcome.left.append(f"{plot} is left as it was: trimmed to {keeper}, {why}.")
        else:
            kept_by.append(keeper)
    if not kept_by:
        return
    names = get_text_list([keeper.name for keeper in kept_by], "and")
    boundary = set_boundary(
        plot=plot,
        geometry=outline,
        user=user,
        how=Boundary.How.RESHAPED,
        why=f"Trimmed to {names}"[:300],
        accuracy_m=before.accuracy_m,
        replaces=before.pk,
    )
    outcome.mended.append(Mended(plot, kept_by, before, boundary))
