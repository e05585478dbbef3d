"""What a plot's seed was to be sown at, in bulk pounds an acre of the lots that went in."""

from collections import defaultdict

from blends.queries.lots import live_fraction
from blends.queries.substitutions import substitutes_in
from blends.queries.versions import version_ids


def targets_lb_per_acre(planting, seeds):
    """The target of each line of seed of a planting record. [bulk lb/ac]

    A species' PLS rate is shared among its lots as they were used, lot by lot through its own pure live fraction, so
    that seed of two lots together is asked for the species' rate: target = PLS rate × used ÷ Σ used × pure live
    fraction. A mix that was bought is asked for its bulk rate, shared by the pounds. Seed that is not in the blend is
    asked for not at all.

    Parameters
    ----------
    planting : Planting
        With blend and season.
    seeds : list of RecordSeed
        With lot, species or blend, and `used_lb`.

    Returns
    -------
    list of float or None
        None where a rate or a pure live fraction is not known, or the lot.
    """
    groups = defaultdict(list)
    for place, row in enumerate(seeds):
        groups[row.species_id, row.blend_id].append(place)
    found = [None] * len(seeds)
    asked = _asked(planting)
    for (species_id, blend_id), places in groups.items():
        rate = asked(species_id, blend_id)
        rows = [seeds[place] for place in places]
        fractions = [_bulk_share(row) for row in rows]
        for place, target in zip(places, _shared(rate, rows, fractions), strict=True):
            found[place] = target
    return found


def _shared(rate, rows, fractions):
    if rate == 0:
        return [0.0] * len(rows)
    if rate is None or None in fractions or 0 in fractions:
        return [None] * len(rows)
    if len(rows) == 1:
        return [rate / fractions[0]]
    live_lb = sum(float(row.used_lb) * fraction for row, fraction in zip(rows, fractions, strict=True))
    if not live_lb:
        return [None] * len(rows)
    return [rate * float(row.used_lb) / live_lb for row in rows]


def _bulk_share(row):
    """How much of a bulk pound counts for the rate: pure live seed of a species, all of a bought mix."""
    if row.blend_id:
        return 1.0
    return live_fraction(row.lot) if row.lot_id else None


def _asked(planting):
    """(species id, blend id) -> rate: PLS of a species, bulk of the mix; 0 of what the blend has not, None unknown."""
    blend = planting.blend
    method = planting.method
    if blend is None:
        return lambda species_id, blend_id: None
    if blend.is_bought:
        versions = version_ids(planting.season.property, [blend])[blend.pk]
        rate = getattr(blend, f"{method}_bulk_lb_per_acre")
        rates = {(None, pk): rate for pk in versions}
    else:
        column = f"{method}_pls_lb_per_acre"
        instead = substitutes_in(planting.season)
        rates = defaultdict(float)
        for pk, rate in blend.components.values_list("species_id", column):
            species, factor = instead.get(pk, (None, 1.0))
            sown = pk if species is None else species.pk
            known = None not in (rate, rates[sown, None])
            rates[sown, None] = rates[sown, None] + float(rate) * factor if known else None

    def asked(species_id, blend_id):
        rate = rates.get((species_id, blend_id), 0)
        return None if rate is None else float(rate)

    return asked
