"""What lies under the outlines in a real browser: another server's pictures, and the property's own."""

import re

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from playwright.sync_api import expect

from plots.models import Property
from plots.services.jobs import run_job
from plots.services.pictures import receive_picture
from tests.browser.test_map import TILE
from tests.plots.ground_pictures import DEGREES, write
from tests.scenery import lay_out

SERVER = "https://tiles.example/{z}/{x}/{y}.png"


@pytest.fixture
def ground(farm):
    return lay_out(farm, 3)


@pytest.fixture
def flight(farm, owner, ground, tmp_path):
    """A light picture of all plots, cut."""
    bands = np.full((3, 400, 800), 230, np.uint8)
    path = write(tmp_path / "flight", bands, DEGREES, place=(-92.006, 38.006, 2.5e-5))
    upload = SimpleUploadedFile("flight.tif", path.read_bytes())
    row = receive_picture(property=farm, user=owner, upload=upload, name="Flight <b>of April</b>")
    run_job(row.job_id)
    return row


def named(farm):
    Property.objects.filter(pk=farm.pk).update(
        imagery_kind="xyz", imagery_address=SERVER, imagery_credit="State survey", imagery_zoom=16
    )


def opened(page, farm, route="imagery"):
    page.goto(reverse(route, args=[farm.slug]))
    expect(page.locator("[data-ready=true]")).to_be_visible()


def serve(page):
    page.route("https://tiles.example/**", lambda route: route.fulfill(body=TILE, content_type="image/png"))


def test_own_pictures_lie_under_the_plots_and_over_the_imagery(
    browse, owner, farm, flight, assert_accessible
):
    named(farm)
    page = browse(owner)
    serve(page)
    opened(page, farm)
    mine = page.locator(f"img.leaflet-tile-loaded[src*='{flight.pk}']")
    expect(mine.first).to_be_attached()
    layers = page.locator(".leaflet-tile-pane .leaflet-layer")
    assert layers.evaluate_all("all => all.map(each => Number(getComputedStyle(each).zIndex))") == [1, 2]
    below, above = (page.locator(f".leaflet-{pane}-pane") for pane in ("tile", "overlay"))
    rank = "element => Number(getComputedStyle(element).zIndex)"
    assert below.evaluate(rank) < above.evaluate(rank)
    assert page.locator("path.outline").count() >= 3
    page.get_by_role("button", name="Pictures", exact=True).click()
    expect(page.get_by_label("Flight <b>of April</b>")).to_be_checked()
    assert_accessible(page)


def test_the_switch_is_remembered_by_the_browser(browse, owner, farm, flight):
    named(farm)
    page = browse(owner, screen="phone")
    serve(page)
    opened(page, farm)
    button = page.get_by_role("button", name="Pictures", exact=True)
    assert button.bounding_box()["height"] >= 44
    button.tap()
    page.get_by_label("Flight <b>of April</b>").uncheck()
    page.get_by_role("checkbox", name="From another server").uncheck()
    expect(page.locator("img.leaflet-tile")).to_have_count(0)
    expect(page.locator(".leaflet-control-attribution")).to_have_count(0)
    page.keyboard.press("Escape")
    expect(button).to_be_focused()
    expect(button).to_have_attribute("aria-expanded", "false")
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    opened(page, farm)
    expect(page.locator("img.leaflet-tile")).to_have_count(0)
    assert not [url for url in asked if "tiles.example" in url or url.endswith(".webp")]


def test_without_pictures_there_is_no_switch(browse, owner, farm, ground):
    page = browse(owner)
    opened(page, farm)
    expect(page.locator(".map-ground, .map-note, img.leaflet-tile")).to_have_count(0)


def test_pictures_that_fail_are_said_once_and_the_map_works(browse, owner, farm, ground):
    named(farm)
    page = browse(owner)
    page.route("https://tiles.example/**", lambda route: route.abort())
    opened(page, farm)
    note = page.locator(".map-note")
    expect(note).to_have_text("Pictures of the ground cannot be had now. The map works without them.")
    assert page.locator("path.outline").count() >= 3
    page.unroute("https://tiles.example/**")
    serve(page)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(note).to_be_hidden()
    assert all(re.search("ERR_FAILED", said) for said in browse.errors)
    browse.errors.clear()


def test_the_owner_takes_an_example_over_looks_and_puts_it_back(
    browse, owner, farm, ground, assert_accessible
):
    page = browse(owner, screen="phone")
    page.route(
        "https://basemap.nationalmap.gov/**", lambda route: route.fulfill(body=TILE, content_type="image/png")
    )
    opened(page, farm)
    page.get_by_role("button", name="Use these pictures").click()
    expect(page.locator("img.leaflet-tile-loaded").first).to_be_attached()
    expect(page.locator(".leaflet-control-attribution")).to_contain_text("U.S. Geological Survey")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert_accessible(page)
    page.get_by_role("button", name="Put back what was before").click()
    expect(page.get_by_text("The pictures are as they were before.")).to_be_visible()
    expect(page.locator(".map-ground")).to_have_count(0)


@pytest.mark.parametrize("screen", ["phone", "desktop"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_pages_of_pictures_are_accessible_and_fit(
    browse, owner, farm, flight, assert_accessible, screen, scheme
):
    page = browse(owner, screen=screen, color_scheme=scheme)
    for route, rest in (("pictures", []), ("picture", [flight.pk]), ("picture-remove", [flight.pk])):
        page.goto(reverse(route, args=[farm.slug, *rest]))
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert_accessible(page)
