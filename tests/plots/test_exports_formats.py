"""What is written is read back as the same plots with the same acres."""

import io
import json
import sqlite3
import struct
import zipfile
from dataclasses import replace

import geopandas
import pytest
import shapely
from defusedxml.ElementTree import fromstring
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Polygon, box

from config.spreadsheets import defused
from plots.calc.geodesy import geodesic_acres
from plots.formats import read, read_bounded
from plots.formats.attributes import as_name
from plots.formats.write import KINDS
from tests.plots.outgoing import awkward_plots, demo_plots, outgoing, selection, two_parts_three_holes

PLOTS = [*demo_plots(), *awkward_plots()]
NAMES = [plot.name for plot in PLOTS[:-2]] + ["Twice (2)", PLOTS[-1].name]
READ_HERE = [key for key in KINDS if key != "fiboa-parquet"]  # no boundary file comes in as Parquet
WITH_HOLES = [key for key in READ_HERE if key != "gpx"]
ACRES = 1e-9
UNKNOWN = replace(PLOTS[0], **dict.fromkeys(["area_m2", "perimeter_m", "accuracy_m", "objective", "notes"]))


def written(key, plots=PLOTS):
    return KINDS[key].write(selection(plots))


@pytest.fixture(scope="module")
def readings(tmp_path_factory):
    """A function that gives what the project reads of a format, each read once."""
    found = {}

    def reading(key):
        if key not in found:
            path = tmp_path_factory.mktemp("exports") / KINDS[key].file_name("larkspindle-hollow")
            path.write_bytes(written(key))
            found[key] = read_bounded(path)
        return found[key]

    return reading


def without_holes(geometry):
    return MultiPolygon([Polygon(part.exterior) for part in geometry.geoms])


@pytest.mark.parametrize("key", READ_HERE)
def test_every_plot_comes_back_by_its_name(key, readings):
    reading = readings(key)
    assert [outline.name for outline in reading.outlines] == NAMES
    assert reading.left_out == []


@pytest.mark.parametrize("key", WITH_HOLES)
def test_the_ground_comes_back_to_the_last_digit(key, readings):
    for outline, plot in zip(readings(key).outlines, PLOTS, strict=True):
        assert shapely.normalize(outline.geometry) == shapely.normalize(plot.geometry), plot.name
        assert not outline.repaired


@pytest.mark.parametrize("key", WITH_HOLES)
def test_the_acres_come_back_to_a_billionth(key, readings):
    for outline, plot in zip(readings(key).outlines, PLOTS, strict=True):
        acres = geodesic_acres(outline.geometry)
        assert acres == pytest.approx(geodesic_acres(plot.geometry), abs=ACRES, rel=0)
        said = outline.attributes["acres" if key == "shapefile" else "acres_mapped"]
        assert float(said) == pytest.approx(acres, abs=ACRES, rel=0)


def test_gpx_brings_back_the_outer_rings(readings):
    for outline, plot in zip(readings("gpx").outlines, PLOTS, strict=True):
        filled = without_holes(plot.geometry)
        assert geodesic_acres(outline.geometry) == pytest.approx(geodesic_acres(filled), abs=ACRES, rel=0)


def test_gpx_says_which_tracks_lack_holes_and_carries_the_mapped_acres():
    space = {"gpx": "http://www.topografix.com/GPX/1/1", "plots": "urn:swardbook:plots"}
    tracks = fromstring(written("gpx")).findall("gpx:trk", space)
    for track, plot in zip(tracks, PLOTS, strict=True):
        holes = sum(len(part.interiors) for part in plot.geometry.geoms)
        told = track.findtext("gpx:desc", None, space)
        assert told is None if not holes else told.startswith(f"{holes} hole")
        said = track.findtext("gpx:extensions/plots:acres_mapped", None, space)
        assert float(said) == plot.attributes["acres_mapped"]


def test_geoparquet_comes_back_by_another_reader():
    frame = geopandas.read_parquet(io.BytesIO(written("fiboa-parquet")))
    assert frame.crs == "OGC:CRS84"
    assert list(frame["name"]) == [plot.name for plot in PLOTS]
    assert geodesic_acres(frame.geometry.to_numpy()) == pytest.approx(
        [plot.attributes["acres_mapped"] for plot in PLOTS], abs=ACRES, rel=0
    )
    assert list(frame["acres_mapped"]) == [plot.attributes["acres_mapped"] for plot in PLOTS]


@pytest.mark.parametrize("key", [key for key in READ_HERE if key != "gpx"])
def test_attributes_come_back_with_units_in_their_names(key, readings):
    short = {
        "acres_mapped": "acres",
        "perimeter_ft": "perim_ft",
        "boundary_how": "bound_how",
        "boundary_on": "bound_on",
        "accuracy_ft": "accur_ft",
    }
    names = short if key == "shapefile" else {}
    found, plot = readings(key).outlines[0].attributes, PLOTS[0]
    for name, value in plot.attributes.items():
        assert str(found[names.get(name, name)]) == str(value)


@pytest.mark.parametrize("key", KINDS)
def test_the_same_plots_give_the_same_bytes(key):
    assert written(key) == written(key)


@pytest.mark.parametrize("key", READ_HERE)
def test_what_is_unknown_is_not_zero(key, tmp_path):
    path = tmp_path / KINDS[key].file_name("unknown")
    path.write_bytes(written(key, [UNKNOWN]))
    found = read(path).outlines[0].attributes
    for name in (
        "acres_mapped",
        "acres",
        "perimeter_ft",
        "perim_ft",
        "accuracy_ft",
        "accur_ft",
        "objective",
        "notes",
    ):
        assert found.get(name) in (None, "")


@given(
    name=st.text(min_size=1, max_size=80).filter(as_name), lon=st.floats(-179, 179), lat=st.floats(-80, 80)
)
@pytest.mark.parametrize("key", ["geojson", "kml", "gpx", "csv"])
def test_any_name_anywhere_comes_back(key, name, lon, lat, tmp_path_factory):
    drawn = box(lon, lat, lon + 0.002, lat + 0.001)
    plots = [outgoing(1, name, MultiPolygon([drawn])), outgoing(2, "Other", two_parts_three_holes())]
    path = tmp_path_factory.getbasetemp() / f"any.{key}"
    path.write_bytes(written(key, plots))
    first = read(path).outlines[0]
    assert first.name == as_name(defused(name) if key == "csv" else name)
    assert first.geometry.equals(drawn)


# RFC 7946, "The GeoJSON Format", IETF 2016


@pytest.mark.parametrize("key", ["geojson", "fiboa-geojson"])
def test_rings_wind_as_section_3_1_6_says(key):
    for feature in json.loads(written(key))["features"]:
        for outer, *holes in feature["geometry"]["coordinates"]:
            assert shapely.is_ccw(shapely.LinearRing(outer))
            assert outer[0] == outer[-1]
            assert not any(shapely.is_ccw(shapely.LinearRing(hole)) for hole in holes)


@pytest.mark.parametrize("key", ["geojson", "fiboa-geojson"])
def test_there_is_no_crs_member_as_section_4_says(key):
    document = json.loads(written(key))
    assert "crs" not in document
    assert all(set(feature) == {"type", "id", "geometry", "properties"} for feature in document["features"])


# "ESRI Shapefile Technical Description", 1998; dBASE III field descriptors of 32 bytes


@pytest.fixture
def shapefile():
    long = replace(PLOTS[0], notes="é" * 400)
    with zipfile.ZipFile(io.BytesIO(written("shapefile", [long]))) as archive:
        return {name.rpartition(".")[2]: archive.read(name) for name in archive.namelist()}


def test_a_shapefile_has_all_its_members_and_says_wgs84_and_utf_8(shapefile):
    assert set(shapefile) == {"shp", "shx", "dbf", "prj", "cpg"}
    assert b"WGS_1984" in shapefile["prj"]
    assert shapefile["cpg"].strip() == b"UTF-8"


def test_column_names_of_a_shapefile_fit_into_ten_characters_and_differ(shapefile):
    header_bytes = struct.unpack_from("<H", shapefile["dbf"], 8)[0]
    fields = [shapefile["dbf"][at : at + 11].rstrip(b"\0") for at in range(32, header_bytes - 1, 32)]
    assert len(set(fields)) == len(fields) == 9
    assert max(map(len, fields)) <= 10


def test_long_text_in_a_shapefile_ends_with_a_whole_letter(tmp_path):
    path = tmp_path / "long.zip"
    path.write_bytes(written("shapefile", [replace(PLOTS[0], notes="a" + "é" * 400)]))
    assert read(path).outlines[0].attributes["notes"] == "a" + "é" * 126


# OGC 12-128r14, "GeoPackage Encoding Standard" 1.2, requirements 2 and 13


def test_a_geopackage_is_of_version_1_2_and_names_the_property(tmp_path):
    path = tmp_path / "plots.gpkg"
    path.write_bytes(written("gpkg"))
    with sqlite3.connect(path) as connection:
        assert connection.execute("PRAGMA user_version").fetchone() == (10200,)
        assert connection.execute("PRAGMA application_id").fetchone() == (0x47504B47,)
        (row,) = connection.execute("SELECT table_name, description, srs_id FROM gpkg_contents").fetchall()
    assert row == ("plots", "Larkspindle & Hollow", 4326)


def test_a_name_that_is_a_formula_is_defused_in_a_table():
    line = written("csv", [replace(PLOTS[0], name="=1+1")]).decode("utf-8-sig").splitlines()[1]
    assert line.startswith('1,"\'=1+1",')
