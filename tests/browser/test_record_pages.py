"""The pages of a boundary's record and of overlaps, in a browser."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect
from shapely.affinity import translate
from shapely.geometry import box

from plots.models import Plot
from plots.queries import standing_overlaps
from plots.services.boundaries import set_boundary
from tests.scenery import natural_outline

SCREENS = pytest.mark.parametrize("screen", ["phone", "desktop"])
SCHEMES = pytest.mark.parametrize("scheme", ["light", "dark"])
LON, LAT, STEP = -92.0, 38.0, 0.002


@pytest.fixture
def plot(farm, owner):
    """Three boundaries: drawn, moved over, and with a hole."""
    plot = Plot.objects.create(property=farm, name="North")
    outline = natural_outline(LON, LAT, 4, 5)
    for each, why in (
        (outline, "First look"),
        (translate(outline, 0.0003, 0.0001), "Cleared the east edge"),
        (outline.difference(natural_outline(LON, LAT, 0.3, 6)), "Pond in the middle"),
    ):
        set_boundary(plot=plot, geometry=each, user=owner, how="walked", why=why, accuracy_m=2.2)
    return plot


@pytest.fixture
def two(farm, owner):
    """West and East, which share a sliver half a metre wide."""
    plots = [Plot.objects.create(property=farm, name=name) for name in ("West", "East")]
    edge = LON + STEP
    outlines = box(LON, LAT, edge, LAT + STEP), box(edge - 0.5 / 87_800, LAT, edge + STEP, LAT + STEP)
    for plot, outline in zip(plots, outlines, strict=True):
        set_boundary(plot=plot, geometry=outline, user=owner, how="drawn")
    return plots


def drawn(page):
    page.wait_for_selector("[data-record-map][data-ready]")


@SCREENS
@SCHEMES
def test_pages_are_accessible(browse, assert_accessible, owner, farm, plot, two, screen, scheme):
    page = browse(owner, screen, color_scheme=scheme)
    for address in (
        reverse("boundary-history", args=[farm.slug, plot.pk]),
        reverse("overlaps", args=[farm.slug]),
    ):
        page.goto(address)
        drawn(page)
        assert_accessible(page)


@pytest.mark.parametrize("route", ["boundary-history", "overlaps"])
def test_nothing_runs_over_the_edge_of_a_small_screen(browse, owner, farm, plot, two, route):
    page = browse(owner, "phone", viewport={"width": 320, "height": 640})
    page.goto(reverse(route, args=[farm.slug, plot.pk] if route == "boundary-history" else [farm.slug]))
    drawn(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


@SCREENS
def test_any_two_are_chosen_and_their_ground_is_hatched_apart(browse, owner, farm, plot, screen):
    page = browse(owner, screen)
    page.goto(reverse("boundary-history", args=[farm.slug, plot.pk]))
    drawn(page)
    oldest, middle, _ = plot.boundaries.order_by("pk")
    page.locator(f'input[name="first"][value="{oldest.pk}"]').check()
    page.locator(f'input[name="second"][value="{middle.pk}"]').check()
    page.get_by_role("button", name="Compare the two").click()
    drawn(page)
    assert {f"first={oldest.pk}", f"second={middle.pk}"} == set(page.url.partition("?")[2].split("&"))
    fills = {
        what: page.locator(f"path.ground.{what}").get_attribute("fill")
        for what in ("gained", "lost", "first")
    }
    assert fills == {"gained": "url(#hatch-gained)", "lost": "url(#hatch-lost)", "first": "transparent"}
    dashes = [
        page.locator(f"path.ground.{what}").evaluate("path => getComputedStyle(path).strokeDasharray")
        for what in ("first", "second")
    ]
    assert dashes[0] != "none"
    assert dashes[1] == "none"
    for what in ("gained", "lost"):
        assert page.locator(f"#hatch-{what} path").get_attribute("d") != ""


def test_ground_of_which_there_is_none_is_not_drawn(browse, owner, farm, plot):
    page = browse(owner)
    oldest, _, newest = plot.boundaries.order_by("pk")
    page.goto(
        reverse("boundary-history", args=[farm.slug, plot.pk]) + f"?first={oldest.pk}&second={newest.pk}"
    )
    drawn(page)
    expect(page.locator("path.ground.lost")).to_have_count(1)
    expect(page.locator("path.ground.gained")).to_have_count(0)


def test_print_keeps_map_legend_and_figures_and_leaves_out_the_choosing(browse, owner, farm, plot):
    page = browse(owner)
    page.goto(reverse("boundary-history", args=[farm.slug, plot.pk]))
    drawn(page)
    page.emulate_media(media="print")
    expect(page.locator("path.ground.lost")).to_be_visible()
    expect(page.locator(".ground-legend")).to_be_visible()
    expect(page.get_by_text("Pond in the middle")).to_be_visible()
    expect(page.get_by_role("button", name="Restore it").first).not_to_be_visible()
    expect(page.locator('input[name="first"]').first).not_to_be_visible()


def test_an_older_one_is_restored_and_restored_back_by_keyboard(browse, owner, farm, plot):
    page = browse(owner)
    address = reverse("boundary-history", args=[farm.slug, plot.pk])
    before = Plot.objects.get(pk=plot.pk).boundary
    for count in (4, 5):
        page.goto(address)
        page.get_by_label("Why").focus()
        page.keyboard.type("The fence stays")
        page.keyboard.press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("North")
        expect(page.get_by_text("has the boundary of").first).to_be_visible()
        assert plot.boundaries.count() == count
    assert Plot.objects.get(pk=plot.pk).boundary.geometry.equals(before.geometry)


@SCREENS
def test_slivers_are_mended_with_one_press_and_brought_back_with_another(browse, owner, farm, two, screen):
    page = browse(owner, screen)
    page.goto(reverse("overlaps", args=[farm.slug]))
    drawn(page)
    page.get_by_role("button", name="Mend the sliver").click()
    expect(page.get_by_text("East was trimmed to West and gave up")).to_be_visible()
    assert not standing_overlaps(farm).exists()
    page.get_by_role("button", name="Undo the trim").click()
    expect(page.get_by_text("East: the boundary from before the trim holds again.")).to_be_visible()
    assert standing_overlaps(farm).count() == 1


def test_an_overlap_is_shown_on_the_map_by_its_number(browse, owner, farm, two):
    page = browse(owner)
    page.goto(reverse("overlaps", args=[farm.slug]))
    drawn(page)
    expect(page.locator(".ground-mark")).to_have_text("1")
    expect(page.locator(".ground-name")).to_have_text(["East", "West"])
    page.locator("[data-record-map]").focus()
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    page.get_by_role("button", name="Show on the map").click()
    page.wait_for_timeout(600)
    shape, frame = (
        page.locator("path.ground.shared").bounding_box(),
        page.locator("[data-record-map]").bounding_box(),
    )
    assert shape["x"] + shape["width"] / 2 == pytest.approx(frame["x"] + frame["width"] / 2, abs=3)
    assert frame["y"] <= shape["y"] <= shape["y"] + shape["height"] <= frame["y"] + frame["height"]
    assert page.evaluate("document.activeElement.hasAttribute('data-record-map')")


def test_names_are_text_and_never_markup(browse, owner, farm, two):
    Plot.objects.filter(pk=two[0].pk).update(name="<img src=x onerror=alert(1)>")
    page = browse(owner)
    page.goto(reverse("overlaps", args=[farm.slug]))
    drawn(page)
    expect(page.locator(".ground-name").first).to_contain_text("<img")
    expect(page.locator(".map img")).to_have_count(0)


def test_a_map_that_cannot_be_loaded_says_so(browse, owner, farm, two):
    page = browse(owner)
    page.route("**/overlaps.geojson*", lambda route: route.fulfill(status=503))
    page.goto(reverse("overlaps", args=[farm.slug]))
    expect(page.locator("[data-map-said]")).to_contain_text("the server answered 503")
    browse.errors.clear()
