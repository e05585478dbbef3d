"""The map of outlines and the list beside it, in a browser."""

import base64
import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from fieldlog.models import Visit
from plots.models import Boundary, Plot
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
    expect(page.get_by_role("img", name="North is up")).to_be_visible()


def test_labels_stay_inside_their_outlines(overview):
    page = overview()
    page.locator("[data-map]").focus()
    page.keyboard.press("+")
    page.wait_for_timeout(400)
    sticking_out = page.evaluate(
        """() => {
            const boxes = [...document.querySelectorAll('path.outline.leaflet-interactive')]
                .map(path => path.getBoundingClientRect());
            const labels = [...document.querySelectorAll('.map-label.within span')].map(span => span.getBoundingClientRect());
            const inside = (a, b) => a.left >= b.left && a.right <= b.right && a.top >= b.top && a.bottom <= b.bottom;
            return [labels.length, labels.filter(label => !boxes.some(box => inside(label, box))).length];
        }"""
    )
    assert sticking_out[0] > 3
    assert sticking_out[1] == 0


def test_names_beside_a_plot_cover_no_other_plot_and_no_other_name(overview):
    page = overview()
    beside, covering = page.evaluate(
        """() => {
            const outlines = [...document.querySelectorAll('path.outline.leaflet-interactive')]
                .map(path => path.getBoundingClientRect());
            const boxes = [...document.querySelectorAll('.map-label')].map(label => ({
                isBeside: label.classList.contains('beside'),
                spans: [...label.children].map(span => span.getBoundingClientRect()),
            }));
            const meet = (a, b) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 2 && b.top < a.bottom - 2;
            const beside = boxes.filter(box => box.isBeside);
            const covering = beside.filter(box => box.spans.some(span =>
                outlines.some(other => meet(span, other))
                || beside.some(other => other !== box && other.spans.some(each => meet(span, each)))));
            return [beside.length, covering.length];
        }"""
    )
    assert beside > 3
    assert covering == 0


def test_every_plot_has_its_name_and_acres_on_the_map_where_there_is_room(overview, ground):
    page = overview()
    labels = page.locator(".map-label").all_inner_texts()
    named = [plot for plot in ground if any(plot.name in label for label in labels)]
    assert len(named) > len(ground) / 2
    assert any(f"{named[0].mapped_acres:.2f} ac" in label for label in labels)


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
    expect(outline(page, ground[2])).to_be_visible()
    assert outline(page, ground[2]).get_attribute("fill") == "url(#hatch-tint-0)"
    expect(page.get_by_role("button", name="Zoom in")).not_to_be_visible()


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
    expect(page.locator("[data-map-said] img, .map-label img")).to_have_count(0)


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
    expect(page.locator(".map-label", has_text="Hickory Flat")).to_have_count(0)
    row(page, plots[10]).locator(".num").click()
    expect(page.locator(".map-label", has_text="Hickory Flat").locator("span").first).to_be_visible()
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
    expect(page.locator("img.leaflet-tile")).to_have_count(0)


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


# Finding, filtering and colouring


def is_of_a_view(url):
    return "/outlines.geojson?" in url and "bbox=" in url


def outline_count(page):
    return page.locator("path.outline.leaflet-interactive")


@SCREENS
def test_typing_narrows_list_and_map_without_loading_the_page(overview, screen):
    page = overview(screen)
    page.evaluate("window.isTheSame = true")
    page.get_by_label("Name or notes").fill("creek")
    expect(page.locator(".plot-list tbody tr")).to_have_count(1)
    expect(outline_count(page)).to_have_count(1)
    expect(page.get_by_role("status").filter(has_text="1 of 14 plots")).to_be_visible()
    assert page.evaluate("window.isTheSame")
    assert "q=creek" in page.url
    expect(page.get_by_label("Name or notes")).to_be_focused()
    page.get_by_role("link", name="Show all").click()
    expect(outline_count(page)).to_have_count(14)
    expect(page.get_by_label("Name or notes")).to_have_value("")
    page.go_back()
    expect(page.locator(".plot-list tbody tr")).to_have_count(1)
    expect(page.get_by_label("Name or notes")).to_have_value("creek")


def test_map_is_fitted_to_what_was_found(overview, ground):
    page = overview()
    scale = page.locator(".leaflet-control-scale-line").first
    before = scale.inner_text()
    page.get_by_label("Name or notes").fill("creek")
    expect(outline_count(page)).to_have_count(1)
    expect(scale).not_to_have_text(before)
    inside = page.evaluate(
        """() => {
            const map = document.querySelector('[data-map]').getBoundingClientRect();
            const plot = document.querySelector('path.outline.leaflet-interactive').getBoundingClientRect();
            return plot.left > map.left && plot.right < map.right && plot.top > map.top && plot.bottom < map.bottom;
        }"""
    )
    assert inside


def test_blend_and_objective_filter_map_and_list(overview, ground):
    Plot.objects.filter(pk=ground[0].pk).update(objective=Plot.Objective.BALANCE)
    page = overview()
    page.get_by_label("Blend").select_option("Fallow")
    expect(page.locator(".plot-list tbody tr")).to_have_count(1)
    expect(page.locator("path.outline.fallow.leaflet-interactive")).to_have_count(1)
    page.get_by_label("Blend").select_option("All")
    page.get_by_label("Objective").select_option("Balance")
    expect(page.locator(".plot-list tbody tr")).to_have_count(1)
    expect(row(page, ground[0])).to_be_visible()


def test_colours_come_with_legend_hatch_and_column(overview, ground, owner):
    for plot, days in zip(ground, (2, 10, 20, 40), strict=False):
        moment = timezone.now() - timedelta(days=days)
        Visit.objects.create(plot=plot, visited_at=moment, recorded_by=owner)
    page = overview()
    page.get_by_label("Colour by").select_option("Days since visit")
    legend = page.get_by_role("list", name="What the map shows")
    expect(legend).to_contain_text("no visit recorded · 10 plots")
    for at in range(4):
        expect(page.locator(f"path.outline.step-{at}[fill='url(#hatch-step-{at})']")).to_have_count(1)
    expect(row(page, ground[1])).to_contain_text("10 days ago")
    page.get_by_label("Colour by").select_option("Acres")
    expect(legend).to_contain_text("ac and more")
    expect(page.locator("path.outline.unknown")).to_have_count(0)


def test_classes_differ_in_grey_too(overview, ground, owner):
    """As a printer without colours draws them: the mean grey of each class is its own."""
    page = overview()
    page.get_by_label("Colour by").select_option("Acres")
    expect(page.get_by_role("list", name="What the map shows")).to_contain_text("ac and more")
    greys = page.evaluate(
        """async () => {
            const found = [];
            for (const at of [0, 1, 2, 3]) {
                const pattern = document.getElementById(`hatch-step-${at}`);
                const css = (element) => getComputedStyle(element);
                const [ground, lines] = [pattern.querySelector('.hatch-ground'), pattern.querySelector('.hatch-lines')];
                const pen = Object.assign(document.createElement('canvas'), { width: 8, height: 8 }).getContext('2d');
                pen.fillStyle = '#fff';
                pen.fillRect(0, 0, 8, 8);
                pen.globalAlpha = css(ground).fillOpacity;
                pen.fillStyle = css(ground).fill;
                pen.fillRect(0, 0, 8, 8);
                pen.globalAlpha = 1;
                pen.strokeStyle = css(lines).stroke;
                pen.lineWidth = parseFloat(css(lines).strokeWidth);
                pen.stroke(new Path2D(lines.getAttribute('d')));
                const { data } = pen.getImageData(0, 0, 8, 8);
                let sum = 0;
                for (let i = 0; i < data.length; i += 4) sum += 0.3 * data[i] + 0.59 * data[i + 1] + 0.11 * data[i + 2];
                found.push(sum / 64);
            }
            return found;
        }"""
    )
    steps = [light - dark for light, dark in zip(greys, greys[1:], strict=False)]
    assert min(steps) > 15, greys


def test_sorting_keeps_the_map_and_the_focus(overview):
    page = overview()
    page.evaluate("window.isTheSame = true")
    page.get_by_role("link", name="Acres").focus()
    page.keyboard.press("Enter")
    expect(page.locator("th[aria-sort=descending]")).to_contain_text("Acres")
    expect(page.get_by_role("link", name="Acres")).to_be_focused()
    assert page.evaluate("window.isTheSame")


def test_chosen_plot_stays_chosen_while_colours_change(overview, ground):
    page = overview()
    row(page, ground[5]).locator(".num").click()
    page.get_by_label("Colour by").select_option("Acres")
    expect(page.get_by_role("list", name="What the map shows")).to_contain_text("ac and more")
    expect(page.locator("path.is-chosen")).to_have_count(1)
    expect(row(page, ground[5])).to_contain_class("is-chosen")


def test_another_colour_leaves_the_filters_as_they_were(overview):
    page = overview()
    page.get_by_label("Colour by").select_option("visits")
    expect(page.get_by_text("Days since the last visit")).to_be_visible()
    expect(page.get_by_label("Blend", exact=True)).to_have_value("")
    page.get_by_label("Colour by").select_option("acres")
    expect(page.locator(".legend-title")).to_have_text("Mapped acres")
    expect(outline_count(page)).to_have_count(14)


def test_escape_and_a_press_beside_close_the_menu(overview):
    page = overview()
    menu, summary = page.locator("details.more"), page.locator("details.more > summary")
    summary.click()
    page.keyboard.press("Escape")
    expect(menu).not_to_have_attribute("open", "")
    expect(summary).to_be_focused()
    summary.click()
    page.get_by_role("heading", level=1).click()
    expect(menu).not_to_have_attribute("open", "")


@pytest.mark.parametrize("colour", ["visits", "acres"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_colours_are_accessible(browse, owner, farm, ground, assert_accessible, colour, scheme):
    Visit.objects.create(plot=ground[0], visited_at=timezone.now(), recorded_by=owner)
    page = browse(owner, "phone", color_scheme=scheme)
    page.goto(reverse("overview", args=[farm.slug]) + f"?colour={colour}&q=e")
    drawn(page)
    page.get_by_text("More", exact=True).click()
    assert_accessible(page)


def test_page_finds_without_script(browse, owner, farm, ground):
    page = browse(owner, java_script_enabled=False)
    page.goto(reverse("overview", args=[farm.slug]))
    page.get_by_label("Colour by").select_option("Acres")
    page.get_by_label("Name or notes").fill("creek")
    page.get_by_role("button", name="Find").click()
    expect(page.locator(".plot-list tbody tr")).to_have_count(1)
    expect(page.get_by_role("list", name="What the map shows")).to_contain_text("ac and more")


def test_nothing_found_says_so_and_leads_back(overview):
    page = overview()
    page.get_by_label("Name or notes").fill("heron")
    expect(page.locator(".empty")).to_contain_text("No plot has “heron” in its name or notes.")
    expect(outline_count(page)).to_have_count(0)
    page.locator(".empty").get_by_role("link", name="Show all").click()
    expect(outline_count(page)).to_have_count(14)


def test_a_page_opened_on_nothing_found_shows_what_is_looked_for_next(browse, owner, farm, ground):
    page = browse(owner)
    page.goto(reverse("overview", args=[farm.slug]) + "?q=heron")
    drawn(page)
    page.get_by_label("Name or notes").fill("creek")
    expect(outline_count(page)).to_have_count(1)


def test_from_near_a_small_property_has_every_corner(overview, ground):
    page = overview()
    asked = []
    page.on("request", lambda request: asked.append(request.url) if is_of_a_view(request.url) else None)
    row(page, ground[0]).locator(".num").click()
    page.locator("[data-map]").focus()
    for _ in range(3):
        page.keyboard.press("+")
        page.wait_for_timeout(400)
    expect(page.locator("[data-map]")).not_to_have_attribute("aria-busy", "true")
    assert any("zoom=1" in url or "zoom=2" in url for url in asked)
    assert outline_count(page).count() >= 1


# A large property


@pytest.fixture
def large(browse, owner, farm):
    """large(**query) -> the overview of 2,000 plots with its map drawn, and the views that it asked for."""
    plots, _, _ = planted_property(farm, 2000)
    asked = []

    def large(query=""):
        page = browse(owner)
        page.on("request", lambda request: asked.append(request.url) if is_of_a_view(request.url) else None)
        page.goto(reverse("overview", args=[farm.slug]) + query)
        drawn(page)
        return page

    large.asked, large.plots = asked, plots
    return large


def settled(page):
    expect(page.locator("[data-map][aria-busy]")).to_have_count(0)


def test_a_large_property_draws_what_is_in_view(large):
    page = large()
    assert len(large.asked) == 1
    page.locator("[data-map]").focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_timeout(500)
    assert len(large.asked) == 1, "what was asked for around the view is there already"
    for _ in range(2):
        page.keyboard.press("+")
        page.wait_for_timeout(500)
    settled(page)
    zooms = [int(url.split("zoom=")[1].split("&")[0]) for url in large.asked]
    assert zooms == sorted(set(zooms))
    assert len(zooms) == 3


def test_a_plot_of_a_large_property_is_found_from_its_row_and_stays_chosen(large):
    page = large()
    plot = next(each for each in large.plots if each.name == "Plot 0050")
    row(page, plot).locator(".num").click()
    said = page.locator("[data-map-said]")
    expect(said).to_contain_text("Plot 0050")
    settled(page)
    expect(page.locator(".map-label span").first).to_be_visible()
    expect(row(page, plot)).to_contain_class("is-chosen")
    page.get_by_role("button", name="Show all").click()
    settled(page)
    expect(said).to_contain_text("Plot 0050")
    expect(row(page, plot)).to_contain_class("is-chosen")


def test_an_outline_whose_row_is_on_another_page_says_what_it_is(large):
    page = large()
    plot = next(
        each for each in large.plots if each.name == "Plot 0090"
    )  # the one south of it is no longer listed
    row(page, plot).locator(".num").click()
    expect(page.locator(".map-label.within span").first).to_be_visible()
    settled(page)
    said = page.locator("[data-map-said] a")
    names = page.locator(".plot-list tbody th").all_inner_texts()
    found = []
    for label in page.locator(".map-label.within").all():
        at = label.locator("span").first.bounding_box()
        page.mouse.click(at["x"] + at["width"] / 2, at["y"] + at["height"] / 2)
        page.wait_for_timeout(100)
        found.append(said.inner_text())
    [elsewhere, *_] = [name for name in found if name not in names]
    expect(said).to_have_attribute("href", re.compile(r"/plots/\d+/"))
    assert elsewhere in {each.name for each in large.plots}


def test_filtering_a_large_property_asks_for_the_found_ones_alone(large):
    page = large()
    page.get_by_label("Name or notes").fill("hickory")
    expect(page.locator(".plot-list tbody tr")).to_have_count(1)
    settled(page)
    assert "q=hickory" in large.asked[-1]
    expect(page.locator(".map-label").first).to_contain_text("Hickory Flat")


def test_a_view_that_cannot_be_loaded_says_so_and_keeps_what_is_there(large, browse):
    page = large()
    page.route("**/outlines.geojson*", lambda route: route.fulfill(status=503))
    page.locator("[data-map]").focus()
    page.keyboard.press("+")
    page.keyboard.press("+")
    expect(page.locator("[data-map-said]")).to_contain_text("the server answered 503")
    assert not page.locator("[data-map]").get_attribute("aria-busy")
    browse.errors.clear()
