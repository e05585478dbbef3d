"""What drawing is made of: shapes, steps and snapping, as modules in a browser; and lines and points on a map."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

SQUARE = [[-92.0, 38.0], [-91.999, 38.0], [-91.999, 38.001], [-92.0, 38.001]]
CLOSED = [*SQUARE, SQUARE[0]]


@pytest.fixture
def module(browse):
    """module(name, body, *given): what the body returns, with the module as `m` and the rest as `given`."""
    page = browse()
    page.goto(reverse("sign-in"))

    def run(name, body, *given):
        script = f"""async (given) => {{
            const m = await import("/static/plots/draw/{name}.js");
            {body}
        }}"""
        return page.evaluate(script, list(given))

    return run


def test_shapes_come_back_as_the_geojson_they_were_read_from(module):
    hole = [[-91.9996, 38.0004], [-91.9994, 38.0004], [-91.9994, 38.0006], [-91.9996, 38.0004]]
    far = [[lon + 0.01, lat] for lon, lat in CLOSED]
    area = {"type": "MultiPolygon", "coordinates": [[CLOSED, hole], [far]]}
    line = {"type": "LineString", "coordinates": SQUARE}
    point = {"type": "Point", "coordinates": SQUARE[0]}
    for kind, geometry in [("area", area), ("line", line), ("point", point)]:
        back = module("shape", "return m.toGeoJSON(m.fromGeoJSON(...given));", kind, geometry)
        assert back == geometry


def test_moves_leave_the_shape_before_as_it_was_and_share_what_they_did_not_touch(module):
    found = module(
        "shape",
        """
        const before = m.fromGeoJSON("area", given[0]);
        const text = JSON.stringify(before);
        const moved = m.withMoved(before, { part: 1, ring: 0, corner: 2 }, [-91, 39]);
        const added = m.withCorners(before, { part: 1, ring: 0 }, 1, [[-91.5, 38]]);
        const fewer = m.withoutRing(before, { part: 0, ring: 0 });
        return {
            same: text === JSON.stringify(before),
            shares: moved.parts[0] === before.parts[0] && added.parts[0] === before.parts[0] && fewer.parts[0] === before.parts[1],
            moved: m.cornerAt(moved, { part: 1, ring: 0, corner: 2 }),
            added: m.ringAt(added, { part: 1, ring: 0 }).corners.length,
        };
        """,
        {"type": "MultiPolygon", "coordinates": [[CLOSED], [CLOSED]]},
    )
    assert found == {"same": True, "shares": True, "moved": [-91, 39], "added": 5}


def test_a_ring_keeps_the_three_corners_that_it_needs(module):
    triangle = {"type": "Polygon", "coordinates": [[*SQUARE[:3], SQUARE[0]]]}
    body = "return m.withoutCorner(m.fromGeoJSON('area', given[0]), { part: 0, ring: 0, corner: 1 });"
    assert module("shape", body, triangle) is None


def test_an_area_is_not_complete_while_a_ring_is_being_drawn(module):
    found = module(
        "shape",
        """
        const open = m.withCorners(m.withRing(m.emptyShape("area"), null, [given[0][0]]), { part: 0, ring: 0 }, 1, given[0].slice(1));
        const closed = m.withClosed(open, { part: 0, ring: 0 });
        return [m.toGeoJSON(open), m.asIfClosed(open).coordinates[0][0].length, m.toGeoJSON(closed).type];
        """,
        SQUARE,
    )
    assert found == [None, 5, "MultiPolygon"]


def test_ground_in_a_hole_is_on_no_part(module):
    hole = [
        [-91.9997, 38.0003],
        [-91.9993, 38.0003],
        [-91.9993, 38.0007],
        [-91.9997, 38.0007],
        [-91.9997, 38.0003],
    ]
    shape = {"type": "Polygon", "coordinates": [CLOSED, hole]}
    body = (
        "const shape = m.fromGeoJSON('area', given[0]); return given[1].map((at) => m.partUnder(shape, at));"
    )
    places = [[-91.9999, 38.0001], [-91.9995, 38.0005], [-91.9, 38.0]]
    assert module("shape", body, shape, places) == [0, None, None]


def test_steps_are_taken_back_and_taken_again(module):
    found = module(
        "history",
        """
        let h = m.begin("a");
        for (const each of ["b", "c"]) h = m.step(h, each);
        const seen = [h.present];
        h = m.undo(h); seen.push(h.present);
        h = m.undo(h); seen.push(h.present);
        h = m.redo(h); seen.push(h.present);
        h = m.step(h, "d"); seen.push(h.present, h.future.length);
        h = m.undo(h); seen.push(h.present);
        return seen;
        """,
    )
    assert found == ["c", "b", "a", "b", "d", 0, "b"]


def test_a_corner_that_is_pushed_along_is_one_step(module):
    body = """
        let h = m.begin(0);
        for (const [value, tag] of [[1, "push"], [2, "push"], [3, "push"], [4, null], [5, "push"]]) h = m.step(h, value, tag);
        return h.past;
    """
    assert module("history", body) == [0, 3, 4]


def test_no_more_than_three_hundred_steps_are_kept(module):
    body = "let h = m.begin(0); for (let i = 1; i <= 400; i += 1) h = m.step(h, i); return [h.past.length, h.past[0], h.present];"
    assert module("history", body) == [300, 100, 400]


SNAP = """
    const rings = m.ringsAround([{ type: "Feature", properties: { name: "Creek" }, geometry: given[0] }]);
    const pixels = ([lon, lat]) => [(lon + 92) * 1e5, (38 - lat) * 1e5];
    return given[1].map(([lon, lat]) => m.snapped([lon, lat], rings,
        { project: pixels, reach: 12, window: [lon - 12e-5, lat - 12e-5, lon + 12e-5, lat + 12e-5] }));
"""


def test_a_corner_takes_a_neighbours_corner_before_its_edge_and_nothing_out_of_reach(module):
    neighbour = {"type": "Polygon", "coordinates": [CLOSED]}
    near_corner, near_edge, far = [-91.99992, 38.00005], [-91.9995, 38.00009], [-91.9995, 38.0005]
    corner, edge, none = module("snap", SNAP, neighbour, [near_corner, near_edge, far])
    assert corner["position"] == [-92.0, 38.0]
    assert corner["isCorner"]
    assert corner["name"] == "Creek"
    assert edge["position"] == [-91.9995, 38.0]
    assert not edge["isCorner"]
    assert none is None


@pytest.mark.parametrize(
    ("start", "end", "expected"),
    [
        # across one corner
        ([-91.9995, 38.0], [-91.999, 38.0005], [[-91.999, 38.0]]),
        # the same the other way round
        ([-91.999, 38.0005], [-91.9995, 38.0], [[-91.999, 38.0]]),
        # over the place where the ring begins and ends
        ([-91.9998, 38.0], [-92.0, 38.0003], [[-92.0, 38.0]]),
        # along one edge nothing lies between
        ([-91.9998, 38.0], [-91.9992, 38.0], None),
        # off the ring
        ([-91.9998, 38.0], [-91.9995, 38.0005], None),
    ],
)
def test_the_shared_edge_is_followed_the_shorter_way_round(module, start, end, expected):
    body = "return m.stretchBetween(given[1], given[2], m.ringsAround([given[0]]))?.corners ?? null;"
    neighbour = {"type": "Polygon", "coordinates": [CLOSED]}
    assert module("snap", body, neighbour, start, end) == expected


@pytest.fixture
def canvas(browse, owner, farm, make_plot):
    """canvas(kind, screen, **options): a page with a drawing of the kind on a map and its buttons beside it."""

    def canvas(kind, screen="desktop", **options):
        plot = make_plot()
        page = browse(owner, screen)
        page.goto(reverse("plot", args=[farm.slug, plot.pk]))
        page.wait_for_selector("[data-map][data-ready]")
        page.evaluate(
            """async ([kind, options]) => {
                const { Drawing, drawingBar } = await import("/static/plots/draw/drawing.js");
                const { openMap } = await import("/static/plots/map_base.js");
                const box = document.createElement("div");
                box.id = "box";
                box.style.height = "300px";
                const link = Object.assign(document.createElement("link"), { rel: "stylesheet", href: "/static/plots/draw/draw.css" });
                const loaded = new Promise((done) => link.addEventListener("load", done));
                document.head.append(link);
                await loaded;
                document.querySelector("main").replaceChildren(box);
                const map = openMap(box);
                map.setView([38, -92], 17, { animate: false });
                window.drawing = new Drawing(map, { kind, ...options });
                window.map = map;
                box.after(drawingBar(window.drawing));
            }""",
            [kind, options],
        )
        return page

    return canvas


def tap(page, x, y):
    """On the map, from its upper left corner."""
    box = page.locator("#box").bounding_box()
    page.mouse.click(box["x"] + x, box["y"] + y)


def drawn(page):
    return page.evaluate("window.drawing.geometry")


def test_a_line_is_drawn_corner_by_corner(canvas):
    page = canvas("line")
    assert drawn(page) is None
    for x in (300, 400, 500):
        tap(page, x, 100)
    assert drawn(page)["type"] == "LineString"
    assert len(drawn(page)["coordinates"]) == 3
    page.get_by_role("button", name="Remove last corner").click()
    assert len(drawn(page)["coordinates"]) == 2
    page.get_by_role("button", name="Undo").click()
    assert len(drawn(page)["coordinates"]) == 3


def test_a_point_is_put_and_moved_by_taps_and_at_the_crosshair(canvas):
    page = canvas("point")
    tap(page, 300, 100)
    first = drawn(page)
    tap(page, 500, 200)
    assert first["type"] == drawn(page)["type"] == "Point"
    assert first != drawn(page)
    page.get_by_role("button", name="Move it here").click()
    assert drawn(page)["coordinates"] == [-92.0, 38.0]


def test_stopping_leaves_the_map_as_it_was(canvas):
    line = {"type": "LineString", "coordinates": [[-92.001, 38.0], [-91.999, 38.0]]}
    page = canvas("line", geometry=line)
    expect(page.locator("#box .draw-corner")).to_have_count(2)
    assert not page.evaluate("window.map.doubleClickZoom.enabled()")
    page.evaluate("window.drawing.stop()")
    expect(page.locator("#box :is(.draw-corner, .draw-middle, .draw-cross, path)")).to_have_count(0)
    assert page.evaluate("window.map.doubleClickZoom.enabled()")
    tap(page, 300, 100)
    assert drawn(page) == line


def test_an_outline_of_thousands_of_corners_has_handles_that_a_finger_can_tell_apart(canvas):
    from math import cos, pi, sin

    turns = [i / 5000 * 2 * pi for i in range(5000)]
    ring = [[-92 + 0.002 * cos(turn), 38 + 0.001 * sin(turn)] for turn in turns]
    page = canvas("area", geometry={"type": "Polygon", "coordinates": [[*ring, ring[0]]]})
    apart = page.evaluate(
        """() => {
            const at = [...document.querySelectorAll(".draw-corner")].map((each) => each.getBoundingClientRect());
            return [at.length, Math.min(...at.flatMap((a, i) => at.slice(i + 1).map((b) => Math.hypot(a.x - b.x, a.y - b.y))))];
        }"""
    )
    assert 10 < apart[0] < 200
    assert apart[1] >= 24


def test_rough_figures_are_close_to_the_geodesic_ones(module):
    from shapely.geometry import shape

    from plots.calc.geodesy import geodesic_area_perimeter
    from plots.calc.units import M2_PER_ACRE, m_to_ft

    hole = [
        [-91.9997, 38.0003],
        [-91.9993, 38.0003],
        [-91.9993, 38.0007],
        [-91.9997, 38.0007],
        [-91.9997, 38.0003],
    ]
    geometry = {"type": "MultiPolygon", "coordinates": [[CLOSED, hole]]}
    rough = module("rough", "return m.roughFigures(given[0]);", geometry)
    area_m2, perimeter_m = geodesic_area_perimeter(shape(geometry))
    assert rough["acres"] == pytest.approx(area_m2 / M2_PER_ACRE, rel=0.01)
    assert rough["perimeter_ft"] == pytest.approx(m_to_ft(perimeter_m), rel=0.01)
