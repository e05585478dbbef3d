"""The seed order, its lines, its sheet and the offers, in a browser."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from blends.models import SeedOrder, Species
from blends.services.orders import recompute_order
from tests.planned import plan_a_property


@pytest.fixture
def planned(farm, owner):
    return plan_a_property(farm, owner)


def addresses(farm, planned):
    at = [farm.slug, planned.season.slug]
    oats = Species.objects.get(key="oats").pk
    return [
        reverse("order", args=at),
        reverse("order-line", args=[*at, "species", oats]),
        reverse("order-line", args=[*at, "blend", planned.bag.pk]),
        reverse("order-sheet", args=at),
        reverse("offers", args=[farm.slug]),
        reverse("offer-new", args=[farm.slug]),
        reverse("offer-edit", args=[farm.slug, farm.offers.first().pk]),
    ]


@pytest.mark.parametrize("screen", ["phone", "desktop"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_are_accessible(browse, assert_accessible, owner, farm, planned, screen, scheme):
    page = browse(owner, screen, color_scheme=scheme)
    for address in addresses(farm, planned):
        page.goto(address)
        for summary in page.locator("main summary").all():
            summary.click()
        assert_accessible(page)


def test_nothing_runs_over_the_edge_of_a_small_screen(browse, owner, farm, planned):
    page = browse(owner, "phone", viewport={"width": 320, "height": 640})
    for address in addresses(farm, planned):
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, address


def test_plots_of_a_figure_are_one_click_away(browse, owner, farm, planned):
    page = browse(owner)
    page.goto(addresses(farm, planned)[0])
    page.get_by_role("link", name="Oats", exact=True).click()
    expect(page.get_by_role("heading", name="The plots behind it")).to_be_visible()
    expect(page.get_by_role("link", name=planned.plots[1].name)).to_be_visible()


def test_figures_appear_by_themselves_once_they_are_computed(browse, owner, farm, planned):
    SeedOrder.objects.update(inputs_version=99)
    page = browse(owner)
    page.goto(addresses(farm, planned)[0])
    state = page.locator("#order-state")
    expect(state).to_contain_text("The figures are being computed again.")
    recompute_order(planned.season.order.pk)
    expect(state).not_to_contain_text("computed again")
    expect(page.locator("#order-figures")).not_to_have_attribute("hx-trigger", "every 2s")


def test_offer_is_added_and_chosen_where_it_is_missing(browse, owner, farm, planned):
    page = browse(owner, "phone")
    page.goto(addresses(farm, planned)[0])
    page.get_by_role("link", name="Choose an offer for Purple-top turnip").click()
    page.get_by_label("Supplier").fill("County Co-op")
    page.get_by_label("Pack (bulk lb)").fill("10")
    page.get_by_label("Price (USD)", exact=True).fill("$31.50")
    page.get_by_role("button", name="Add it and choose it").click()
    expect(page.get_by_text("Purple-top turnip is bought as")).to_be_visible()
    expect(page.get_by_role("radio", name="County Co-op")).to_be_checked()


def test_sheet_prints_without_the_frame(browse, owner, farm, planned):
    page = browse(owner)
    page.goto(addresses(farm, planned)[3])
    expect(page.get_by_role("button", name="Print")).to_be_visible()
    page.emulate_media(media="print")
    expect(page.get_by_role("button", name="Print")).to_be_hidden()
    expect(page.get_by_role("navigation", name="Sections")).to_be_hidden()
    expect(page.get_by_text("Treated seed:")).to_be_visible()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_sheet_is_no_wider_than_the_paper(browse, owner, farm, planned, paper):
    """A4 is 210 mm and Letter 216 mm wide (ISO 216; ANSI/ASME Y14.1); 14 mm of margin on each side, 96 px an inch."""
    width_px = int(({"A4": 210, "Letter": 215.9}[paper] - 2 * 14) / 25.4 * 96)
    page = browse(owner, viewport={"width": width_px, "height": 900})
    page.emulate_media(media="print")
    page.goto(addresses(farm, planned)[3])
    over = (
        "[...document.querySelectorAll('.sheet *')].filter(e => e.getBoundingClientRect().right > innerWidth)"
    )
    assert page.evaluate(f"{over}.length") == 0
