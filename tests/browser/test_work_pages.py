"""The work list in a browser: pins that lead to their rows, by mouse and on a phone."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from fieldlog.services.work import add_work
from tests.scenery import lay_out

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def work(farm, owner):
    first, second, *_ = lay_out(farm, 4)
    late = timezone.localdate() - timedelta(days=2)
    inside = first.boundary.geometry.representative_point()
    rows = [
        {"title": "Pull the pigweed", "plot_id": first.pk, "due_on": late, "lon": inside.x, "lat": inside.y},
        {"title": "Mow it", "plot_id": second.pk},
        {"title": "Clean the drill"},
    ]
    return [add_work(property=farm, user=owner, said=said)[0] for said in rows]


@pytest.mark.parametrize("screen", ["desktop", "phone"])
def test_a_pin_leads_to_its_row_and_a_row_to_its_report(browse, owner, farm, work, screen, assert_accessible):
    page = browse(owner, screen)
    page.goto(reverse("work", args=[farm.slug]))
    page.wait_for_selector("[data-work-map][data-ready]")
    assert page.locator(".work-pin a").all_text_contents() == ["1", "2"]
    assert page.locator(".work-pin.is-late a").get_attribute("aria-label") == "1: Pull the pigweed, overdue"
    assert_accessible(page)
    page.locator(".work-pin.is-late a").click()
    assert page.url.endswith(f"#work-{work[0].pk}")
    page.get_by_role("link", name="Pull the pigweed", exact=True).click()
    page.get_by_label("Minutes spent").fill("40")
    page.get_by_role("button", name="Save the report").click()
    page.get_by_text("40 minutes").wait_for()
    assert_accessible(page)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
