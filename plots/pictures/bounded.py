"""Reads and cuts a stranger's picture in a process of its own, within bounds of time and memory."""

import json
import logging
import tempfile
from pathlib import Path

from plots.pictures.limits import CUTTING_MB, CUTTING_SECONDS, OPENING_MB, OPENING_SECONDS
from plots.pictures.model import UnusablePicture
from plots.processes import TookTooLong, TookTooMuchMemory, last_words, run_bounded

_LOOK_EVERY_S = 0.1
_DAMAGED = "The picture cannot be read: it is damaged or made in an unusual way. Save it again as a GeoTIFF in tiles."

logger = logging.getLogger(__name__)


def picture_facts(path, *, world_file="", crs="", seconds=OPENING_SECONDS, memory_mb=OPENING_MB):
    """Where a picture lies and what it is, without cutting it.

    Parameters
    ----------
    path : Path
        In a folder of ours, under a name of ours.
    world_file : str
        The text of one; used where the picture does not say itself where it lies.
    crs : str
        'EPSG:n', or empty for what the file says.

    Returns
    -------
    dict
        'format', 'width', 'height', 'bands', 'colours', 'crs', 'bounds' (west, south, east, north in degrees),
        'ground_pixel_m', 'min_zoom', 'max_zoom', 'tiles' and 'notes'.

    Raises
    ------
    UnusablePicture
    """
    return _run(path, world_file, crs, None, seconds, memory_mb, None)


def cut_tiles(path, *, into, world_file="", crs="", seconds=CUTTING_SECONDS, memory_mb=CUTTING_MB, look=None):
    """Cut a picture into tiles `into`/zoom/column/row.webp; gone on with where it was cut short.

    Parameters
    ----------
    look : callable, optional
        Called with the number of tiles that are done, some times a second.

    Returns
    -------
    dict
        As `picture_facts`, with 'tile_bytes'.

    Raises
    ------
    UnusablePicture
    """
    into.mkdir(mode=0o700, parents=True, exist_ok=True)
    return _run(path, world_file, crs, into, seconds, memory_mb, look)


def _run(path, world_file, crs, into, seconds, memory_mb, look):
    request = {
        "path": str(Path(path).resolve()),
        "world_file": world_file,
        "crs": crs,
        "into": str(Path(into).resolve()) if into else None,
    }
    with tempfile.TemporaryDirectory(prefix="picture-") as folder:
        folder = Path(folder)

        def told():
            progress = folder / "progress"
            if look is not None:
                look(int(progress.read_text("ascii")) if progress.exists() else 0)

        try:
            run_bounded(
                "plots.pictures.child",
                folder,
                request,
                seconds=seconds,
                memory_mb=memory_mb,
                look_every_s=_LOOK_EVERY_S,
                look=told,
            )
        except TookTooLong:
            raise UnusablePicture(
                f"The picture took longer than {seconds:,.0f} seconds; a smaller one is accepted."
            ) from None
        except TookTooMuchMemory:
            raise UnusablePicture(
                f"The picture took more than {memory_mb:,.0f} MB of memory. Save it again as a GeoTIFF in tiles."
            ) from None
        answer = folder / "answer.json"
        if not answer.exists():
            logger.warning("Reading a picture failed: %s", last_words(folder))
            raise UnusablePicture(_DAMAGED)
        answer = json.loads(answer.read_text(encoding="utf-8"))
    if "sentence" in answer:
        raise UnusablePicture(answer.pop("sentence"), **answer)
    return answer
