"""`manage.py measure FILE`: what a boundary file holds and how many acres, without storing anything."""

import json as jsons
import math
import sys

from django.core.management.base import BaseCommand

from plots.calc.geodesy import geodesic_area_perimeter
from plots.calc.units import m2_to_acres
from plots.formats import UnusableFile, read_bounded

_ANSWERS = {
    "crs": "(--crs EPSG:n)",
    "layer": "(--layer NAME)",
    "axes": "(--swap-axes)",
}
_UNUSABLE = 2  # exit status


class Command(BaseCommand):
    help = "Reads a boundary file and prints the acreage of each plot in it. Nothing is stored."
    requires_system_checks = []

    def add_arguments(self, parser):
        parser.add_argument(
            "file", help="GeoJSON, KML, KMZ, GPX, zipped Shapefile, GeoPackage or CSV with WKT"
        )
        parser.add_argument("--json", action="store_true", help="print JSON instead of a table")
        parser.add_argument(
            "--crs", metavar="EPSG:n", help="the coordinate system; goes before the file's own"
        )
        parser.add_argument("--layer", metavar="NAME", help="which polygon layer, when there are several")
        parser.add_argument("--swap-axes", action="store_true", help="the coordinates are exchanged")

    def handle(self, *, file, json, crs, layer, swap_axes, **options):
        try:
            reading = read_bounded(file, layer=layer, crs=crs, swap_axes=swap_axes)
        except UnusableFile as refusal:
            self.stderr.write(" ".join(filter(None, [refusal.sentence, _ANSWERS.get(refusal.needs)])))
            sys.exit(_UNUSABLE)
        report = _report(file, reading)
        self.stdout.write(_as_json(report) if json else _as_text(report, reading))


def _report(file, reading):
    areas_m2, perimeters_m = geodesic_area_perimeter([outline.geometry for outline in reading.outlines])
    polygons = [
        {
            "name": outline.name,
            "acres": m2_to_acres(area_m2),
            "area_m2": area_m2,
            "perimeter_m": perimeter_m,
            "parts": outline.parts,
            "holes": outline.holes,
            "repaired": outline.repaired,
            "notes": outline.notes,
        }
        for outline, area_m2, perimeter_m in zip(
            reading.outlines, areas_m2.tolist(), perimeters_m.tolist(), strict=True
        )
    ]
    return {
        "file": file,
        "polygons": polygons,
        "left_out": [{"what": item.what, "why": item.why} for item in reading.left_out],
        "total_acres": math.fsum(polygon["acres"] for polygon in polygons),
    }


def _as_json(report):
    return jsons.dumps(report, ensure_ascii=False, indent=2)


def _as_text(report, reading):
    """A table of the plots, then what there is to say, each sentence under what it is about."""
    layer = f", layer “{reading.layer}”" if reading.layer else ""
    lines = [f"{report['file']}: {reading.format}{layer}, {reading.crs}", ""]
    lines += _table(report["polygons"])
    notes = list(reading.notes)
    for polygon in report["polygons"]:
        notes += [f"{polygon['name']}: {note}" for note in polygon["notes"]]
    left_out = [f"{item['what']}: {item['why']}" for item in report["left_out"]]
    for heading, sentences in (("Notes", notes), ("Left out", left_out)):
        if sentences:
            lines += ["", heading, *(f"  {sentence}" for sentence in sentences)]
    return "\n".join(lines)


def _table(polygons):
    """The total is that of the figures shown."""
    acres = [round(polygon["acres"], 3) for polygon in polygons]
    rows = [["Plot", "Acres", "Perimeter, m", "Parts", "Holes", ""]]
    for polygon, shown_acres in zip(polygons, acres, strict=True):
        figures = [f"{shown_acres:,.3f}", f"{polygon['perimeter_m']:,.0f}"]
        counts = [str(polygon["parts"]), str(polygon["holes"])]
        rows.append([polygon["name"], *figures, *counts, "repaired" if polygon["repaired"] else ""])
    rows.append(["Total", f"{math.fsum(acres):,.3f}", "", "", "", ""])
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return [
        "  ".join(
            [
                row[0].ljust(widths[0]),
                *(cell.rjust(width) for cell, width in zip(row[1:5], widths[1:5], strict=True)),
                row[5],
            ]
        ).rstrip()
        for row in rows
    ]
