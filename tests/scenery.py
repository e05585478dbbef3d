"""Invented ground for tests: plots with natural outlines, blends, seasons, and what grows where."""

from math import isqrt

import numpy as np
from shapely.geometry import MultiPolygon, Polygon

from blends.models import Blend, Planting, Season
from plots.calc.geodesy import geodesic_area_perimeter
from plots.models import Boundary, Plot

NAMES = [
    "North Bench", "Creek Bottom", "Powerline Strip", "Old Orchard", "Cedar Gap", "Pond Field", "Ridge Top",
    "Clay Knob", "Long Draw", "Gate Plot", "Hickory Flat", "Spring Hollow", "Fence Corner", "Mill Road",
]  # fmt: skip
DEGREES_A_METRE = 1 / 111_000


def natural_outline(lon, lat, acres, seed, corners=36):
    """A wavy outline of about `acres` around a place."""
    random = np.random.default_rng(seed)
    turn = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    waves = sum(random.uniform(0.03, 0.2) * np.sin(k * turn + random.uniform(0, 7)) for k in (2, 3, 5))
    radius_m = np.sqrt(acres * 4046.86 / np.pi) * (1 + waves)
    stretch = random.uniform(0.6, 1.6)
    east_m, north_m = radius_m * np.cos(turn) * stretch, radius_m * np.sin(turn) / stretch
    scale = DEGREES_A_METRE / np.cos(np.radians(lat))
    return Polygon(np.column_stack([lon + east_m * scale, lat + north_m * DEGREES_A_METRE]))


def lay_out(property, count, *, first=0, columns=4, measured=True):
    """`count` plots of 0.3 to 9 acres in loose rows, numbered from `first`; 0 has a hole, 1 two parts."""
    random = np.random.default_rng(first)
    plots, boundaries = [], []
    for i in range(first, first + count):
        acres = 0.3 + 8.7 * ((i * 5 % 14) / 13) ** 1.5
        lon = -92.0 + (i % columns) * 0.0042 + random.uniform(-0.0006, 0.0006)
        lat = 38.0 - (i // columns) * 0.0034 + random.uniform(-0.0005, 0.0005)
        parts = [natural_outline(lon, lat, acres, i)]
        if i == 0:
            parts = [parts[0].difference(natural_outline(lon, lat, acres * 0.12, 99))]
        elif i == 1:
            parts.append(natural_outline(lon + 0.0018, lat + 0.0012, 0.4, 98))
        name = NAMES[i] if i < len(NAMES) else f"Plot {i + 1:04}"
        plots.append(Plot(property=property, name=name))
        boundaries.append(Boundary(geometry=MultiPolygon(parts), how=Boundary.How.IMPORTED))
    if measured:
        areas_m2, perimeters_m = geodesic_area_perimeter([each.geometry for each in boundaries])
        for boundary, area_m2, perimeter_m in zip(boundaries, areas_m2, perimeters_m, strict=True):
            boundary.area_m2, boundary.perimeter_m = float(area_m2), float(perimeter_m)
    for boundary, plot in zip(boundaries, Plot.objects.bulk_create(plots), strict=True):
        boundary.plot = plot
    for boundary in Boundary.objects.bulk_create(boundaries):
        boundary.plot.boundary = boundary
    Plot.objects.bulk_update(plots, ["boundary"], batch_size=500)
    return plots


def blends_of(property):
    """Three blends with different signs."""
    signs = [("Summer Plate", "SP", 1), ("Clover Base", "CB", 2), ("Fall Greens", "FG", 0)]
    return [
        Blend.objects.create(property=property, name=name, mark=mark, tint=tint) for name, mark, tint in signs
    ]


def plant(plots, season, blends, *, leave=3):
    """A blend for each plot in turn; the last one decided is fallow, and the last `leave` stay undecided."""
    decided = plots[: len(plots) - leave]
    rows = [
        Planting(season=season, plot=plot, blend=blends[i % len(blends)])
        if i < len(decided) - 1
        else Planting(season=season, plot=plot, is_fallow=True)
        for i, plot in enumerate(decided)
    ]
    return Planting.objects.bulk_create(rows)


def planted_property(property, count, *, leave=3):
    """Plots, three blends and one season that is planned but for the last `leave` plots."""
    plots, blends = lay_out(property, count, columns=max(4, isqrt(count))), blends_of(property)
    season = Season.objects.create(property=property, year=2027, kind=Season.Kind.WARM)
    plant(plots, season, blends, leave=leave)
    return plots, blends, season
