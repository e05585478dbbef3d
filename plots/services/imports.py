"""A boundary file on its way in: received and read, answered, discarded. Accepting is in accepting.py, and
what the person says about the outlines before in choosing.py.

`BoundaryImport.report` is

    {"format", "layer", "layers", "crs", "notes": [sentence], "left_out": [{"what", "why"}],
     "name_fields": [..], "sentence": str|None, "needs": None|"crs"|"layer"|"axes",
     "likely_crs": [[code, words]]}

where `sentence` says why the file could not be read and `needs` what a person could add to read it.
"""

import hashlib
from copy import copy

from django.core.exceptions import ValidationError
from django.db import transaction

from config.errors import Conflict, Refused, refused_from
from plots.calc.geodesy import geodesic_area_perimeter
from plots.calc.systems import likely_systems
from plots.formats import UnusableFile, read_bounded
from plots.formats.attributes import clean_text
from plots.formats.limits import MAX_FILE_BYTES
from plots.formats.model import unique_names
from plots.models import BoundaryImport, ImportedOutline, Plot
from plots.queries import live_names, middle_of
from plots.services.accepting import accept_import
from plots.services.choosing import choose_all, keep_choices
from plots.services.doubts import doubts_about_file
from plots.services.overlaps import shared_ground

__all__ = [
    "accept_import",
    "answer_import",
    "choose_all",
    "discard_import",
    "keep_choices",
    "receive_file",
]

State = BoundaryImport.State
_NAME_ROOM = Plot._meta.get_field("name").max_length
_ROOM_FOR_NUMBER = 8
_FIELD_OF_NEED = {"crs": "crs", "layer": "layer", "axes": "swap_axes"}


def receive_file(*, property, user, upload, crs="", layer="", swap_axes=False, name_field=""):
    """Keep an uploaded boundary file and read it. Storing its outlines as plots is another step.

    Parameters
    ----------
    upload : django.core.files.File
        With the name that the person's file has.
    crs, layer, swap_axes, name_field
        Answers, if they are known already.

    Returns
    -------
    BoundaryImport
        In state 'preview', 'asking' (the report's `needs`) or 'refused' (the report's `sentence`).

    Raises
    ------
    Refused
        The file is too large, or an answer cannot be meant.
    """
    if upload.size > MAX_FILE_BYTES:
        sentence = (
            f"The file is larger than {MAX_FILE_BYTES / 1e6:.0f} MB, which is the most that is accepted."
        )
        raise Refused(sentence, fields={"file": [sentence]})
    row = BoundaryImport(property=property, file_name=_shown_name(upload.name), created_by=user)
    _take_answers(row, crs, layer, swap_axes, name_field)
    row.sha256 = hashlib.file_digest(upload, "sha256").hexdigest()
    upload.seek(0)
    row.original.save("original", upload, save=False)
    try:
        outlines = _read(row)
    except Refused:
        row.original.delete(save=False)
        raise
    with transaction.atomic():
        row.save()
        ImportedOutline.objects.bulk_create(outlines, batch_size=500)
    return row


def answer_import(*, boundary_import, crs, layer, swap_axes, name_field):
    """Read the kept file again with the person's answers. When that gets no further, nothing is changed.

    Raises
    ------
    Refused
        The file cannot be read with these answers.
    Conflict
        The outlines have been stored in the meantime.
    """
    row = copy(boundary_import)
    _take_answers(row, crs, layer, swap_axes, name_field)
    outlines = _read(row)
    needed_before = boundary_import.report.get("needs")
    got_further = row.state == State.PREVIEW or (
        boundary_import.state == State.ASKING and row.report["needs"] not in (None, needed_before)
    )
    if not got_further:
        field = _FIELD_OF_NEED.get(row.report["needs"], "")
        raise Refused(row.report["sentence"], fields={field: [row.report["sentence"]]})
    with transaction.atomic():
        _lock_unstored(row)
        row.outlines.all().delete()
        row.save()
        ImportedOutline.objects.bulk_create(outlines, batch_size=500)
    return row


@transaction.atomic
def discard_import(*, boundary_import):
    """Forget a file that nothing was stored from, its original included."""
    _lock_unstored(boundary_import)
    original = boundary_import.original
    boundary_import.delete()
    transaction.on_commit(lambda: original.delete(save=False))


def _lock_unstored(row):
    stored = BoundaryImport.objects.select_for_update().get(pk=row.pk).state == State.STORED
    if stored:
        raise Conflict(
            f"The plots of “{row.file_name}” have been stored; bring the file in again to change them."
        )


def _shown_name(name):
    name = clean_text(str(name or "").replace("\\", "/").rsplit("/", 1)[-1])
    return name[-255:] or "unnamed"


def _take_answers(row, crs, layer, swap_axes, name_field):
    crs = crs.strip().upper()
    row.crs = f"EPSG:{crs}" if crs.isdecimal() else crs
    row.layer, row.swap_axes, row.name_field = layer, swap_axes, name_field
    try:
        row.clean_fields(exclude={"sha256", "original", "state", "report"})
    except ValidationError as error:
        raise refused_from(error) from error


def _read(row):
    """Read the original, outside any transaction; sets the row's state and report, gives its outlines."""
    try:
        reading = read_bounded(
            row.original.path,
            filename=row.file_name,
            layer=row.layer or None,
            crs=row.crs or None,
            swap_axes=row.swap_axes,
        )
    except UnusableFile as error:
        row.state = State.ASKING if error.needs else State.REFUSED
        likely = likely_systems(error.extent, middle_of(row.property)) if error.extent else []
        row.report = {
            "sentence": error.sentence,
            "needs": error.needs,
            "layers": error.layers,
            "likely_crs": likely,
        }
        return []
    if row.name_field:
        reading = _named(reading, row.name_field)
    row.state = State.PREVIEW
    row.report = {
        "sentence": None,
        "needs": None,
        "format": reading.format,
        "layer": reading.layer,
        "layers": list(reading.layers),
        "crs": reading.crs,
        "notes": [*reading.notes, *_doubts(row.property, reading.outlines)],
        "left_out": [{"what": item.what, "why": item.why} for item in reading.left_out],
        "name_fields": list(reading.name_fields),
        "likely_crs": row.report.get("likely_crs", []),
    }
    return _outline_rows(row, reading.outlines)


def _doubts(property, outlines):
    return doubts_about_file(
        property, [outline.geometry for outline in outlines], [f"“{outline.name}”" for outline in outlines]
    )


def _named(reading, name_field):
    try:
        return reading.named_by(name_field)
    except ValueError as error:
        sentence = f"No outline has the attribute “{name_field}”; {_listed(reading.name_fields)}."
        raise Refused(sentence, fields={"name_field": [sentence]}) from error


def _listed(fields):
    return f"there are {', '.join(f'“{field}”' for field in fields)}" if fields else "there are none"


def _outline_rows(row, outlines):
    geometries = [outline.geometry for outline in outlines]
    areas_m2, perimeters_m = geodesic_area_perimeter(geometries)
    names = [outline.name for outline in outlines]
    if max(map(len, names)) > _NAME_ROOM:
        names = unique_names([name[: _NAME_ROOM - _ROOM_FOR_NUMBER] for name in names])
    shared = shared_ground(row.property, geometries, areas_m2)
    standing = {name.lower(): plot_id for plot_id, name in live_names(row.property).items()}
    return [
        ImportedOutline(
            boundary_import=row,
            position=position,
            name=name,
            is_chosen=not any(item["is_same"] for item in overlaps),
            target_id=standing.get(name.lower()),
            attributes=outline.attributes,
            geometry=outline.geometry,
            area_m2=float(area_m2),
            perimeter_m=float(perimeter_m),
            is_repaired=outline.repaired,
            notes=list(outline.notes),
            overlaps=overlaps,
        )
        for position, (outline, name, area_m2, perimeter_m, overlaps) in enumerate(
            zip(outlines, names, areas_m2, perimeters_m, shared, strict=True), start=1
        )
    ]
