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
        reverse("blends-compare", args=[farm.slug]),
        reverse("blends-compare", args=[farm.slug])
        + f"?blend={planned.fall.pk}&blend={planned.summer.pk}&blend={planned.bag.pk}&seeding_on=2026-05-20",
    ]


@pytest.mark.parametrize("screen", ["phone", "desktop"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_are_accessible(browse, assert_accessible, owner, farm, planned, screen, scheme):
    page = browse(owner, screen, color_scheme=scheme)
    for address in addresses(farm, planned):
        page.goto(address)
        page.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
        assert_accessible(page)


@pytest.mark.parametrize("width", [320, 390])
def test_nothing_runs_over_the_edge_of_a_small_screen(browse, owner, farm, planned, width):
    page = browse(owner, "phone", viewport={"width": width, "height": 640})
    for address in addresses(farm, planned):
        page.goto(address)
        for is_open in ("false", "true"):
            page.evaluate(f"for (const each of document.querySelectorAll('details')) each.open = {is_open}")
            assert page.evaluate("document.documentElement.scrollWidth") <= width, address


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
    page.get_by_role("button", name="Save the blend").press("Enter")
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


# --- the bench --------------------------------------------------------------------------------------------------


def cn_described(page):
    return page.locator("#cn-desc").text_content()


@pytest.mark.parametrize("screen", ["phone", "desktop"])
def test_picture_of_cn_follows_a_typed_rate_without_a_reload(browse, owner, farm, planned, screen):
    page = browse(owner, screen)
    page.goto(reverse("blend-edit", args=[farm.slug, planned.fall.pk]))
    page.evaluate("window.isTheSamePage = true")
    before = cn_described(page)
    page.locator("#id_row-0-drilled_pls_lb_per_acre").fill("90")
    expect(page.locator("#cn-desc")).not_to_have_text(before)
    assert page.evaluate("window.isTheSamePage")
    expect(page.locator("#figures-said")).to_contain_text("C:N")
    expect(page.locator("#id_row-0-drilled_pls_lb_per_acre")).to_be_focused()


def test_objective_moves_the_zone_and_is_no_change_of_the_blend(browse, owner, farm, planned):
    page = browse(owner)
    page.goto(reverse("blend-edit", args=[farm.slug, planned.fall.pk]))
    page.get_by_text("What to judge it for").click()
    page.get_by_label("For", exact=True).select_option(label="Hold weeds")
    expect(page.locator("#cn-desc")).to_contain_text("Hold weeds wants above 30")
    expect(page.locator("[data-unsaved-words]")).to_be_hidden()


def test_what_cannot_be_read_is_said_and_leaves_the_field_in_sight(browse, owner, farm, planned):
    page = browse(owner, "phone", reduced_motion="reduce")
    page.goto(reverse("blend-edit", args=[farm.slug, planned.fall.pk]))
    rate = page.locator("#id_row-0-drilled_pls_lb_per_acre")
    rate.fill("-1")
    expect(page.locator("#figures-said")).to_contain_text("Row 1, Drilled (PLS lb/ac): -1 is not accepted")
    page.wait_for_timeout(200)  # htmx settles after it has swapped
    field, bar = rate.bounding_box(), page.locator(".main-act").bounding_box()
    assert field["y"] + field["height"] <= bar["y"]


def test_what_was_unfolded_stays_so_while_figures_come(browse, owner, farm, planned):
    page = browse(owner)
    page.goto(reverse("blend-edit", args=[farm.slug, planned.fall.pk]))
    page.get_by_text("Live seeds and full rates").press("Enter")
    before = cn_described(page)
    page.locator("#id_row-0-drilled_pls_lb_per_acre").fill("90")
    expect(page.locator("#cn-desc")).not_to_have_text(before)
    expect(page.get_by_role("img", name="Live seeds on a square foot")).to_be_visible()


def test_scaling_fills_the_rates_and_is_taken_back(browse, owner, farm, planned):
    page = browse(owner)
    page.goto(reverse("blend-edit", args=[farm.slug, planned.fall.pk]))
    rate = page.locator("#id_row-0-drilled_pls_lb_per_acre")
    expect(rate).to_have_value("25")
    page.get_by_role("button", name="Scale to 100 % of full rates").click()
    expect(page.get_by_text("Not saved yet.").first).to_be_visible()
    expect(rate).not_to_have_value("25")
    page.get_by_role("button", name="Back to what it was").click()
    expect(rate).to_have_value("25")


def test_bag_is_scaled_to_a_budget_by_keyboard(browse, owner, farm, planned):
    page = browse(owner)
    page.goto(reverse("blend-edit", args=[farm.slug, planned.bag.pk]))
    page.get_by_label("Seed budget (USD/ac)").fill("20")
    page.get_by_role("button", name="Scale to the budget").press("Enter")
    expect(page.get_by_text("scaled to $20.00 of seed an acre")).to_be_visible()


def test_blends_are_ticked_and_compared_by_keyboard(browse, owner, farm, planned):
    page = browse(owner)
    page.goto(reverse("blends", args=[farm.slug]))
    page.get_by_label("Compare Fall Greens").press("Space")
    page.get_by_label("Compare Summer Plate").press("Space")
    page.get_by_role("button", name="Compare what is ticked").press("Enter")
    expect(page.get_by_role("columnheader", name="Summer Plate")).to_be_visible()
    expect(page.get_by_role("img", name="C:N when mature")).to_have_count(2)


def test_dark_screen_prints_in_light_colours(browse, owner, farm, planned):
    page = browse(owner, "desktop", color_scheme="dark")
    page.goto(reverse("blends-compare", args=[farm.slug]) + f"?blend={planned.fall.pk}")
    page.emulate_media(media="print", color_scheme="dark")
    zone = page.locator(".p-zone").first
    assert zone.evaluate("each => getComputedStyle(each).fill") == "rgb(226, 240, 231)"


def test_pictures_are_printed_with_what_they_are_judged_for(browse, owner, farm, planned):
    page = browse(owner)
    page.goto(reverse("blend", args=[farm.slug, planned.fall.pk]))
    page.emulate_media(media="print")
    expect(page.get_by_role("img", name="Carbon to nitrogen of the residue")).to_be_visible()
    expect(page.get_by_text("Judged for")).to_be_visible()
