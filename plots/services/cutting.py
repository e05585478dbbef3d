"""The background half of a picture: its tiles, cut once and shown only when all of them are there."""

import logging
import os
import shutil
import time
from pathlib import Path

from django.core.files.storage import default_storage

from config.errors import Refused
from plots.models import GroundPicture
from plots.pictures.bounded import cut_tiles
from plots.pictures.limits import SPARE_DISK_BYTES, USUAL_TILE_BYTES
from plots.pictures.model import UnusablePicture
from plots.services.progress import beat

logger = logging.getLogger(__name__)

State = GroundPicture.State
_BEAT_EVERY_S = 1.0
_FAULT = "The cutting stopped because of a fault here, which has been logged. Cut it again."


def folder_of(property_id, picture_id):
    """Where a picture's file and tiles lie; nothing else does."""
    return Path(default_storage.path(f"pictures/{property_id}/{picture_id}"))


def tiles_folder(property_id, picture_id):
    """Its tiles, zoom/column/row.webp; the folder is there when all of them are."""
    return folder_of(property_id, picture_id) / "tiles"


def cut_picture(property_id, *, job):
    """Cut the job's picture into tiles. Safe to run twice; what was cut short is gone on with.

    Raises
    ------
    Refused
        The picture cannot be read to its end, or the disk has no room.
    """
    picture = GroundPicture.objects.filter(job=job, property_id=property_id, state=State.CUTTING).first()
    if picture is None:  # removed, or finished by another worker
        return
    draft, tiles = (folder_of(property_id, picture.pk) / name for name in ("cutting", "tiles"))
    try:
        if not tiles.exists():
            _check_room(picture)
            facts = cut_tiles(
                Path(picture.original.path),
                into=draft,
                world_file=picture.world_file,
                crs=picture.crs,
                look=_beating(job, picture),
            )
            os.sync()  # a power cut after this line finds whole tiles
            draft.rename(tiles)
            picture.tile_bytes = facts["tile_bytes"]
        else:  # a worker was killed between the tiles and this row
            picture.tile_bytes = sum(path.stat().st_size for path in tiles.rglob("*.webp"))
    except _Removed:
        shutil.rmtree(folder_of(property_id, picture.pk), ignore_errors=True)
        return
    except (UnusablePicture, Refused) as error:
        _refuse(picture, error.sentence)
        raise Refused(error.sentence) from error
    except Exception:
        _refuse(picture, _FAULT)
        raise
    GroundPicture.objects.filter(pk=picture.pk, state=State.CUTTING).update(
        state=State.READY, said="", tile_bytes=picture.tile_bytes
    )


def _refuse(picture, sentence):
    GroundPicture.objects.filter(pk=picture.pk, state=State.CUTTING).update(
        state=State.REFUSED, said=sentence[:500]
    )


def _check_room(picture):
    free = shutil.disk_usage(Path(picture.original.path).parent).free
    wanted = picture.report["tiles"] * USUAL_TILE_BYTES
    if free < wanted + SPARE_DISK_BYTES:
        raise Refused(
            f"Its tiles would take about {wanted / 1e6:,.0f} MB, and the disk has {free / 1e6:,.0f} MB left, of which "
            f"{SPARE_DISK_BYTES / 1e6:,.0f} MB stay free. Make room, then cut it again."
        )


class _Removed(Exception):
    """The person removed the picture while it was cut."""


def _beating(job, picture):
    said = [0.0]

    def look(tiles):
        if time.monotonic() - said[0] < _BEAT_EVERY_S:
            return
        said[0] = time.monotonic()
        if not GroundPicture.objects.filter(pk=picture.pk).exists():
            raise _Removed
        beat(job, tiles)

    return look
