"""An installation of its own, in processes of its own, as a person at a terminal would run it."""

import json
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from contextlib import suppress
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, Request, build_opener

import psutil
import redis

ROOT = Path(__file__).resolve().parent.parent.parent
PATIENCE_SECONDS = 300  # a process that has ended is not waited for; on a busy machine a start takes its time


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_for(what, name):
    """The first true result of what(), asked again and again."""
    deadline = time.monotonic() + PATIENCE_SECONDS
    while not (result := what()):
        assert time.monotonic() < deadline, f"{name!r} has not come about"
        time.sleep(0.1)
    return result


class Installation:
    """A data folder with the environment that goes with it."""

    def __init__(self, folder, **environment):
        self.folder = folder
        inherited = {name: value for name, value in os.environ.items() if not name.startswith("SWARDBOOK_")}
        self.environment = inherited | environment | {"SWARDBOOK_DATA": str(folder)}
        self.processes = []

    def begin(self, *command):
        process = subprocess.Popen(
            [sys.executable, *map(str, command)],
            cwd=ROOT,
            env=self.environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            process_group=0,
        )
        self.processes.append(process)
        return process

    def start(self, *arguments, port=None):
        port = port or free_port()
        return Run(self.begin("manage.py", "start", "--port", port, *arguments), port)

    def part(self, name):
        """A part as `start` runs it, without `start`."""
        return self.begin("-m", "config.running.part", name)

    def manage(self, *arguments, environment=()):
        return subprocess.run(
            [sys.executable, "manage.py", *map(str, arguments)],
            cwd=ROOT,
            env=self.environment | dict(environment),
            capture_output=True,
            text=True,
            timeout=PATIENCE_SECONDS,
            check=False,
        )

    def scene(self, name, **arguments):
        """What a function of scenes.py returns when it is called in this installation."""
        code = (
            f"import json; from tests.running import scenes; print(json.dumps(scenes.{name}(**{arguments})))"
        )
        done = self.manage("shell", "--no-imports", "-c", code)
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    def lose_messages(self):
        """Empty the broker."""
        url = self.environment.get("SWARDBOOK_BROKER_URL")
        if url:
            redis.Redis.from_url(url).flushdb()
            return
        messages = list((self.folder / "broker" / "messages").iterdir())
        assert messages
        for message in messages:
            message.unlink()

    def close(self):
        for process in self.processes:
            kill_group(process)


class Run:
    """A `manage.py start`; `lines` is what it has said so far."""

    def __init__(self, process, port):
        self.process = process
        self.port = port
        self.lines = []
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self):
        for line in self.process.stdout:
            self.lines.append(line.rstrip())

    @property
    def output(self):
        return "\n".join(self.lines)

    def has_said(self, pattern):
        return re.search(pattern, self.output, re.MULTILINE)

    def says(self, pattern):
        """The match, as soon as it has said so."""

        def said():
            assert self.process.poll() is None, self.output
            return self.has_said(pattern)

        return wait_for(said, pattern)

    def ready(self):
        """A visitor, once the address has been printed."""
        self.says(rf"running at https?://\S+:{self.port}/ ")
        return Visitor(self.port)

    def family(self):
        """Every process that belongs to the run, itself left out."""
        return psutil.Process(self.process.pid).children(recursive=True)

    def part(self, name):
        for process in self.family():
            with suppress(psutil.Error):  # it may have ended since
                if name in process.cmdline():
                    return process
        return None

    def interrupt(self):
        """Ctrl-C; gives the exit status."""
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(PATIENCE_SECONDS)


class Visitor:
    """A browser without a screen: follows redirects, keeps cookies, fills the only form of a page."""

    def __init__(self, port):
        self.address = f"http://127.0.0.1:{port}"
        self.cookies = CookieJar()
        self.opener = build_opener(HTTPCookieProcessor(self.cookies))

    def get(self, path, **headers):
        return self._open(Request(self.address + path, headers=headers))

    def fill(self, path, **fields):
        self.get(path)
        token = next(cookie.value for cookie in self.cookies if cookie.name == "csrftoken")
        data = urlencode(fields | {"csrfmiddlewaretoken": token}).encode()
        return self._open(Request(self.address + path, data=data))

    def _open(self, request):
        with self.opener.open(request, timeout=PATIENCE_SECONDS) as response:
            return Page(response.geturl(), response.read().decode())


class Page:
    def __init__(self, address, text):
        self.address, self.text = address, text


def kill_group(process):
    """kill -9 for the process and all that it began."""
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()
