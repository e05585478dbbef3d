"""Putting a blend together, and the pages of species and blends, in a browser."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from blends.models import Blend, Species
from tests.planned import plan_a_property


@pytest.fixture
def planned(farm, owner):
    return plan_a_property(farm, owner)


@pytest.fixture
def open_new(browse, owner, farm, planned):
    """open_new(screen, **options) -> the page on which a new blend is put together."""

    def open_new(screen="desktop", **options):
        page = browse(owner, screen, **options)
        page.goto(reverse("blend-new", args=[farm.slug]))
        return page

    return open_new


def addresses(farm, planned):
    rye = Species.objects.get(key="cereal_rye").pk
    return [
        reverse("species-list", args=[farm.slug]),
        reverse("species", args=[farm.slug, rye]),
        reverse("species-override", args=[farm.slug, rye]) + "?field=drill_lb_ac_low",
        reverse("species-new", args=[farm.slug]),
        reverse("blends", args=[farm.slug]),
        reverse("blend", args=[farm.slug, planned.fall.pk]),
        reverse("blend", args=[farm.slug, planned.bag.pk]),
        reverse("blend-edit", args=[farm.slug, planned.fall.pk]),
        reverse("blend-edit", args=[farm.slug, planned.bag.pk]),
        reverse("blend-new", args=[farm.slug]),
    ]


@pytest.mark.parametrize("screen", ["phone", "desktop"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_are_accessible(browse, assert_accessible, owner, farm, planned, screen, scheme):
    page = browse(owner, screen, color_scheme=scheme)
    for address in addresses(farm, planned):
        page.goto(address)
        for summary in page.locator("details.working > summary").all():
            summary.click()
        assert_accessible(page)


def test_nothing_runs_over_the_edge_of_a_small_screen(browse, owner, farm, planned):
    page = browse(owner, "phone", viewport={"width": 320, "height": 640})
    for address in addresses(farm, planned):
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, address


def type_row(page, number, species, drilled):
    page.locator(f"#id_row-{number}-species_id").select_option(label=species)
    page.locator(f"#id_row-{number}-drilled_pls_lb_per_acre").press_sequentially(drilled)


def test_figures_follow_the_typing(open_new):
    """By hand: 45 lb/ac of the 60 to 120 that cereal rye takes alone is 50 %."""
    page = open_new()
    type_row(page, 0, "Cereal rye", "45")
    expect(page.locator("#figures")).to_contain_text("Drilled, 50 % of full rates: thin")
    expect(page.locator("#figures-said")).to_contain_text("Drilled 45.00 lb/ac · 50 % of full rates")
    page.locator("#id_row-0-drilled_pls_lb_per_acre").press_sequentially("x")
    expect(page.locator("#figures")).not_to_contain_text("50 %")


def test_typing_keeps_its_place_while_figures_come(open_new):
    page = open_new()
    type_row(page, 0, "Cereal rye", "45")
    expect(page.locator("#figures")).to_contain_text("50 %")
    expect(page.locator("#id_row-0-drilled_pls_lb_per_acre")).to_be_focused()


def test_row_is_added_by_keyboard_and_saved(open_new):
    page = open_new()
    page.get_by_role("button", name="Add a row").press("Enter")
    added = page.locator("#id_row-6-species_id")
    expect(added).to_be_focused()
    type_row(page, 6, "Oats", "40")
    page.get_by_label("Name").fill("Grain")
    page.get_by_role("button", name="Save the blend").click()
    expect(page.get_by_text("Grain is saved.")).to_be_visible()
    assert Blend.objects.get(name="Grain").components.get().species.key == "oats"


def test_removed_row_leaves_the_figures_and_the_blend(open_new):
    page = open_new()
    type_row(page, 0, "Cereal rye", "45")
    type_row(page, 1, "Oats", "50")
    expect(page.locator("#figures")).to_contain_text("100 % of full rates")
    page.get_by_role("button", name="Remove this row").first.click()
    expect(page.locator("#figures")).to_contain_text("50 % of full rates")
    expect(page.locator("#id_row-1-species_id")).to_be_focused()
    page.get_by_label("Name").fill("Grain")
    page.get_by_role("button", name="Save the blend").click()
    expect(page.get_by_text("Grain is saved.")).to_be_visible()
    assert Blend.objects.get(name="Grain").components.get().species.key == "oats"


def test_kind_switches_what_is_typed(open_new):
    page = open_new()
    drilled = page.locator("#id_row-0-drilled_pls_lb_per_acre")
    share = page.locator("#id_row-0-tag_pct_by_weight")
    expect(drilled).to_be_visible()
    expect(share).to_be_hidden()
    page.get_by_label("Bought mixed").check()
    expect(drilled).to_be_hidden()
    expect(share).to_be_visible()


def test_summary_of_errors_takes_the_focus_and_leads_to_the_field(open_new):
    page = open_new()
    page.get_by_label("Name").fill("Grain")
    type_row(page, 0, "Oats", "forty")
    page.get_by_role("button", name="Save the blend").click()
    expect(page.locator(".error-summary")).to_be_focused()
    page.get_by_role("link", name="Row 1, Drilled (PLS lb/ac)").click()
    expect(page.locator("#id_row-0-drilled_pls_lb_per_acre")).to_be_focused()


def test_leaving_with_changes_asks_first(open_new):
    page = open_new()
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    page.get_by_label("Name").press_sequentially("Grain")
    page.get_by_role("link", name="Seasons").click()
    page.wait_for_url("**/seasons/")
    assert asked == ["beforeunload"]


def test_leaving_without_changes_does_not_ask(open_new):
    page = open_new()
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    page.get_by_label("Name").click()
    page.get_by_role("link", name="Seasons").click()
    page.wait_for_url("**/seasons/")
    assert asked == []


def test_without_a_script_figures_and_rows_come_by_button(open_new):
    page = open_new(java_script_enabled=False)
    page.locator("#id_row-0-species_id").select_option(label="Cereal rye")
    page.locator("#id_row-0-drilled_pls_lb_per_acre").fill("45")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#figures")).to_contain_text("50 % of full rates")
    page.get_by_role("button", name="Add a row").click()
    expect(page.locator("#id_row-10-species_id")).to_be_visible()
    expect(page.locator("#id_row-0-drilled_pls_lb_per_acre")).to_have_value("45")


def test_species_are_found_while_typing(browse, owner, farm, planned):
    page = browse(owner)
    page.goto(reverse("species-list", args=[farm.slug]))
    page.get_by_label("Name").press_sequentially("clover")
    expect(page.get_by_role("link", name="Cereal rye")).to_have_count(0)
    expect(page.get_by_role("link", name="Crimson clover")).to_be_visible()
    expect(page.get_by_label("Name")).to_be_focused()


def test_what_was_typed_survives_a_sign_in_that_ended(open_new, browse, owner):
    page = open_new()
    page.get_by_label("Name").fill("Late Start")
    page.context.clear_cookies(name="sessionid")
    type_row(page, 0, "Cereal rye", "45")
    expect(page.locator("#figures")).to_contain_text("You are signed out. What you typed is still here")

    with page.context.expect_page() as opened:
        page.get_by_role("link", name="sign in in another tab").click()
    tab = opened.value
    tab.get_by_label("User name").fill(owner.username)
    tab.get_by_label("Password").fill("correct horse battery")
    tab.get_by_role("button", name="Sign in").click()
    tab.wait_for_url(lambda url: "sign-in" not in url)

    page.get_by_role("button", name="Save the blend").click()
    expect(page.get_by_role("heading", name="Late Start")).to_be_visible()
    assert Blend.objects.filter(name="Late Start").exists()
    browse.errors.clear()  # the 401s
