"""Splitting a plot by a line and merging plots on the map: by mouse, by touch, by keyboard."""

import re

import pytest
from django.urls import reverse
from playwright.sync_api import expect
from shapely.geometry import MultiPolygon, box

from plots.models import Plot
from plots.services.boundaries import set_boundary

SCREENS = pytest.mark.parametrize("screen", ["phone", "desktop"])
SQUARE = MultiPolygon([box(-92, 38, -91.998, 38.0016)])


@pytest.fixture
def plot(make_plot, manager):
    plot = make_plot("Creek Bottom", acres=None)
    set_boundary(plot=plot, geometry=SQUARE, user=manager, how="drawn")
    return plot


@pytest.fixture
def beside(make_plot, manager):
    plot = make_plot("Gate", acres=None)
    set_boundary(plot=plot, geometry=box(-91.997995, 38, -91.997, 38.0016), user=manager, how="drawn")
    return plot


@pytest.fixture
def opened(browse, manager, farm):
    """opened(route, plot, screen) -> the page, when its map is ready."""

    def opened(route, plot, screen="desktop", **options):
        page = browse(manager, screen, **options)
        page.goto(reverse(route, args=[farm.slug, plot.pk]))
        page.wait_for_selector("form[data-ready]")
        return page

    return opened


def tap(page, screen, selector, across, down):
    """A tap on the map, by shares of its box."""
    page.locator(selector).scroll_into_view_if_needed()
    frame = page.locator(selector).bounding_box()
    x, y = frame["x"] + across * frame["width"], frame["y"] + down * frame["height"]
    (page.touchscreen.tap if screen == "phone" else page.mouse.click)(x, y)


def draw_across(page, screen):
    for down in (0.03, 0.97):
        tap(page, screen, "[data-split-map]", 0.55, down)


def names(page):
    return page.locator("[name=name]:visible")


@SCREENS
def test_a_plot_is_split_by_a_line(opened, plot, screen):
    page = opened("plot-split", plot, screen)
    draw_across(page, screen)
    expect(page.locator(".reshape-piece")).to_have_count(2)
    expect(page.locator("[data-said]")).to_have_text("2 pieces.")
    expect(names(page)).to_have_value("Creek Bottom 2")
    names(page).fill("Trial")
    page.get_by_label("Why it is split").fill("A trial of rye")
    page.get_by_role("button", name="Split the plot").click()
    expect(page.locator(".message.success")).to_contain_text("Creek Bottom is split")
    kept, trial = Plot.objects.get(pk=plot.pk), Plot.objects.get(name="Trial")
    assert trial.boundary.why == "Split from Creek Bottom. A trial of rye"
    whole = plot.boundary.area_m2
    assert kept.boundary.area_m2 + trial.boundary.area_m2 == pytest.approx(whole, rel=1e-9, abs=1e-4)


@SCREENS
def test_another_piece_can_keep_the_name(opened, plot, screen):
    page = opened("plot-split", plot, screen)
    draw_across(page, screen)
    expect(page.locator(".reshape-piece")).to_have_count(2)
    page.get_by_label("keeps the name").nth(1).check()
    expect(names(page)).to_have_count(1)
    expect(names(page)).to_have_value("Creek Bottom 3")
    page.get_by_role("button", name="Split the plot").click()
    expect(page.locator(".message.success")).to_be_visible()
    kept, new = Plot.objects.get(pk=plot.pk), Plot.objects.get(name="Creek Bottom 3")
    assert kept.boundary.area_m2 < new.boundary.area_m2


def test_a_line_is_drawn_by_the_keyboard_alone(opened, plot):
    page = opened("plot-split", plot)
    the_map = page.locator("[data-split-map]")
    the_map.focus()
    for _ in range(6):
        page.keyboard.press("ArrowUp")
        page.wait_for_timeout(300)
    page.keyboard.press("Enter")
    for _ in range(12):
        page.keyboard.press("ArrowDown")
        page.wait_for_timeout(300)
    page.keyboard.press("Enter")
    expect(page.locator(".reshape-piece")).to_have_count(2)


@SCREENS
def test_undo_takes_the_line_back_and_a_short_one_is_told(opened, plot, screen):
    page = opened("plot-split", plot, screen)
    tap(page, screen, "[data-split-map]", 0.55, 0.03)
    tap(page, screen, "[data-split-map]", 0.55, 0.5)
    expect(page.locator("[data-said]")).to_contain_text("does not cut through the plot")
    expect(page.locator(".reshape-piece")).to_have_count(0)
    page.get_by_role("button", name="Split the plot").click()
    expect(page).to_have_url(re.compile("/split/$"))
    page.get_by_role("button", name="Undo", exact=True).click()
    expect(page.locator("[data-said]")).to_contain_text("Draw the line across the plot")
    page.get_by_role("button", name="Redo", exact=True).click()
    tap(page, screen, "[data-split-map]", 0.55, 0.97)
    expect(page.locator(".reshape-piece")).to_have_count(2)


def test_a_name_that_is_taken_is_told_and_the_line_stays(opened, plot, make_plot):
    make_plot("North Bench")
    page = opened("plot-split", plot)
    draw_across(page, "desktop")
    expect(page.locator(".reshape-piece")).to_have_count(2)
    names(page).fill("north bench")
    page.get_by_role("button", name="Split the plot").click()
    expect(page.get_by_role("alert").first).to_contain_text("There is a plot “North Bench”")
    expect(page.locator(".reshape-piece")).to_have_count(2)
    expect(names(page)).to_have_value("north bench")
    names(page).fill("South Bench")
    page.get_by_role("button", name="Split the plot").click()
    expect(page.locator(".message.success")).to_be_visible()


def test_the_line_is_kept_when_the_page_is_left(opened, plot):
    page = opened("plot-split", plot)
    draw_across(page, "desktop")
    expect(page.locator(".reshape-piece")).to_have_count(2)
    page.reload()
    expect(page.locator(".reshape-piece")).to_have_count(2)


def test_what_somebody_else_changed_meanwhile_is_told_and_nothing_is_split(opened, plot, owner):
    page = opened("plot-split", plot)
    draw_across(page, "desktop")
    expect(page.locator(".reshape-piece")).to_have_count(2)
    set_boundary(plot=plot, geometry=box(-92, 38, -91.9981, 38.0016), user=owner, how="drawn")
    page.get_by_role("button", name="Split the plot").click()
    expect(page.get_by_role("alert").first).to_contain_text("owner has changed the boundary of Creek Bottom")
    expect(page.locator(".reshape-piece")).to_have_count(2)
    assert Plot.objects.count() == 1
    page.get_by_role("button", name="Split the plot").click()
    expect(page.locator(".message.success")).to_be_visible()


def test_a_split_is_undone(opened, plot, farm):
    page = opened("plot-split", plot)
    draw_across(page, "desktop")
    expect(page.locator(".reshape-piece")).to_have_count(2)
    page.get_by_role("button", name="Split the plot").click()
    page.goto(reverse("plot-split", args=[farm.slug, plot.pk]))
    page.get_by_role("button", name="Undo the split").click()
    expect(page.locator(".message.success")).to_contain_text("Creek Bottom has its ground again")
    back = Plot.objects.get(pk=plot.pk)
    assert back.boundary.area_m2 == plot.boundary.area_m2
    assert Plot.objects.get(name="Creek Bottom 2").is_archived


@SCREENS
def test_plots_are_merged_from_the_list_with_the_gap_between_them(opened, plot, beside, screen):
    page = opened("plot-merge", plot, screen)
    page.get_by_label("Gate").check()
    expect(page.locator("[data-parts]")).to_have_text("2")
    page.get_by_label("Close the narrow gap between them").check()
    expect(page.locator("[data-parts]")).to_have_text("1")
    page.get_by_role("button", name="Merge the plots").click()
    expect(page.locator(".message.success")).to_contain_text("Creek Bottom has the ground of Gate too")
    assert Plot.objects.get(name="Gate").is_archived
    assert len(Plot.objects.get(pk=plot.pk).boundary.geometry.geoms) == 1


@SCREENS
def test_a_tap_on_the_map_chooses_a_plot(opened, plot, beside, screen):
    page = opened("plot-merge", plot, screen)
    page.wait_for_selector("path.reshape-other")
    frame = page.locator("path.reshape-other").bounding_box()
    page.locator("[data-merge-map]").scroll_into_view_if_needed()
    frame = page.locator("path.reshape-other").bounding_box()
    place = frame["x"] + frame["width"] / 2, frame["y"] + frame["height"] / 2
    (page.touchscreen.tap if screen == "phone" else page.mouse.click)(*place)
    expect(page.get_by_label("Gate")).to_be_checked()
    expect(page.locator("[data-acres]")).to_have_text(re.compile(r"\d+\.\d\d ac"))


def test_nothing_chosen_is_told(opened, plot, beside):
    page = opened("plot-merge", plot)
    page.get_by_role("button", name="Merge the plots").click()
    expect(page.get_by_role("alert").first).to_contain_text("Creek Bottom alone is chosen")


@pytest.mark.parametrize("route", ["plot-split", "plot-merge"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_pages_are_accessible(opened, plot, beside, assert_accessible, route, scheme):
    page = opened(route, plot, color_scheme=scheme)
    if route == "plot-split":
        draw_across(page, "desktop")
        expect(page.locator(".reshape-piece")).to_have_count(2)
    else:
        page.get_by_label("Gate").check()
        expect(page.locator("[data-parts]")).to_have_text("2")
    assert_accessible(page)


@pytest.mark.parametrize("route", ["plot-split", "plot-merge"])
def test_nothing_runs_out_of_a_narrow_screen(opened, plot, beside, route):
    page = opened(route, plot, "phone", viewport={"width": 320, "height": 640})
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
