"""Giving the plots of a season their blends, in a browser."""

from datetime import date

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from blends.services.seasons import record_planted
from tests.planned import plan_a_property


@pytest.fixture
def planned(farm, owner):
    made = plan_a_property(farm, owner)
    planting = made.season.plantings.get(plot=made.plots[0])
    record_planted(planting=planting, on=date(2026, 9, 12), acres=1)
    return made


@pytest.fixture
def open_season_page(browse, owner, farm, planned):
    """open_season_page(screen, **options) -> the season's page."""

    def open_page(screen="desktop", **options):
        page = browse(owner, screen, **options)
        page.goto(reverse("season", args=[farm.slug, planned.season.slug]))
        return page

    return open_page


def addresses(farm, season):
    return [
        reverse("seasons", args=[farm.slug]),
        reverse("season", args=[farm.slug, season.slug]),
        reverse("season-planted", args=[farm.slug, season.slug]),
    ]


@pytest.mark.parametrize("screen", ["phone", "desktop"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_are_accessible(browse, assert_accessible, owner, farm, planned, screen, scheme):
    page = browse(owner, screen, color_scheme=scheme)
    for address in addresses(farm, planned.season):
        page.goto(address)
        assert_accessible(page)


def test_nothing_runs_over_the_edge_of_a_small_screen(browse, owner, farm, planned):
    page = browse(owner, "phone", viewport={"width": 320, "height": 640})
    for address in addresses(farm, planned.season):
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, address


@pytest.mark.parametrize("screen", ["phone", "desktop"])
def test_plot_gets_a_blend(open_season_page, planned, screen):
    page = open_season_page(screen)
    plot = planned.plots[12]
    page.get_by_label(f"Blend for {plot.name}").select_option(label="Fall Greens")
    expect(page.get_by_text("Not saved yet.")).to_be_visible()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text("1 plot changed.")).to_be_visible()
    assert planned.season.plantings.get(plot=plot).blend == planned.fall


def test_ticked_plots_are_set_at_once(open_season_page, planned):
    page = open_season_page()
    for plot in planned.plots[12:]:
        page.get_by_label(f"Tick {plot.name}").check()
    expect(page.get_by_text("2 ticked")).to_be_visible()
    page.get_by_label("Set ticked to").select_option(label="Fallow")
    page.get_by_role("button", name="Set and save").click()
    expect(page.get_by_text("2 plots changed.")).to_be_visible()
    assert planned.season.plantings.filter(is_fallow=True).count() == 3


def test_all_rows_are_ticked_and_unticked(open_season_page):
    page = open_season_page()
    page.get_by_label("Tick all").check()
    expect(page.get_by_text("13 ticked")).to_be_visible()
    page.get_by_label("Tick all").uncheck()
    expect(page.locator("tbody input[type=checkbox]:checked")).to_have_count(0)


def test_enter_in_a_row_saves_and_does_not_set_the_ticked(open_season_page, planned):
    """The first button of a form is the one that Enter presses."""
    page = open_season_page()
    box = page.get_by_label(f"Tick {planned.plots[12].name}")
    box.check()
    box.press("Enter")
    expect(page.get_by_text("Nothing was changed.")).to_be_visible()


def test_ticking_is_no_change_to_be_asked_about(open_season_page):
    page = open_season_page()
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    page.get_by_label("Tick all").check()
    page.get_by_role("link", name="Blends").click()
    page.wait_for_url("**/blends/")
    assert asked == []


def test_leaving_with_changes_asks_first(open_season_page, planned):
    page = open_season_page()
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    page.get_by_label(f"Blend for {planned.plots[12].name}").select_option(label="Fallow")
    page.get_by_role("link", name="Blends").click()
    page.wait_for_url("**/blends/")
    assert asked == ["beforeunload"]


@pytest.mark.parametrize("screen", ["phone", "desktop"])
def test_what_has_the_focus_is_never_under_the_bar(open_season_page, screen):
    page = open_season_page(screen, reduced_motion="reduce")
    page.locator("tbody select").first.focus()
    for _ in range(40):
        page.keyboard.press("Tab")
        is_covered = page.evaluate(
            """() => {
                const bar = document.querySelector(".main-act"), here = document.activeElement;
                if (bar.contains(here)) return false;
                const [top, box] = [bar.getBoundingClientRect().top, here.getBoundingClientRect()];
                return box.bottom > top && box.top < bar.getBoundingClientRect().bottom;
            }"""
        )
        assert not is_covered


def test_works_without_a_script(open_season_page, planned):
    page = open_season_page(java_script_enabled=False)
    expect(page.get_by_label("Tick all")).to_be_hidden()
    page.get_by_label(f"Tick {planned.plots[12].name}").check()
    page.get_by_label("Set ticked to").select_option(label="Fall Greens")
    page.get_by_role("button", name="Set and save").click()
    expect(page.get_by_text("1 plot changed.")).to_be_visible()


def test_planted_plots_are_recorded_on_a_phone(browse, recorder, farm, planned):
    page = browse(recorder, "phone")
    page.goto(reverse("season-planted", args=[farm.slug, planned.season.slug]))
    plot = planned.plots[1]
    page.get_by_label("Planted on", exact=True).fill("2026-09-14")
    page.get_by_label(f"{plot.name} was planted").check()
    page.get_by_label(f"Acres planted on {plot.name}").fill("2.5")
    page.get_by_role("button", name="Record as planted").click()
    expect(page.get_by_text("1 plot recorded as planted on 14 September 2026.")).to_be_visible()
