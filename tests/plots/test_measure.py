"""`manage.py measure`: acreage from the command line."""

import csv
import io
import json
from pathlib import Path

import pytest
from django.core.management import call_command

FILES = Path(__file__).parent / "formats" / "files"
ACRES = {
    row["name"]: float(row["acres"])  # by geographiclib; see make_files.py
    for row in csv.DictReader((FILES / "acres.csv").read_text("utf-8").splitlines())
}
BOWTIE = '{"type":"Polygon","coordinates":[[[-93.62,42.03],[-93.619,42.031],[-93.619,42.03],[-93.62,42.031],[-93.62,42.03]]]}'


@pytest.fixture
def measure(monkeypatch):
    """Standard output, standard error and exit status."""

    def run(file, *options):
        out, err = io.StringIO(), io.StringIO()
        try:
            call_command("measure", str(file), *options, stdout=out, stderr=err, no_color=True)
        except SystemExit as end:
            return out.getvalue(), err.getvalue(), end.code
        return out.getvalue(), err.getvalue(), 0

    return run


def test_json_holds_each_polygon_and_the_total(measure):
    report = json.loads(measure(FILES / "plots.zip", "--json")[0])
    assert list(report) == ["file", "polygons", "left_out", "total_acres"]
    keys = ["name", "acres", "area_m2", "perimeter_m", "parts", "holes", "repaired", "notes"]
    assert all(list(row) == keys for row in report["polygons"])
    assert {row["name"]: row["acres"] for row in report["polygons"]} == pytest.approx(ACRES, rel=1e-7)
    assert report["total_acres"] == pytest.approx(sum(ACRES.values()), rel=1e-7)
    assert [(row["parts"], row["holes"], row["repaired"]) for row in report["polygons"]] == [
        (1, 0, False),
        (1, 1, False),
        (2, 0, False),
    ]


def test_json_says_what_was_left_out(measure):
    report = json.loads(measure(FILES / "plots.gpkg", "--json")[0])
    assert report["left_out"] == [{"what": "Layer “stands” (3 features)", "why": "points, not outlines"}]


def test_table_is_aligned_and_its_total_is_that_of_the_figures_shown(measure):
    assert measure(FILES / "plots.geojson")[0].splitlines()[2:] == [
        "Plot          Acres  Perimeter, m  Parts  Holes",
        "North strip   2.004           350      1      0",
        "Étang field   6.348           874      1      1",
        "Twin oaks     2.575           542      2      0",
        "Total        10.927",
    ]


def test_table_says_what_was_repaired(measure, tmp_path):
    (tmp_path / "a.json").write_text(BOWTIE)
    lines = measure(tmp_path / "a.json")[0].splitlines()
    assert lines[3].endswith("repaired")
    assert lines[-3:] == [
        "Notes",
        "  Plot 1: The ring crossed itself; it is now 2 parts.",
        "  Plot 1: Acreage: 0.000 as drawn, 1.136 now.",
    ]


def test_system_and_axes_can_be_given(measure, tmp_path):
    utm = [[4653000, 448000], [4653000, 448100], [4653100, 448100], [4653000, 448000]]
    (tmp_path / "a.json").write_text(json.dumps({"type": "Polygon", "coordinates": [utm]}))
    out, _, status = measure(tmp_path / "a.json", "--crs", "EPSG:26915", "--swap-axes")
    assert status == 0
    assert "EPSG:26915 NAD83 / UTM zone 15N" in out


def test_layer_can_be_given(measure):
    assert "layer “plots”" in measure(FILES / "plots.gpkg", "--layer", "plots")[0]


@pytest.mark.parametrize(
    ("content", "options", "said"),
    [
        ("", [], "The file is empty."),
        ("<svg/>", [], "XML of another kind"),
        (BOWTIE.replace("-93.62", "448000"), [], "(--crs EPSG:n)"),
        (BOWTIE, ["--layer", "north"], "no layer “north”"),
        (BOWTIE, ["--crs", "somewhere"], "is no coordinate system"),
    ],
)
def test_unusable_file_is_one_line_on_standard_error_and_status_2(measure, tmp_path, content, options, said):
    (tmp_path / "a.json").write_text(content)
    out, err, status = measure(tmp_path / "a.json", *options)
    assert (out, status, err.count("\n")) == ("", 2, 1)
    assert said in err


def test_missing_file_is_unusable(measure):
    assert measure("nowhere.kml")[1:] == ("“nowhere.kml” cannot be read: No such file or directory.\n", 2)


def test_the_database_is_not_touched(measure, django_assert_num_queries, db):
    with django_assert_num_queries(0):
        measure(FILES / "plots.kml")
