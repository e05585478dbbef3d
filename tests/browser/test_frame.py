"""The frame around every page."""

import pytest


@pytest.mark.parametrize("screen", ["phone", "desktop"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_not_here_page_is_accessible(browse, assert_accessible, owner, screen, scheme):
    page = browse(owner, screen, color_scheme=scheme)
    page.goto("/p/nowhere/plots/1/nothing/")
    browse.errors.clear()  # the browser reports the 404 itself
    assert page.get_by_role("heading", name="Not here").is_visible()
    assert page.get_by_role("link", name=owner.username).is_visible()
    assert_accessible(page)
