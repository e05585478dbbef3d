"""A phone whose browser keeps its storage on disk, so that it can be killed and opened again."""

import shutil
import time
from contextlib import suppress

import psutil
import pytest

from tests.browser.conftest import FLAGS, SCREENS

PATIENCE_S = 60
FIELD = "/p/tally-hollow/field/"
SHOWN = "[data-screen]:not([hidden]):not([data-loading])"
# In the page: the modules that it runs itself, by their hashed names.
MODULE = """
const moduleOf = async (name) => {
    const isIt = ({ name: address }) => new RegExp(`/offline/${name}([.][0-9a-f]+)?[.]js$`).test(address);
    for (let tries = 0; tries < 600; tries += 1) {
        const found = performance.getEntriesByType("resource").find(isIt);
        if (found) return import(found.name);
        await new Promise((later) => setTimeout(later, 50));
    }
    throw new Error(`${name} has not been loaded`);
};
"""
# What comes after the first screen is here too.
READY = "async () => {" + MODULE + "await Promise.all(['outbox', 'room', 'store'].map(moduleOf)); }"
# Visits as the page's own modules keep them: `count` visits, each with a reading of rain and `pictures` pictures.
RECORD = (
    "async ([from, count, pictures]) => {"
    + MODULE
    + """
    const { keep, keepWithPhoto, groundOf } = await moduleOf("store");
    const { newId } = await moduleOf("ids");
    const slug = location.pathname.split("/")[2];
    const facts = await groundOf(`${slug}/field`);
    const made = [];
    for (let n = from; n < from + count; n += 1) {
        const plot = facts.plots.features[n % facts.plots.features.length];
        const now = new Date().toISOString();
        const reading = { id: newId(), kind: "rain", protocol: "", settings: {}, values: { gauge_in: n / 10 }, sure_of: [], taken_at: now, note: "", state: "done" };
        let record = { id: newId(), kind: "visit", slug, user: facts.user, state: "open", startedAt: now,
            plot: { id: plot.id, name: plot.properties.name }, visitedAt: now, place: null, note: `Visit ${n}`,
            readings: [reading], photos: [], refused: null };
        await keep(record);
        for (let p = 0; p < pictures; p += 1) {
            const canvas = Object.assign(document.createElement("canvas"), { width: 240, height: 180 });
            const pen = canvas.getContext("2d");
            pen.fillStyle = `hsl(${n * 37} 60% ${30 + 20 * p}%)`;
            pen.fillRect(0, 0, 240, 180);
            pen.fillStyle = "#fff";
            pen.fillText(`${n}.${p}`, 20, 20);
            const bytes = await (await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.9))).arrayBuffer();
            const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
            const sha256 = [...digest].map((each) => each.toString(16).padStart(2, "0")).join("");
            const photo = { id: newId(), sha256, type: "image/jpeg", width: 240, height: 180, size: bytes.byteLength,
                taken_at: now, place: null, bearing_deg: null, caption: "", reading_id: null, point_id: null };
            record = { ...record, photos: [...record.photos, photo] };
            await keepWithPhoto(record, { ...photo, bytes });
        }
        await keep({ ...record, state: "ready" });
        made.push({ id: record.id, reading: reading.id, photos: record.photos.map(({ sha256 }) => sha256) });
    }
    return made;
}"""
)
WAITING = (
    "async () => {"
    + MODULE
    + """
    const { allRecords, picturesLeft } = await moduleOf("store");
    const records = (await allRecords()).filter(({ state }) => state !== "sent");
    return { records, pictures: await picturesLeft() };
}"""
)


class KeptPhone:
    """`page` is that of the field log, once `open` has been called."""

    def __init__(self, browser_type, folder, address, **options):
        self.browser_type, self.folder, self.address, self.options = browser_type, folder, address, options
        self.context = self.page = None

    def start(self, offline=False):
        executable = shutil.which("chromium")
        if executable is None:
            pytest.skip("There is no `chromium` on the path; Debian's package of that name is accepted.")
        self.context = self.browser_type.launch_persistent_context(
            str(self.folder),
            executable_path=executable,
            args=FLAGS,
            base_url=self.address,
            offline=offline,
            **(SCREENS["phone"] | self.options),
        )
        self.context.set_default_timeout(PATIENCE_S * 1000)
        self.page = self.context.pages[0] if self.context.pages else self.context.new_page()

    def open(self, path=FIELD):
        self.page.goto(path)
        self.page.wait_for_selector(SHOWN)
        self.page.evaluate(READY)

    def kept_for_no_signal(self):
        self.until(lambda: self.page.evaluate("navigator.serviceWorker?.controller != null"))

    def until(self, is_so, seconds=PATIENCE_S):
        deadline = time.monotonic() + seconds
        while not (found := is_so()):
            assert time.monotonic() < deadline, "It did not come about."
            self.page.wait_for_timeout(100)
        return found

    def record(self, start, count, pictures=2):
        return self.page.evaluate(RECORD, [start, count, pictures])

    def waiting(self):
        return self.page.evaluate(WAITING)

    def send(self):
        """As the browser says when a signal is back."""
        self.page.evaluate("dispatchEvent(new Event('online'))")

    def kill(self):
        """SIGKILL for the browser and all its processes."""
        for process in psutil.process_iter(["cmdline"]):
            if f"--user-data-dir={self.folder}" in (process.info["cmdline"] or []):
                with suppress(psutil.Error):
                    for each in [*process.children(recursive=True), process]:
                        with suppress(psutil.Error):
                            each.kill()
        with suppress(Exception):  # it is gone already
            self.context.close()

    def close(self):
        with suppress(Exception):
            self.context.close()
