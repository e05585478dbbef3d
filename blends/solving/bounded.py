"""Searches for the cheapest way to buy in a process of its own, within bounds of time and memory."""

import json
import logging
import tempfile
from pathlib import Path

from blends.calc.buying import to_plain
from plots.processes import TookTooLong, TookTooMuchMemory, last_words, run_bounded

logger = logging.getLogger(__name__)
MEMORY_MB = 1500
_LOOK_EVERY_S = 0.1
_SPARE = 2.5  # times the seconds asked: the questions beside it, and starting


class Cancelled(Exception):
    """Raised by `look` to end the search; what was found stays."""


def find(problem, *, seconds, look=lambda found: None):
    """Search for the cheapest way and what is asked beside it.

    Parameters
    ----------
    problem : Problem
    seconds : float
        For the way itself.
    look : callable
        Called some times a second with what is known so far; may raise Cancelled.

    Returns
    -------
    dict
        What solving/child.py writes, with "ended": "done", "cancelled", "late", "memory" or "fault".
    """
    with tempfile.TemporaryDirectory(prefix="buying-") as folder:
        folder = Path(folder)

        def known():
            path = folder / "found.json"
            return json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}

        ended = "done"
        try:
            run_bounded(
                "blends.solving.child",
                folder,
                {"problem": to_plain(problem), "asked_seconds": seconds},
                seconds=seconds * _SPARE + 20,
                memory_mb=MEMORY_MB,
                look_every_s=_LOOK_EVERY_S,
                look=lambda: look(known()),
            )
        except Cancelled:
            ended = "cancelled"
        except TookTooLong:
            ended = "late"
        except TookTooMuchMemory:
            ended = "memory"
        found = known()
        if ended == "done" and not found.get("is_done"):
            logger.warning("The search for a way to buy failed: %s", last_words(folder))
            ended = "fault"
    return found | {"ended": ended}
