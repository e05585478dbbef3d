"""Files of strangers are read in processes of their own, which are ended when they take too long or too much.

A plain subprocess: worker processes of a task queue are daemons and may not have children by
`multiprocessing`, and a fork of a threaded web server is not safe. A request goes in as FOLDER/request.json; what the
process leaves in the folder is the answer, and FOLDER/errors.txt what it said.
"""

import json
import math
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import psutil

try:
    import resource
except ImportError:  # Windows has no limits of this kind; the parent still watches
    resource = None

_ROOT = Path(__file__).resolve().parents[1]
_KEPT_ENVIRONMENT = (
    *("PATH", "LANG", "LC_ALL", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "SYSTEMROOT"),
    *("VIRTUAL_ENV", "PYTHONPATH", "PYTHONHOME"),
)


class TookTooLong(Exception):
    pass


class TookTooMuchMemory(Exception):
    pass


def run_bounded(module, folder, request, *, seconds, memory_mb, look_every_s=0.01, look=None):
    """Run `python -m module FOLDER` to its end.

    Parameters
    ----------
    seconds : float
        Wall time after which it is ended.
    memory_mb : float
        Resident memory above which it is ended.
    look : callable, optional
        Called without arguments at each look, every `look_every_s` seconds.

    Raises
    ------
    TookTooLong, TookTooMuchMemory
    """
    bounds = {"seconds": seconds, "memory_mb": memory_mb}
    (folder / "request.json").write_text(json.dumps(request | bounds), encoding="utf-8")
    with (folder / "errors.txt").open("wb") as errors:
        process = subprocess.Popen(  # noqa: S603 - our own module, no shell
            [sys.executable, "-X", "utf8", "-m", module, str(folder)],
            cwd=_ROOT,
            env=_environment(folder),
            stdin=subprocess.PIPE,  # nothing is written to it; it ends when this process does
            stdout=subprocess.DEVNULL,
            stderr=errors,
            start_new_session=True,
        )
    try:
        _watch(process, seconds, memory_mb, look_every_s, look)
    finally:
        _end(process)
        process.stdin.close()


def last_words(folder):
    """The end of what the process said."""
    return (folder / "errors.txt").read_bytes()[-2000:].decode("utf-8", errors="replace")


def limit_this(seconds, memory_mb, disk_bytes):
    """Called in the process: let the system refuse what a look of the parent could miss.

    Parameters
    ----------
    disk_bytes : int
        Of one file that it writes.
    """
    if resource is None:
        return
    wanted = {
        "RLIMIT_CPU": math.ceil(seconds) + 1,
        "RLIMIT_DATA": int(memory_mb * 1e6),
        "RLIMIT_FSIZE": disk_bytes,
        "RLIMIT_CORE": 0,
    }
    for name, value in wanted.items():
        limit = getattr(resource, name)
        hard = resource.getrlimit(limit)[1]
        value = value if hard == resource.RLIM_INFINITY else min(value, hard)
        try:
            resource.setrlimit(limit, (value, hard))
        except (OSError, ValueError):  # macOS does not accept every limit
            continue


def end_with_parent():
    """Called in the process: end it when the one that began it has gone, killed with -9 or not."""

    def wait():
        while os.read(0, 1):
            pass
        os._exit(1)

    threading.Thread(target=wait, daemon=True).start()


def _watch(process, seconds, memory_mb, look_every_s, look):
    stop = time.monotonic() + seconds
    while process.poll() is None:
        if time.monotonic() > stop:
            raise TookTooLong
        if _resident_mb(process.pid) > memory_mb:
            raise TookTooMuchMemory
        if look is not None:
            look()
        time.sleep(look_every_s)
    if process.returncode == -signal.SIGXCPU:
        raise TookTooLong


def _resident_mb(pid):
    try:
        return psutil.Process(pid).memory_info().rss / 1e6
    except psutil.Error:  # it ended between two looks
        return 0.0


def _end(process):
    """End the process and whatever it started, unless it has ended: its number may be another's by now."""
    if process.poll() is None:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()


def _environment(folder):
    """Enough to run Python; no passwords or addresses of the site."""
    kept = {name: os.environ[name] for name in _KEPT_ENVIRONMENT if name in os.environ}
    return kept | {
        "TMPDIR": str(folder),
        "PYTHONDONTWRITEBYTECODE": "1",
        "PROJ_NETWORK": "OFF",
        # One thread: more would each reserve memory and gain nothing on files of this size.
        "OPENBLAS_NUM_THREADS": "1",
        "OMP_NUM_THREADS": "1",
        "GDAL_NUM_THREADS": "1",
    }
