"""The rows that planting sheets are made of; as many queries for one plot as for thousands."""

from dataclasses import dataclass

from django.db.models import Prefetch

from blends.models import Blend, Lot, LotTest, Machine, OrderChoice, Planting, PlantingLot, SeedOrder
from blends.queries.lots import live_fraction
from blends.queries.order_inputs import COUNTED, PLANTED_OR_MAPPED_ACRES, assumed_fraction, tag_fraction
from blends.queries.substitutions import substitutes
from blends.queries.versions import version_ids

MOST_IN_A_QUERY = 500
KIND_OF = {
    Planting.Method.DRILLED.value: Machine.Kind.DRILL,
    Planting.Method.BROADCAST.value: Machine.Kind.SPREADER,
}
"""What a method is done with."""


@dataclass(frozen=True)
class Rows:
    """What was read.

    Attributes
    ----------
    plantings : list of Planting
        With plot, blend, season and `acres_now`, in the order of the run.
    blends : dict
        By id.
    chosen : dict
        [(Lot, pounds or None)] by the planting's id.
    versions : dict
        Ids of a bought mix and of its earlier versions, whose lots do as well, by its id.
    live : dict
        Live fraction by the lot's id; None while unknown.
    offered : dict
        Live fraction on the chosen offer's tag, by species id.
    assumed : float
        Live fraction of the order where no tag is known.
    instead : dict
        (Species, factor) by the id of the species that it is sown instead of.
    """

    plantings: list
    blends: dict
    chosen: dict
    versions: dict
    live: dict
    offered: dict
    assumed: float
    instead: dict

    def chosen_of(self, planting, species_id, blend_id):
        """[(Lot, pounds or None)] that a planting takes of an item."""
        ids = self.versions.get(blend_id, ())
        return [
            (lot, lb)
            for lot, lb in self.chosen.get(planting.pk, ())
            if (lot.blend_id in ids if species_id is None else lot.species_id == species_id)
        ]


def read(season, plot_ids=None):
    """Read everything of a season, or of some of its plots.

    Parameters
    ----------
    season : Season
        With its property.
    plot_ids : list of int, optional
        In the order of the run; those without a blend this season are left out.
    """
    order = getattr(season, "order", None) or SeedOrder(season=season)
    plantings = _plantings(season, plot_ids)
    blends = Blend.objects.in_bulk({planting.blend_id for planting in plantings})
    for planting in plantings:
        planting.blend, planting.season = blends[planting.blend_id], season
        planting.plot.property = season.property
    chosen, lots = _chosen(season, plantings, plot_ids)
    return Rows(
        plantings=plantings,
        blends=blends,
        chosen=chosen,
        versions=_versions(season.property, blends),
        live={pk: live_fraction(lot) for pk, lot in lots.items()},
        offered=_offered(order),
        assumed=assumed_fraction(order),
        instead=substitutes(order),
    )


def _plantings(season, plot_ids):
    rows = (
        Planting.objects.filter(COUNTED, season=season)
        .select_related("plot__boundary")
        .defer("plot__boundary__geometry", "plot__notes")
        .annotate(acres_now=PLANTED_OR_MAPPED_ACRES)
        .order_by("plot__name", "pk")
    )
    if plot_ids is None:
        return list(rows)
    place = {pk: place for place, pk in enumerate(plot_ids)}
    if len(place) <= MOST_IN_A_QUERY:
        rows = rows.filter(plot__in=place)
    return sorted((row for row in rows if row.plot_id in place), key=lambda row: place[row.plot_id])


def _chosen(season, plantings, plot_ids):
    choices = PlantingLot.objects.filter(planting__season=season).order_by("pk")
    if plot_ids is not None and len(plantings) <= MOST_IN_A_QUERY:
        choices = choices.filter(planting__in=[planting.pk for planting in plantings])
    choices = list(choices.values_list("planting_id", "lot_id", "lb"))
    tests = Prefetch("tests", LotTest.objects.filter(is_struck=False), to_attr="counting_tests")
    rows = Lot.objects.filter(property=season.property, chosen_for__planting__season=season).distinct()
    lots = {lot.pk: lot for lot in rows.select_related("species", "blend").prefetch_related(tests)}
    by_planting = {}
    for planting_id, lot_id, lb in choices:
        by_planting.setdefault(planting_id, []).append((lots[lot_id], lb))
    return by_planting, lots


def _versions(property, blends):
    bought = [blend for blend in blends.values() if blend.is_bought]
    return version_ids(property, bought) if bought else {}


def _offered(order):
    if order.pk is None:
        return {}
    choices = OrderChoice.objects.filter(order=order, species__isnull=False, offer__isnull=False)
    tags = {row.species_id: tag_fraction(row.offer) for row in choices.select_related("offer")}
    return {pk: fraction for pk, fraction in tags.items() if fraction}


def machines_by_method(property, machine=None):
    """{method: Machine or None}: the one that was asked for where it suits, else the only one of its kind.

    Parameters
    ----------
    property : Property
    machine : Machine, optional
    """
    kept = list(Machine.objects.filter(property=property, is_archived=False))
    found = {}
    for method, kind in KIND_OF.items():
        of_kind = [each for each in kept if each.kind == kind]
        found[method] = of_kind[0] if len(of_kind) == 1 else None
        if machine is not None and machine.kind == kind:
            found[method] = machine
    for each in found.values():
        if each is not None:
            each.property = property
    return found
