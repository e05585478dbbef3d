"""fiboa 0.3.0: checked against the standard's own schemas, without a network."""

import io
import json
from dataclasses import replace

import pyarrow as pa
import pytest
import shapely
from pyarrow import parquet

from plots.calc.geodesy import geodesic_area_perimeter
from plots.formats.write import KINDS
from tests.plots.fiboa.rules import problems_of_geo, problems_of_schemas, problems_of_values
from tests.plots.outgoing import WHEN, awkward_plots, demo_plots, selection

PLOTS = [*demo_plots(), *awkward_plots()]
UNMEASURED = replace(PLOTS[0], plot_id=900, area_m2=None, perimeter_m=None)


def geojson(plots):
    return json.loads(KINDS["fiboa-geojson"].write(selection(plots)))


def table(plots):
    return parquet.read_table(io.BytesIO(KINDS["fiboa-parquet"].write(selection(plots))))


def values_of(feature):
    return feature["properties"] | {"id": feature["id"], "geometry": feature["geometry"]}


def test_every_feature_of_the_geojson_keeps_the_schemas():
    document = geojson([*PLOTS, UNMEASURED])
    assert problems_of_schemas(document["schemas"], {"larkspindle-hollow"}) == []
    assert [problems_of_values(values_of(feature)) for feature in document["features"]] == [[]] * 19


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("id", 7),
        ("metrics:area", 0),
        ("metrics:perimeter", None),
        ("determination:method", "walked"),
        ("determination:datetime", "2026-04-03T23:30:00+00:00"),
        ("collection", ""),
    ],
)
def test_the_check_itself_finds_what_is_wrong(name, value):
    good = values_of(geojson(PLOTS[:1])["features"][0])
    assert problems_of_values(good | {name: value})


def test_ids_are_unique_texts():
    ids = [feature["id"] for feature in geojson(PLOTS)["features"]]
    assert len(set(ids)) == len(ids)
    assert all(isinstance(each, str) for each in ids)


@pytest.mark.parametrize("form", ["json", "parquet"])
def test_area_and_perimeter_are_those_of_the_geometry(form):
    rows = (
        table(PLOTS).to_pylist()
        if form == "parquet"
        else [f["properties"] for f in geojson(PLOTS)["features"]]
    )
    for row, plot in zip(rows, PLOTS, strict=True):
        wanted = geodesic_area_perimeter(plot.geometry)
        assert (row["metrics:area"], row["metrics:perimeter"]) == pytest.approx(wanted, rel=1e-6)


def test_a_plot_that_is_not_measured_has_no_area():
    (feature,) = geojson([UNMEASURED])["features"]
    assert not {"metrics:area", "metrics:perimeter"} & set(feature["properties"])
    assert table([UNMEASURED]).to_pylist()[0]["metrics:area"] is None


@pytest.mark.parametrize(
    ("how", "method"),
    [("drawn", "manual"), ("walked", "driven"), ("imported", "unknown"), ("reshaped", "unknown")],
)
def test_how_a_boundary_came_here_is_said_in_the_words_of_the_standard(how, method):
    plots = [replace(PLOTS[0], boundary_how=how)]
    (feature,) = geojson(plots)["features"]
    (row,) = table(plots).to_pylist()
    assert feature["properties"]["determination:method"] == row["determination:method"] == method
    assert feature["properties"]["determination:datetime"] == "2026-04-03T23:30:00.000Z"
    assert row["determination:datetime"] == WHEN


def test_the_metadata_of_the_parquet_file_keep_the_schemas():
    metadata = table(PLOTS).schema.metadata
    geo, collection = json.loads(metadata[b"geo"]), json.loads(metadata[b"collection"])
    assert problems_of_geo(geo) == []
    assert "crs" not in geo["columns"]["geometry"]
    assert problems_of_schemas(collection["schemas"], {"larkspindle-hollow"}) == []


def test_the_columns_of_the_parquet_file_have_the_types_of_the_standard():
    schema = table(PLOTS).schema
    for name, kind in [("id", pa.string()), ("collection", pa.string()), ("geometry", pa.binary())]:
        assert (schema.field(name).type, schema.field(name).nullable) == (kind, False)
    assert schema.field("metrics:area").type == schema.field("metrics:perimeter").type == pa.float32()
    assert schema.field("determination:datetime").type == pa.timestamp("ms", tz="UTC")


def test_the_parquet_file_holds_wkb_turned_as_it_says():
    for row in table(PLOTS).to_pylist():
        for part in shapely.from_wkb(row["geometry"]).geoms:
            assert shapely.is_ccw(part.exterior)
            assert not any(shapely.is_ccw(hole) for hole in part.interiors)
