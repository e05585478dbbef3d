"""Recording a visit, connecting a GIS and choosing what leaves, in a browser."""

from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import expect

from fieldlog.models import Visit
from fieldlog.services.visits import record_visit

pytestmark = pytest.mark.browser
SLUG = "tally-hollow"


@pytest.fixture
def plot(make_plot, recorder):
    plot = make_plot()
    record_visit(id=uuid4(), plot=plot, user=recorder, visited_at=timezone.now(), note="Clover up. " * 40)
    return plot


def test_a_visit_is_recorded_by_keyboard_alone(browse, recorder, plot):
    page = browse(recorder, screen="phone")
    page.goto(reverse("plot", args=[SLUG, plot.pk]))
    page.get_by_role("link", name="Record a visit").focus()
    page.keyboard.press("Enter")
    page.get_by_label("What you saw").focus()
    page.keyboard.type("Wheat bitten short.")
    page.get_by_role("button", name="Record the visit").focus()
    page.keyboard.press("Enter")
    page.get_by_text("is recorded").wait_for()
    expect(page.get_by_text("Wheat bitten short.")).to_be_visible()
    assert Visit.objects.filter(plot=plot).count() == 2


def test_a_button_pressed_twice_records_one_visit(browse, recorder, plot):
    page = browse(recorder, screen="phone")
    page.goto(reverse("visit-new", args=[SLUG, plot.pk]))
    page.get_by_label("What you saw").fill("Once.")
    page.evaluate(
        """() => {
          const form = document.querySelector("main form");
          const again = () => fetch(form.action || location.href, {method: "POST", body: new FormData(form)});
          return Promise.all([again(), again()]);
        }"""
    )
    page.get_by_role("button", name="Record the visit").click()
    page.get_by_text("is recorded").wait_for()
    assert Visit.objects.filter(note="Once.").count() == 1


@pytest.mark.parametrize("viewport", [(1440, 900), (390, 844), (320, 700)])
def test_pages_fit_and_are_accessible(browse, assert_accessible, manager, plot, viewport):
    width, height = viewport
    page = browse(manager, viewport={"width": width, "height": height}, color_scheme="dark")
    visit = plot.visits.get()
    for route, key in [
        ("visits", plot.pk),
        ("visit-new", plot.pk),
        ("visit-edit", visit.pk),
        ("gis", None),
        ("plots-export", None),
    ]:
        page.goto(reverse(route, args=[SLUG] if key is None else [SLUG, key]))
        assert_accessible(page)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), route


def test_the_address_of_the_map_service_is_copied(browse, manager, plot, live_server):
    page = browse(manager)
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.goto(reverse("gis", args=[SLUG]))
    page.get_by_role("button", name="Copy").click()
    page.get_by_text("Copied.").wait_for()
    assert page.evaluate("navigator.clipboard.readText()") == f"{live_server.url}/ogc/"


def test_without_leave_to_the_clipboard_the_address_is_selected(browse, manager, plot):
    page = browse(manager)
    page.add_init_script(
        "Object.defineProperty(navigator, 'clipboard', {value: {writeText: () => Promise.reject()}})"
    )
    page.goto(reverse("gis", args=[SLUG]))
    page.get_by_role("button", name="Copy").click()
    page.get_by_text("Selected:").wait_for()
    chosen = page.evaluate(
        "(({selectionStart, selectionEnd}) => selectionEnd - selectionStart)(document.activeElement)"
    )
    assert chosen == len(page.get_by_label("Address of the map service").input_value())
