"""Which seed a planting takes, and which lots there are of it."""

from blends.models import Component
from blends.queries.lots import lots_of
from blends.queries.substitutions import substitutes_in
from blends.queries.versions import version_ids


def items_of(planting):
    """{(species id, blend id) of a lot: (species id, blend id) of what it is sown as}.

    A bought mix takes lots of its earlier versions too; a species that the order substitutes takes the other's lots.

    Parameters
    ----------
    planting : Planting
        With its blend, and its season with its property.
    """
    blend = planting.blend
    if blend.is_bought:
        versions = version_ids(planting.season.property, [blend])[blend.pk]
        return {(None, pk): (None, blend.pk) for pk in versions}
    instead = substitutes_in(planting.season)
    ids = Component.objects.filter(blend=blend).values_list("species_id", flat=True)
    sown = [instead[pk][0].pk if pk in instead else pk for pk in ids]
    return {(pk, None): (pk, None) for pk in sown}


def lots_for(planting):
    """{(species id, blend id) of what is sown: [Lot]}, those with seed on hand or chosen here, the oldest test first."""
    items = items_of(planting)
    chosen = set(planting.chosen_lots.values_list("lot_id", flat=True))
    found = {key: [] for key in items.values()}
    for lot in lots_of(planting.season.property):
        key = items.get((lot.species_id, lot.blend_id))
        if key is not None and (lot.on_hand_lb > 0 or lot.pk in chosen):
            found[key].append(lot)
    return found
