"""Pictures added to a visit at the desk: record and bytes at once."""

import hashlib
import uuid

from django.db import transaction

from blends.services.tag_photos import MOST_BYTES
from config.errors import refuse
from fieldlog.models import Photo
from fieldlog.services import photo_facts
from fieldlog.services.clocks import Clock
from fieldlog.services.photos import receive_photo


@transaction.atomic
def add_photo(*, visit, user, file, caption="", point=None):
    """Add a picture to a visit; the same file twice is one picture of it.

    Parameters
    ----------
    visit : Visit
    user : User
    file : django.core.files.File
    caption : str
    point : PhotoPoint, optional
        Of the same plot.

    Returns
    -------
    Photo

    Raises
    ------
    Refused
        The file is no picture that can be shown, or too large.
    """
    if file.size > MOST_BYTES:
        refuse(
            "file",
            f"The picture has {file.size / 1e6:.1f} MB; at most {MOST_BYTES / 1e6:.0f} MB are accepted.",
        )
    found = hashlib.sha256()
    for part in file.chunks():
        found.update(part)
    sha256 = found.hexdigest()
    stored = Photo.objects.filter(visit=visit, sha256=sha256, struck_at__isnull=True).first()
    if stored is None:
        said = {"id": uuid.uuid4(), "sha256": sha256, "caption": caption, "point_id": point and point.pk}
        here = photo_facts.PhotosHere(visit.plot.property, [said])
        stored = photo_facts.prepare(said, here=here, user=user, clock=Clock(), of={"visit": visit})
        stored.save(force_insert=True)
    file.seek(0)
    receive_photo(property=visit.plot.property, sha256=sha256, read=file.read)
    return stored
