import io
import stat
import zipfile
from pathlib import Path

import pytest

from plots.formats import read
from tests.plots.formats.build import acres, box, boxes, geojson, kml, kml_polygon, left_out, polygon, zipped

FILES = Path(__file__).parent / "files"
PLOT = kml(f"<Placemark><name>a</name>{kml_polygon(box())}</Placemark>")
OTHER = kml(f"<Placemark><name>b</name>{kml_polygon(box(2))}</Placemark>")


def test_root_document_goes_before_other_kml(tmp_path):
    found = read(zipped(tmp_path / "a.kmz", {"a.kml": OTHER, "doc.kml": PLOT}))
    assert [outline.name for outline in found.outlines] == ["a"]
    assert left_out(found) == [("File “a.kml”", "another file in the archive, not read")]


def test_kml_in_a_folder_is_found(tmp_path):
    found = read(zipped(tmp_path / "a.kmz", {"files/icon.png": b"\x89PNG", "my kml/My Plots.KML": PLOT}))
    assert acres(found) == boxes(1)


@pytest.mark.parametrize("name", ["plots.geojson", "plots.gpx", "plots.gpkg", "plots.csv"])
def test_any_zipped_boundary_file_is_read(tmp_path, name):
    found = read(zipped(tmp_path / "a.zip", {f"2026/{name}": (FILES / name).read_bytes()}))
    assert len(found.outlines) == 3


def test_what_file_managers_leave_behind_is_ignored(tmp_path):
    with zipfile.ZipFile(FILES / "plots.zip") as sample:
        members = {entry: sample.read(entry) for entry in sample.namelist()}
    junk = {
        "__MACOSX/._plots.shp": b"junk",
        "My plots/._plots.shp": b"junk",
        ".DS_Store": b"junk",
        "Thumbs.db": b"junk",
    }
    found = read(zipped(tmp_path / "a.zip", junk | members))
    assert len(found.outlines) == 3


def test_names_with_backslashes_are_paths(tmp_path):
    with zipfile.ZipFile(FILES / "plots.zip") as sample:
        members = {entry.replace("/", "\\"): sample.read(entry) for entry in sample.namelist()}
    assert read(zipped(tmp_path / "a.zip", members)).layer == "plots"


@pytest.mark.parametrize(
    "name", ["../up.txt", "/abs.txt", "..\\..\\up.txt", "C:\\drive.txt", "a/../../up.txt"]
)
def test_name_that_leads_out_of_the_folder_is_refused(tmp_path, refusal, name):
    archive = zipped(tmp_path / "a.zip", {name: b"evil", "doc.kml": PLOT})
    assert "a name that leads out of its folder" in refusal("b.zip", archive.read_bytes()).sentence


def test_link_is_refused(tmp_path, refusal):
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        link = zipfile.ZipInfo("plots.shp")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        archive.writestr(link, "/etc/passwd")
    assert "holds a link, “plots.shp”" in refusal("b.zip", (tmp_path / "a.zip").read_bytes()).sentence


def test_password_is_refused(tmp_path, refusal):
    data = bytearray(zipped(tmp_path / "a.zip", {"doc.kml": PLOT}).read_bytes())
    data[data.index(b"PK\x01\x02") + 8] |= 1  # the flag, in the central directory
    assert "password-protected" in refusal("b.zip", bytes(data)).sentence


def test_bomb_is_refused_by_its_declared_size(tmp_path, refusal):
    archive = zipped(tmp_path / "a.kmz", {"doc.kml": bytes(120_000_000)})
    assert (
        "too large when unpacked: 120 MB; at most 100 MB" in refusal("b.kmz", archive.read_bytes()).sentence
    )


def test_bomb_that_hides_its_size_is_never_unpacked(tmp_path, refusal):
    data = bytearray(zipped(tmp_path / "a.kmz", {"doc.kml": bytes(5_000_000)}).read_bytes())
    at = data.index(b"PK\x01\x02") + 24  # the size, in the central directory
    data[at : at + 4] = (1_000).to_bytes(4, "little")
    assert "The archive is damaged" in refusal("b.kmz", bytes(data)).sentence


def test_archives_within_archives_are_not_opened(tmp_path, refusal):
    inner = io.BytesIO()
    zipped(inner, {"doc.kml": PLOT})
    archive = zipped(tmp_path / "a.zip", {"one.zip": inner.getvalue(), "two.zip": inner.getvalue()})
    assert (
        "2 other archives; archives within archives are not opened"
        in refusal("b.zip", archive.read_bytes()).sentence
    )


def test_archive_under_another_name_is_not_opened_either(tmp_path, refusal):
    inner = io.BytesIO()
    zipped(inner, {"doc.kml": PLOT})
    archive = zipped(tmp_path / "a.kmz", {"doc.kml": inner.getvalue()})
    assert "Archives within archives are not opened" in refusal("b.kmz", archive.read_bytes()).sentence


@pytest.mark.parametrize(
    ("members", "said"),
    [
        ({}, "it is empty"),
        ({"readme.txt": "hello"}, "it holds 1 other file, such as “readme.txt”"),
        ({"crops.gdb/a00000001.gdbtable": "x"}, "a file geodatabase"),
        ({f"{number}.txt": "" for number in range(2_001)}, "2,001 entries; at most 2,000"),
    ],
)
def test_archive_without_boundaries_is_refused_with_what_it_holds(tmp_path, refusal, members, said):
    assert said in refusal("b.zip", zipped(tmp_path / "a.zip", members).read_bytes()).sentence


@pytest.mark.parametrize("content", [b"PK\x03\x04 not really a zip", b"PK\x05\x06"])
def test_damaged_archive_is_refused(refusal, content):
    assert "The archive is damaged" in refusal("a.kmz", content).sentence


def test_damaged_member_is_refused(tmp_path, refusal):
    data = bytearray(zipped(tmp_path / "a.kmz", {"doc.kml": PLOT * 30}).read_bytes())
    data[60:90] = b"\xff" * 30
    assert "The archive is damaged" in refusal("b.kmz", bytes(data)).sentence


def test_unusual_packing_is_refused(tmp_path, refusal):
    with zipfile.ZipFile(tmp_path / "a.kmz", "w", zipfile.ZIP_LZMA) as archive:
        archive.writestr("doc.kml", PLOT)
    assert (
        "packed by a method that is not read" in refusal("b.kmz", (tmp_path / "a.kmz").read_bytes()).sentence
    )


def test_large_geojson_in_an_archive_is_held_to_the_size_of_a_file(tmp_path, refusal, monkeypatch):
    monkeypatch.setattr("plots.formats.reading.MAX_FILE_BYTES", 5_000)
    archive = zipped(tmp_path / "a.zip", {"a.geojson": geojson(polygon(box())) + " " * 6_000})
    assert "“a.geojson” in the archive is too large" in refusal("b.zip", archive.read_bytes()).sentence
