"""Working something out with one hand on a phone."""

import pytest
from playwright.sync_api import expect

from fieldlog import calculations

PAGE = "/p/tally-hollow/arithmetic/"


@pytest.fixture
def honey(monkeypatch):
    """A calculation with every kind of input, written nowhere but in the tests."""
    monkeypatch.setattr(calculations, "PACKAGES", (*calculations.PACKAGES, "tests.fieldlog.written_once"))
    return f"{PAGE}honey-jars/"


def value(page, name, row):
    return page.get_by_label(f"{name}, row {row}", exact=True)


def answer(page):
    return page.get_by_role("status", name="Answer")


def type_combs(page):
    for row, (comb, wax) in enumerate([("6", "10"), ("4.5", "20")], start=1):
        value(page, "Comb", row).fill(comb)
        value(page, "Wax", row).fill(wax)
    page.get_by_label("Tall").check()


def test_the_answer_follows_what_is_typed_without_a_reload(browse, owner, honey):
    page = browse(owner, "phone")
    page.goto(honey)
    page.evaluate("document.body.dataset.opened = 'once'")
    assert "Needs: Comb, Wax, Hive." in answer(page).inner_text()
    type_combs(page)
    answer(page).get_by_text("6.0", exact=True).wait_for()
    assert page.evaluate("document.body.dataset.opened") == "once"
    assert "comb_lb=6&wax_pct=10&comb_lb=4.5&wax_pct=20" in page.url
    page.reload()
    assert value(page, "Comb", 2).input_value() == "4.5"
    assert answer(page).get_by_text("6.0", exact=True).is_visible()


def test_the_answer_stays_at_the_thumb_while_the_page_is_scrolled(browse, owner, honey):
    page = browse(owner, "phone")
    page.goto(honey)
    type_combs(page)
    answer(page).get_by_text("6.0", exact=True).wait_for()
    for place in (0, 150):
        page.evaluate("place => scrollTo({top: place, behavior: 'instant'})", place)
        box = answer(page).bounding_box()
        assert box["y"] + box["height"] == pytest.approx(844, abs=1)
        assert box["height"] < 844 / 3


def test_a_field_is_told_what_is_wrong_while_one_types_and_keeps_the_focus(browse, owner, honey):
    page = browse(owner, "phone")
    page.goto(honey)
    value(page, "Wax", 1).press_sequentially("120")
    sentence = "Wax is 120 %; accepted is a number of at least 0 and below 100 %"
    page.locator("#row-1-wax_pct-error").get_by_text(sentence).wait_for()
    assert sentence in answer(page).inner_text()
    expect(value(page, "Wax", 1)).to_have_attribute("aria-invalid", "true")
    assert page.evaluate("document.activeElement.id") == "row-1-wax_pct"
    value(page, "Wax", 1).fill("12")
    page.locator("#row-1-wax_pct-error .error-text").wait_for(state="detached")
    expect(value(page, "Wax", 1)).not_to_have_attribute("aria-invalid", "true")


def test_rows_are_added_and_removed_in_the_page(browse, owner, honey):
    page = browse(owner, "phone")
    page.goto(honey)
    page.evaluate("document.body.dataset.opened = 'once'")
    type_combs(page)
    page.get_by_role("button", name="Add a row").click()
    assert page.evaluate("document.activeElement.id") == "row-4-comb_lb"
    value(page, "Comb", 4).fill("3")
    value(page, "Wax", 4).fill("0")
    answer(page).get_by_text("Needs: Comb (row 3), Wax (row 3).").wait_for()
    page.get_by_role("button", name="Remove row 3").click()
    answer(page).get_by_text("8.0", exact=True).wait_for()
    assert value(page, "Comb", 3).input_value() == "3"
    assert page.get_by_role("button", name="Remove row 4").count() == 0
    assert page.evaluate("document.body.dataset.opened") == "once"


def test_enter_works_it_out_and_adds_no_row(browse, owner, honey):
    page = browse(owner)
    page.goto(honey)
    page.evaluate("document.body.dataset.opened = 'once'")
    type_combs(page)
    value(page, "Comb", 2).press("Enter")
    answer(page).get_by_text("6.0", exact=True).wait_for()
    assert page.locator("[data-rows] tr").count() == 3
    assert page.evaluate("document.body.dataset.opened") == "once"


def test_without_scripts_buttons_do_the_same(browse, owner, honey):
    page = browse(owner, "phone", java_script_enabled=False)
    page.goto(honey)
    page.get_by_role("button", name="Add a row").click()
    type_combs(page)
    value(page, "Comb", 6).fill("3")
    value(page, "Comb", 2).press("Enter")
    assert "Needs: Comb (rows 3, 4, 5), Wax (rows 3, 4, 5, 6)." in answer(page).inner_text()
    value(page, "Comb", 6).fill("")
    page.get_by_role("button", name="Work it out").last.click()
    assert "6.0" in answer(page).inner_text()


def test_an_address_with_mistakes_leads_from_the_summary_to_the_field(browse, owner, honey):
    page = browse(owner, "phone")
    page.goto(f"{honey}?comb_lb=6&comb_lb=-1&wax_pct=10&wax_pct=20")
    page.get_by_role("link", name="Row 2, Comb").click()
    assert page.evaluate("document.activeElement.id") == "row-2-comb_lb"
    value(page, "Comb", 2).fill("4.5")
    page.get_by_role("heading", name="No answer: 1 thing to mend").wait_for(state="detached")


def test_the_list_narrows_while_one_types(browse, owner, honey):
    page = browse(owner, "phone")
    page.goto(PAGE)
    page.get_by_role("searchbox", name="What to work out").fill("jars wax")
    page.get_by_text("1 of").wait_for()
    assert page.url.endswith("?q=jars%20wax")
    page.get_by_role("link", name="Jars of honey").click()
    assert page.get_by_role("heading", name="Jars of honey").is_visible()


QUERIES = ["", "?comb_lb=6&comb_lb=4.5&wax_pct=10&wax_pct=20&hive=tall", "?comb_lb=-6&jar_lb=none"]


@pytest.mark.parametrize("screen", ["phone", "desktop"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_pages_are_accessible(browse, assert_accessible, owner, honey, screen, scheme):
    page = browse(owner, screen, color_scheme=scheme)
    for address in [PAGE, *(honey + query for query in QUERIES)]:
        page.goto(address)
        assert_accessible(page)


def test_a_long_answer_leaves_room_for_the_fields_of_a_small_phone(browse, assert_accessible, owner, honey):
    page = browse(owner, "phone", viewport={"width": 320, "height": 640})
    rows = "&".join(f"comb_lb={row}&wax_pct=10" for row in range(1, 31))
    page.goto(f"{honey}?{rows}&hive=tall")
    assert answer(page).bounding_box()["height"] < 640 * 0.36
    assert_accessible(page)


def test_nothing_scrolls_sideways_on_a_small_phone(browse, owner, honey):
    page = browse(owner, "phone", viewport={"width": 320, "height": 640})
    every = [f"{PAGE}{one.name}/" for one in calculations.calculations()]
    for address in [PAGE, *every, *(honey + query for query in QUERIES)]:
        page.goto(address)
        assert page.evaluate("document.documentElement.scrollWidth") == 320, address
