"""The same three plots in seven formats; `make_files.py` wrote them and measured them with geographiclib."""

import csv
from pathlib import Path

import pytest
import shapely

from plots.calc.geodesy import geodesic_acres
from plots.formats import read

FILES = Path(__file__).parent / "files"
ACRES = {row["name"]: row for row in csv.DictReader((FILES / "acres.csv").read_text("utf-8").splitlines())}
FORMATS = {
    "plots.geojson": "GeoJSON",
    "plots.kml": "KML",
    "plots.kmz": "KMZ",
    "plots.zip": "Shapefile",
    "plots.gpkg": "GeoPackage",
    "plots.csv": "CSV",
}


@pytest.fixture(scope="module", params=FORMATS)
def found(request):
    return request.param, read(FILES / request.param)


def test_names_are_found(found):
    assert [outline.name for outline in found[1].outlines] == list(ACRES)


def test_acreage_agrees_with_the_independent_library(found):
    measured = geodesic_acres([outline.geometry for outline in found[1].outlines])
    assert measured.tolist() == pytest.approx([float(row["acres"]) for row in ACRES.values()], rel=1e-7)


def test_parts_and_holes_are_kept(found):
    assert [(outline.parts, outline.holes) for outline in found[1].outlines] == [(1, 0), (1, 1), (2, 0)]


def test_nothing_is_said_to_be_repaired(found):
    assert not any(outline.repaired or outline.notes for outline in found[1].outlines)


def test_outlines_are_flat_valid_and_turn_as_rfc_7946_has_it(found):
    for outline in found[1].outlines:
        assert outline.geometry.is_valid
        assert not outline.geometry.has_z
        for part in outline.geometry.geoms:
            assert shapely.is_ccw(part.exterior)
            assert not any(shapely.is_ccw(hole) for hole in part.interiors)


def test_format_is_known_by_content(found, tmp_path):
    name, reading = found
    disguised = tmp_path / "download"
    disguised.write_bytes((FILES / name).read_bytes())
    again = read(disguised)
    assert again.format == reading.format == FORMATS[name]
    assert again.notes[-1] == f"“download” was read as {FORMATS[name]}, which is what it holds."


def test_gpx_tracks_are_outlines_without_holes():
    reading = read(FILES / "plots.gpx")
    measured = geodesic_acres([outline.geometry for outline in reading.outlines])
    expected = [float(row["acres_with_holes_filled"]) for row in ACRES.values()]
    assert [outline.name for outline in reading.outlines] == list(ACRES)
    assert measured.tolist() == pytest.approx(expected, rel=1e-7)


def test_reading_names_the_system_that_was_used():
    assert read(FILES / "plots.zip").crs == "EPSG:26915 NAD83 / UTM zone 15N"
    assert read(FILES / "plots.csv").crs == "EPSG:4326 WGS 84"


def test_bounds_hold_every_outline():
    west, south, east, north = read(FILES / "plots.kml").bounds
    assert (west, east) == pytest.approx((-93.6217, -93.6147), abs=2e-4)
    assert (south, north) == pytest.approx((42.0275, 42.0317), abs=2e-4)
