"""What a plot's own page shows beyond the plot: how its acres come about, and its plantings."""

from dataclasses import dataclass

from django.db.models import Prefetch, prefetch_related_objects
from shapely.geometry import Polygon

from blends.calc.money import cost_usd_per_acre
from blends.models import COUNTS, Planting, PlantingRecord, Termination
from blends.queries.overview import stage_of
from blends.queries.seasons import SeasonRow
from plots.calc.geodesy import geodesic_area_perimeter


@dataclass(frozen=True)
class Ring:
    """One closed line of a boundary; the ground in a hole counts against the part around it."""

    part: int
    is_hole: bool
    area_m2: float
    perimeter_m: float

    @property
    def signed_area_m2(self):
        return -self.area_m2 if self.is_hole else self.area_m2


def rings_of(geometry):
    """The rings of a MultiPolygon, each measured alone: parts and holes that add up to the whole."""
    rings = [
        (number, is_hole, Polygon(line))
        for number, part in enumerate(geometry.geoms, start=1)
        for is_hole, line in [(False, part.exterior), *((True, hole) for hole in part.interiors)]
    ]
    areas_m2, perimeters_m = geodesic_area_perimeter([polygon for _, _, polygon in rings])
    return [
        Ring(number, is_hole, float(area_m2), float(perimeter_m))
        for (number, is_hole, _), area_m2, perimeter_m in zip(rings, areas_m2, perimeters_m, strict=True)
    ]


def plantings_of(plot):
    """The plot's plantings, latest season first.

    Each has `.stage` as in the overview, `.acres` and `.cost_usd_per_acre` (None: not known), and
    `.told_records` and `.told_terminations`, those that hold.
    """
    plantings = list(
        Planting.objects.filter(plot=plot)
        .select_related("blend", "season__order")
        .order_by("-season__year", "season__kind")
    )
    told = {"records": PlantingRecord, "terminations": Termination}
    prefetch_related_objects(
        plantings,
        *(
            Prefetch(name, model.objects.filter(COUNTS), to_attr=f"told_{name}")
            for name, model in told.items()
        ),
    )
    for planting in plantings:
        planting.stage = stage_of(planting.method, planting.state)
        planting.acres = SeasonRow(plot, planting).acres
        planting.cost_usd_per_acre = cost_usd_per_acre(planting.cost_used_usd, planting.acres or 0.0)
    return plantings
