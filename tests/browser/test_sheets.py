"""Planting sheets in a browser: one page of paper, fills that stay ticked, and a phone."""

import re
from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from blends.models import Calibration, Lot, Machine, Planting, Species
from blends.services.blends import save_blend
from blends.services.lot_choices import fill_from_stock
from blends.services.seasons import assign, open_season
from tests.scenery import lay_out

TWELVE = [
    "cereal_rye",
    "oats",
    "winter_wheat",
    "triticale",
    "crimson_clover",
    "hairy_vetch",
    "austrian_winter_pea",
    "forage_radish",
    "purple_top_turnip",
    "red_clover",
    "chicory",
    "annual_ryegrass",
]


@pytest.fixture
def season(farm, owner):
    """Three plots with twelve species each, lots of all but one, a drill that was calibrated."""
    plots = lay_out(farm, 3)
    found = {one.key: one for one in Species.objects.filter(property=None)}
    species = [found[key] for key in TWELVE if key in found]
    species += [one for one in found.values() if one not in species][: 12 - len(species)]
    Species.objects.filter(pk__in=[one.pk for one in species]).update(lb_per_bu=50)
    components = [
        {
            "species_id": one.pk,
            "drilled_pls_lb_per_acre": Decimal(14 - place),
            "broadcast_pls_lb_per_acre": 20,
        }
        for place, one in enumerate(species)
    ]
    blend = save_blend(property=farm, user=owner, name="Twelve ways", kind="mixed", components=components)
    for place, one in enumerate(species[:-1]):
        Lot.objects.create(
            property=farm,
            species=one,
            lot_number=f"MB-26{place:02}",
            purity_pct=Decimal("98.5"),
            germination_pct=88,
            test_month=date(2026, 3, 1),
            treatment="Thiram" if place == 0 else "",
            on_hand_lb=700 if place else 60,
        )
    drill = Machine.objects.create(
        property=farm,
        name="Old Green",
        openers=8,
        spacing_in=Decimal("7.5"),
        main_box_ft3=6,
        small_box_ft3=1,
        course_ft=150,
    )
    for setting in (30, 40, 50):
        Calibration.objects.create(
            machine=drill,
            blend=blend,
            calibrated_on=date(2026, 8, 20),
            setting=setting,
            caught_g=[60],
            course_ft=150,
            catch_width_ft=Decimal("0.625"),
            lb_per_acre=2 * setting + 5,
        )
    season = open_season(property=farm, year=2026, kind="cool")
    assign(
        season=season, user=owner, assignments=[{"plot_id": plot.pk, "blend_id": blend.pk} for plot in plots]
    )
    fill_from_stock(season=season, user=owner)
    return season


def at(season, route, *more):
    return reverse(route, args=[season.property.slug, season.slug, *more])


def pages_of(pdf):
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))


def test_each_sheet_prints_on_one_page(browse, owner, season):
    page = browse(owner)
    largest = max(Planting.objects.filter(season=season), key=lambda row: row.plot.mapped_acres)
    page.goto(at(season, "sheet", largest.plot_id))
    expect(page.get_by_role("heading", name=largest.plot.name)).to_be_visible()
    assert pages_of(page.pdf(prefer_css_page_size=True)) == 1
    page.goto(at(season, "sheets"))
    expect(page.get_by_role("heading", name="From plot to plot")).to_be_visible()
    assert pages_of(page.pdf(prefer_css_page_size=True)) == 3


def test_fills_stay_ticked_and_pages_fit_a_phone(browse, assert_accessible, recorder, season):
    plot_id = Planting.objects.filter(season=season).first().plot_id
    page = browse(recorder, "phone")
    page.goto(at(season, "sheet", plot_id))
    page.get_by_role("checkbox", name="Fill 1").first.check()
    page.reload()
    expect(page.get_by_role("checkbox", name="Fill 1").first).to_be_checked()
    for route, more in (
        ("sheet", [plot_id]),
        ("sheets", []),
        ("planting-day", []),
        ("sheet-lots", [plot_id]),
    ):
        page.goto(at(season, route, *more))
        assert_accessible(page)
        page.set_viewport_size({"width": 320, "height": 640})
        assert page.evaluate("document.documentElement.scrollWidth") <= 320, route
        page.set_viewport_size({"width": 390, "height": 844})
