"""The pages of the field in WebKitGTK, a second engine: the server is stopped, the browser killed, nothing is lost."""

import os

import pytest

from blends.services import demo
from tests.running.installation import ROOT, free_port
from tests.running.webkit import Browser, Screen, missing

pytestmark = [pytest.mark.slow, pytest.mark.webkit]

SLUG = "larkspindle-hollow"


@pytest.fixture(scope="module")
def screen():
    if reason := missing():
        if os.environ.get("CI", "").lower() == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    screen = Screen()
    yield screen
    screen.close()


@pytest.fixture
def open_browser(screen, tmp_path):
    """open_browser() -> a run of the browser on the test's own profile"""
    opened = []

    def open_browser():
        opened.append(Browser(screen, tmp_path, free_port()))
        return opened[-1]

    yield open_browser
    for browser in opened:
        browser.kill()


@pytest.fixture(scope="module")
def installation(install):
    return install()


def sign_in(browser, address):
    browser.open(f"{address}/sign-in/")
    browser.run(
        "const [form] = document.querySelectorAll('main form');"
        "form.elements.username.value = values[0]; form.elements.password.value = values[1]; form.requestSubmit();",
        "demo-intern",
        demo.PASSWORD,
    )
    browser.until("return location.pathname.startsWith('/p/')")


def shown(browser, screen):
    """Waits until that screen of the page is open."""
    browser.until(
        "return document.querySelector('[data-screen]:not([hidden])')?.dataset.screen === values[0]", screen
    )


NOTE = "Rye to the knee."
PICTURE = ROOT / "fixtures" / "demo" / "pictures" / "bench-grain.jpg"
WAITING = """
const db = await new Promise((done) => {
  const asked = indexedDB.open("swardbook-field");
  asked.onsuccess = () => done(asked.result);
});
const all = (name) => new Promise((done) => {
  const asked = db.transaction(name).objectStore(name).getAll();
  asked.onsuccess = () => done(asked.result);
});
const [records, photos] = [await all("records"), await all("photos")];
db.close();
const hex = (bytes) => [...new Uint8Array(bytes)].map((each) => each.toString(16).padStart(2, "0")).join("");
const hashes = await Promise.all(photos.map(async ({ bytes }) => hex(await crypto.subtle.digest("SHA-256", bytes))));
return { states: records.filter(({ kind }) => kind === "visit").map(({ state }) => state), hashes };
"""


def begin_a_visit(browser):
    browser.press("North Bench")
    shown(browser, "plot")
    browser.press("Begin the visit")
    shown(browser, "visit")


def note_what_was_found(browser):
    browser.press("As found")
    shown(browser, "step")
    browser.press("Deer seen")
    browser.press("Next")
    browser.press("7")
    browser.press("Next")
    browser.press("Skip")
    shown(browser, "visit")


def test_without_server_a_visit_outlives_the_browser_and_is_sent_once(installation, open_browser):
    run = installation.start("--demo")
    address = run.ready().address
    browser = open_browser()
    sign_in(browser, address)
    browser.open(f"{address}/p/{SLUG}/field/")
    shown(browser, "home")
    browser.until("return navigator.serviceWorker.controller !== null")
    assert run.interrupt() == 0

    browser.reload()
    shown(browser, "home")
    begin_a_visit(browser)
    note_what_was_found(browser)
    browser.press("Pictures")
    shown(browser, "photos")
    browser.choose_file("[data-camera]", PICTURE)
    browser.until("return document.querySelectorAll('[data-pictures] canvas').length === 1")
    browser.kill()

    browser = open_browser()
    browser.open(f"{address}/p/{SLUG}/field/")
    shown(browser, "home")
    kept = browser.run(WAITING)
    assert kept["states"] == ["open"]
    [digest] = kept["hashes"]
    browser.press("Go on")
    shown(browser, "visit")
    browser.press("Note")
    browser.run(
        "const note = document.querySelector('#visit-note'); note.value = values[0];"
        "note.dispatchEvent(new Event('input', { bubbles: true }));",
        NOTE,
    )
    browser.press("Done")
    shown(browser, "visit")
    browser.tap("[data-end]")
    shown(browser, "end")
    browser.tap("[data-save]")
    shown(browser, "saved")
    browser.kill()

    browser = open_browser()
    browser.open(f"{address}/p/{SLUG}/field/")
    shown(browser, "home")
    assert browser.run(WAITING) == {"states": ["ready"], "hashes": [digest]}
    installation.start(port=run.port).ready()
    browser.press("Send now")
    browser.until(
        f"const {{ states, hashes }} = await (async () => {{ {WAITING} }})(); return !hashes.length && states.every((each) => each === 'sent');"
    )
    found = installation.scene("visits_with_pictures", note=NOTE)
    assert found == [{"readings": [["found", {"what": "deer", "count": 7}]], "pictures": [digest]}]
