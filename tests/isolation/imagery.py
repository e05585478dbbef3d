"""Imagery, and the property's own pictures."""

import uuid

from django.core.files.base import ContentFile

from plots.models import GroundPicture
from plots.services.cutting import tiles_folder
from tests.isolation import EDITORS, MEMBERS, OWNERS, Row

ROWS = [
    Row("imagery", "GET", EDITORS),
    Row("imagery", "POST", OWNERS, 302, body={"act": "save", "kind": "none"}),
    Row("pictures", "GET", MEMBERS),
    Row("pictures", "POST", EDITORS),
    Row("picture", "GET", MEMBERS),
    Row("picture", "POST", EDITORS, 302, body={"act": "describe", "name": "Flight"}),
    Row("picture-remove", "GET", EDITORS),
    Row("picture-remove", "POST", EDITORS, 302),
    Row("picture-tile", "GET", MEMBERS),
    Row("picture-outlines", "GET", MEMBERS),
    Row("api-pictures", "GET", MEMBERS),
    Row("api-pictures", "POST", EDITORS, 415),
    Row("api-picture", "GET", MEMBERS),
]


def things(farm, owner):
    row = GroundPicture(
        pk=uuid.uuid4(),
        property=farm,
        name="Flight of April",
        file_name="flight.tif",
        sha256="0" * 64,
        state=GroundPicture.State.READY,
        west=-92.0,
        south=38.0,
        east=-91.99,
        north=38.01,
        min_zoom=16,
        max_zoom=20,
        created_by=owner,
    )
    row.original.save("original", ContentFile(b"II*\0"), save=False)
    row.save()
    tiles_folder(farm.pk, row.pk).mkdir(parents=True)
    return {"picture_id": row.pk, "z": 16, "x": 16019, "y": 25259}
