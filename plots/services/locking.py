"""Whose turn it is to change a property's ground."""

from plots.models import Property


def lock_property(property_id):
    """Let one transaction at a time change boundaries, plots and walks of a property.

    Of two boundaries that arise together each would miss the other as a neighbour, and of two plots each the other's
    name. Take it before any lock on a plot or a walk: in another order two people could wait for each other. For the
    same reason rows that merely name the property are let through: who stores one holds others.
    """
    return Property.objects.select_for_update(no_key=True).get(pk=property_id)
