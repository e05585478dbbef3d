"""One part of a running Swardbook: `python -m config.running.part web|worker|beat …`.

Its standard input is a pipe that `start` holds open and never writes to: when `start` has gone, killed
with -9 or not, the pipe ends, and so does the part with everything that it began.
"""

import os
import signal
import sys
import threading
import time
import warnings
from pathlib import Path

PARTING_SECONDS = 5.0
# Requests spend their time in the database and in Python, which runs one thread at a time: more threads
# only wait in more memory. Beyond the queue the kernel makes the browser try again.
WEB_THREADS, WEB_QUEUE = 16, 256


def end_with_start():
    threading.Thread(target=_wait_for_the_end, daemon=True).start()


def _wait_for_the_end():
    while os.read(0, 1):
        pass
    os.killpg(0, signal.SIGTERM)
    time.sleep(PARTING_SECONDS)
    os.killpg(0, signal.SIGKILL)


def web(host, port, certificate=None, key=None):
    from granian import Granian

    Granian(
        "config.running.served:application",
        address=host,
        port=int(port),
        interface="wsgi",
        blocking_threads=WEB_THREADS,
        backlog=WEB_QUEUE,
        backpressure=WEB_THREADS * 2,
        workers_kill_timeout=int(PARTING_SECONDS),
        ssl_cert=certificate and Path(certificate),
        ssl_key=key and Path(key),
        ssl_protocol_min="tls1.2",  # phones of ten years ago
        log_level="error",
        log_access=False,
    ).serve()


def worker():
    from celery.platforms import SecurityWarning
    from django.conf import settings

    from config.celery import app

    # Celery warns about root, which matters where messages are pickled; here they are JSON.
    warnings.simplefilter("ignore", SecurityWarning)
    # One process: it takes one task at a time, and nothing of it is left when it is killed.
    app.worker_main(
        [
            "--quiet",
            "worker",
            "--pool=solo",
            "--hostname=swardbook@localhost",
            f"--loglevel={settings.LOG_LEVEL}",
        ]
        + ["--without-gossip", "--without-mingle", "--without-heartbeat"]
    )


def beat():
    from django.conf import settings

    from config.celery import app

    # The schedule lives in memory: a file of it is what a killed run leaves broken. See config/celery.py
    # for what is done at once when the worker comes back.
    app.start(["--quiet", "beat", "--scheduler=celery.beat:Scheduler", f"--loglevel={settings.LOG_LEVEL}"])


if __name__ == "__main__":
    end_with_start()
    {"web": web, "worker": worker, "beat": beat}[sys.argv[1]](*sys.argv[2:])
