"""The process in which `read_bounded` reads: `python -m plots.formats.child FOLDER`.

It takes FOLDER/request.json and leaves FOLDER/answer.json, complete or not at all.
"""

import json
import math
import os
import sys
from pathlib import Path

try:
    import resource
except ImportError:  # Windows has no limits of this kind; the parent still watches
    resource = None

_DISK_BYTES = 300_000_000  # one unpacked archive, or one answer


def _limit(seconds, memory_mb):
    """Let the system refuse what the parent's look every 10 ms could miss."""
    if resource is None:
        return
    wanted = {
        "RLIMIT_CPU": math.ceil(seconds) + 1,
        "RLIMIT_DATA": int(memory_mb * 1e6),
        "RLIMIT_FSIZE": _DISK_BYTES,
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


def main(folder):
    request = json.loads((folder / "request.json").read_text(encoding="utf-8"))
    _limit(request.pop("seconds"), request.pop("memory_mb"))

    from plots.formats.bounded import to_plain
    from plots.formats.model import UnusableFile
    from plots.formats.reading import read

    try:
        answer = read(**request)
    except UnusableFile as refusal:
        answer = refusal
    partial = folder / "answer.partial"
    partial.write_text(json.dumps(to_plain(answer)), encoding="utf-8")
    os.replace(partial, folder / "answer.json")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
