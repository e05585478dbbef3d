"""Planting day on a phone in a real browser, with signal and without."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from blends.models import PlantingRecord
from plots.models import Membership
from tests.browser.conftest import session_cookie
from tests.conftest import person
from tests.planting_day import PlantingDay


class Phone:
    """A page on a phone, and the hand that holds it."""

    def __init__(self, page, day):
        self.page, self.day = page, day

    def open(self, query=""):
        self.page.goto(reverse("field-sheets", args=[self.day.farm.slug, self.day.season.slug]) + query)
        self.page.wait_for_selector("[data-screen]:not([hidden]):not([data-loading])")

    def at(self, screen):
        return self.page.locator(f'[data-screen="{screen}"]')

    def press(self, name, screen):
        self.at(screen).get_by_role("button", name=name, exact=True).click()

    def lose_signal(self):
        """Once the page is kept; a second visit is what the service worker stands before."""
        self.page.evaluate(
            """async () => {
                const { serviceWorker } = navigator;
                if (!serviceWorker.controller) await new Promise((done) => serviceWorker.addEventListener("controllerchange", done));
            }"""
        )
        self.page.context.set_offline(True)

    def to_sheet(self, plot="Heron Bench"):
        self.at("list").get_by_role("link", name=re.compile(plot)).click()
        expect(self.at("sheet").get_by_role("heading", name=plot)).to_be_visible()

    def fill_in(self, acres="2.05", left=("10", "1")):
        """From the sheet to the last screen of the form."""
        self.press("Planted", "sheet")
        self.page.get_by_label("Acres planted").fill(acres)
        self.press("Next", "record")
        self.page.get_by_label("Left in the seed box, lb").fill(left[0])
        self.page.get_by_label("Left in the small-seed box, lb").fill(left[1])
        self.press("Next", "record")
        self.press("Next", "record")
        self.page.get_by_label("Weather (optional)").fill("Clear")
        self.press("Next", "record")
        expect(self.at("record")).to_contain_text("Is this what happened?")

    def save(self):
        self.press("Save on the phone", "record")
        expect(self.at("saved")).to_be_visible()


@pytest.fixture
def day(farm, owner, make_plot):
    return PlantingDay(farm, owner, make_plot)


@pytest.fixture
def hand(browse, recorder, day):
    hand = Phone(browse(recorder, "phone"), day)
    hand.open()
    return hand


def test_without_signal_fills_are_ticked_and_a_planting_goes_when_there_is(browse, hand, day, recorder):
    hand.lose_signal()
    hand.page.reload()
    expect(hand.at("list")).to_contain_text("Alder Creek")
    hand.to_sheet()
    expect(hand.at("sheet")).to_contain_text("136.05 lb")
    hand.press("Fill", "sheet")
    hand.press("In the box", "fills")
    expect(hand.at("fills")).to_contain_text(re.compile("1 of [2-9] in the box"))
    hand.page.reload()
    expect(hand.at("fills")).to_contain_text(re.compile("1 of [2-9] in the box"))
    hand.press("To the sheet", "fills")
    hand.fill_in()
    hand.save()
    expect(hand.at("saved")).to_contain_text("There is no signal")
    hand.page.reload()
    expect(hand.at("saved")).to_contain_text("1 planting record waits to be sent")
    assert not PlantingRecord.objects.exists()
    hand.page.context.set_offline(False)
    expect(hand.at("saved")).to_contain_text("Sent: 1 planting record")
    expect(hand.at("saved")).to_contain_text("Heron Bench 2.05 ac planted")
    record = PlantingRecord.objects.get()
    assert (record.acres, record.weather, record.created_by) == (Decimal("2.05"), "Clear", recorder)
    assert record.planting.plot.name == "Heron Bench"
    assert record.started_at is not None  # when the first fill was ticked
    # 400 − (136.05 − 10) and 400 − (9.07 − 1), by hand
    assert (day.on_hand("cereal_rye"), day.on_hand("crimson_clover")) == (
        Decimal("273.95"),
        Decimal("391.93"),
    )
    browse.errors.clear()


def test_what_is_typed_outlives_the_page_in_the_middle_of_a_word(browse, hand):
    hand.lose_signal()
    hand.to_sheet()
    hand.press("Planted", "sheet")
    hand.page.get_by_label("Acres planted").fill("1.9")
    hand.press("Next", "record")
    hand.page.get_by_label("Pounds used of each").check()
    hand.page.get_by_role("group", name=re.compile("Cereal rye")).get_by_label("used, lb").type("12")
    hand.page.wait_for_timeout(100)  # a hand is not quicker from the last letter to the switch
    context = hand.page.context
    hand.page.close()
    hand.page = context.new_page()
    hand.open()
    expect(hand.at("list")).to_contain_text("begun")
    hand.to_sheet()
    hand.at("sheet").get_by_role("link", name="Go on with what was begun").click()
    expect(hand.page.get_by_label("Acres planted")).to_have_value("1.9")
    hand.press("Next", "record")
    rye = hand.page.get_by_role("group", name=re.compile("Cereal rye"))
    expect(rye.get_by_label("used, lb")).to_have_value("12")
    other = Phone(context.new_page(), hand.day)
    other.page.goto(hand.page.url)
    expect(other.page.locator("[data-banners]")).to_contain_text("open in another tab")
    browse.errors.clear()


def test_what_the_server_refuses_is_put_right_on_the_phone_and_sent(browse, hand, day):
    hand.to_sheet()
    hand.press("Planted", "sheet")
    hand.press("Next", "record")
    expect(hand.at("record")).to_contain_text("Say how many acres were planted.")
    hand.page.get_by_label("Acres planted").fill("2,0")
    hand.press("Next", "record")
    expect(hand.at("record")).to_contain_text("“2,0” is not a number; accepted is one like 1.5.")
    hand.page.get_by_label("Acres planted").fill("2.0")
    hand.press("Next", "record")
    hand.page.get_by_label("Pounds used of each").check()
    for name, lb in (("Cereal rye", "450"), ("Crimson clover", "8")):
        hand.page.get_by_role("group", name=re.compile(name)).get_by_label("used, lb").fill(lb)
    for _ in range(3):
        hand.press("Next", "record")
    hand.save()
    expect(hand.at("saved").locator(".error-text")).to_contain_text("400")  # there is no more of the lot
    assert not PlantingRecord.objects.exists()
    hand.at("saved").get_by_role("link", name="Put it right").click()
    expect(hand.at("record").get_by_role("alert")).to_contain_text("Not taken:")
    expect(hand.page.get_by_label("Acres planted")).to_have_value("2.0")
    hand.press("Next", "record")
    hand.page.get_by_role("group", name=re.compile("Cereal rye")).get_by_label("used, lb").fill("140")
    for _ in range(3):
        hand.press("Next", "record")
    hand.save()
    expect(hand.at("saved")).to_contain_text("Sent: 1 planting record")
    assert PlantingRecord.objects.count() == 1
    assert day.on_hand("cereal_rye") == 260
    browse.errors.clear()


def test_an_answer_that_was_lost_makes_one_record_and_another_person_sends_none(
    browse, hand, day, farm, live_server
):
    def lose(route):
        route.fetch()  # the server has stored it
        route.abort()

    hand.page.context.route("**/api/v1/**", lose, times=1)
    hand.to_sheet()
    hand.fill_in()
    hand.save()
    expect(hand.at("saved")).to_contain_text("There is no signal")
    record = PlantingRecord.objects.get()
    hand.page.goto(f"{hand.page.url.split('#')[0]}#record-{record.pk}")
    expect(hand.page.locator("[data-banners]")).to_contain_text("may be with the server already")
    hand.page.context.set_offline(True)
    second = person("second", farm, Membership.Role.RECORDER)
    hand.page.context.add_cookies([session_cookie(second, live_server.url)])
    hand.page.context.set_offline(False)
    hand.open()
    expect(hand.at("list")).to_contain_text("Written down by recorder, who alone can send it")
    hand.page.context.add_cookies([session_cookie(record.created_by, live_server.url)])
    hand.open()
    expect(hand.at("list")).to_contain_text("Sent: 1 planting record")
    assert PlantingRecord.objects.count() == 1
    browse.errors.clear()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_screen_is_accessible_and_fits_a_narrow_phone_and_large_letters(
    browse, recorder, day, assert_accessible, scheme
):
    hand = Phone(browse(recorder, "phone", color_scheme=scheme, viewport={"width": 320, "height": 640}), day)

    def check():
        assert_accessible(hand.page)
        for size in ("200%", "100%"):
            hand.page.evaluate("size => document.documentElement.style.fontSize = size", size)
            wide = hand.page.evaluate("document.documentElement.scrollWidth - innerWidth")
            assert wide <= 0, f"{wide} px too wide at {size} on {hand.page.url}"

    hand.open()
    check()
    hand.to_sheet()
    check()
    hand.press("Fill", "sheet")
    check()
    hand.press("Planted", "fills")
    hand.page.get_by_label("Acres planted").fill("2")
    for label in ("Left in the seed box, lb", "Left in the small-seed box, lb"):
        check()
        hand.press("Next", "record") if label.startswith("Left in the seed") else None
        hand.page.get_by_label(label).fill("0")
    for _ in range(3):
        hand.press("Next", "record")
        check()
    hand.save()
    expect(hand.at("saved")).to_contain_text("Sent: 1 planting record")
    check()
