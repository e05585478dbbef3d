"""Visits, readings and pictures. What the owner recorded, as here, is corrected by them or by who may edit."""

import hashlib
import io
from uuid import uuid4

from django.utils import timezone
from PIL import Image

from fieldlog.models import PhotoPoint
from fieldlog.services.photos import receive_photo
from fieldlog.services.said import SaidVisit
from fieldlog.services.taking_in import take_in
from plots.models import Plot
from tests.isolation import EDITORS, MEMBERS, RECORDERS, Row

_CORRECTION = {"replaces": "00000000-0000-4000-8000-000000000000", "values": {"surface_f": 90}}

ROWS = [
    Row("visits", "GET", MEMBERS),
    Row("visit-log", "GET", MEMBERS),
    Row("visit", "GET", MEMBERS),
    Row("visit-new", "GET", RECORDERS),
    Row("visit-new", "POST", RECORDERS, 302, body={"visited_at": "2026-11-20T16:05", "note": "Browsed."}),
    Row("visit-edit", "GET", EDITORS),
    Row("visit-edit", "POST", EDITORS, 302, body={"visited_at": "2026-11-20T16:05", "note": "Grazed."}),
    Row("reading-new", "GET", RECORDERS, query="?protocol=temperature"),
    Row("reading-new", "POST", RECORDERS, query="?protocol=temperature"),
    Row("reading-edit", "GET", EDITORS),
    Row("reading-edit", "POST", EDITORS),
    Row("reading-strike", "POST", EDITORS, 302),
    Row("reading-choose", "POST", EDITORS, 302),
    Row("photo", "GET", MEMBERS),
    Row("photo-add", "GET", RECORDERS),
    Row("photo-add", "POST", RECORDERS),
    Row("photo-strike", "POST", EDITORS, 302),
    Row("photo-point-new", "GET", EDITORS),
    Row("photo-point-new", "POST", EDITORS, 302, body={"name": "Gate"}),
    Row("photo-point-archive", "POST", EDITORS, 302),
    Row("photo-points", "GET", MEMBERS),
    Row("api-visits", "GET", MEMBERS, query="?plot={plot_id}"),
    Row("api-visit", "GET", MEMBERS),
    Row("api-visit", "PUT", RECORDERS, 400),
    Row("api-visit", "PATCH", EDITORS, body={"note": "Grazed."}),
    Row("api-visit-batch", "POST", RECORDERS, body={"visits": []}),
    Row("api-reading", "GET", MEMBERS),
    Row("api-reading", "PUT", [], but=dict.fromkeys(RECORDERS, 404), body=_CORRECTION),
    Row("api-reading-strike", "POST", EDITORS),
    Row("api-reading-choose", "POST", EDITORS),
    Row("api-photo", "GET", MEMBERS),
    Row("api-photo", "PUT", RECORDERS, 400),
]


def things(farm, owner):
    plot = Plot.objects.create(property=farm, name="Visited")
    picture = io.BytesIO()
    Image.new("RGB", (8, 8)).save(picture, "PNG")
    sha256 = hashlib.sha256(picture.getvalue()).hexdigest()
    reading = {"id": uuid4(), "kind": "temperature", "values": {"surface_f": 110}}
    photo = {"id": uuid4(), "sha256": sha256}
    visit = SaidVisit(
        id=uuid4(), plot=plot, visited_at=timezone.now(), note="Up.", readings=(reading,), photos=(photo,)
    )
    take_in(property=farm, user=owner, visits=[visit])
    picture.seek(0)
    receive_photo(property=farm, sha256=sha256, read=picture.read)
    point = PhotoPoint.objects.create(plot=plot, name="Corner", created_by=owner)
    return {
        "visit_id": visit.id,
        "reading_id": reading["id"],
        "photo_id": photo["id"],
        "sha256": sha256,
        "point_id": point.pk,
    }
