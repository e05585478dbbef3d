"""Reads a boundary file in a process of its own, which is ended when it takes too long or too much memory."""

import json
import logging
import tempfile
from pathlib import Path

import shapely

from plots.formats.limits import MAX_FILE_BYTES, MEMORY_MB, SECONDS
from plots.formats.model import LeftOut, Outline, Reading, UnusableFile
from plots.processes import TookTooLong, TookTooMuchMemory, last_words, run_bounded

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
    }
    with tempfile.TemporaryDirectory(prefix="reading-") as folder:
        folder = Path(folder)
        try:
            run_bounded("plots.formats.child", folder, request, seconds=seconds, memory_mb=memory_mb)
        except TookTooLong:
            raise UnusableFile(
                f"Reading the file took longer than {seconds:g} seconds; it is too complex."
            ) from None
        except TookTooMuchMemory:
            raise UnusableFile(
                f"Reading the file took more than {memory_mb:g} MB of memory; it is too large or too complex."
            ) from None
        answer = folder / "answer.json"
        if not answer.exists():
            logger.warning("Reading a boundary file failed: %s", last_words(folder))
            raise UnusableFile(_DAMAGED)
        return from_plain(json.loads(answer.read_text(encoding="utf-8")))


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
