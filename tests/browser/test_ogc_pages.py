"""The pages of /ogc/ in a browser."""

import pytest

pytestmark = pytest.mark.browser
ITEMS = "/ogc/collections/tally-hollow-{}/items"
PAGES = [
    *("/ogc/", "/ogc/api", "/ogc/conformance", "/ogc/collections", "/ogc/collections/tally-hollow-plots"),
    *(ITEMS.format(kind) for kind in ("plots", "plantings", "visits", "landmarks")),
    "/ogc/nowhere",
]


@pytest.mark.parametrize("viewport", [(1440, 900), (390, 844), (320, 700)])
def test_pages_of_the_map_service_fit_and_are_accessible(
    browse, assert_accessible, owner, make_plot, viewport
):
    plot = make_plot("North Bench")
    width, height = viewport
    page = browse(owner, viewport={"width": width, "height": height})
    for address in [*PAGES, f"{ITEMS.format('plots')}/{plot.pk}"]:
        page.goto(address)
        assert_accessible(page)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), address
    browse.errors.clear()  # the page that is not there
