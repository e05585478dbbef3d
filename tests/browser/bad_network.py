"""A network between a phone and the server that loses, doubles and delays, by a fixed seed."""

import http.client
import random
import threading
import time
from collections import Counter
from contextlib import suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

PATIENCE_S = 30
HOP_BY_HOP = {"connection", "keep-alive", "transfer-encoding", "te", "trailer", "upgrade", "content-length"}
# What happens to a request for the API, and how often: what is left goes through.
LOTS = {
    "question lost": 0.12,
    "answer lost": 0.14,
    "doubled": 0.12,
    "doubled at once": 0.06,
    "delayed": 0.12,
    "server trouble": 0.06,
}


class BadNetwork:
    """A proxy on a port of its own before the server's `port`.

    `is_down` is no signal at all; `is_stormy` treats every question to the API by lot. `seen` counts what was done.
    `on_passed(count)` is called with how many questions to the API have gone to the server.
    """

    def __init__(self, port, seed):
        self.port, self.is_down, self.is_stormy = port, False, False
        self.seen, self.passed, self.on_passed = Counter(), 0, None
        self._lots, self._lock = random.Random(seed), threading.Lock()
        self._server = ThreadingHTTPServer(("127.0.0.1", 0), type("Handler", (_Handler,), {"network": self}))
        self._server.daemon_threads = True
        threading.Thread(target=self._server.serve_forever, daemon=True).start()
        self.address = f"http://127.0.0.1:{self._server.server_port}"

    def close(self):
        self._server.shutdown()
        self._server.server_close()

    def draw(self, path):
        if not self.is_stormy or not path.startswith("/api/"):
            return "through"
        with self._lock:
            lot = self._lots.random()
        for what, share in LOTS.items():
            if lot < share:
                return what
            lot -= share
        return "through"

    def count(self, what, path):
        with self._lock:
            self.seen[what] += 1
            self.passed += path.startswith("/api/") and what != "question lost"
            passed = self.passed
        if self.on_passed:
            self.on_passed(passed)

    def forward(self, handler, body):
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        try:
            headers = {
                name: value for name, value in handler.headers.items() if name.lower() not in HOP_BY_HOP
            }
            connection.request(handler.command, handler.path, body or None, headers)
            answer = connection.getresponse()
            return answer.status, answer.getheaders(), answer.read()
        finally:
            connection.close()


class _Handler(BaseHTTPRequestHandler):
    network = None

    def do_GET(self):
        network = self.network
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        if network.is_down:
            return
        what = network.draw(self.path)
        network.count(what, self.path)
        if what == "question lost":
            return
        if what == "server trouble":
            self._answer(503, [("Content-Type", "application/json")], b"{}")
            return
        if what == "delayed":
            time.sleep(0.4)
        try:
            answer = self._asked(what, body)
        except (OSError, http.client.HTTPException):
            return  # the server is gone
        if what != "answer lost" and not network.is_down:
            self._answer(*answer)

    do_POST = do_PUT = do_PATCH = do_HEAD = do_GET

    def _asked(self, what, body):
        if what == "doubled at once":
            other = threading.Thread(target=self._asked_in_vain, args=(body,))
            other.start()
            answer = self.network.forward(self, body)
            other.join()
            return answer
        if what == "doubled":
            self.network.forward(self, body)
        return self.network.forward(self, body)

    def _asked_in_vain(self, body):
        with suppress(OSError, http.client.HTTPException):
            self.network.forward(self, body)

    def _answer(self, status, headers, body):
        try:
            self.send_response_only(status)
            for name, value in headers:
                if name.lower() not in HOP_BY_HOP:
                    self.send_header(name, value)
            self.send_header("Content-Length", str(len(body)))
            self.send_header("Connection", "close")
            self.end_headers()
            self.wfile.write(body)
        except OSError:
            pass  # the browser was killed

    def log_message(self, *_):
        pass
