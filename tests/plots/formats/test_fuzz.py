"""Damaged files are read or refused; nothing else comes out."""

import zipfile
from functools import cache
from pathlib import Path

import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plots.formats import UnusableFile, read
from tests.plots.formats.build import zipped

FILES = Path(__file__).parent / "files"
EXAMPLES = settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
place = st.integers(0, 2**16)
wounds = st.lists(st.tuples(place, st.integers(0, 255)), min_size=1, max_size=6)


@cache
def sample(name):
    return (FILES / name).read_bytes()


@cache
def members():
    with zipfile.ZipFile(FILES / "plots.zip") as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def wounded(data, places):
    changed = bytearray(data)
    for at, value in places:
        changed[at % len(changed)] = value
    return bytes(changed)


def is_read_or_refused(path):
    try:
        reading, said = read(path), "fine"
    except UnusableFile as refusal:
        reading, said = None, refusal.sentence
    assert len(said.splitlines()) == 1
    if reading:
        assert reading.outlines
        assert all(shapely.is_valid([outline.geometry for outline in reading.outlines]))


@pytest.mark.parametrize(
    "name", ["plots.geojson", "plots.kml", "plots.kmz", "plots.gpx", "plots.csv", "plots.gpkg", "plots.zip"]
)
class TestDamagedFile:
    @EXAMPLES
    @given(share=st.floats(0, 1))
    def test_cut_off(self, tmp_path, name, share):
        data = sample(name)
        (tmp_path / name).write_bytes(data[: int(share * len(data))])
        is_read_or_refused(tmp_path / name)

    @EXAMPLES
    @given(places=wounds)
    def test_with_bytes_changed(self, tmp_path, name, places):
        (tmp_path / name).write_bytes(wounded(sample(name), places))
        is_read_or_refused(tmp_path / name)


@pytest.mark.parametrize("ending", [".shp", ".dbf", ".prj", ".shx"])
@EXAMPLES
@given(places=wounds)
def test_damaged_member_of_a_shapefile(tmp_path, ending, places):
    """Inside a whole archive, where no checksum gives the damage away."""
    files = {
        name: wounded(data, places) if name.endswith(ending) else data for name, data in members().items()
    }
    is_read_or_refused(zipped(tmp_path / "a.zip", files))


@EXAMPLES
@given(data=st.binary(max_size=400))
def test_any_bytes(tmp_path, data):
    (tmp_path / "a").write_bytes(data)
    is_read_or_refused(tmp_path / "a")


@EXAMPLES
@given(
    head=st.sampled_from(["{", "[", "<gpx>", "<kml>", "name,wkt\n", "PK\x03\x04", "SQLite format 3\0"]),
    rest=st.text(max_size=200),
)
def test_any_text_behind_a_promising_beginning(tmp_path, head, rest):
    (tmp_path / "a").write_text(head + rest, encoding="utf-8", errors="replace")
    is_read_or_refused(tmp_path / "a")
