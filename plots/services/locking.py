"""Whose turn it is to change a property's ground."""

from plots.models import Plot, Property


def lock_property(property_id):
    """Let one transaction at a time change boundaries, plots and walks of a property.

    Of two boundaries that arise together each would miss the other as a neighbour, and of two plots each the other's
    name. Take it before any lock on a plot or a walk: in another order two people could wait for each other. For the
    same reason rows that merely name the property are let through: who stores one holds others.
    """
    return Property.objects.select_for_update(no_key=True).get(pk=property_id)


def lock_plots(plot_ids):
    """Let one transaction at a time write what was read on these plots, and what follows from it.

    What a rule proposes rests on all readings of a stand, so of two that come at once each has to see the other. Take
    it before any lock on a visit, a reading or a proposal, and for all plots at once; a planting's plot is locked before
    its readings too.
    """
    rows = Plot.objects.select_for_update(of=("self",), no_key=True).filter(pk__in=set(plot_ids))
    return list(rows.order_by("pk").values_list("pk", flat=True))
