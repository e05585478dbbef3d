"""The map of outlines and the list beside it, in a browser."""

import base64

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from plots.models import Boundary
from tests.scenery import lay_out, planted_property

SCREENS = pytest.mark.parametrize("screen", ["phone", "desktop"])


@pytest.fixture
def ground(farm, owner):
    """The fourteen plots: 10 with a blend, one fallow, three undecided."""
    plots, _, _ = planted_property(farm, 14)
    return plots


@pytest.fixture
def overview(browse, owner, farm, ground):
    """overview(screen, **options) -> the overview with its map drawn."""

    def overview(screen="desktop", **options):
        page = browse(owner, screen, **options)
        page.goto(reverse("overview", args=[farm.slug]))
        drawn(page)
        return page

    return overview


TILE = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNkYPj/HwADBwIAMCbHYQAAAABJRU5ErkJggg=="
)


def drawn(page):
    page.wait_for_selector("[data-map][data-ready]")


def outline(page, plot):
    """The outline of a plot: features are drawn in the order of the list."""
    names = page.locator(".plot-list tbody th").all_inner_texts()
    return page.locator("path.outline.leaflet-interactive").nth(names.index(plot.name))


def row(page, plot):
    return page.locator(f'tr[data-outline="{plot.pk}"]')


@SCREENS
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_overview_is_accessible(overview, assert_accessible, screen, scheme):
    assert_accessible(overview(screen, color_scheme=scheme))


@SCREENS
@pytest.mark.parametrize("route", ["plot", "plot-edit"])
def test_pages_of_a_plot_are_accessible(browse, assert_accessible, owner, farm, ground, screen, route):
    page = browse(owner, screen)
    page.goto(reverse(route, args=[farm.slug, ground[0].pk]))
    if route == "plot":
        drawn(page)
        page.get_by_text("Show the working").click()
    assert_accessible(page)


@pytest.mark.parametrize("route", ["overview", "plot"])
def test_nothing_runs_over_the_edge_of_a_small_screen(browse, owner, farm, ground, route):
    page = browse(owner, "phone", viewport={"width": 320, "height": 640})
    page.goto(reverse(route, args=[farm.slug] + ([ground[0].pk] if route == "plot" else [])))
    drawn(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


def test_map_draws_every_outline_with_the_hatch_of_its_blend(overview):
    page = overview()
    fills = page.locator("path.outline.leaflet-interactive").evaluate_all(
        "paths => paths.map(path => path.getAttribute('fill'))"
    )
    assert len(fills) == 14
    assert fills.count("url(#hatch-fallow)") == 1
    assert fills.count("transparent") == 3
    assert all(page.locator(fill[4:-1]).count() == 1 for fill in fills if fill.startswith("url"))


def test_undecided_plots_stand_out_dashed(overview, ground):
    dashes = outline(overview(), ground[13]).evaluate("path => getComputedStyle(path).strokeDasharray")
    assert dashes != "none"


@SCREENS
def test_clicking_an_outline_marks_its_row_and_says_what_it_is(overview, ground, screen):
    page = overview(screen)
    outline(page, ground[2]).click()
    expect(row(page, ground[2])).to_contain_class("is-chosen")
    said = page.locator("[data-map-said]")
    expect(said).to_have_text(
        f"Powerline Strip {ground[2].mapped_acres:.2f} ac · Fall Greens · Planned, to be drilled"
    )
    said.get_by_role("link").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Powerline Strip")


def test_clicking_a_row_marks_its_outline(overview, ground):
    page = overview()
    row(page, ground[5]).locator(".num").click()
    expect(page.locator("path.is-chosen")).to_have_count(1)
    expect(page.locator("[data-map-said]")).to_contain_text("Pond Field")


def test_moving_the_focus_along_the_list_lights_up_the_outlines(overview, ground):
    page = overview()
    page.get_by_role("link", name="Cedar Gap").focus()
    expect(page.locator("path.is-hot")).to_have_count(1)
    page.keyboard.press("Tab")
    expect(page.locator("path.is-hot")).to_have_count(1)
    page.locator("[data-map]").focus()


def test_keys_zoom_and_move_the_map(overview):
    page = overview()
    scale = page.locator(".leaflet-control-scale-line").first
    before, map_pane = scale.inner_text(), page.locator(".leaflet-map-pane")
    page.locator("[data-map]").focus()
    page.keyboard.press("+")
    expect(scale).not_to_have_text(before)
    place = map_pane.get_attribute("style")
    page.keyboard.press("ArrowRight")
    expect(map_pane).not_to_have_attribute("style", place)


def test_wheel_scrolls_the_page_until_the_map_has_the_focus(overview):
    page = overview()
    scale = page.locator(".leaflet-control-scale-line").first
    before = scale.inner_text()
    page.locator("[data-map]").hover()
    page.mouse.wheel(0, 200)
    page.wait_for_function("scrollY > 0")
    assert scale.inner_text() == before


def test_scale_bar_has_metres_and_feet_and_north_is_marked(overview):
    page = overview()
    assert [text.split()[-1] for text in page.locator(".leaflet-control-scale-line").all_inner_texts()] == [
        "m",
        "ft",
    ]
    assert page.get_by_role("img", name="North is up").is_visible()


def test_labels_stay_inside_their_outlines(overview):
    page = overview()
    page.locator("[data-map]").focus()
    page.keyboard.press("+")
    page.wait_for_timeout(400)
    sticking_out = page.evaluate(
        """() => {
            const boxes = [...document.querySelectorAll('path.outline.leaflet-interactive')]
                .map(path => path.getBoundingClientRect());
            const labels = [...document.querySelectorAll('.map-label span')].map(span => span.getBoundingClientRect());
            const inside = (a, b) => a.left >= b.left && a.right <= b.right && a.top >= b.top && a.bottom <= b.bottom;
            return [labels.length, labels.filter(label => !boxes.some(box => inside(label, box))).length];
        }"""
    )
    assert sticking_out[0] > 3
    assert sticking_out[1] == 0


def test_label_is_put_beside_a_hole_and_not_into_it(browse, live_server, db):
    page = browse()
    page.goto("/sign-in/")
    at, room, in_hole = page.evaluate(
        """async () => {
            const { roomBeside, widestPlace } = await import('/static/plots/map_labels.js');
            const outer = [[0, 0], [10, 0], [10, 8], [0, 8], [0, 0]];
            const hole = [[2, 0.5], [5, 0.5], [5, 7.5], [2, 7.5], [2, 0.5]];
            const at = widestPlace([outer, hole]);
            return [at, roomBeside([outer, hole], 7.5, [3, 4, 5]), roomBeside([outer, hole], 3, [4])];
        }"""
    )
    assert at == [7.5, 4]
    assert room == 5
    assert in_hole == 0


def test_outlines_follow_the_theme(overview, ground):
    page = overview(color_scheme="light")
    colour = "path => getComputedStyle(path).stroke"
    light = outline(page, ground[0]).evaluate(colour)
    page.emulate_media(color_scheme="dark")
    assert outline(page, ground[0]).evaluate(colour) != light


def test_print_keeps_the_map_and_leaves_out_its_buttons(overview, ground):
    page = overview()
    page.emulate_media(media="print")
    assert outline(page, ground[2]).is_visible()
    assert outline(page, ground[2]).get_attribute("fill") == "url(#hatch-tint-0)"
    assert not page.get_by_role("button", name="Zoom in").is_visible()


def test_map_asks_no_other_host(overview, live_server, browse, owner, farm):
    asked = []
    page = browse(owner)
    page.on("request", lambda request: asked.append(request.url))
    page.goto(reverse("overview", args=[farm.slug]))
    drawn(page)
    assert asked
    assert all(url.startswith(live_server.url) for url in asked)


@SCREENS
def test_map_takes_at_most_three_fifths_of_the_screen(overview, screen):
    page = overview(screen)
    height = page.locator("[data-map]").bounding_box()["height"]
    assert 200 < height <= 0.6 * page.viewport_size["height"]


def test_map_stays_in_view_beside_the_list_on_a_desk(overview):
    page = overview()
    page.locator(".plot-list tbody tr").last.scroll_into_view_if_needed()
    assert page.locator("[data-map]").bounding_box()["y"] >= 0


def test_map_that_cannot_be_loaded_says_so(browse, owner, farm, ground):
    page = browse(owner)
    page.route("**/outlines.geojson*", lambda route: route.fulfill(status=503))
    page.goto(reverse("overview", args=[farm.slug]))
    expect(page.locator("[data-map-said]")).to_contain_text("the server answered 503")
    browse.errors.clear()


def test_names_are_text_and_never_markup(overview, ground):
    ground[0].name = "<img src=x onerror=alert(1)>"
    ground[0].save()
    page = overview()
    row(page, ground[0]).locator(".num").click()
    expect(page.locator("[data-map-said]")).to_contain_text("<img src=x")
    assert page.locator("[data-map-said] img, .map-label img").count() == 0


def test_a_large_property_is_drawn_on_a_canvas_in_the_theme(browse, owner, farm):
    planted_property(farm, 520)
    page = browse(owner, color_scheme="light")
    page.goto(reverse("overview", args=[farm.slug]))
    drawn(page)
    ink = """() => {
        const canvas = document.querySelector('.leaflet-overlay-pane canvas');
        const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
        let sum = 0, painted = 0;
        for (let i = 0; i < data.length; i += 4) if (data[i + 3] > 200) { painted += 1; sum += data[i] + data[i + 1]; }
        return [painted, Math.round(sum / painted)];
    }"""
    painted, light = page.evaluate(ink)
    assert painted > 1000
    page.emulate_media(color_scheme="dark")
    page.wait_for_timeout(200)
    assert page.evaluate(ink)[1] > light + 20


def test_choosing_a_speck_in_the_list_brings_it_nearer(browse, owner, farm):
    plots, _, _ = planted_property(farm, 520)
    page = browse(owner)
    page.goto(reverse("overview", args=[farm.slug]))
    drawn(page)
    assert page.locator(".map-label").count() == 0
    row(page, plots[10]).locator(".num").click()
    expect(page.locator(".map-label span").first).to_be_visible()
    expect(page.locator("[data-map-said]")).to_contain_text("Hickory Flat")


def test_page_shows_acres_as_soon_as_they_are_measured(browse, owner, farm):
    lay_out(farm, 2, measured=False)
    page = browse(owner)
    page.goto(reverse("overview", args=[farm.slug]))
    expect(page.locator(".note[hx-get]")).to_contain_text("Measuring 2 plots")
    Boundary.objects.update(area_m2=8093.71, perimeter_m=300)
    expect(page.locator(".sums")).to_contain_text("4.00 ac", timeout=8000)


def test_nothing_leaves_for_another_host_until_imagery_is_named(overview):
    asked = []
    page = overview()
    page.on("request", lambda request: asked.append(request.url))
    page.reload()
    drawn(page)
    assert asked
    assert all(url.startswith(page.url.split("/p/")[0]) for url in asked)
    assert page.locator("img.leaflet-tile").count() == 0


def test_imagery_that_was_named_lies_under_the_outlines_with_its_credit(
    browse, owner, farm, ground, settings
):
    settings.IMAGERY_URL = "https://tiles.example/{z}/{x}/{y}.png"
    settings.IMAGERY_CREDIT = "Pictures: <b>State</b> survey"
    page = browse(owner)
    page.route("https://tiles.example/**", lambda route: route.fulfill(body=TILE, content_type="image/png"))
    page.goto(reverse("overview", args=[farm.slug]))
    drawn(page)
    expect(page.locator("img.leaflet-tile-loaded").first).to_be_attached()
    expect(page.locator(".leaflet-control-attribution")).to_have_text("Pictures: <b>State</b> survey")
    assert page.locator("path.outline").count() >= 14
