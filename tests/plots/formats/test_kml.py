import pytest

from tests.plots.formats.build import acres, box, boxes, kml, kml_polygon, kml_ring, left_out


def placemark(*geometries, name="field"):
    return f"<Placemark><name>{name}</name>{''.join(geometries)}</Placemark>"


def line(ring):
    return kml_ring(ring).replace("LinearRing", "LineString")


def test_every_inner_boundary_is_a_hole(reading):
    """Two elements of one ring each, and the common mistake of one element with two rings."""
    outer, pond, barn, rock = box(), box(0.1, 0.1, 0.2, 0.2), box(0.6, 0.1, 0.2, 0.2), box(0.6, 0.6, 0.2, 0.2)
    text = kml_polygon(outer, pond, barn).replace(
        "</LinearRing></innerBoundaryIs>", f"</LinearRing>{kml_ring(rock)}</innerBoundaryIs>", 1
    )
    found = reading("a.kml", kml(placemark(text)))
    assert found.outlines[0].holes == 3
    assert acres(found) == boxes(1 - 3 * 0.04)


@pytest.mark.parametrize(
    "root",
    [
        "<kml>{}</kml>",
        '<kml xmlns="http://earth.google.com/kml/2.0"><Document>{}</Document></kml>',
        '<k:kml xmlns:k="http://www.opengis.net/kml/2.2">{}</k:kml>',
        "<Folder><Folder><name>2026</name>{}</Folder></Folder>",
        '<kml><gx:Tour/><Document xsi:schemaLocation="undeclared">{}</Document></kml>',
    ],
    ids=["none", "old", "prefixed", "no kml element", "undeclared prefixes"],
)
def test_namespace_does_not_matter(reading, root):
    assert acres(reading("a.kml", root.format(placemark(kml_polygon(box()))))) == boxes(1)


@pytest.mark.parametrize(
    ("declared", "encoding"),
    [
        ("UTF-8", "utf-8"),
        ("ISO-8859-1", "latin-1"),
        ("UTF-16", "utf-16"),
        ("UTF-8", "cp1252"),
        ("windows-1252", "cp1252"),
    ],
)
def test_text_is_read_as_declared_or_as_it_is(reading, declared, encoding):
    text = f'<?xml version="1.0" encoding="{declared}"?>' + kml(
        placemark(kml_polygon(box()), name="Prés & Élan".replace("&", "&amp;"))
    )
    assert reading("a.kml", text.encode(encoding)).outlines[0].name == "Prés & Élan"


def test_blanks_before_the_declaration_are_ignored(reading):
    text = '\n \n<?xml version="1.0"?>' + kml(placemark(kml_polygon(box())))
    assert acres(reading("a.kml", text)) == boxes(1)


def test_parts_of_a_multigeometry_are_one_plot_and_its_label_is_left_out(reading):
    inside = kml_polygon(box()) + "<Point><coordinates>-93.6,42</coordinates></Point>" + kml_polygon(box(2))
    found = reading("a.kml", kml(placemark(f"<MultiGeometry>{inside}</MultiGeometry>")))
    assert [outline.parts for outline in found.outlines] == [2]
    assert left_out(found) == [("Placemark 1 (“field”)", "a point beside the outline")]


def test_bare_ring_and_closed_line_are_taken_as_outlines_and_said(reading):
    found = reading(
        "a.kml", kml(placemark(kml_ring(box()), name="ring"), placemark(line(box(2)), name="line"))
    )
    assert acres(found) == boxes(2)
    assert [outline.notes for outline in found.outlines] == [
        ["A ring that belongs to no polygon was taken as an outline."],
        ["A closed line was taken as an outline."],
    ]


def test_overlays_links_points_and_open_lines_are_left_out(reading):
    found = reading(
        "a.kml",
        kml(
            placemark(kml_polygon(box())),
            "<GroundOverlay><name>photo</name><LatLonBox><north>43</north></LatLonBox></GroundOverlay>",
            "<ScreenOverlay/>",
            "<NetworkLink><Link><href>http://127.0.0.1:9/plots.kml</href></Link></NetworkLink>",
            placemark("<Point><coordinates>-93.6,42</coordinates></Point>", name="gate"),
            placemark(line(box()[:3]), name="lane"),
            placemark(name="bare"),
        ),
    )
    assert left_out(found) == [
        ("Overlay 1 (“photo”)", "a picture laid over the ground, not an outline"),
        ("Overlay 2", "a picture on the screen, not an outline"),
        ("Network link 1", "a link to another file; links are never followed"),
        ("Placemark 2 (“gate”)", "a point, not an outline"),
        ("Placemark 3 (“lane”)", "a line, not an outline"),
        ("Placemark 4 (“bare”)", "no geometry"),
    ]


def test_blanks_after_commas_are_ignored_and_said(reading):
    text = kml(placemark(kml_polygon(box()))).replace(",", ", ")
    found = reading("a.kml", text)
    assert acres(found) == boxes(1)
    assert found.outlines[0].notes == ["Blanks around the commas in the coordinates were ignored."]


def test_recorded_track_is_an_outline(reading):
    coords = "".join(f"<gx:coord>{lon} {lat} 210</gx:coord>" for lon, lat in box())
    found = reading("a.kml", kml(placemark(f"<gx:Track>{coords}</gx:Track>")))
    assert acres(found) == boxes(1)
    assert found.outlines[0].notes == ["A recorded track was taken as an outline."]


def test_attributes_come_from_both_kinds_of_extended_data(reading):
    data = '<Data name="crop"><value>clover</value></Data>'
    schema = '<SchemaData><SimpleData name="soil">silt loam</SimpleData></SchemaData>'
    text = placemark(f"<ExtendedData>{data}{schema}</ExtendedData>", kml_polygon(box()))
    assert reading("a.kml", kml(text)).outlines[0].attributes == {
        "name": "field",
        "crop": "clover",
        "soil": "silt loam",
    }


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (kml(), "holds nothing to draw"),
        (kml(placemark(kml_polygon(box())).replace("42.03", "north")), "accepted is longitude,latitude"),
        (kml(placemark("<Polygon/>")), "an empty geometry"),
        (kml(placemark(kml_polygon(box())))[:-40], "damaged or stops in the middle"),
        ("<svg/>", "XML of another kind, “svg”"),
        ("<!DOCTYPE html><html><body>404</body></html>", "a web page (HTML)"),
        ("<kml>" + "<Folder>" * 300, "nested more than 200 levels"),
        ('<?xml version="1.0" encoding="klingon"?><kml/>', "names a text encoding that is not known"),
    ],
)
def test_refusal_names_what_is_wrong(refusal, text, said):
    assert said in refusal("a.kml", text).sentence


@pytest.mark.parametrize(
    "declaration",
    [
        '<!DOCTYPE kml SYSTEM "http://127.0.0.1:9/kml.dtd">',
        '<!DOCTYPE kml [<!ENTITY x SYSTEM "file:///etc/hostname">]>',
        '<!DOCTYPE kml [<!ENTITY a "ha"><!ENTITY b "&a;&a;"><!ENTITY c "&b;&b;">]>',
    ],
    ids=["remote", "file", "bomb"],
)
def test_document_types_and_entities_are_refused(refusal, declaration):
    assert (
        "document type or entities"
        in refusal("a.kml", declaration + kml(placemark(kml_polygon(box())))).sentence
    )


def test_another_coordinate_system_is_refused(refusal):
    assert "always WGS84" in refusal("a.kml", kml(placemark(kml_polygon(box()))), crs="EPSG:26915").sentence


def test_too_many_vertices_are_refused(refusal):
    text = kml(placemark(f"<LinearRing><coordinates>{'1,2 ' * 200_001}</coordinates></LinearRing>"))
    assert "200,000 vertices" in refusal("a.kml", text).sentence
