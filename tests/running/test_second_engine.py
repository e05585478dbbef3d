"""The pages of the field in WebKitGTK, a second engine: the server is stopped, the browser killed, nothing is lost."""

import os

import pytest

from blends.services import demo
from tests.running.installation import free_port
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


def test_a_page_of_the_field_opens_with_the_server_stopped_and_the_browser_killed(installation, open_browser):
    run = installation.start("--demo")
    address = run.ready().address
    browser = open_browser()
    sign_in(browser, address)
    browser.open(f"{address}/p/{SLUG}/walk/")
    shown(browser, "choose")
    browser.until("return navigator.serviceWorker.controller !== null")
    assert run.interrupt() == 0
    browser.reload()
    shown(browser, "choose")
    browser.kill()
    browser = open_browser()
    browser.open(f"{address}/p/{SLUG}/walk/")
    shown(browser, "choose")
    assert "North Bench" in browser.text()
