"""The pages of the field log with the demonstration in them: nothing against WCAG 2.2 A and AA, nothing wider than a phone."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import SCREENS, hear
from tests.browser.demonstration import SLUG, demonstration, signed_in

HERE = f"/p/{SLUG}"
# Of a name in braces the address is found in the demonstration.
PAGES = {
    "field": f"{HERE}/field/",
    "field-plot": f"{HERE}/field/#plot-{{plot}}",
    "field-work": f"{HERE}/field/#work",
    "field-safety": f"{HERE}/field/#safety",
    "visit-log": f"{HERE}/visits/",
    "visit": f"{HERE}/visits/{{visit}}/",
    "photo-points": f"{HERE}/plots/{{plot}}/pictures/",
    "plot": f"{HERE}/plots/{{plot}}/",
    "protocols": f"{HERE}/protocols/",
    "protocol-edit": f"{HERE}/protocols/stand/",
    "rules": f"{HERE}/rules/",
    "rule-edit": f"{HERE}/rules/pull_weeds/",
    "proposals": f"{HERE}/proposals/",
    "work": f"{HERE}/work/",
    "work-item": f"{HERE}/work/{{work}}/",
    "work-calendar": f"{HERE}/work/calendar/",
    "phones": f"{HERE}/phones/",
    "connect": "/connect/",
    "safety": f"{HERE}/safety/",
}
NARROW = {"width": 320, "height": 700}


@pytest.fixture(scope="module")
def site(chromium, tmp_path_factory):
    """(address, what a signed-in browser has stored, {name: id}) of the demonstration, seen by its owner."""
    with demonstration(tmp_path_factory.mktemp("demonstration") / "data") as address:
        context = chromium.new_context(base_url=address)
        page = signed_in(context, "demo-owner")

        def asked(below):
            return page.request.get(f"/api/v1/properties/{SLUG}/{below}").json()["results"]

        plot = next(each["id"] for each in asked("plots/") if each["name"] == "North Bench")
        visit = next(each["id"] for each in asked(f"visits/?plot={plot}") if each["photos"])
        names = {"plot": plot, "visit": visit, "work": asked("work/")[0]["id"]}
        yield address, context.storage_state(), names
        context.close()


@pytest.fixture
def open_page(chromium, site):
    """open_page(name, screen, **options) -> the page, once it stands"""
    address, stored, names = site
    contexts, errors = [], []

    def open_page(name, screen, **options):
        context = chromium.new_context(base_url=address, storage_state=stored, **(SCREENS[screen] | options))
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.on("console", lambda said: hear(said, errors))
        answer = page.goto(PAGES[name].format(**names))
        assert answer.status == 200
        page.wait_for_load_state("networkidle")
        if name.startswith("field"):
            page.wait_for_selector("[data-screen]:not([hidden]):not([data-loading])")
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert errors == []


@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("name", PAGES)
def test_nothing_bars_anybody_by_day_and_by_night(open_page, assert_accessible, name, screen):
    page = open_page(name, screen)
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert_accessible(page)


@pytest.mark.parametrize("name", PAGES)
def test_nothing_is_wider_than_a_narrow_phone(open_page, name):
    page = open_page(name, "phone", viewport=NARROW)
    wide = page.evaluate(
        "() => [...document.querySelectorAll('main *')].filter((each) => each.checkVisibility()"
        " && each.getBoundingClientRect().right > innerWidth + 1 && !each.closest('svg, .leaflet-container, .scroll'))"
        ".slice(0, 3).map((each) => each.outerHTML.slice(0, 120))"
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= NARROW["width"], wide


def test_skipping_to_the_page_stays_on_the_screen(open_page):
    page = open_page("field-plot", "desktop")
    page.locator("a.skip").focus()
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()
    expect(page.locator('[data-screen="plot"]')).to_be_visible()
