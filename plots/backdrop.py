"""What lies under the outlines of a property's maps: pictures from another server, and the property's own."""

import json
from dataclasses import dataclass, field, replace

from django.conf import settings
from django.db.models import F
from django.urls import reverse

from config.imagery import read_address
from plots.models import GroundPicture, Property


@dataclass(frozen=True)
class Backdrop:
    """`address` is a template with {z}, {x} and {y} or {-y}, empty without imagery; `origin` its server.

    `trouble` says why an address that was kept is not accepted; the maps go without pictures then.
    """

    address: str = ""
    origin: str = ""
    credit: str = ""
    zoom: int = 0
    pictures: list = field(default_factory=list)
    trouble: str = ""

    @property
    def pictures_json(self):
        return json.dumps(self.pictures) if self.pictures else ""


def imagery_of(property):
    """The Backdrop of the property's imagery alone: its own, or that of the installation, or none."""
    kind = property.imagery_kind
    if kind == Property.Imagery.NONE:
        return Backdrop()
    if kind:
        try:
            read = read_address(property.imagery_address, is_wmts=kind == Property.Imagery.WMTS)
        except ValueError as error:
            return Backdrop(trouble=str(error))
        return Backdrop(read.template, read.origin, property.imagery_credit, property.imagery_zoom)
    if not settings.IMAGERY_URL:
        return Backdrop()
    read = read_address(settings.IMAGERY_URL, http_anywhere=True)
    return Backdrop(read.template, read.origin, settings.IMAGERY_CREDIT, settings.IMAGERY_ZOOM)


def backdrop_of(property):
    """The Backdrop of the property, with its own pictures as plain values, the latest first."""
    imagery = imagery_of(property)
    pictures = [
        {
            "id": str(picture.pk),
            "name": picture.name,
            "address": tile_template(property.slug, picture.pk),
            "bounds": picture.bounds,
            "zooms": [picture.min_zoom, picture.max_zoom],
        }
        for picture in pictures_for(property).filter(state=GroundPicture.State.READY, is_shown=True)
    ]
    return replace(imagery, pictures=pictures)


def pictures_for(property):
    """The property's pictures, the one that was taken last first; those without a day by when they were brought in."""
    return (
        GroundPicture.objects.filter(property=property)
        .select_related("job", "created_by")
        .order_by(F("taken_on").desc(nulls_last=True), "-created_at", "pk")
    )


def tile_template(slug, picture_id):
    """The address of its tiles, with {z}, {x} and {y}."""
    address = reverse("picture-tile", args=[slug, picture_id, 0, 0, 0])
    return address.removesuffix("0/0/0.webp") + "{z}/{x}/{y}.webp"
