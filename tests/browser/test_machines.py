"""Machines in a browser: a calibration typed on a phone beside the drill."""

from decimal import Decimal

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from blends.models import Species
from blends.services.machines import record_calibration, save_machine
from tests.planned import plan_a_property


@pytest.fixture
def drill(farm, owner):
    drill = save_machine(
        property=farm, user=owner, name="Old drill", kind="drill", openers=12, spacing_in=Decimal("7.5"),
        main_box_ft3=Decimal(12), small_box_ft3=Decimal(2), course_ft=Decimal(150),
    )  # fmt: skip
    for setting, grams in ((20, 30), (40, 62), (60, 89)):
        record_calibration(
            machine=drill, user=owner, setting=Decimal(setting), caught_g=[grams, grams + 4], course_ft=Decimal(150),
            species=Species.objects.get(key="cereal_rye", property=None), gear="low",
        )  # fmt: skip
    return drill


def test_the_rate_follows_the_catches_and_enter_keeps_them(browse, recorder, farm, drill):
    page = browse(recorder, "phone")
    rye = Species.objects.get(key="cereal_rye", property=None)
    address = reverse("calibrate", args=[farm.slug, drill.pk])
    page.goto(f"{address}?seed=species:{rye.pk}&wanted=60&gear=low")
    said = page.locator("#caught-figures")
    expect(said).to_contain_text("A catch should weigh")
    page.get_by_label("Setting", exact=True).fill("38")
    page.get_by_label("Catch 1 (g)").fill("57")
    page.get_by_label("Catch 2 (g)").fill("60")
    expect(said).to_contain_text("Delivered, mean of 2")
    expect(said).to_contain_text("59.9 lb/ac")  # 58.5 g ÷ 0.976 g for each lb/ac
    expect(said).to_contain_text("Try next")
    page.get_by_label("Catch 2 (g)").press("Enter")
    expect(page.get_by_role("status").first).to_contain_text("Kept: setting 38 delivered 59.9 lb/ac.")
    row = drill.calibrations.get(created_by=recorder)
    assert (row.setting, row.species) == (Decimal(38), rye)


@pytest.mark.parametrize("screen", ["phone", "desktop"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_are_accessible_and_no_wider_than_the_screen(
    browse, assert_accessible, owner, farm, drill, screen, scheme
):
    planned = plan_a_property(farm, owner)
    page = browse(owner, screen, color_scheme=scheme)
    args = [farm.slug, drill.pk]
    for address in (
        reverse("machines", args=[farm.slug]),
        reverse("machine", args=args) + f"?blend={planned.fall.pk}",
        reverse("machine-edit", args=args),
        reverse("machine-boxes", args=args),
        reverse("calibrate", args=args),
    ):
        page.goto(address)
        expect(page.locator("h1")).to_be_visible()
        assert_accessible(page)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), address
