"""Counting the shed with a phone: the book stays hidden until something is typed, then says what differs."""

from datetime import date

import pytest
from playwright.sync_api import expect

from blends.models import Lot, Species
from blends.services import stock


@pytest.fixture
def lot(farm, owner):
    oats = Species.objects.get(key="oats", property=None)
    row = Lot.objects.create(property=farm, species=oats, lot_number="A7")
    stock.receive(lot=row, lb=300, on=date(2026, 3, 2), user=owner, place="Barn")
    return row


def test_the_shed_is_counted_with_a_phone(browse, assert_accessible, recorder, farm, lot):
    page = browse(recorder, screen="phone")
    page.goto(f"/p/{farm.slug}/stock/")
    page.get_by_role("link", name="Count the shed").click()
    page.get_by_role("link", name="Barn 1 lot").click()
    expect(page.get_by_role("main")).not_to_contain_text("300")
    assert_accessible(page)
    page.get_by_label("Oats lot A7").fill("295")
    page.get_by_label("Oats lot A7").press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Barn, counted on")
    expect(page.get_by_role("main")).to_contain_text("1 of 1 lot differs from the book")
    lot.refresh_from_db()
    assert lot.on_hand_lb == 295
    page.goto(f"/p/{farm.slug}/stock/{lot.pk}/")
    expect(page.get_by_role("heading", name="The tag")).to_be_visible()
    assert_accessible(page)
