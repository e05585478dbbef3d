"""A plot's pictures: those of one view beside each other, the oldest first."""

from dataclasses import dataclass, field

from django.db.models import Q
from django.utils import timezone

from fieldlog.calc.same_view import NEAR_DEG, degrees_between, direction, is_same_view
from fieldlog.models import Photo, PhotoPoint

MOST = 600  # of a plot on one page; the latest


@dataclass
class View:
    """Pictures that show the same: of a photo point, looking one way."""

    point: PhotoPoint | None
    looks: str = ""  # 'NE', empty where nobody knows
    photos: list = field(default_factory=list)
    is_points_own: bool = False

    @property
    def years(self):
        return sorted({timezone.localtime(each.taken_at).year for each in self.photos})


def pictures_of(plot):
    """Pictures of the plot's visits and work that were not set aside, the oldest first; those still on a phone too."""
    of_plot = Q(visit__plot=plot) | Q(work_report__item__plot=plot, work_report__struck_at__isnull=True)
    rows = Photo.objects.filter(of_plot, struck_at__isnull=True).select_related("point", "taken_by", "visit")
    return sorted(rows.order_by("-taken_at")[:MOST], key=lambda photo: (photo.taken_at, str(photo.pk)))


def views_of(plot):
    """The plot's pictures as views.

    Returns
    -------
    points : list of (PhotoPoint, list of View)
        Each point with the view that it is for first, then others from there by direction. Pictures of no point that were
        taken within 15 m of it and within 30° of its bearing are shown with it.
    others : list of Photo
        The rest, the latest first.
    awaited : int
        How many have not come from a phone yet.
    """
    photos = pictures_of(plot)
    here = [each for each in photos if each.arrived_at is not None]
    points = list(PhotoPoint.objects.filter(plot=plot, is_archived=False))
    by_point, others = {each.pk: [] for each in points}, []
    for photo in here:
        point = _point_of(photo, points)
        (others if point is None else by_point[point.pk]).append(photo)
    found = [(point, _by_direction(point, by_point[point.pk])) for point in points]
    return found, others[::-1], len(photos) - len(here)


def _point_of(photo, points):
    if photo.point_id is not None:
        return next((each for each in points if each.pk == photo.point_id), None)
    place = (photo.lon, photo.lat)
    near = [
        each
        for each in points
        if photo.bearing_deg is not None
        and is_same_view((each.lon, each.lat), each.bearing_deg, place, photo.bearing_deg)
    ]
    return min(near, key=lambda each: degrees_between(each.bearing_deg, photo.bearing_deg) or 0, default=None)


def _by_direction(point, photos):
    own = View(point, direction(point.bearing_deg), is_points_own=True)
    turned = {}
    for photo in photos:
        degrees = degrees_between(point.bearing_deg, photo.bearing_deg)
        if degrees is None or degrees <= NEAR_DEG:
            own.photos.append(photo)
        else:
            looks = direction(photo.bearing_deg)
            turned.setdefault(looks, View(point, looks)).photos.append(photo)
    return [own, *turned.values()]
