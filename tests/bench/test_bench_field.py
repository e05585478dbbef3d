"""The field log's page on a slow phone: its first paint, from airplane mode too, a picture of 12 megapixels, a tap.

Printed with the ratio to the goal, and held to it. Other work on the machine only ever adds time, so the best of a few counts.
"""

import base64
import io

import pytest
from PIL import Image

from tests.browser.conftest import SCREENS, chromium  # noqa: F401
from tests.browser.demonstration import FIELD, NONE, OBSERVE, SHOWN, demonstration, signed_in, slow_down

LOADS = 3
FIRST_PAINT_MS, OFFLINE_PAINT_MS, PICTURE_MS, TAP_MS = 1000, 500, 600, 50
WIDE_PX, HIGH_PX = 4000, 3000

KEEP_A_PICTURE = """async ({ picture, store, bytes }) => {
    const [{ reduced }, { keepWithPhoto }] = await Promise.all([import(picture), import(store)]);
    const file = new File([Uint8Array.from(atob(bytes), (each) => each.charCodeAt(0))], "a.jpg", { type: "image/jpeg" });
    const took = [];
    for (let i = 0; i < 4; i += 1) {
        const begun = performance.now();
        const { bytes: kept, ...facts } = await reduced(file);
        await keepWithPhoto({ id: `bench-${i}`, kind: "visit", slug: "bench", state: "open", startedAt: "" },
            { id: `photo-${i}`, ...facts, bytes: kept });
        took.push(performance.now() - begun);
    }
    return Math.min(...took);
}"""
KEEP = """async ({ store, way }) => {
    const keeping = (await import(store))[way];
    const readings = Array.from({ length: 12 }, (_, i) => ({ id: `reading-${i}`, values: { plants: Array(20).fill(i) } }));
    const took = [];
    for (let i = 0; i < 40; i += 1) {
        const begun = performance.now();
        await keeping({ id: "bench", kind: "visit", slug: "bench", state: "open", startedAt: "", readings, note: "x".repeat(i) });
        took.push(performance.now() - begun);
    }
    took.sort((a, b) => a - b);
    return [took[Math.floor(took.length / 2)], took.at(-1)];
}"""


def told(what, took_ms, goal_ms):
    print(f"\n{what}: {took_ms:.0f} ms, {took_ms / goal_ms:.2f} of the goal of {goal_ms} ms")
    assert took_ms < goal_ms


@pytest.fixture(scope="module")
def phone(chromium, tmp_path_factory):  # noqa: F811
    """phone() -> a page of a signed-in phone that has seen nothing yet"""
    with demonstration(tmp_path_factory.mktemp("demonstration") / "data") as address:
        context = chromium.new_context(base_url=address)
        signed_in(context)
        stored = context.storage_state()
        context.close()

        def phone():
            context = chromium.new_context(base_url=address, storage_state=stored, **SCREENS["phone"])
            page = context.new_page()
            page.set_default_timeout(60_000)
            page.add_init_script(OBSERVE)
            return page

        yield phone


def painted(page, act):
    act()
    page.wait_for_selector(SHOWN)
    page.wait_for_timeout(500)
    return page.evaluate("seen.lcp")


def kept(page):
    """Waits until the phone keeps the page, in the tab that shows it."""
    page.goto(FIELD)
    page.wait_for_selector(SHOWN)
    while not page.evaluate(
        "navigator.serviceWorker.controller !== null && performance.getEntriesByType('resource').some(({ name }) => name.includes('/field/picture.'))"
    ):
        page.wait_for_timeout(
            100
        )  # a condition as text would be evaluated in the page, whose policy forbids it


def test_first_paint(phone):
    took = []
    for _ in range(LOADS):
        page = phone()
        slow_down(page)
        took.append(painted(page, lambda page=page: page.goto(FIELD)))
        page.context.close()
    told("largest paint at 1.6 Mbit/s, 150 ms, processor slowed four times", min(took), FIRST_PAINT_MS)


def test_paint_from_airplane_mode(phone):
    page = phone()
    kept(page)
    page.context.set_offline(True)
    slow_down(page, NONE)
    took = [painted(page, page.reload) for _ in range(LOADS)]
    page.context.close()
    told("largest paint from airplane mode, processor slowed four times", min(took), OFFLINE_PAINT_MS)


def test_a_picture_of_twelve_megapixels(phone):
    page = phone()
    kept(page)
    took = page.evaluate(KEEP_A_PICTURE, modules(page) | {"bytes": noisy_picture()})
    page.context.close()
    told("picture of 12 megapixels reduced, hashed and on disk", took, PICTURE_MS)


@pytest.mark.parametrize(
    ("way", "what"), [("keepTyped", "a tap kept in a long visit"), ("keep", "a long visit saved to disk")]
)
def test_a_tap_and_a_save(phone, way, what):
    page = phone()
    kept(page)
    slow_down(page)
    median, longest = page.evaluate(KEEP, modules(page) | {"way": way})
    page.context.close()
    told(
        f"{what}, processor slowed four times, the longest of 40 {longest:.0f} ms, the median", median, TAP_MS
    )


def modules(page):
    """Addresses of the page's own modules, under the names that they have there."""
    found = page.evaluate("performance.getEntriesByType('resource').map(({ name }) => name)")
    return {
        "picture": next(each for each in found if "/field/picture." in each),
        "store": next(each for each in found if "/offline/store." in each),
    }


def noisy_picture():
    """As a camera makes it: 12 megapixels with noise, some megabytes, in base64."""
    noise = Image.effect_noise((WIDE_PX // 4, HIGH_PX // 4), 40).resize((WIDE_PX, HIGH_PX))
    held = io.BytesIO()
    Image.merge("RGB", (noise, noise.rotate(180), noise)).save(held, "JPEG", quality=90)
    return base64.b64encode(held.getvalue()).decode()
