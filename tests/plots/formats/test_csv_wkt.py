import pytest

from tests.plots.formats.build import acres, box, boxes, left_out

BOX = f"POLYGON (({', '.join(f'{lon} {lat}' for lon, lat in box())}))"
FAR_BOX = f"POLYGON (({', '.join(f'{lon} {lat}' for lon, lat in box(2))}))"
UTM = "POLYGON ((448000 4653000, 448100 4653000, 448100 4653100, 448000 4653100, 448000 4653000))"


def table(*rows, header="name,wkt", delimiter=","):
    lines = [header, *(delimiter.join([name, f'"{wkt}"']) for name, wkt in rows)]
    return "\r\n".join(lines) + "\r\n"


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_any_delimiter_is_found(reading, delimiter):
    text = table(("a", BOX), header=f"name{delimiter}geom", delimiter=delimiter)
    assert acres(reading("a.csv", text)) == boxes(1)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_any_encoding_is_read(reading, encoding):
    assert reading("a.csv", table(("Prés", BOX)).encode(encoding)).outlines[0].name == "Prés"


@pytest.mark.parametrize("header", ["name,wkt", "name,the_geom", "name,outline of the plot"])
def test_column_is_found_by_its_name_or_by_what_it_holds(reading, header):
    assert acres(reading("a.csv", table(("a", BOX), header=header))) == boxes(1)


@pytest.mark.parametrize(
    "wkt",
    [
        BOX.lower(),
        BOX.replace("POLYGON", "POLYGON Z")
        .replace("42.03,", "42.03 120,")
        .replace("42.031,", "42.031 120,")
        .replace("42.03)", "42.03 120)"),
        f"SRID=4326;{BOX}",
        f" srid=4326 ; {BOX}",
        f"GEOMETRYCOLLECTION ({BOX})",
        BOX.replace("POLYGON ", "MULTIPOLYGON (") + ")",
    ],
)
def test_spellings_of_wkt_are_understood(reading, wkt):
    assert acres(reading("a.csv", table(("a", wkt)))) == boxes(1)


def test_wkt_without_srid_says_what_was_assumed(reading):
    found = reading("a.csv", table(("a", BOX)))
    assert found.notes == ["The WKT names no SRID; it was read as WGS84 longitude and latitude."]


def test_srid_is_used_and_said(reading):
    found = reading("a.csv", table(("a", f"SRID=26915;{UTM}")))
    assert found.crs == "EPSG:26915 NAD83 / UTM zone 15N"
    assert "as the SRID in 1 row says" in found.notes[0]


def test_row_in_another_system_is_left_out(reading):
    found = reading(
        "a.csv",
        table(
            ("a", f"SRID=4326;{BOX}"), ("b", f"SRID=4326;{FAR_BOX}"), ("c", f"SRID=26915;{UTM}"), ("d", UTM)
        ),
    )
    assert left_out(found) == [
        ("Row 3 (“c”)", "its SRID (26915) is not that of the other rows (4326)"),
        ("Row 4 (“d”)", "its SRID (none) is not that of the other rows (4326)"),
    ]


def test_unknown_srid_asks_for_the_system(refusal):
    assert refusal("a.csv", table(("a", f"SRID=999999;{UTM}"))).needs == "crs"


def test_each_bad_row_is_named_with_its_reason(reading):
    text = table(
        ("good", BOX),
        ("empty", "POLYGON EMPTY"),
        ("blank", ""),
        ("line", "LINESTRING (0 0, 1 1)"),
        ("words", "see map"),
        ("short", "POLYGON ((0 0, 1 1"),
    )
    said = left_out(reading("a.csv", text))
    assert said[:4] == [
        ("Row 2 (“empty”)", "an empty geometry"),
        ("Row 3 (“blank”)", "no geometry"),
        ("Row 4 (“line”)", "a line, not an outline"),
        ("Row 5 (“words”)", "“see map” is not WKT"),
    ]
    assert said[4][0] == "Row 6 (“short”)"
    assert said[4][1].startswith("its WKT cannot be read: ")


def test_quote_that_is_never_closed_does_not_swallow_the_rows_behind_it(reading):
    found = reading("a.csv", f'name,wkt\ncut,"POLYGON ((0 0, 1\ngood,"{BOX}"\n')
    assert [outline.name for outline in found.outlines] == ["good"]
    assert left_out(found) == [
        ("Row 1 (“cut”)", "its text is cut off: a quotation mark is opened and not closed")
    ]


def test_quoted_text_may_run_over_several_lines(reading):
    found = reading("a.csv", table(('"Pond\nfield"', BOX.replace(", ", ",\n"))))
    assert [outline.name for outline in found.outlines] == ["Pond field"]


def test_unclosed_ring_is_closed_and_said(reading):
    found = reading("a.csv", table(("a", BOX.rpartition(",")[0] + "))")))
    assert acres(found) == boxes(1)
    assert found.outlines[0].notes == ["The ring was not closed; it is now."]


def test_acreage_column_is_never_believed(reading):
    found = reading("a.csv", f'acres,wkt\n999,"{BOX}"\n')
    assert acres(found) == boxes(1)
    assert found.outlines[0].attributes == {"acres": "999"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name,lat,lon\nA,42.0,-93.6\n", "no WKT column"),
        ("just a sentence", "no WKT column"),
        (f'wkt\n"{"GEOMETRYCOLLECTION (" * 300}"\n', "nested more than 20 levels"),
        (table(("a", UTM)), "out of the range of EPSG:4326"),
        (table(("a", BOX.replace("42.031", "nan"))), "not a finite number"),
        (table(("a", f"POLYGON (({'0 0,' * 200_001}0 0))")), "200,000 vertices"),
        ("name,wkt\n" + "a,POLYGON EMPTY\n" * 20_001, "20,001 rows"),
    ],
)
def test_refusal_names_what_is_wrong(refusal, text, said):
    assert said in refusal("a.csv", text).sentence
