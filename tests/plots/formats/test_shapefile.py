import struct
from pathlib import Path

import pytest

from plots.formats import read
from plots.formats.archive import Archive
from tests.plots.formats.build import WGS84_PRJ, acres, box, boxes, clockwise, left_out, shp, zipped

SAMPLE = Path(__file__).parent / "files" / "plots.zip"


@pytest.fixture(scope="module")
def members(tmp_path_factory):
    """The sample's files by ending, to be put together again in other ways."""
    folder = tmp_path_factory.mktemp("members")
    with Archive(SAMPLE) as archive:
        shape = archive.shapes()[0]
        for ending, entry in shape.members.items():
            archive.unpack(entry, folder / f"plots{ending}")
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def table(*names, encoding="utf-8", language=0):
    """A .dbf with one column NAME of 30 bytes."""
    head = struct.pack("<B3BIHH17xBxx", 3, 126, 4, 1, len(names), 65, 31, language)
    column = struct.pack("<11sc4xB15x", b"NAME", b"C", 30)
    return (
        head + column + b"\r" + b"".join(b" " + name.encode(encoding).ljust(30) for name in names) + b"\x1a"
    )


def shape(*records, name="plots", **members):
    """The members of a zipped shapefile, by default in WGS84."""
    files = {"shp": shp(*records), "prj": WGS84_PRJ} | members
    return {f"{name}.{ending}": data for ending, data in files.items() if data is not None}


def test_missing_index_is_rebuilt_and_said(members, tmp_path):
    found = read(
        zipped(tmp_path / "a.zip", {name: members[name] for name in ("plots.shp", "plots.dbf", "plots.prj")})
    )
    assert len(found.outlines) == 3
    assert found.notes == ["The index (.shx) is missing from the archive; it was rebuilt."]


def test_wrong_index_is_not_believed(members, tmp_path):
    found = read(zipped(tmp_path / "a.zip", members | {"plots.shx": members["plots.shx"][:-8]}))
    assert len(found.outlines) == 3


def test_missing_table_leaves_plots_without_names_and_is_said(members, tmp_path):
    found = read(
        zipped(tmp_path / "a.zip", {name: members[name] for name in ("plots.shp", "plots.shx", "plots.prj")})
    )
    assert [outline.name for outline in found.outlines] == ["Plot 1", "Plot 2", "Plot 3"]
    assert found.notes == [
        "The attribute table (.dbf) is missing from the archive, so the plots have no names."
    ]


@pytest.mark.parametrize(
    "projection", [None, "", "GARBAGE[", "x" * 20_000, 'LOCAL_CS["barn floor",UNIT["Meter",1.0]]']
)
def test_missing_or_senseless_projection_asks_for_the_system(refusal, tmp_path, projection):
    zipped(tmp_path / "a.zip", shape([clockwise(box())], prj=projection))
    said = refusal("b.zip", (tmp_path / "a.zip").read_bytes())
    assert said.needs == "crs"
    assert "its coordinates run from x -93.62 to -93.619 and y 42.03 to 42.031" in said.sentence


def test_system_given_by_the_person_places_it(members, tmp_path):
    del_prj = {name: data for name, data in members.items() if not name.endswith(".prj")}
    found = read(zipped(tmp_path / "a.zip", del_prj), crs="26915")
    assert acres(found) == pytest.approx(acres(read(SAMPLE)), rel=1e-9)


@pytest.mark.parametrize(
    ("encoding", "extra"),
    [
        ("utf-8", {"cpg": "UTF-8"}),
        ("cp1252", {"cpg": "1252"}),
        ("latin-1", {"cpg": "ISO 8859-1"}),
        ("cp1252", {}),
        ("utf-8", {}),
        ("cp1252", {"cpg": "\xff\xff"}),
    ],
)
def test_names_are_read_in_the_tables_encoding(tmp_path, encoding, extra):
    files = shape([clockwise(box())], dbf=table("Prés du Élan", encoding=encoding), **extra)
    assert read(zipped(tmp_path / "a.zip", files)).outlines[0].name == "Prés du Élan"


def test_language_byte_of_the_table_is_used(tmp_path):
    files = shape([clockwise(box())], dbf=table("Поле", encoding="cp1251", language=0xC9))
    assert read(zipped(tmp_path / "a.zip", files)).outlines[0].name == "Поле"


def test_null_shape_is_left_out_by_its_number_and_name(tmp_path):
    files = shape([clockwise(box())], None, dbf=table("a", "b"))
    found = read(zipped(tmp_path / "a.zip", files))
    assert left_out(found) == [("Record 2 (“b”)", "no geometry")]


def test_outer_ring_may_turn_either_way(tmp_path):
    assert acres(read(zipped(tmp_path / "a.zip", shape([box()])))) == boxes(1)


def test_hole_is_subtracted(tmp_path):
    files = shape([clockwise(box()), box(0.4, 0.4, 0.2, 0.2)])
    assert acres(read(zipped(tmp_path / "a.zip", files))) == boxes(0.96)


def test_several_layers_ask_which(tmp_path, refusal):
    files = shape([clockwise(box())], name="north") | shape(
        [clockwise(box(2))], [clockwise(box(4))], name="south"
    )
    archive = zipped(tmp_path / "a.zip", files)
    said = refusal("b.zip", archive.read_bytes())
    assert (said.needs, said.layers) == ("layer", ["north", "south"])
    assert "“north”, 1 feature; “south”, 2 features" in said.sentence
    chosen = read(archive, layer="south")
    assert (chosen.layer, chosen.layers, len(chosen.outlines)) == ("south", ["north", "south"], 2)


def test_unknown_layer_is_refused_with_the_known_ones(tmp_path, refusal):
    archive = zipped(tmp_path / "a.zip", shape([clockwise(box())], name="north"))
    said = refusal("b.zip", archive.read_bytes(), layer="east")
    assert "no polygon layer called “east”; it has “north”, 1 feature" in said.sentence


def test_layers_of_one_name_in_two_folders_are_told_apart(tmp_path, refusal):
    one, two = shape([clockwise(box())]), shape([clockwise(box(2))])
    files = {f"2025/{name}": data for name, data in one.items()} | {
        f"2026/{name}": data for name, data in two.items()
    }
    said = refusal("b.zip", zipped(tmp_path / "a.zip", files).read_bytes())
    assert said.layers == ["2025/plots", "2026/plots"]


def test_point_layer_is_left_out_beside_polygons(tmp_path):
    files = shape([clockwise(box())]) | {"stands.shp": shp(kind=1)}
    found = read(zipped(tmp_path / "a.zip", files))
    assert left_out(found) == [("Layer “stands” (0 records)", "points, not outlines")]


@pytest.mark.parametrize(
    ("kind", "said"), [(1, "points, not outlines"), (3, "lines, not outlines"), (31, "MultiPatch")]
)
def test_file_without_polygons_is_refused_with_what_it_holds(tmp_path, refusal, kind, said):
    archive = zipped(tmp_path / "a.zip", {"a.shp": shp(kind=kind)})
    assert said in refusal("b.zip", archive.read_bytes()).sentence


def broken(at, layout, value):
    data = bytearray(shp([clockwise(box())], [clockwise(box(2))]))
    struct.pack_into(layout, data, at, value)
    return bytes(data)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (shp([clockwise(box())])[:-40], "should be 236 bytes long, but only 196 are there"),
        (b"short", "shorter than the header"),
        (b"\0" * 200, "is not a shapefile"),
        (broken(148, "<i", 2_000_000_000), "record 1 does not fit"),
        (broken(144, "<i", -1), "record 1 does not fit"),
        (broken(152, "<i", 3), "record 1 does not fit"),
        (broken(104, ">i", 9_999), "record 1 does not fit"),
        (broken(104, ">i", -9), "record 1 does not fit"),
        (broken(108, "<i", 15), "record 1 does not fit"),
    ],
)
def test_damaged_file_is_refused(tmp_path, refusal, data, said):
    archive = zipped(tmp_path / "a.zip", shape([clockwise(box())], shp=data))
    assert said in refusal("b.zip", archive.read_bytes()).sentence


def test_bare_shp_is_told_what_is_missing(refusal):
    assert "zip it together" in refusal("plots.shp", shp([clockwise(box())])).sentence


def test_too_many_records_are_refused(tmp_path, refusal):
    archive = zipped(tmp_path / "a.zip", shape(shp=shp(*[None] * 20_001)))
    assert "20,000 records" in refusal("b.zip", archive.read_bytes()).sentence


def test_too_many_vertices_are_refused(tmp_path, refusal):
    archive = zipped(tmp_path / "a.zip", shape([box()[:1] * 200_001]))
    assert "200,000 vertices" in refusal("b.zip", archive.read_bytes()).sentence
