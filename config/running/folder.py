"""The data folder: the one place that holds everything an installation keeps, for its owner alone."""

import fcntl
import json
import os
import secrets
import shutil
import time
from contextlib import contextmanager

from config.running import CannotStart

START_LOCK, PARTS_LOCK = "start.lock", "parts.lock"
# A folder with one of these in it is an installation's; any other content belongs to someone else.
_OURS = {START_LOCK, "secret_key", "swardbook.sqlite3"}
_HARMLESS = {"lost+found"}
EARLIER_RUN_SECONDS = 20.0


def make_data_folder(folder):
    """Make the folder, or take the one that is there, and let only its owner in.

    Raises
    ------
    CannotStart
        It cannot be made or written to, or holds things that are not an installation's.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        held = {path.name for path in folder.iterdir()} - _HARMLESS
        if held and not held & _OURS:
            raise CannotStart(
                f"SWARDBOOK_DATA is {folder}, which holds other things; an empty or a new folder is accepted."
            )
        folder.chmod(0o700)
        with (folder / START_LOCK).open("a"):
            pass
    except OSError as error:
        raise CannotStart(
            f"SWARDBOOK_DATA is {folder}, which cannot be written to ({error.strerror}); "
            "a folder that you may write to is accepted."
        ) from error


def make_secret_key(path):
    """Write a random key once, whole or not at all."""
    if path.exists():
        return
    draft = path.with_suffix(".new")
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as file:
        file.write(secrets.token_urlsafe(50))
        file.flush()
        os.fsync(file.fileno())
    draft.replace(path)


def make_working_folders(folder, broker_folder):
    """Make the folders of the broker and for temporary files, without what a killed run left half done."""
    temporary = folder / "tmp"
    shutil.rmtree(temporary, ignore_errors=True)
    temporary.mkdir(mode=0o700)
    messages = broker_folder / "messages"
    messages.mkdir(mode=0o700, parents=True, exist_ok=True)
    for message in messages.iterdir():
        if message.name.startswith(".") or not _is_json(message):
            message.unlink()
    # Which queue takes what is written anew by whoever sends or receives first; cut short, it would
    # stop them all.
    control = broker_folder / "control"
    shutil.rmtree(control, ignore_errors=True)
    control.mkdir(mode=0o700)


def _is_json(path):
    try:
        json.loads(path.read_bytes())
    except ValueError:
        return False
    return True


@contextmanager
def the_only_run(folder):
    """Hold the folder for one run; gives the lock that the parts inherit.

    Two locks, since a killed `start` may leave parts behind that are still ending: the first is held
    by `start` alone and refuses a second one at once; the second is held by the parts too, and is
    waited for.
    """
    with (folder / START_LOCK).open("a") as own, (folder / PARTS_LOCK).open("a") as shared:
        if not _taken(own):
            raise CannotStart(f"Swardbook is already running on {folder}; stop that one first.")
        deadline = time.monotonic() + EARLIER_RUN_SECONDS
        while not _taken(shared):
            if time.monotonic() > deadline:
                raise CannotStart(f"Parts of an earlier run still hold {folder}; end them first.")
            time.sleep(0.1)
        yield shared


def _taken(file):
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
