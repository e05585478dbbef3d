"""The process in which pictures are read: `python -m plots.pictures.child FOLDER`.

It takes FOLDER/request.json, writes FOLDER/progress while it cuts, and leaves FOLDER/answer.json, complete or not at all.
"""

import errno
import json
import os
import sys
import time
import warnings
from pathlib import Path

from plots.pictures.limits import TILE_FILE_BYTES
from plots.processes import end_with_parent, limit_this

_SAY_EVERY_S = 0.2
_FULL = "The disk is full; the picture could not be cut. Make room, then cut it again."


def main(folder):
    end_with_parent()
    request = json.loads((folder / "request.json").read_text(encoding="utf-8"))
    limit_this(request["seconds"], request["memory_mb"], TILE_FILE_BYTES)

    from rasterio.errors import NotGeoreferencedWarning

    from plots.pictures.cutting import cut
    from plots.pictures.model import UnusablePicture
    from plots.pictures.opening import opened

    warnings.simplefilter("ignore", NotGeoreferencedWarning)
    try:
        with opened(Path(request["path"]), request["world_file"], request["crs"]) as placed:
            answer = placed.facts()
            if request["into"]:
                answer["tile_bytes"] = cut(placed, Path(request["into"]), _Progress(folder / "progress"))
    except UnusablePicture as refusal:
        answer = vars(refusal)
    except OSError as error:
        if error.errno != errno.ENOSPC:
            raise
        answer = {"sentence": _FULL, "needs": None, "extent": None}
    _leave(folder / "answer.json", json.dumps(answer))


class _Progress:
    """The number of tiles done, written now and then."""

    def __init__(self, path):
        self._path, self._next = path, 0.0

    def __call__(self, tiles):
        if time.monotonic() >= self._next:
            _leave(self._path, str(tiles))
            self._next = time.monotonic() + _SAY_EVERY_S


def _leave(path, text):
    partial = path.with_suffix(".partial")
    partial.write_text(text, encoding="utf-8")
    os.replace(partial, path)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
