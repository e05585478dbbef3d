"""Pictures of work that was done: their facts come with the report, their bytes after it."""

from django.db import transaction

from config.errors import Conflict, SwardbookError, refuse
from fieldlog.models import Photo
from plots.services.rows import save_clean

FACTS = ("sha256", "taken_at", "lon", "lat", "accuracy_m", "bearing_deg", "caption")


def name_photo(*, report, user, id, said):
    """Keep the facts of a picture of a report. The same sent again, by its id, changes nothing.

    Parameters
    ----------
    report : WorkReport
    user : User
    id : uuid.UUID
        Made where the picture is taken.
    said : dict
        Columns named in `FACTS`.

    Returns
    -------
    Photo

    Raises
    ------
    Refused
        Something that cannot be used.
    Conflict
        The id names another picture.
    """
    wanted = {name: said.get(name) for name in FACTS if said.get(name) is not None}
    wanted["sha256"] = wanted.get("sha256", "").lower()
    if len(wanted["sha256"]) != 64 or set(wanted["sha256"]) - set("0123456789abcdef"):
        refuse("sha256", f"sha256 is {wanted['sha256'][:70]!r}; 64 hexadecimal digits are accepted.")
    stored = Photo.objects.filter(pk=id).first()
    if stored is not None:
        return _same(stored, report, wanted["sha256"])
    photo = Photo(id=id, property=report.item.property, work_report=report, taken_by=user, **wanted)
    try:
        with transaction.atomic():
            return save_clean(photo, force_insert=True)
    except SwardbookError:
        stored = Photo.objects.filter(pk=id).first()
        if stored is None:
            raise
        return _same(stored, report, wanted["sha256"])


def _same(stored, report, sha256):
    if (stored.work_report_id, stored.sha256) != (report.pk, sha256):
        raise Conflict(f"A picture with the id {stored.pk} is here already and is another one.")
    return stored
