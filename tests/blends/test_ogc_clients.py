"""Programs that people have read /ogc/ from a running server: GDAL in a process of its own, and OWSLib."""

import json
import subprocess
import sys

import pytest
from owslib.ogcapi.features import Features
from owslib.util import Authentication
from shapely.geometry import box, shape

PLOTS, PLANTINGS, VISITS, LANDMARKS = EVERY = [
    f"tally-hollow-{kind}" for kind in ("plots", "plantings", "visits", "landmarks")
]
WEST_HALF = (-92.001, 37.9, -91.9775, 38.003)
# In a process of its own: GDAL may wait for the server while it holds the interpreter.
READ = """
import json, sys, pyogrio
source, options = sys.argv[1], json.loads(sys.argv[2])
if "layer" not in options:
    print(json.dumps(pyogrio.list_layers(source)[:, 0].tolist()))
else:
    if "bbox" in options:
        options["bbox"] = tuple(options["bbox"])
    print(pyogrio.read_dataframe(source, **options).to_json(default=str))
"""


@pytest.fixture
def gdal(live_server, ask, ground, monkeypatch):
    """gdal() -> names of layers; gdal(layer, **options) -> its features; the token stands in the address."""
    monkeypatch.setenv("NO_PROXY", "localhost,127.0.0.1")

    def read(layer=None, query=f"?token={ask.secret}", **options):
        if layer:
            options |= {"layer": layer, "PAGE_SIZE": "2"}
        done = subprocess.run(
            [sys.executable, "-c", READ, f"OAPIF:{live_server.url}/ogc{query}", json.dumps(options)],
            capture_output=True,
            text=True,
            timeout=60,
        )
        assert done.returncode == 0, done.stderr
        found = json.loads(done.stdout)
        return found["features"] if layer else found

    return read


@pytest.fixture
def owslib(live_server, ask, ground):
    return Features(f"{live_server.url}/ogc", auth=Authentication(username="gis", password=ask.secret))


def name_of(feature):
    """A landmark without a name has its kind."""
    facts = feature["properties"]
    return facts["plot"] if "plot" in facts else facts["name"] or facts["kind"]


def names(features):
    return [name_of(each) for each in features]


def touching(features, bounds):
    """Those that shapely finds in the box, and those that lie nowhere."""
    return [
        name_of(each)
        for each in features
        if each["geometry"] is None or shape(each["geometry"]).intersects(box(*bounds))
    ]


def outlines(features):
    return [each["geometry"] and shape(each["geometry"]).normalize().wkt for each in features]


def test_gdal_finds_the_collections(gdal):
    assert gdal() == EVERY


@pytest.mark.parametrize("layer", EVERY)
def test_gdal_reads_every_page_with_the_outlines_as_stored(gdal, ask, layer):
    ours = ask(f"collections/{layer}/items").json()["features"]
    theirs = gdal(layer)
    assert len(ours) >= 3
    assert names(theirs) == names(ours)
    assert outlines(theirs) == outlines(ours)


@pytest.mark.parametrize("layer", EVERY)
def test_gdal_gets_by_bbox_what_shapely_finds(gdal, layer):
    everything = [each for each in gdal(layer) if each["geometry"]]
    chosen = [each for each in gdal(layer, bbox=WEST_HALF) if each["geometry"]]
    assert 0 < len(chosen) < len(everything)
    assert names(chosen) == touching(everything, WEST_HALF)


# DEVELOPERS.md says how to leave out what has no day, which the standard lets through.
def test_gdal_gets_by_day_what_was_planted_then_and_what_has_no_day(gdal):
    undated = ["Plot 3", "Plot 4"]
    assert names(gdal(PLANTINGS, where="planted_on >= '2024/09/02'")) == ["Plot 1", "Plot 2", *undated]
    assert names(gdal(PLANTINGS, where="planted_on <= '2024/09/01'")) == ["Plot 0", *undated]
    both = "planted_on >= '2024/09/02' AND planted_on IS NOT NULL"
    assert names(gdal(PLANTINGS, where=both)) == ["Plot 1", "Plot 2"]


def test_gdal_gets_by_moment_who_was_where(gdal):
    assert names(gdal(VISITS, where="visited_at >= '2024/09/02 16:05:00'")) == [
        "Plot 1",
        "Plot 2",
        "Unmapped",
    ]
    assert names(gdal(VISITS, where="visited_at > '2024/09/02 16:05:01'")) == ["Plot 2", "Unmapped"]
    assert names(gdal(VISITS, where="visited_at <= '2024/09/02 16:05:00'")) == ["Plot 1"]
    (visit,) = gdal(VISITS, where="note = 'Rocks.'")
    assert (visit["properties"]["recorded_by"], visit["properties"]["plot"]) == ("owner", "Unmapped")


def test_gdal_sends_the_token_as_a_password_too(gdal, ask, monkeypatch):
    assert len(gdal(PLOTS, query="", USERPWD=f"gis:{ask.secret}")) == 8
    monkeypatch.setenv("GDAL_HTTP_USERPWD", f"gis:{ask.secret}")
    assert gdal(query="/") == EVERY


def test_owslib_finds_the_description_and_the_collections(owslib):
    assert owslib.api()["openapi"] == "3.0.3"
    assert len(owslib.conformance()["conformsTo"]) == 3
    assert owslib.feature_collections() == EVERY
    assert owslib.collection(PLOTS)["id"] == PLOTS


def test_owslib_reads_every_page_and_one_feature(owslib):
    seen = []
    for offset in (0, 3, 6):
        page = owslib.collection_items(PLOTS, limit=3, offset=offset)
        assert page["numberMatched"] == 8
        seen += page["features"]
    assert len({each["id"] for each in seen}) == 8
    assert owslib.collection_item(PLOTS, str(seen[0]["id"]))["properties"] == seen[0]["properties"]


def test_owslib_gets_by_bbox_and_datetime_what_shapely_and_the_days_say(owslib):
    for layer in EVERY:
        everything = owslib.collection_items(layer)["features"]
        chosen = owslib.collection_items(layer, bbox=list(WEST_HALF))["features"]
        assert names(chosen) == touching(everything, WEST_HALF)
    found = owslib.collection_items(PLANTINGS, datetime_="2024-09-02T00:00:00Z/..", bbox=list(WEST_HALF))
    assert names(found["features"]) == ["Plot 1", "Plot 2"]


def test_owslib_reads_visits_and_landmarks(owslib):
    visits = owslib.collection_items(VISITS, datetime_="2024-09-20T00:00:00Z/..")["features"]
    assert names(visits) == ["Plot 2", "Unmapped"]
    assert owslib.collection_item(VISITS, visits[0]["id"])["properties"] == visits[0]["properties"]
    kinds = [each["geometry"]["type"] for each in owslib.collection_items(LANDMARKS)["features"]]
    assert kinds == ["Point", "LineString", "Polygon"]
