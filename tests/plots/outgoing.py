"""Plots to export: the demonstration's outlines and what a format may stumble over."""

import json
from datetime import UTC, datetime
from pathlib import Path

import shapely
from shapely.affinity import translate
from shapely.geometry import MultiPolygon, Polygon, box, shape

from plots.calc.geodesy import geodesic_area_perimeter
from plots.formats.write import ExportedPlot, Selection

OUTLINES = Path(__file__).resolve().parents[2] / "fixtures" / "demo" / "outlines.geojson"
WHEN = datetime(2026, 4, 3, 23, 30, tzinfo=UTC)
# Digits beyond the seventh decimal, as outlines have that came from another coordinate system.
NUDGE = 1 / 3e7


def outgoing(plot_id, name, geometry, **facts):
    """A measured plot."""
    area_m2, perimeter_m = geodesic_area_perimeter(geometry)
    known = {
        "area_m2": float(area_m2),
        "perimeter_m": float(perimeter_m),
        "boundary_how": "drawn",
        "boundary_told": "Drawn on the map.",
        "boundary_at": WHEN,
        "accuracy_m": 3.2,
        "objective": "hold_weeds",
        "notes": "Two lines,\none <b> & é",
    }
    return ExportedPlot(plot_id, name, geometry, **known | facts)


def demo_plots():
    features = json.loads(OUTLINES.read_text("utf-8"))["features"]
    plots = []
    for number, feature in enumerate(features, start=1):
        drawn = translate(shape(feature["geometry"]), NUDGE, NUDGE)
        parts = list(getattr(drawn, "geoms", [drawn]))
        plots.append(outgoing(number, feature["properties"]["name"], MultiPolygon(parts)))
    return plots


def two_parts_three_holes(lon=-92.0, lat=38.0):
    """Drawn the other way round than RFC 7946 says."""
    first = box(lon, lat, lon + 0.003, lat + 0.003)
    holes = [box(lon + at, lat + at, lon + at + 0.0007, lat + at + 0.0005) for at in (0.0004, 0.0017)]
    second = box(lon + 0.004, lat, lon + 0.006, lat + 0.002)
    inner = box(lon + 0.0047, lat + 0.0007, lon + 0.0052, lat + 0.0013)
    parts = [
        Polygon(first.exterior, [hole.exterior for hole in holes]),
        Polygon(second.exterior, [inner.exterior]),
    ]
    return shapely.orient_polygons(MultiPolygon(parts), exterior_cw=True)


def awkward_plots():
    return [
        outgoing(101, "Gate & <Creek> 'é' \"ö\"", two_parts_three_holes()),
        outgoing(102, "Twice", MultiPolygon([box(-92.1, 38, -92.099, 38.001)])),
        outgoing(103, "Twice", MultiPolygon([box(-92.2, 38, -92.199, 38.001)])),
        # Beside the zero meridian and the equator, where Python writes 5e-05.
        outgoing(104, "Ñandú – 野", MultiPolygon([box(0.00005, -0.00003, 0.00105, 0.001)])),
    ]


def selection(plots):
    return Selection("Larkspindle & Hollow", "larkspindle-hollow", plots)
