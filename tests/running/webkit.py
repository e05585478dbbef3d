"""WebKitGTK, driven over HTTP as W3C WebDriver (Recommendation, 2018) has it."""

import json
import os
import shutil
import signal
import subprocess
import time
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import Request, urlopen

WINDOW = Path(__file__).with_name("webkit_window.py")
PYTHON = "/usr/bin/python3"  # Debian's, which has the engine's bindings
PACKAGES = "webkit2gtk-driver, gir1.2-webkit2-4.1, python3-gi and xvfb"
PATIENCE_SECONDS = 60


def missing():
    """What is not here of the programs that the engine needs, or an empty text."""
    if not all(map(shutil.which, ("WebKitWebDriver", "Xvfb", PYTHON))):
        return f"WebKitGTK's driver or a screen for it is missing; Debian's {PACKAGES} are accepted."
    bound = "import gi; gi.require_version('WebKit2', '4.1')"
    if subprocess.run([PYTHON, "-c", bound], capture_output=True, check=False).returncode:
        return f"WebKitGTK's bindings are missing; Debian's {PACKAGES} are accepted."
    return ""


class Screen:
    """A display that nobody sees."""

    def __init__(self):
        reading, writing = os.pipe()
        command = ["Xvfb", "-displayfd", str(writing), "-screen", "0", "800x1000x24", "-nolisten", "tcp"]
        self.process = subprocess.Popen(command, pass_fds=[writing], stderr=subprocess.DEVNULL)
        os.close(writing)
        with os.fdopen(reading) as told:
            self.name = f":{told.readline().strip()}"

    def close(self):
        end(self.process)


class Browser:
    """One run of the browser on a profile that outlives it."""

    def __init__(self, screen, profile, port):
        self.address = f"http://127.0.0.1:{port}"
        environment = os.environ | {
            "DISPLAY": screen.name,
            "SWARDBOOK_PROFILE": str(profile),
            "XDG_RUNTIME_DIR": str(profile),
            "WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS": "1",  # root has no namespaces to make one of
            "WEBKIT_DISABLE_COMPOSITING_MODE": "1",
        }
        self.driver = subprocess.Popen(
            ["WebKitWebDriver", f"--port={port}"], env=environment, stderr=subprocess.DEVNULL, process_group=0
        )
        try:
            self._wait_for_driver()
            asked = {"webkitgtk:browserOptions": {"binary": PYTHON, "args": [str(WINDOW)]}}
            made = self._ask("POST", "/session", {"capabilities": {"alwaysMatch": asked}})
        except BaseException:
            self.kill()
            raise
        self.session = f"/session/{made['sessionId']}"

    def _wait_for_driver(self):
        until = time.monotonic() + PATIENCE_SECONDS
        while True:
            try:
                return self._ask("GET", "/status")
            except OSError:
                assert time.monotonic() < until, "WebKitWebDriver does not answer"
                time.sleep(0.1)

    def _ask(self, method, path, body=None):
        data = None if body is None else json.dumps(body).encode()
        request = Request(self.address + path, data, {"Content-Type": "application/json"}, method=method)
        try:
            with urlopen(request, timeout=PATIENCE_SECONDS) as answer:
                return json.load(answer)["value"]
        except HTTPError as error:
            raise AssertionError(error.read().decode()) from error

    def open(self, address):
        self._ask("POST", f"{self.session}/url", {"url": address})

    def reload(self):
        self._ask("POST", f"{self.session}/refresh", {})

    def run(self, script, *values):
        """What a function body returns, a promise's outcome too."""
        whole = (
            "const done = arguments[arguments.length - 1]; const values = [...arguments].slice(0, -1);"
            f"(async (...values) => {{ {script} }})(...values)"
            ".then((value) => done({ value }), (error) => done({ error: String(error) }));"
        )
        answer = self._ask("POST", f"{self.session}/execute/async", {"script": whole, "args": values})
        assert "error" not in answer, answer["error"]
        return answer.get("value")

    def until(self, script, *values):
        """The first true result."""
        deadline = time.monotonic() + PATIENCE_SECONDS
        while not (found := self.run(script, *values)):
            assert time.monotonic() < deadline, (
                f"{script!r} has not come about on a page that says\n{self.text()}"
            )
            time.sleep(0.1)
        return found

    def press(self, words):
        """The button or link that is seen and whose text begins with these words."""
        self.until(
            "const seen = [...document.querySelectorAll('main :is(button, a, summary, label)')].find((each) =>"
            " each.checkVisibility() && !each.disabled && each.textContent.trim().startsWith(values[0]));"
            "seen?.click(); return Boolean(seen);",
            words,
        )

    def tap(self, selector):
        """The first such element that is seen."""
        self.until(
            "const seen = [...document.querySelectorAll(values[0])].find((each) => each.checkVisibility());"
            "seen?.click(); return Boolean(seen);",
            selector,
        )

    def choose_file(self, selector, path):
        """As a person chooses a file for an input."""
        found = self._ask("POST", f"{self.session}/element", {"using": "css selector", "value": selector})
        [element] = found.values()
        self._ask("POST", f"{self.session}/element/{element}/value", {"text": str(path)})

    def text(self):
        return self.run("return document.body.innerText")

    def kill(self):
        """kill -9 for the browser, its helpers and the driver."""
        if self.driver.poll() is None:
            os.killpg(self.driver.pid, signal.SIGKILL)
            self.driver.wait()


def end(process):
    process.terminate()
    process.wait(PATIENCE_SECONDS)
