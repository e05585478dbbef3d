"""The property's own pictures: received and placed, answered, shown or not, removed. Cutting is in cutting.py.

`GroundPicture.report` is what plots.pictures.bounded.picture_facts gives; while the picture waits for an answer it is

    {"needs": "crs"|"world"|"far", "likely_crs": [[code, words]]} and, for "far", the facts.
"""

import errno
import hashlib
import shutil
from copy import copy
from pathlib import Path

from django.core.exceptions import ValidationError
from django.db import transaction

from config.errors import Conflict, Refused, refused_from
from plots.calc.geodesy import WGS84
from plots.calc.systems import likely_systems
from plots.calc.units import m_to_ft
from plots.formats import UnusableFile
from plots.formats.attributes import clean_text
from plots.formats.crs import asked_for, from_file
from plots.models import GroundPicture
from plots.pictures.bounded import picture_facts
from plots.pictures.limits import MAX_FILE_BYTES, MAX_WORLD_FILE_BYTES
from plots.pictures.model import UnusablePicture, world_file_numbers
from plots.queries import middle_of
from plots.services import jobs
from plots.services.cutting import folder_of
from plots.services.rows import save_clean

State = GroundPicture.State
_FAR_M = 20_000.0  # a property's ground lies closer together
_FT_PER_MILE = 5280
_NAME_ROOM = GroundPicture._meta.get_field("name").max_length
_FIELD_OF_NEED = {"crs": "crs", "world": "world_file", "far": "is_far_confirmed"}


def receive_picture(
    *,
    property,
    user,
    upload,
    name="",
    taken_on=None,
    world_file=None,
    prj_file=None,
    crs="",
    lacks_room=False,
):
    """Keep an uploaded picture, find out where it lies, and start cutting it into tiles.

    Parameters
    ----------
    upload : django.core.files.File
        GeoTIFF, or PNG or JPEG, with the name that the person's file has.
    name : str
        Empty: the file's name without its ending.
    world_file, prj_file : django.core.files.File, optional
        Beside a picture that does not say where it lies.
    crs : str
        'EPSG:n', if it is known already; goes before what the files say.
    lacks_room : bool
        The disk had none for the upload, so that nothing of it is there.

    Returns
    -------
    GroundPicture
        In state 'cutting', with a job, or 'asking' (`said`, and the report's `needs`).

    Raises
    ------
    Refused
        The file cannot be used; nothing is kept.
    """
    if lacks_room:
        raise _refused(
            "file", "The disk of this site has no room for the file; make room there and send it again."
        )
    if upload.size > MAX_FILE_BYTES:
        raise _refused(
            "file", f"The picture is larger than {MAX_FILE_BYTES / 1e6:.0f} MB, the most that is accepted."
        )
    file_name = _shown_name(upload.name)
    row = GroundPicture(
        property=property,
        name=" ".join(clean_text(name).split()) or (file_name.rpartition(".")[0] or file_name)[:_NAME_ROOM],
        file_name=file_name,
        taken_on=taken_on,
        world_file=_world_text(world_file) if world_file else "",
        crs=_crs_code(crs) or (_crs_of_prj(prj_file) if prj_file else ""),
        created_by=user,
    )
    try:
        row.clean_fields(exclude={"original", "sha256", "state"})
    except ValidationError as error:
        raise refused_from(error) from error
    row.sha256 = hashlib.file_digest(upload, "sha256").hexdigest()
    upload.seek(0)
    try:
        row.original.save("original", upload, save=False)
        _place(row)
        with transaction.atomic():
            _keep(row, user)
    except BaseException as error:
        shutil.rmtree(folder_of(property.pk, row.pk), ignore_errors=True)
        if isinstance(error, UnusablePicture):
            raise _refused("file", error.sentence) from error
        if isinstance(error, OSError) and error.errno == errno.ENOSPC:
            raise _refused(
                "file", "The disk is full; the picture was not kept. Make room and send it again."
            ) from error
        raise
    return row


def answer_picture(*, picture, user, crs="", world_file=None, is_far_confirmed=False):
    """Place a kept picture again with the person's answers, and cut it. When that gets no further, nothing is changed.

    An answer that is left out stays as it was.

    Raises
    ------
    Refused
        The picture cannot be placed with these answers.
    Conflict
        It is cut already, or being cut.
    """
    row = copy(picture)
    if world_file:
        row.world_file = _world_text(world_file)
    row.crs = _crs_code(crs) or row.crs
    row.is_far_confirmed = is_far_confirmed or row.is_far_confirmed
    try:
        _place(row)
    except UnusablePicture as error:
        raise _refused("", error.sentence) from error
    need = row.report.get("needs")
    is_elsewhere = need == "far" and (crs or world_file)
    if need and need == picture.report.get("needs") and not is_elsewhere:
        raise _refused(_FIELD_OF_NEED[need], row.said)
    with transaction.atomic():
        _lock_unfinished(row)
        for name in ("cutting", "tiles"):
            shutil.rmtree(folder_of(row.property_id, row.pk) / name, ignore_errors=True)
        _keep(row, user)
    return row


@transaction.atomic
def describe_picture(*, picture, name, taken_on, is_shown):
    """Name the picture, say when it was taken, and whether the maps offer it."""
    picture.name, picture.taken_on, picture.is_shown = " ".join(clean_text(name).split()), taken_on, is_shown
    return save_clean(picture, update_fields=["name", "taken_on", "is_shown"])


@transaction.atomic
def remove_picture(*, picture):
    """Remove a picture with its file and tiles. It is no record of the ground, so nothing hangs on it."""
    property_id, picture_id = picture.property_id, picture.pk
    picture.delete()
    transaction.on_commit(lambda: shutil.rmtree(folder_of(property_id, picture_id), ignore_errors=True))


def _place(row):
    """Read where the picture lies; sets state, said, report and what is known. Outside any transaction."""
    try:
        facts = picture_facts(Path(row.original.path), world_file=row.world_file, crs=row.crs)
    except UnusablePicture as error:
        if not error.needs:
            raise
        likely = likely_systems(error.extent, middle_of(row.property)) if error.extent else []
        row.state, row.said = State.ASKING, error.sentence[:500]
        row.report = {"needs": error.needs, "likely_crs": likely}
        return
    row.report = facts
    row.west, row.south, row.east, row.north = facts["bounds"]
    row.min_zoom, row.max_zoom, row.pixel_m = facts["min_zoom"], facts["max_zoom"], facts["ground_pixel_m"]
    row.state, row.said = State.CUTTING, ""
    distance_m = _distance_m(row)
    if distance_m is not None and distance_m > _FAR_M and not row.is_far_confirmed:
        row.state = State.ASKING
        row.said = (
            f"The picture lies {m_to_ft(distance_m) / _FT_PER_MILE:,.0f} miles ({distance_m / 1000:,.0f} km) from the "
            f"plots that are there, at latitude {row.south:.2f} and longitude {row.west:.2f}. Is that right?"
        )
        row.report = facts | {"needs": "far", "likely_crs": []}


def _distance_m(row):
    """From the middle of the plots to the nearest ground of the picture; None without plots."""
    there = middle_of(row.property)
    if there is None:
        return None
    west, south, east, north = row.bounds
    nearest = min(max(there[0], west), east), min(max(there[1], south), north)
    return WGS84.inv(*there, *nearest)[2]


def _keep(row, user):
    if row.state == State.CUTTING:
        row.job = jobs.start_job(
            property=row.property, kind=jobs.PICTURE, user=user, steps_total=row.report["tiles"]
        )
    row.save()


def _lock_unfinished(row):
    state = GroundPicture.objects.select_for_update().get(pk=row.pk).state
    if state not in (State.ASKING, State.REFUSED):
        raise Conflict(f"“{row.name}” needs no answer any more: {State(state).label.lower()}.")


def _refused(field, sentence):
    return Refused(sentence, fields={field: [sentence]})


def _shown_name(name):
    name = clean_text(str(name or "").replace("\\", "/").rsplit("/", 1)[-1])
    return name[-255:] or "unnamed"


def _small_text(file, field, what):
    """The text of a small file beside the picture."""
    if file.size > MAX_WORLD_FILE_BYTES * (10 if field == "prj_file" else 1):
        raise _refused(field, f"The {what} has {file.size:,} bytes; a small text file is accepted.")
    try:
        return file.read().decode("utf-8-sig").replace("\x00", "").strip()
    except UnicodeDecodeError as error:
        raise _refused(field, f"The {what} is no text; a small text file is accepted.") from error


def _world_text(file):
    text = _small_text(file, "world_file", "world file")
    try:
        world_file_numbers(text)
    except ValueError as error:
        raise _refused("world_file", str(error)) from error
    return text


def _crs_code(text):
    """'EPSG:n' of what a person typed; empty for nothing."""
    if not text.strip():
        return ""
    try:
        return f"EPSG:{asked_for(text).to_epsg()}"
    except UnusableFile as error:
        raise _refused("crs", error.sentence) from error


def _crs_of_prj(file):
    found = from_file(_small_text(file, "prj_file", ".prj file"))
    code = found and found.to_epsg()
    if not code:
        raise _refused(
            "prj_file",
            "The .prj file names no coordinate system that is known here; leave it out, and you are asked which it is.",
        )
    return f"EPSG:{code}"
