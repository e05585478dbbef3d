import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
import shapely

from plots.formats import UnusableFile, read
from tests.plots.formats.build import left_out

SAMPLE = Path(__file__).parent / "files" / "plots.gpkg"


@pytest.fixture
def changed(tmp_path):
    """The sample after some SQL, as a path."""

    def change(*statements):
        path = shutil.copyfile(SAMPLE, tmp_path / "changed.gpkg")
        with closing(sqlite3.connect(path)) as connection:
            for statement in statements:
                connection.execute(*([statement] if isinstance(statement, str) else statement))
            connection.commit()
        return path

    return change


def list_layer(name, kind="POLYGON"):
    """SQL that makes the GeoPackage list a table or view as a layer."""
    return (
        f"INSERT INTO gpkg_contents (table_name, data_type, identifier, srs_id) VALUES ('{name}', 'features', '{name}', 26915)",
        f"INSERT INTO gpkg_geometry_columns VALUES ('{name}', 'geom', '{kind}', 26915, 0, 0)",
    )


ENDLESS = (
    "CREATE VIEW endless AS WITH RECURSIVE c (fid, NAME, geom) AS "
    "(SELECT fid, NAME, geom FROM plots UNION ALL SELECT fid + 1, NAME, geom FROM c) SELECT * FROM c"
)


def blob(wkb):
    """A GeoPackage geometry without an envelope."""
    return b"GP\x00\x01" + (26915).to_bytes(4, "little") + wkb


def test_other_layers_are_left_out_with_what_they_are(changed):
    path = changed(
        "CREATE TABLE settings (id INTEGER PRIMARY KEY, value TEXT)",
        "INSERT INTO gpkg_contents (table_name, data_type, identifier) VALUES ('settings', 'attributes', 'settings')",
    )
    assert left_out(read(path)) == [
        ("Layer “stands” (3 features)", "points, not outlines"),
        ("Layer “settings”", "a table without outlines"),
    ]


def test_several_polygon_layers_ask_which(changed):
    path = changed("CREATE TABLE more AS SELECT * FROM plots WHERE fid < 3", *list_layer("more"))
    with pytest.raises(UnusableFile, match="“plots”, 3 features; “more”, 2 features") as refusal:
        read(path)
    assert (refusal.value.needs, refusal.value.layers) == ("layer", ["plots", "more"])
    assert len(read(path, layer="more").outlines) == 2


@pytest.mark.parametrize("srs_id", [-1, 0])
def test_undefined_system_is_asked_for(changed, srs_id):
    path = changed(
        f"UPDATE gpkg_geometry_columns SET srs_id = {srs_id}", f"UPDATE gpkg_contents SET srs_id = {srs_id}"
    )
    with pytest.raises(UnusableFile, match="does not say its coordinate system") as refusal:
        read(path)
    assert refusal.value.needs == "crs"
    assert len(read(path, crs="EPSG:26915").outlines) == 3


def test_row_without_geometry_is_left_out_by_number_and_name(changed):
    found = read(changed("UPDATE plots SET geom = NULL WHERE fid = 2"))
    assert ("Feature 2 (“Étang field”)", "no geometry") in left_out(found)


def test_curved_outline_is_left_out_not_straightened_in_silence(changed):
    curve = bytes.fromhex("010a00000001000000") + shapely.to_wkb(
        shapely.LineString([(448000, 4653000), (448100, 4653000), (448100, 4653100), (448000, 4653000)])
    )
    found = read(changed(("UPDATE plots SET geom = ? WHERE fid = 1", [blob(curve)])))
    assert ("Feature 1 (“North strip”)", "a curved outline; save it with straight edges") in left_out(found)


def test_view_is_never_run(changed):
    found = read(changed(ENDLESS, *list_layer("endless")))
    assert len(found.outlines) == 3
    assert (
        "Layer “endless”",
        "a view or a missing table; views are not run, save it as a table",
    ) in left_out(found)


def test_file_of_a_view_alone_is_refused(changed):
    path = changed(
        "DELETE FROM gpkg_contents", "DELETE FROM gpkg_geometry_columns", ENDLESS, *list_layer("endless")
    )
    with pytest.raises(UnusableFile, match="views are not run"):
        read(path)


def test_view_in_place_of_a_system_table_is_refused(changed):
    path = changed(
        "ALTER TABLE gpkg_ogr_contents RENAME TO kept",
        "CREATE VIEW gpkg_ogr_contents AS SELECT * FROM kept",
    )
    with pytest.raises(UnusableFile, match="a view in place of one of its own tables"):
        read(path)


def test_other_database_is_refused(tmp_path):
    with closing(sqlite3.connect(tmp_path / "a.gpkg")) as connection:
        connection.execute("CREATE TABLE t (x)")
        connection.commit()
    with pytest.raises(UnusableFile, match="SQLite database but not a GeoPackage"):
        read(tmp_path / "a.gpkg")


def test_damaged_database_is_refused(tmp_path):
    data = bytearray(SAMPLE.read_bytes())
    data[100:4000] = b"\xff" * 3900
    (tmp_path / "a.gpkg").write_bytes(data)
    with pytest.raises(UnusableFile, match="The GeoPackage is damaged"):
        read(tmp_path / "a.gpkg")


def test_nothing_is_written_beside_the_original(tmp_path):
    folder = tmp_path / "uploads of one person"
    folder.mkdir()
    read(shutil.copyfile(SAMPLE, folder / "a.gpkg"))
    assert [entry.name for entry in folder.iterdir()] == ["a.gpkg"]
    assert (folder / "a.gpkg").read_bytes() == SAMPLE.read_bytes()
