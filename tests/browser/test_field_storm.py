"""A season's worth of trouble in an hour: no signal, a browser and a server that are killed, a network that loses,
doubles and delays. At the end every visit and picture is on the server once, and the phone is empty."""

from collections import Counter

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.browser.bad_network import BadNetwork
from tests.browser.kept_phone import KeptPhone
from tests.running.installation import Installation, free_port

pytestmark = pytest.mark.slow

PERSON, PASSWORD = "rue", "fourteen-open-gates"
VISITS, PICTURES_EACH, BY_TOUCH = 30, 2, 3
SEED = 20261130
KILL_BROWSER_AFTER, KILL_SERVER_AFTER = 12, 30  # questions to the API that reached the server
LONGEST_S, STARTING_S = 420, 240


class Site:
    """The demonstration behind a bad network; it can be killed and started again on its port and data."""

    def __init__(self, folder):
        self.installation = Installation(folder)
        self.installation.environment.pop("DATABASE_URL", None)  # the servers of the CI are not killed
        self.port = free_port()
        self.network = BadNetwork(self.port, SEED)
        self.run = None

    def start(self, *arguments):
        self.run = self.installation.start(*arguments, port=self.port)
        self.run.ready()

    def kill(self):
        self.run.process.kill()
        self.run.process.wait()

    def close(self):
        self.network.close()
        self.installation.close()


@pytest.fixture
def picture(tmp_path):
    """picture(n) -> paths of two pictures that no other visit has"""

    def picture(n):
        paths = [tmp_path / f"{n}-{p}.jpg" for p in range(PICTURES_EACH)]
        for p, path in enumerate(paths):
            Image.effect_noise((640, 480), 20 + 10 * p + n).convert("RGB").save(path)
        return paths

    return picture


@pytest.fixture
def site(tmp_path, monkeypatch):
    monkeypatch.setattr("tests.running.installation.PATIENCE_SECONDS", STARTING_S)
    site = Site(tmp_path / "data")
    site.installation.scene("prepare")
    site.installation.scene("bring_in_plots", username=PERSON, password=PASSWORD)
    site.start()
    yield site
    site.close()


@pytest.fixture
def phone(chromium, site, tmp_path):
    phone = KeptPhone(chromium.browser_type, tmp_path / "phone", site.network.address)
    phone.start()
    sign_in(phone)
    phone.open()
    phone.kept_for_no_signal()
    yield phone
    phone.close()


def sign_in(phone):
    page = phone.page
    page.goto("/sign-in/")
    if "/sign-in/" not in page.url:
        return
    page.fill("[name=username]", PERSON)
    page.fill("[name=password]", PASSWORD)
    page.click("main button[type=submit]")
    page.wait_for_url("**/p/*/")


def visit_by_touch(phone, picture, plot):
    """One visit as a thumb makes it: a plot, a reading, a note, two pictures."""
    page = phone.page
    phone.open()
    page.locator('[data-screen="home"] [data-plots] a').nth(plot).tap()
    page.locator('[data-screen="plot"] [data-begin]').tap()
    page.locator('[data-screen="visit"] [data-note-link]').tap()
    page.locator('[data-screen="note"] textarea').fill("Turkeys in the clover")
    page.locator('[data-screen="note"] [data-done]').tap()
    page.locator('[data-screen="visit"] [data-photos-link]').tap()
    for name in picture(plot):
        page.set_input_files('[data-screen="photos"] [data-camera]', name)
        page.wait_for_timeout(300)
    expect(page.locator('[data-screen="photos"] [data-pictures] li')).to_have_count(PICTURES_EACH)
    page.locator('[data-screen="photos"] [data-done]').tap()
    page.locator('[data-screen="visit"] [data-end]').tap()
    page.locator('[data-screen="end"] [data-save]').tap()
    expect(page.locator('[data-screen="saved"]')).to_be_visible()


def test_every_visit_and_picture_is_on_the_server_once(site, phone, picture):
    network = site.network
    network.is_down = True
    phone.context.set_offline(True)
    for n in range(BY_TOUCH):
        visit_by_touch(phone, picture, n)
    by_hand = phone.waiting()["records"]
    first = phone.record(BY_TOUCH, 12)
    phone.kill()  # in the middle of the day, without signal
    phone.start(offline=True)
    phone.open()
    kept = phone.waiting()
    assert len(kept["records"]) == BY_TOUCH + 12
    second = phone.record(BY_TOUCH + 12, VISITS - BY_TOUCH - 12)
    waiting = phone.waiting()
    assert len(waiting["records"]) == VISITS
    assert len(waiting["pictures"]) == VISITS * PICTURES_EACH
    wanted = {record["id"] for record in by_hand} | {each["id"] for each in (*first, *second)}
    hashes = sorted(picture["sha256"] for picture in waiting["pictures"])

    network.is_down, network.is_stormy = False, True
    phone.context.set_offline(False)
    send_until(phone, lambda: network.passed >= KILL_BROWSER_AFTER)
    phone.kill()
    phone.start()
    sign_in(phone)  # a browser that was killed may have lost its session
    phone.open()
    assert phone.waiting()["records"]
    send_until(phone, lambda: network.passed >= KILL_SERVER_AFTER)
    site.kill()
    left = phone.waiting()
    assert left["records"]
    phone.send()
    site.start()
    send_until(phone, lambda: not phone.waiting()["records"])
    assert phone.waiting() == {"records": [], "pictures": []}
    assert min(network.seen[each] for each in ("question lost", "answer lost", "doubled", "delayed")) > 0

    there = site.installation.scene("in_the_field_log")
    assert Counter(there["visits"])[by_hand[0]["id"]] == 1
    assert wanted <= set(there["visits"])
    ours = [each for each in there["photos"] if each[0] in set(hashes)]
    assert sorted(sha256 for sha256, _ in ours) == hashes
    assert all(is_here for _, is_here in ours)
    readings = {each["reading"] for each in (*first, *second)}
    assert readings <= set(there["readings"])


def send_until(phone, is_so):
    """Tells the page again and again that there is signal, until it is so."""

    def look():
        phone.send()
        return is_so()

    phone.until(look, LONGEST_S)
