"""Photo points: where a picture is taken again and again, looking the same way."""

from django.db import transaction

from config.errors import refuse
from fieldlog.models import Photo, PhotoPoint
from plots.services.rows import save_clean


@transaction.atomic
def make_point(*, photo, user, name):
    """Make a point of where a picture was taken; the picture is its first.

    Parameters
    ----------
    photo : Photo
        Of a visit. Its place and bearing become the point's, unknown ones too.
    user : User
    name : str
        Not one of the plot's other points.

    Raises
    ------
    Refused
        The name is taken or empty, or the picture belongs to no plot.
    """
    plot = plot_of(photo)
    if plot is None:
        refuse(
            "name", "This picture belongs to work without a plot; a point is made from a picture of a plot."
        )
    name = " ".join(name.split())
    if PhotoPoint.objects.filter(plot=plot, name=name).exists():
        refuse("name", f"{plot.name} has a photo point “{name}” already; another name is accepted.")
    place = {each: getattr(photo, each) for each in ("lon", "lat", "accuracy_m", "bearing_deg")}
    point = save_clean(PhotoPoint(plot=plot, name=name, created_by=user, **place))
    set_point(photo=photo, point=point)
    return point


@transaction.atomic
def set_point(*, photo, point):
    """Say from which point a picture was taken; None takes it off."""
    locked = Photo.objects.select_for_update(of=("self",)).get(pk=photo.pk)
    plot = plot_of(locked)
    if point is not None and (plot is None or point.plot_id != plot.pk):
        refuse("point", f"The photo point {point.name} belongs to another plot than the picture.")
    locked.point = point
    locked.save(update_fields=["point"])
    photo.point = point
    return photo


@transaction.atomic
def archive_point(*, point, is_archived=True):
    """Offer a point no more, or again. Its pictures keep it."""
    locked = PhotoPoint.objects.select_for_update(of=("self",)).get(pk=point.pk)
    locked.is_archived = is_archived
    locked.save(update_fields=["is_archived"])
    return locked


def plot_of(photo):
    """The plot that a picture shows, or None."""
    return photo.visit.plot if photo.visit_id else photo.work_report.item.plot
