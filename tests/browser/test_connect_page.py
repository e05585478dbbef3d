"""Connecting a phone, seen with a phone: what the page says of each thing that is needed, in each state."""

import io

import pytest
from PIL import Image

from config.running.certificates import PrivateCertificate

HERE = {"latitude": 40.1, "longitude": -90.2, "accuracy": 6}


@pytest.fixture
def private(settings, tmp_path):
    settings.AUTHORITY_DIR = tmp_path / "tls"
    settings.HTTPS = "PRIVATE"
    settings.ADDRESSES = ["https://192.168.7.20:8443/", "https://barn.local:8443/"]
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = False  # the test's own server speaks http
    PrivateCertificate(settings.AUTHORITY_DIR, "barn").fit(["barn.local", "192.168.7.20"])


@pytest.fixture
def checking(browse, recorder):
    """checking(script="", **options) -> the page on a phone, after the first look; `script` changes what the browser can do."""

    def checking(script="", **options):
        page = browse(recorder, "phone", **options)
        if script:
            page.add_init_script(script)
        page.goto("/connect/?on=phone")
        page.wait_for_selector("[data-summary]:not(:empty)")
        return page

    return checking


def state(page, name):
    return page.get_attribute(f"[data-check={name}]", "data-is")


def said(page, name):
    return page.inner_text(f"[data-check={name}] [data-said]")


def becomes(page, name, state):
    page.wait_for_selector(f"[data-check={name}][data-is={state}]")
    return said(page, name)


@pytest.mark.usefixtures("private")
@pytest.mark.parametrize("screen", ["phone", "desktop"])
@pytest.mark.parametrize("colors", ["light", "dark"])
@pytest.mark.parametrize("query", ["", "?on=phone"])
def test_nothing_bars_anybody(browse, recorder, assert_accessible, screen, colors, query):
    page = browse(recorder, screen, color_scheme=colors)
    page.goto(f"/connect/{query}")
    for each in page.locator("details").all():
        if each.get_attribute("open") is None:
            each.locator("summary").click()
    if query:
        page.wait_for_selector("[data-summary]:not(:empty)")
    assert_accessible(page)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.usefixtures("private")
def test_the_codes_are_white_at_their_edge_by_night_too(browse, recorder):
    page = browse(recorder, color_scheme="dark")
    page.goto("/connect/")
    codes = page.locator(".code")
    assert codes.count() == 2
    for each in codes.all():
        picture = Image.open(io.BytesIO(each.screenshot())).convert("RGB")
        assert abs(picture.width - picture.height) <= 1  # a screenshot ends on whole pixels
        assert picture.getpixel((6, 6)) == (255, 255, 255)
        assert (0, 0, 0) in {color for _, color in picture.getcolors(1 << 20)}


def test_a_phone_that_has_all_is_told_so(checking):
    page = checking(
        "Object.defineProperty(Navigator.prototype, 'standalone', { value: true });"
        "navigator.storage.persisted = async () => true;",
        permissions=["geolocation"],
        geolocation=HERE,
    )
    page.click("[data-check=place] button")
    assert "within 6 m" in becomes(page, "place", "ready")
    page.set_input_files("[data-check=camera] input", files=[picture()])
    assert "40 × 30 dots" in becomes(page, "camera", "ready")
    assert page.inner_text("[data-summary]") == "Everything is ready."
    assert not page.locator("[data-act]:visible").count()


def picture():
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "green").save(file, "JPEG")
    return {"name": "trial.jpg", "mimeType": "image/jpeg", "buffer": file.getvalue()}


def test_what_is_kept_opens_without_signal(checking):
    page = checking()
    assert state(page, "pages") == "ready"
    assert page.evaluate("caches.keys().then((names) => names.some((name) => name.startsWith('shell-')))")


def test_nothing_is_asked_of_the_phone_before_a_press(checking):
    page = checking(
        "navigator.geolocation.getCurrentPosition = () => { window.asked = 'place'; };"
        "navigator.storage.persist = async () => { window.asked = 'kept'; return true; };"
    )
    assert [state(page, name) for name in ("kept", "camera", "place", "installed")] == ["ask"] * 4
    assert page.evaluate("window.asked") is None
    assert page.inner_text("[data-summary]").startswith("3 of 7 ready. Left: keeps what you record, camera")


def test_a_promise_that_the_browser_gives_is_shown(checking):
    page = checking(
        "let promised = false; navigator.storage.persisted = async () => promised;"
        "navigator.storage.persist = async () => (promised = true);"
    )
    page.click("[data-check=kept] button")
    assert "has promised" in becomes(page, "kept", "ready")


def test_a_promise_that_it_refuses_says_what_to_do(checking):
    page = checking("navigator.storage.persist = async () => false;")
    page.click("[data-check=kept] button")
    assert "send what waits within a few days" in becomes(page, "kept", "missing")
    assert page.is_visible("[data-check=kept] button")


def test_a_position_that_is_refused_says_what_to_do(checking):
    page = checking()
    page.click("[data-check=place] button")
    assert "Allow it in the settings" in becomes(page, "place", "missing")


@pytest.mark.parametrize(
    ("code", "sentence"), [(2, "Turn its location on"), (3, "No position came within 20 seconds")]
)
def test_a_position_that_does_not_come_says_what_to_do(checking, code, sentence):
    page = checking(f"navigator.geolocation.getCurrentPosition = (_, failed) => failed({{ code: {code} }});")
    page.click("[data-check=place] button")
    assert sentence in becomes(page, "place", "missing")


def test_a_position_that_is_too_inexact_says_what_to_do(checking):
    page = checking(permissions=["geolocation"], geolocation=HERE | {"accuracy": 80})
    page.click("[data-check=place] button")
    assert "only within 80 m" in becomes(page, "place", "missing")
    page.context.set_geolocation(HERE)
    page.click("[data-check=place] button")
    becomes(page, "place", "ready")


def test_a_picture_that_cannot_be_read_says_what_to_do(checking):
    page = checking()
    broken = picture() | {"buffer": b"no picture"}
    page.set_input_files("[data-check=camera] input", files=[broken])
    assert "save pictures as JPEG" in becomes(page, "camera", "missing")


def test_too_little_room_is_told_in_megabytes(checking):
    page = checking("navigator.storage.estimate = async () => ({ quota: 90e6, usage: 40e6 });")
    assert state(page, "room") == "missing"
    assert "Only about 50 MB" in said(page, "room")


def test_over_plain_http_the_trusted_address_comes_first(checking):
    page = checking(
        "Object.defineProperty(window, 'isSecureContext', { value: false });"
        "for (const name of ['serviceWorker', 'storage']) delete Navigator.prototype[name];"
    )
    assert "begins with https://" in said(page, "secure")
    assert [state(page, name) for name in ("secure", "pages", "place")] == ["missing"] * 3
    assert [state(page, name) for name in ("kept", "room")] == ["unknown"] * 2
    assert not page.is_visible("[data-check=place] button")


def test_a_certificate_that_is_not_trusted_is_named_where_pages_are_not_kept(checking):
    page = checking(
        "navigator.serviceWorker.register = async () => { throw new DOMException('', 'SecurityError'); };"
    )
    assert "certificate is not trusted yet" in said(page, "pages")
    assert state(page, "secure") == "unknown"
    assert "past a warning about its certificate" in said(page, "secure")
    assert page.is_visible("[data-check=pages] button")


def test_without_signal_the_page_says_so_and_tries_again(checking):
    page = checking(
        "Object.defineProperty(Navigator.prototype, 'onLine', { get: () => !window.dark });"
        "window.dark = true; const register = ServiceWorkerContainer.prototype.register;"
        "navigator.serviceWorker.register = function (...said) { return window.dark ? Promise.reject(Error()) : register.apply(this, said); };"
    )
    assert "there is no signal now" in said(page, "pages")
    page.evaluate("window.dark = false")
    page.click("[data-check=pages] button")
    becomes(page, "pages", "ready")
    assert state(page, "secure") == "ready"


@pytest.mark.usefixtures("private")
@pytest.mark.parametrize(
    ("script", "opened"),
    [
        ("Object.defineProperty(Navigator.prototype, 'standalone', { value: false });", "apple"),
        ("", "android"),
    ],
)
def test_the_steps_of_this_kind_of_phone_are_open(checking, script, opened):
    page = checking(script)
    assert page.locator("details[open][data-for]").evaluate_all(
        "all => all.map((each) => each.dataset.for)"
    ) == [opened]
    own_store = "store of its own" in said(page, "installed")
    assert own_store is (opened == "apple")
