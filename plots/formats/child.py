"""The process in which `read_bounded` reads: `python -m plots.formats.child FOLDER`.

It takes FOLDER/request.json and leaves FOLDER/answer.json, complete or not at all.
"""

import json
import os
import sys
from pathlib import Path

from plots.processes import limit_this

_DISK_BYTES = 300_000_000  # one unpacked archive, or one answer


def main(folder):
    request = json.loads((folder / "request.json").read_text(encoding="utf-8"))
    limit_this(request.pop("seconds"), request.pop("memory_mb"), _DISK_BYTES)

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
