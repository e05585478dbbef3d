"""Pictures of work that was done: their facts come with the report, their bytes after it."""

from config.errors import Conflict
from fieldlog.services.clocks import clock_of
from fieldlog.services.photo_facts import PhotosHere, is_same, prepare


def name_photo(*, report, user, said, sent_at=None):
    """Keep the facts of a picture of a report. The same sent again, by its id, changes nothing.

    Parameters
    ----------
    report : WorkReport
    user : User
    said : dict
        As `photo_facts.prepare` takes it.
    sent_at : datetime, optional
        By the clock of whoever sends.

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
    here = PhotosHere(report.item.property, [said])
    photo = prepare(said, here=here, user=user, clock=clock_of(sent_at), of={"work_report": report})
    stored = here.by_id.get(photo.pk)
    if stored is None:
        photo.save(force_insert=True)
        return photo
    if not is_same(stored, photo):
        raise Conflict(f"A picture with the id {photo.pk} is here already and is another one.")
    return stored
