"""The demonstration as `start` serves it: compressed files with hashed names, and a worker."""

from contextlib import contextmanager

from blends.services import demo
from tests.running.installation import Installation

SLUG = "larkspindle-hollow"
FIELD = f"/p/{SLUG}/field/"
SHOWN = "[data-screen]:not([hidden]):not([data-loading])"
# 1.6 Mbit/s, 150 ms round trip; the processor is slowed beside it.
SLOW = {
    "offline": False,
    "latency": 150,  # [ms]
    "downloadThroughput": 1_600_000 / 8,  # [bytes/s]
    "uploadThroughput": 750_000 / 8,
}
NONE = SLOW | {"offline": True}
SLOWED_TIMES = 4

OBSERVE = """
window.seen = { lcp: 0, cls: 0, what: "" };
new PerformanceObserver(list => { for (const each of list.getEntries()) {
    seen.lcp = each.startTime; seen.what = each.element?.outerHTML?.slice(0, 80) ?? "?"; } })
    .observe({ type: "largest-contentful-paint", buffered: true });
new PerformanceObserver(list => { for (const each of list.getEntries()) seen.cls += each.value; })
    .observe({ type: "layout-shift", buffered: true });
"""


@contextmanager
def demonstration(folder):
    """The address of the demonstration, running on a data folder of its own."""
    installation = Installation(folder)
    installation.environment.pop("DATABASE_URL", None)  # tests may be run on a server; this one is small
    run = installation.start("--demo")
    try:
        yield run.ready().address
    finally:
        run.interrupt()
        installation.close()


def signed_in(context, username="demo-intern"):
    """A page of the context whose person is signed in."""
    page = context.new_page()
    page.goto("/sign-in/")
    page.fill("[name=username]", username)
    page.fill("[name=password]", demo.PASSWORD)
    page.click("main button[type=submit]")
    page.wait_for_url("**/p/*/")
    return page


def slow_down(page, network=SLOW):
    """A phone at the edge of the signal. Gives the session with the browser's own tools."""
    devtools = page.context.new_cdp_session(page)
    devtools.send("Network.enable")
    devtools.send("Network.emulateNetworkConditions", network)
    devtools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWED_TIMES})
    return devtools
