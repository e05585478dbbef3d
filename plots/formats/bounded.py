"""Reads a boundary file in a process of its own, which is ended when it takes too long or too much memory.

A plain subprocess: worker processes of a task queue are daemons and may not have children by
`multiprocessing`, and a fork of a threaded web server is not safe.
"""

import json
import logging
import os
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import psutil
import shapely

from plots.formats.limits import MAX_FILE_BYTES, MEMORY_MB, SECONDS
from plots.formats.model import LeftOut, Outline, Reading, UnusableFile

_ROOT = Path(__file__).resolve().parents[2]
_LOOK_EVERY_S = 0.01
_KEPT_ENVIRONMENT = (
    *("PATH", "LANG", "LC_ALL", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH", "SYSTEMROOT"),
    *("VIRTUAL_ENV", "PYTHONPATH", "PYTHONHOME"),
)
_DAMAGED = (
    "The file cannot be read: it is damaged or made in an unusual way. Save it again in another format."
)

logger = logging.getLogger(__name__)


def read_bounded(
    path, *, filename=None, layer=None, crs=None, swap_axes=False, seconds=SECONDS, memory_mb=MEMORY_MB
):
    """Read a boundary file of a stranger: like `read`, within bounds of time and memory.

    Parameters
    ----------
    path, filename, layer, crs, swap_axes
        As for `read`.
    seconds : float
        Wall time after which reading is ended.
    memory_mb : float
        Resident memory above which reading is ended.

    Returns
    -------
    Reading

    Raises
    ------
    UnusableFile
    """
    path = Path(path).resolve()
    if path.is_file() and path.stat().st_size > MAX_FILE_BYTES:  # not worth a process
        raise UnusableFile(
            f"The file is too large: {path.stat().st_size / 1e6:,.0f} MB; at most {MAX_FILE_BYTES / 1e6:,.0f} MB can be read."
        )
    request = {
        "path": str(path),
        "filename": filename or path.name,
        "layer": layer,
        "crs": crs,
        "swap_axes": swap_axes,
        "seconds": seconds,
        "memory_mb": memory_mb,
    }
    with tempfile.TemporaryDirectory(prefix="reading-") as folder:
        folder = Path(folder)
        (folder / "request.json").write_text(json.dumps(request), encoding="utf-8")
        _run(folder, seconds, memory_mb)
        answer = folder / "answer.json"
        if not answer.exists():
            logger.warning("Reading a boundary file failed: %s", _last_words(folder))
            raise UnusableFile(_DAMAGED)
        return from_plain(json.loads(answer.read_text(encoding="utf-8")))


def _run(folder, seconds, memory_mb):
    with (folder / "errors.txt").open("wb") as errors:
        process = subprocess.Popen(  # noqa: S603 - our own module, no shell
            [sys.executable, "-X", "utf8", "-m", "plots.formats.child", str(folder)],
            cwd=_ROOT,
            env=_environment(folder),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=errors,
            start_new_session=True,
        )
    try:
        _watch(process, seconds, memory_mb)
    finally:
        _end(process)


def _watch(process, seconds, memory_mb):
    stop = time.monotonic() + seconds
    while process.poll() is None:
        if time.monotonic() > stop:
            raise _too_long(seconds)
        if _resident_mb(process.pid) > memory_mb:
            raise _too_much_memory(memory_mb)
        time.sleep(_LOOK_EVERY_S)
    if process.returncode == -signal.SIGXCPU:
        raise _too_long(seconds)


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


def _too_long(seconds):
    return UnusableFile(f"Reading the file took longer than {seconds:g} seconds; it is too complex.")


def _too_much_memory(memory_mb):
    return UnusableFile(
        f"Reading the file took more than {memory_mb:g} MB of memory; it is too large or too complex."
    )


def _last_words(folder):
    return (folder / "errors.txt").read_bytes()[-2000:].decode("utf-8", errors="replace")


def to_plain(result):
    """A Reading or an UnusableFile as what JSON can say."""
    if isinstance(result, UnusableFile):
        return vars(result)
    outlines = [
        {
            "name": outline.name,
            "geometry": shapely.to_wkb(outline.geometry, hex=True),
            "attributes": outline.attributes,
            "repaired": outline.repaired,
            "notes": outline.notes,
        }
        for outline in result.outlines
    ]
    left_out = [[item.what, item.why] for item in result.left_out]
    return vars(result) | {"outlines": outlines, "left_out": left_out}


def from_plain(answer):
    """The Reading that was made plain; raises the UnusableFile."""
    if "sentence" in answer:
        raise UnusableFile(answer.pop("sentence"), **answer)
    outlines = [
        Outline(**outline | {"geometry": shapely.from_wkb(outline["geometry"])})
        for outline in answer["outlines"]
    ]
    left_out = [LeftOut(*item) for item in answer["left_out"]]
    return Reading(**answer | {"outlines": outlines, "left_out": left_out})
