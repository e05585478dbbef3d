"""What the overview costs a phone: 1.6 Mbit/s, 150 ms round trip, a processor slowed four times.

The real web server with compressed static files, since the live server of other tests compresses
nothing. The bounds are the goals themselves; `pytest -s` prints the figures.
"""

import os
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PHONE = {"viewport": {"width": 390, "height": 844}, "device_scale_factor": 3, "is_mobile": True}
SLOW = {
    "offline": False,
    "latency": 150,  # [ms]
    "downloadThroughput": 1_600_000 / 8,  # [bytes/s]
    "uploadThroughput": 750_000 / 8,
}
MOST_KIB, MOST_LCP_MS, MOST_CLS = 120, 1500, 0
# Other work on the machine only ever adds time: the best of a few loads is the page's own.
LOADS = 3

SET_UP = """
from django.test import Client
from plots.models import Membership, Property, User
from tests.scenery import planted_property
farm = Property.objects.create(name="Tally Hollow", slug="tally-hollow")
user = User.objects.create(username="owner")
Membership.objects.create(user=user, property=farm, role="owner")
planted_property(farm, 14)
client = Client()
client.force_login(user)
print(client.cookies["sessionid"].value)
"""

OBSERVE = """
window.seen = { lcp: 0, cls: 0 };
new PerformanceObserver(list => { for (const each of list.getEntries()) seen.lcp = each.startTime; })
    .observe({ type: "largest-contentful-paint", buffered: true });
new PerformanceObserver(list => { for (const each of list.getEntries()) seen.cls += each.value; })
    .observe({ type: "layout-shift", buffered: true });
"""


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """(address, session cookie) of a running web server with a planted property of 14 plots."""
    data = tmp_path_factory.mktemp("data")
    (data / "secret_key").write_text("k" * 50)
    inherited = {k: v for k, v in os.environ.items() if not k.startswith(("SWARDBOOK_", "DATABASE_URL"))}
    environment = inherited | {"SWARDBOOK_DATA": str(data)}

    def manage(*arguments):
        command = [sys.executable, "manage.py", *arguments]
        done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
        return done.stdout

    manage("migrate", "--verbosity=0")
    manage("collectstatic", "--noinput", "--verbosity=0", "-i", "rest_framework", "-i", "ext", "-i", "*-src*")
    session = manage("shell", "--no-imports", "-c", SET_UP).split()[-1]
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = subprocess.Popen(
        [sys.executable, "-m", "granian", "--interface=wsgi", f"--port={port}", "--log-level=error"]
        + ["config.wsgi:application"],
        cwd=ROOT,
        env=environment,
    )
    address = f"http://127.0.0.1:{port}"
    try:
        wait_for(address)
        yield address, session
    finally:
        server.terminate()
        server.wait(10)


def wait_for(address, seconds=30):
    deadline = time.monotonic() + seconds
    while True:
        try:
            return urllib.request.urlopen(f"{address}/sign-in/", timeout=5).close()
        except OSError:
            assert time.monotonic() < deadline, f"{address} does not answer"
            time.sleep(0.2)


@pytest.fixture(scope="module")
def figures(chromium, site):
    """What loading the overview cost at best: `kib`, `lcp_ms`, `cls`, and the requests it took."""
    loads = [load(chromium, *site, "/p/tally-hollow/") for _ in range(LOADS)]
    best = min(loads, key=lambda each: each["lcp_ms"]) | {"cls": max(each["cls"] for each in loads)}
    print(
        f"\noverview on a slow phone: {best['kib']:.1f} KiB, LCP {best['lcp_ms']:.0f} ms, CLS {best['cls']:g}"
    )
    for name, size in best["requests"].items():
        print(f"  {size / 1024:6.1f} KiB  {name}")
    return best


def load(chromium, address, session, path):
    context = chromium.new_context(base_url=address, **PHONE)
    context.add_cookies([{"name": "sessionid", "value": session, "url": address}])
    page = context.new_page()
    devtools = context.new_cdp_session(page)
    names, sizes = {}, {}
    devtools.on("Network.requestWillBeSent", lambda e: names.update({e["requestId"]: e["request"]["url"]}))
    devtools.on(
        "Network.loadingFinished", lambda e: sizes.update({names[e["requestId"]]: e["encodedDataLength"]})
    )
    devtools.send("Network.enable")
    devtools.send("Network.emulateNetworkConditions", SLOW)
    devtools.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    page.add_init_script(OBSERVE)
    page.goto(path)
    page.wait_for_selector("[data-map][data-ready]")
    page.wait_for_timeout(500)
    seen = page.evaluate("seen")
    context.close()
    return {
        "kib": sum(sizes.values()) / 1024,
        "lcp_ms": seen["lcp"],
        "cls": seen["cls"],
        "requests": {name.removeprefix(address): size for name, size in sizes.items()},
    }


def test_overview_transfers_less_than_120_kib(figures):
    assert figures["kib"] < MOST_KIB


def test_overviews_largest_paint_comes_within_a_second_and_a_half(figures):
    assert 0 < figures["lcp_ms"] < MOST_LCP_MS


def test_nothing_on_the_overview_shifts_while_it_loads(figures):
    assert figures["cls"] == MOST_CLS


def test_every_static_file_of_the_overview_has_a_hashed_name(figures):
    static = [name for name in figures["requests"] if name.startswith("/static/")]
    assert len(static) > 5
    assert all(len(name.split(".")[-2]) == 12 for name in static)
