"""manage.py import_plots."""

from io import StringIO

import pytest
from django.core.management import call_command

from plots.models import BoundaryImport, Plot
from tests.plots.test_imports import geojson, square, wkt_csv

RING_M = "POLYGON((500000 4200000, 500100 4200000, 500100 4200100, 500000 4200100, 500000 4200000))"


@pytest.fixture
def run(farm, owner, tmp_path):
    """run(text, *options, name=) -> (exit status, standard output, lines of standard error)."""

    def run(text, *options, name="plots.geojson", property="tally-hollow"):
        file, out, err = tmp_path / name, StringIO(), StringIO()
        if text is not None:
            file.write_text(text)
        try:
            call_command("import_plots", property, str(file), *options, stdout=out, stderr=err)
        except SystemExit as end:
            return end.code, out.getvalue(), err.getvalue().strip().splitlines()
        return 0, out.getvalue(), err.getvalue().strip().splitlines()

    return run


def test_all_outlines_are_stored_and_measured_in_place(run, owner):
    status, out, _ = run(geojson(("A", square()), ("B", square(-91.99))))
    assert status == 0
    assert all(plot.mapped_acres > 2 for plot in Plot.objects.all())
    assert Plot.objects.count() == 2
    assert "2 stored on Tally Hollow" in out
    assert BoundaryImport.objects.get().created_by == owner


@pytest.mark.parametrize(
    ("text", "options", "name", "said"),
    [
        ("no map", [], "plots.kml", "."),
        (None, [], "missing.kml", "No such file"),
        (wkt_csv(("A", RING_M)), [], "plots.csv", "(--crs EPSG:n)"),
        (wkt_csv(("A", RING_M)), ["--crs", "nonsense"], "plots.csv", "EPSG:26915"),
        (geojson(("A", square())), ["--user", "nobody"], "plots.geojson", "nobody"),
        (geojson(("A", square())), ["--name-field", "x"], "plots.geojson", "“x”"),
    ],
)
def test_a_refusal_is_one_line_and_status_2_and_leaves_nothing(run, text, options, name, said):
    status, out, err = run(text, *options, name=name)
    assert (status, out, len(err)) == (2, "", 1)
    assert said in err[0]
    assert not BoundaryImport.objects.exists()
    assert not Plot.objects.exists()


def test_an_unknown_property_names_those_there_are(run):
    status, _, err = run(geojson(("A", square())), property="nowhere")
    assert status == 2
    assert "tally-hollow" in err[0]


def test_the_answers_are_taken_from_the_options(run):
    assert run(wkt_csv(("A", RING_M)), "--crs", "EPSG:26915", name="plots.csv")[0] == 0


def test_a_second_run_makes_no_second_set(run):
    run(geojson(("A", square())))
    status, _, err = run(geojson(("A", square())))
    assert (status, Plot.objects.count()) == (2, 1)
    assert "There is a plot “A”" in err[0]


def test_replace_gives_plots_of_the_same_name_a_new_boundary(run):
    run(geojson(("A", square())))
    assert run(geojson(("a", square(side=0.002))), "--replace")[0] == 0
    plot = Plot.objects.get()
    assert plot.boundaries.count() == 2
    assert plot.mapped_acres > 9
