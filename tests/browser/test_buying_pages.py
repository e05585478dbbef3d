"""Ways to buy, purchase orders, deliveries, suppliers and price lists, in a browser."""

import pytest
from django.urls import reverse

from blends.services.buying import ask_for_plan
from blends.services.orders import recompute_order
from blends.services.purchase_drafts import draft_purchases
from blends.services.purchases import send_purchase
from plots.services.jobs import run_job
from tests.planned import plan_a_property

RUNS_OVER = "document.documentElement.scrollWidth > document.documentElement.clientWidth"


@pytest.fixture
def addresses(farm, owner):
    season = plan_a_property(farm, owner).season
    recompute_order(season.order.pk)
    season.order.refresh_from_db()
    plan = ask_for_plan(order=season.order, user=owner, seconds=10)
    run_job(plan.job_id)
    first = draft_purchases(order=season.order, user=owner)[0]
    send_purchase(purchase=first, user=owner)
    at = farm.slug
    return [
        reverse("ways", args=[at, season.slug]),
        reverse("way", args=[at, season.slug, plan.pk]),
        reverse("purchases", args=[at]),
        reverse("purchase", args=[at, first.number]),
        reverse("receive", args=[at, first.number]),
        reverse("deliveries", args=[at]),
        reverse("supplier", args=[at, first.supplier_id]),
        reverse("price-list-new", args=[at]),
    ]


@pytest.mark.parametrize(("screen", "scheme"), [("phone", "dark"), ("desktop", "light")])
def test_pages_of_buying_are_accessible_and_stay_within_the_screen(
    browse, assert_accessible, owner, addresses, screen, scheme
):
    narrow = {"viewport": {"width": 320, "height": 640}} if screen == "phone" else {}
    page = browse(owner, screen, color_scheme=scheme, **narrow)
    for address in addresses:
        page.goto(address)
        for summary in page.locator("main summary").all():
            summary.click()
        assert_accessible(page)
        assert not page.evaluate(RUNS_OVER), address
