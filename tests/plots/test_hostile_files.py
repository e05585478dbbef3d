"""A file made to do harm ends in the same sentence on the page, in the API and on the command line."""

import io
import zipfile
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command

from plots.models import BoundaryImport, Plot

NESTED = (
    '{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Polygon","coordinates":'
)
ENTITY = """<?xml version="1.0"?><!DOCTYPE kml [<!ENTITY told SYSTEM "file:///etc/hostname">]>
<kml><Placemark><name>&told;</name><Polygon><outerBoundaryIs><LinearRing><coordinates>
-92,38 -91.99,38 -91.99,38.01 -92,38</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>"""


def bomb():
    """A KMZ of 250 kB that unpacks to 250 MB."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive, archive.open("doc.kml", "w") as entry:
        for _ in range(250):
            entry.write(b" " * 1_000_000)
    return packed.getvalue()


HOSTILE = {
    "bomb.kmz": (bomb, "unpacked"),
    "entity.kml": (ENTITY.encode, "entities"),
    "nested.geojson": (lambda: (NESTED + "[" * 10_000 + "]" * 10_000 + "}}]}").encode(), "nested"),
    "infinite.geojson": (
        b'{"type":"Polygon","coordinates":[[[NaN,38],[-91,38],[-91,1e400],[NaN,38]]]}'.strip,
        "finite",
    ),
    "truncated.zip": (lambda: bomb()[:60_000], "damaged"),
    "picture.geojson": (lambda: b"\x89PNG\r\n\x1a\n" + bytes(64), "picture"),
    "empty.gpx": (bytes, "empty"),
}


@pytest.mark.parametrize(("name", "make", "about"), [(name, *each) for name, each in HOSTILE.items()])
def test_a_hostile_file_ends_in_one_sentence_everywhere(client, manager, farm, tmp_path, name, make, about):
    content = make()
    client.force_login(manager)

    page = client.post(f"/p/{farm.slug}/import/", {"file": SimpleUploadedFile(name, content)}, follow=True)
    sentence = BoundaryImport.objects.get().report["sentence"]
    answer = client.post(
        f"/api/v1/properties/{farm.slug}/imports/", {"file": SimpleUploadedFile(name, content)}
    )
    (tmp_path / name).write_bytes(content)
    err = io.StringIO()
    with pytest.raises(SystemExit) as end:
        call_command("measure", str(tmp_path / name), stderr=err)

    assert about in sentence
    assert sentence in unescape(page.text)
    assert answer.status_code == 400
    assert answer.json()["error"]["message"] == sentence
    assert (end.value.code, err.getvalue()) == (2, sentence + "\n")
    assert not Plot.objects.exists()
