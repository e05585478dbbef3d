"""The bytes of pictures: by what is in them, without metadata, hostile ones refused, small copies in the background."""

import hashlib
import io
import struct
import zlib
from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.files.storage import default_storage
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from fieldlog.models import Phone, Photo
from fieldlog.services import photos as services
from fieldlog.services.metadata import without_metadata
from fieldlog.services.said import SaidVisit
from fieldlog.services.taking_in import take_in
from fieldlog.tasks import make_small_picture, sweep

ORIENTATION, MAKE, GPS = 0x0112, 0x010F, 0x8825


def exif(orientation=6):
    tags = Image.Exif()
    tags[ORIENTATION], tags[MAKE] = orientation, "Secret camera"
    tags.get_ifd(GPS)[1] = "N"
    return tags


def drawn(kind="JPEG", size=(900, 600), **how):
    """Bytes of a picture that is brown at the left and green at the right."""
    image = Image.new("RGB", size, (140, 90, 60))
    image.paste((60, 120, 50), (size[0] // 2, 0, *size))
    out = io.BytesIO()
    image.save(out, kind, **how)
    return out.getvalue()


@pytest.fixture
def plot(make_plot):
    return make_plot()


@pytest.fixture
def name(plot, recorder):
    """name(bytes or hash, …) -> the stored Photo of a visit that names it."""

    def name(of, plot=plot, user=recorder, **said):
        sha256 = of if isinstance(of, str) else hashlib.sha256(of).hexdigest()
        photo = {"id": uuid4(), "sha256": sha256} | said
        visit = SaidVisit(id=uuid4(), plot=plot, visited_at=timezone.now(), photos=(photo,))
        [taken] = take_in(property=plot.property, user=user, visits=[visit])
        assert not taken.refused
        return Photo.objects.get(pk=photo["id"])

    return name


@pytest.fixture
def send(client, recorder, farm):
    client.force_login(recorder)

    def send(data, *, named=None, property=farm, asked=""):
        sha256 = named or hashlib.sha256(data).hexdigest()
        address = f"/api/v1/properties/{property.slug}/photos/{sha256}/{asked}"
        return client.put(address, data, content_type="image/jpeg")

    return send


def test_bytes_are_taken_once_they_are_named_and_known_after_that(send, name):
    data = drawn()
    assert send(data).status_code == 404
    photo = name(data)
    assert (send(data).status_code, send(data).status_code) == (201, 200)
    photo.refresh_from_db()
    assert (photo.media_type, photo.width_px, photo.height_px) == ("image/jpeg", 900, 600)
    assert photo.arrived_at


def test_the_same_picture_of_two_visits_is_one_file_whenever_it_comes(send, name):
    data = drawn()
    first, second = name(data), name(data)
    send(data)
    third = name(data)
    files = {Photo.objects.get(pk=each.pk).file.name for each in (first, second, third)}
    assert len(files) == 1
    assert Photo.objects.filter(arrived_at=None).count() == 0
    assert len(default_storage.listdir(next(iter(files)).rpartition("/")[0])[1]) == 1


def test_no_picture_is_taken_from_a_phone_that_was_ended(send, name, recorder):
    picture = drawn()
    name(picture)
    now = timezone.now()
    phone = Phone.objects.create(user=recorder, phone_id=uuid4(), last_seen_at=now, ended_at=now)
    refused = send(picture, asked=f"?phone_id={phone.phone_id}")
    assert (refused.status_code, refused.json()["error"]["code"]) == (403, "phone_ended")
    assert Photo.objects.get().arrived_at is None
    assert send(picture, asked="?phone_id=mine").status_code == 400
    assert send(picture, asked=f"?phone_id={uuid4()}").status_code == 201


def test_other_bytes_than_were_named_are_refused_and_leave_nothing(send, name):
    data = drawn()
    photo = name(data)
    answer = send(data + b"x", named=photo.sha256)
    assert answer.status_code == 400
    assert "SHA-256" in answer.json()["error"]["message"]
    photo.refresh_from_db()
    assert (photo.arrived_at, photo.file.name) == (None, "")
    assert not default_storage.exists(f"photos/{photo.property_id}")


def bomb():
    """A PNG that says it has 60,000 × 60,000 pixels."""

    def chunk(kind, content):
        return (
            struct.pack(">I", len(content)) + kind + content + struct.pack(">I", zlib.crc32(kind + content))
        )

    head = struct.pack(">IIBBBBB", 60_000, 60_000, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "HEIC or AVIF"),
        (b"Dear diary, today I saw eleven deer.", "no JPEG, PNG or WebP"),
        (b"\xff\xd8\xffDear diary, today I saw eleven deer.", "damaged"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>", "no JPEG, PNG or WebP"),
        (bomb(), "far more than the 40 million pixels"),
        (drawn("PNG")[:-40], "damaged"),
        (b"", "no JPEG, PNG or WebP"),
        (b"\xff\xd8\xff" + b"\0" * 12_000_000, "larger than 12 MB"),
    ],
    ids=["heic", "text", "text as jpeg", "svg", "bomb", "cut png", "nothing", "too large"],
)
def test_what_is_no_picture_is_refused_in_a_sentence(send, name, data, sentence):
    name(data)
    answer = send(data)
    assert answer.status_code == 400
    assert sentence in answer.json()["error"]["message"]
    assert not Photo.objects.filter(arrived_at__isnull=False).exists()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_metadata_is_dropped_and_the_picture_stays_with_its_orientation(send, name, kind, client, farm):
    data = drawn(kind, exif=exif())
    assert b"Secret camera" in data
    photo = name(data)
    assert send(data).status_code == 201
    photo.refresh_from_db()
    kept = photo.file.read()
    assert b"Secret camera" not in kept
    with Image.open(io.BytesIO(kept)) as image, Image.open(io.BytesIO(data)) as before:
        assert dict(image.getexif()) == {ORIENTATION: 6}
        assert image.tobytes() == before.tobytes()
    assert (photo.width_px, photo.height_px) == (600, 900)
    served = b"".join(client.get(reverse("photo", args=[farm.slug, photo.pk])).streaming_content)
    assert served == kept


def test_more_pixels_than_are_opened_are_named(send, name, monkeypatch):
    monkeypatch.setattr(services, "MOST_PIXELS", 500_000)
    name(drawn())
    assert "900 × 600 pixels" in send(drawn()).json()["error"]["message"]


def test_what_hangs_behind_a_jpeg_is_dropped():
    inner = drawn(exif=exif())
    clean = without_metadata(drawn() + inner, "image/jpeg", 1)
    assert clean == without_metadata(drawn(), "image/jpeg", 1)
    assert b"Secret" not in clean


def test_of_a_png_only_what_shows_it_is_kept():
    plain = drawn("PNG")
    length, crc = struct.pack(">I", 13), struct.pack(">I", zlib.crc32(b"caBXSecret camera"))
    after_header = 8 + 25
    marked = (
        plain[:after_header] + length + b"caBXSecret camera" + crc + plain[after_header:] + b"Secret camera"
    )
    assert without_metadata(marked, "image/png", 1) == plain


def test_what_hangs_behind_a_webp_is_dropped():
    plain = drawn("WEBP")
    clean = without_metadata(plain + b"Secret camera" * 9, "image/webp", 1)
    assert clean == plain


def test_a_progressive_jpeg_keeps_every_scan():
    data = drawn(progressive=True, exif=exif(1))
    clean = without_metadata(data, "image/jpeg", 1)
    with Image.open(io.BytesIO(clean)) as image, Image.open(io.BytesIO(data)) as before:
        assert image.tobytes() == before.tobytes()


def test_colours_of_a_profile_stay(send, name):
    data = drawn(icc_profile=b"profile" * 10)
    with Image.open(io.BytesIO(without_metadata(data, "image/jpeg", 1))) as image:
        assert image.info["icc_profile"] == b"profile" * 10


def test_a_small_copy_is_made_upright_when_the_bytes_have_come(
    send, name, django_capture_on_commit_callbacks
):
    data = drawn(exif=exif(6), size=(2000, 1000))
    photo = name(data)
    with django_capture_on_commit_callbacks(execute=True):
        send(data)
    photo.refresh_from_db()
    with Image.open(photo.small) as small:
        assert (small.format, small.size, dict(small.getexif())) == ("JPEG", (240, 480), {})


@pytest.mark.parametrize("mode", ["RGBA", "P", "LA", "L", "1", "I;16"])
def test_pictures_of_every_mode_get_a_small_copy(send, name, mode):
    out = io.BytesIO()
    Image.new(mode, (50, 40)).save(out, "PNG")
    photo = name(out.getvalue())
    assert send(out.getvalue()).status_code == 201
    make_small_picture(photo.property_id, photo.sha256)
    photo.refresh_from_db()
    assert photo.small
    assert photo.trouble == ""


def test_the_sweep_makes_small_copies_whose_message_was_lost(send, name):
    data = drawn()
    photo = name(data)
    send(data)
    sweep()
    photo.refresh_from_db()
    assert photo.small


def test_a_picture_that_cannot_be_made_small_says_so_and_is_tried_no_more(send, name):
    data = drawn()
    whole = len(data)
    cut = drawn("JPEG", size=(1200, 800), quality=95)[: whole // 2]
    photo = name(cut)
    assert send(cut).status_code == 201
    sweep()
    photo.refresh_from_db()
    assert photo.small.name == ""
    assert "damaged" in photo.trouble


def test_a_full_disk_is_said_and_leaves_the_picture_to_be_sent_again(send, name, monkeypatch):
    data = drawn()
    name(data)

    def full(*args):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(services.os, "fsync", full)
        answer = send(data)
    assert (answer.status_code, answer.json()["error"]["code"]) == (507, "no_room")
    assert default_storage.listdir("photos/incoming") == ([], [])
    assert send(data).status_code == 201


def test_a_file_that_was_lost_is_taken_again(send, name):
    data = drawn()
    photo = name(data)
    send(data)
    photo.refresh_from_db()
    default_storage.delete(photo.file.name)
    assert send(data).status_code in (200, 201)
    assert default_storage.exists(photo.file.name)


def test_what_a_sending_left_lying_is_removed_after_a_day(settings):
    folder = settings.MEDIA_ROOT / "photos" / "incoming"
    folder.mkdir(parents=True)
    old, new = folder / "old", folder / "new"
    old.write_bytes(b"1")
    new.write_bytes(b"1")
    yesterday = (timezone.now() - timedelta(hours=25)).timestamp()
    services.os.utime(old, (yesterday, yesterday))
    services.remove_left_over()
    assert [each.name for each in folder.iterdir()] == ["new"]


# --- who sees them


def test_a_picture_is_served_to_members_with_care(send, name, client, farm, stranger):
    data = drawn()
    photo = name(data)
    address = reverse("photo", args=[farm.slug, photo.pk])
    assert client.get(address).status_code == 404
    send(data)
    answer = client.get(address)
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cache-Control"] == "private, no-cache"
    assert "sandbox" in answer["Content-Security-Policy"]
    assert client.get(address, headers={"If-None-Match": answer["ETag"]}).status_code == 304
    client.force_login(stranger)
    assert client.get(address).status_code == 404
    assert client.get(address, headers={"If-None-Match": answer["ETag"]}).status_code == 404


def test_the_same_bytes_on_another_property_are_its_own(send, name, make_plot, elsewhere, stranger, client):
    data = drawn()
    name(data)
    send(data)
    theirs = name(data, plot=make_plot("Far", property=elsewhere), user=stranger)
    assert theirs.arrived_at is None
    client.force_login(stranger)
    assert send(data, property=elsewhere).status_code == 201
    assert send(data).status_code == 404


def test_the_api_gives_a_picture_by_its_hash(send, name, client, farm, stranger):
    data = drawn()
    photo = name(data)
    address = f"/api/v1/properties/{farm.slug}/photos/{photo.sha256}/"
    assert client.get(address).status_code == 404
    send(data)
    assert b"".join(client.get(address).streaming_content).startswith(b"\xff\xd8")
    client.force_login(stranger)
    assert client.get(address).status_code == 404
