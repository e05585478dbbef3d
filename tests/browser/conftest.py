"""A real Chromium in front of the live server.

`browse(user, screen="phone")` gives a page that is signed in; a test fails when the page reported an
error on its console, which is also how a breach of the Content-Security-Policy shows.
"""

import os
import shutil
import threading
import time
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.core.servers.basehttp import ThreadedWSGIServer
from django.test import Client
from django.test.testcases import LiveServerThread
from playwright.sync_api import expect, sync_playwright

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SCREENS = {
    "phone": {
        "viewport": {"width": 390, "height": 844},
        "device_scale_factor": 3,
        "is_mobile": True,
        "has_touch": True,
    },
    "desktop": {"viewport": {"width": 1440, "height": 900}},
}
PATIENCE_MS = 30_000  # what comes at once on an idle machine may take long beside a suite on every core
# The default rule set leaves out target size (2.5.8), which is new in WCAG 2.2.
AXE_RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}


def pytest_collection_modifyitems(items):
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)
            # A browser on a busy machine is late now and then; whatever is tried again stands in the summary as rerun.
            item.add_marker(pytest.mark.flaky(reruns=2))


@pytest.fixture(scope="session")
def chromium():
    """The browser, started once."""
    executable = shutil.which("chromium")
    if executable is None:
        reason = "There is no `chromium` on the path; Debian's package of that name is accepted."
        if os.environ.get("CI", "").lower() == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=executable, args=FLAGS)
        yield browser
        browser.close()


class OneAtATime(ThreadedWSGIServer):
    """Answers one request at a time: in-memory SQLite lends one connection to every thread."""

    connections = 0
    _counting = threading.Lock()

    def set_app(self, application):
        turn = threading.Lock()

        def in_turn(environ, start_response):
            with turn:
                return application(environ, start_response)

        super().set_app(in_turn)

    def process_request(self, request, client_address):
        self._count(1)
        super().process_request(request, client_address)

    def process_request_thread(self, request, client_address):
        try:
            super().process_request_thread(request, client_address)
        finally:
            self._count(-1)

    @classmethod
    def _count(cls, change):
        with cls._counting:
            OneAtATime.connections += change

    @classmethod
    def wait_until_quiet(cls, seconds=15):
        """Until whatever the browser asked last has been answered, so that nothing asks an emptied database."""
        until = time.monotonic() + seconds
        while cls.connections and time.monotonic() < until:
            time.sleep(0.02)


@pytest.fixture(scope="session", autouse=True)
def _requests_in_turn():
    before, LiveServerThread.server_class = LiveServerThread.server_class, OneAtATime
    yield
    LiveServerThread.server_class = before


@pytest.fixture(autouse=True)
def _answered_before_the_database_is_emptied(request):
    if "live_server" not in request.fixturenames:
        yield
        return
    request.getfixturevalue("transactional_db")  # so that this ends before it does
    yield
    OneAtATime.wait_until_quiet()


def session_cookie(user, url):
    """The cookie of a signed-in session, without the sign-in page."""
    client = Client()
    client.force_login(user)
    return {
        "name": settings.SESSION_COOKIE_NAME,
        "value": client.cookies[settings.SESSION_COOKIE_NAME].value,
        "url": url,
    }


def hear(said, errors):
    """Keeps an error the console was told, except that a question was given up because its page was left.

    htmx says that in two messages, htmx:afterRequest and then htmx:sendAbort.
    """
    if said.type != "error":
        return
    if said.text.startswith("htmx:sendAbort"):
        if errors and errors[-1].startswith("htmx:afterRequest"):
            errors.pop()
        return
    errors.append(said.text)


@pytest.fixture
def browse(chromium, live_server):
    """browse(user=None, screen="desktop", **context options) -> a page whose addresses start at the site.

    Options are those of Playwright's `Browser.new_context`, such as color_scheme="dark". A test that
    provokes an error on purpose empties `browse.errors` afterwards.
    """
    contexts, errors = [], []

    def browse(user=None, screen="desktop", **options):
        context = chromium.new_context(base_url=live_server.url, **(SCREENS[screen] | options))
        context.set_default_timeout(PATIENCE_MS)
        contexts.append(context)
        if user is not None:
            context.add_cookies([session_cookie(user, live_server.url)])
        page = context.new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.on("console", lambda said: hear(said, errors))
        return page

    browse.errors = errors
    yield browse
    for context in contexts:
        context.close()
    assert errors == []


@pytest.fixture
def assert_accessible():
    """assert_accessible(page): axe-core finds nothing against WCAG 2.2 A and AA."""

    def check(page):
        found = Axe().run(page, options=AXE_RULES).response["violations"]
        said = [f"{each['id']}: {each['help']} → {node['html']}" for each in found for node in each["nodes"]]
        assert not said, "\n".join(said)

    return check
