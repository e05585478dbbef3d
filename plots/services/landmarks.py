"""Landmarks: what stands or lies on the property is added, changed, set aside. Nothing is erased."""

from django.db import transaction

from config.errors import Refused
from plots.landmark_places import checked_place
from plots.models import Landmark
from plots.services.boundaries import Questioned
from plots.services.doubts import doubts_about
from plots.services.earlier import keep_earlier
from plots.services.rows import save_clean


@transaction.atomic
def add_landmark(*, property, user, kind, geometry, name="", note="", is_sure=True):
    """Put a landmark on the map. It is no part of any acreage.

    Parameters
    ----------
    property : Property
    user : User
    kind : Landmark.Kind
    geometry : shapely geometry
        A shape that fits the kind, in longitude and latitude on WGS84. [degrees]
    name, note : str
        The person's own words.
    is_sure : bool
        False: doubts about where it lies are raised and not passed over.

    Returns
    -------
    Landmark

    Raises
    ------
    Refused
        A shape that does not fit the kind, out of range, empty or crossing itself.
    Questioned
        It lies far from every plot, and the person has not said that it does.
    """
    landmark = Landmark(
        property=property, kind=kind, created_by=user, name=_one_line(name), note=note.strip()
    )
    landmark.geometry = _placed(landmark, kind, geometry, is_sure)
    return save_clean(landmark)


@transaction.atomic
def change_landmark(*, landmark, user, is_sure=True, **wanted):
    """Change kind, name, note or geometry; what they said before stays in `earlier`. See `add_landmark`."""
    landmark = Landmark.objects.select_for_update(of=("self",)).select_related("property").get(pk=landmark.pk)
    wanted = {name: _tidy(name, value) for name, value in wanted.items()}
    if {"kind", "geometry"} & wanted.keys():
        geometry = wanted.get("geometry", landmark.geometry)
        is_sure = is_sure or geometry == landmark.geometry
        wanted["geometry"] = _placed(landmark, wanted.get("kind", landmark.kind), geometry, is_sure)
    return save_clean(landmark) if keep_earlier(landmark, user, wanted) else landmark


@transaction.atomic
def archive_landmark(*, landmark, user):
    """Set the landmark aside: it leaves the maps and the list, and can be brought back."""
    return _set_archived(landmark, user, True)


@transaction.atomic
def bring_back_landmark(*, landmark, user):
    return _set_archived(landmark, user, False)


def _set_archived(landmark, user, is_archived):
    landmark = Landmark.objects.select_for_update(of=("self",)).select_related("property").get(pk=landmark.pk)
    return save_clean(landmark) if keep_earlier(landmark, user, {"is_archived": is_archived}) else landmark


def _placed(landmark, kind, geometry, is_sure):
    if kind not in Landmark.Kind.values:
        sentence = f"The kind is {str(kind)[:40]!r}; {', '.join(Landmark.Kind.values)} are accepted."
        raise Refused(sentence, fields={"kind": [sentence]})
    place = checked_place(geometry, kind)
    if not is_sure and (doubts := doubts_about(landmark.property, place, name=str(landmark), rest="plot")):
        raise Questioned(doubts)
    return place


def _tidy(name, value):
    return {"name": _one_line, "note": str.strip}.get(name, lambda same: same)(value)


def _one_line(text):
    return " ".join(text.split())
