"""What is said of pictures comes with the record, before their bytes do."""

from django.core.exceptions import ValidationError

from config.errors import refuse, refused_from
from fieldlog.models import Photo, PhotoPoint
from fieldlog.services.clocks import check_moment
from fieldlog.services.said import check_text, place_of

LONGEST_CAPTION = Photo._meta.get_field("caption").max_length
MOST_PHOTOS = 200  # of one record; ours
FROM_THE_BYTES = ("file", "media_type", "width_px", "height_px", "arrived_at", "small", "trouble")
_RELATIONS = ("property", "visit", "reading", "work_report", "point", "taken_by")


class PhotosHere:
    """What the database knows of the pictures that some records name, asked at once.

    Parameters
    ----------
    property : Property
    said : iterable of dict
        As for `prepare`.
    """

    def __init__(self, property, said):
        said = list(said)
        self.property = property
        self.by_id = Photo.objects.in_bulk([each["id"] for each in said]) if said else {}
        hashes = {each["sha256"] for each in said}
        arrived = Photo.objects.filter(property=property, sha256__in=hashes, arrived_at__isnull=False)
        self.by_hash = {each.sha256: each for each in arrived} if said else {}
        points = {each["point_id"] for each in said if each.get("point_id")}
        found = PhotoPoint.objects.filter(plot__property=property, pk__in=points) if points else ()
        self.points = {each.pk for each in found}


def prepare(said, *, here, user, clock, of, readings=()):
    """A picture as it will be stored, with its bytes if the property has them already.

    Parameters
    ----------
    said : dict
        id, sha256; and what is known of taken_at, lon, lat, accuracy_m, bearing_deg, caption, reading_id, point_id.
    here : PhotosHere
    user : User
    clock : Clock
    of : dict
        {"visit": Visit} or {"work_report": WorkReport}.
    readings : iterable of UUID
        The readings that a picture of this record may belong to.

    Returns
    -------
    Photo
        Not stored.

    Raises
    ------
    Refused
        Something in it that cannot be; `fields` says what.
    """
    [record] = of.values()
    moment = getattr(record, "visited_at", None) or record.done_at
    taken_at = clock.right(said["taken_at"]) if said.get("taken_at") else moment
    check_moment(taken_at, "taken_at", "The picture was taken")
    point_id = said.get("point_id")
    if point_id is not None and point_id not in here.points:
        refuse("point_id", f"The photo point is {point_id}; one of this property is accepted.")
    reading_id = said.get("reading_id")
    photo = Photo(
        id=said["id"],
        property=here.property,
        reading_id=reading_id if reading_id in readings else None,
        point_id=point_id,
        sha256=said["sha256"].lower(),
        taken_at=taken_at,
        bearing_deg=said.get("bearing_deg"),
        caption=check_text(said.get("caption") or "", "caption", LONGEST_CAPTION, "The caption"),
        taken_by=user,
        **of,
        **place_of(said),
    )
    if (same := here.by_hash.get(photo.sha256)) is not None:
        for name in FROM_THE_BYTES:
            setattr(photo, name, getattr(same, name))
    try:
        photo.clean_fields(exclude=(*_RELATIONS, *FROM_THE_BYTES))
    except ValidationError as error:
        raise refused_from(error) from error
    return photo


def is_same(stored, photo):
    """Whether the stored picture is this one, sent again."""
    return (stored.sha256, stored.visit_id, stored.work_report_id) == (
        photo.sha256,
        photo.visit_id,
        photo.work_report_id,
    )
