"""The property's own pictures: sent, asked about, cut, shown, removed; on the page and by the API."""

import errno
import io
import uuid
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.files.uploadhandler import TemporaryFileUploadHandler
from django.test import RequestFactory
from django.urls import resolve, reverse

from config.errors import Conflict, Refused
from plots.backdrop import backdrop_of
from plots.models import GroundPicture, Job
from plots.pictures.model import UnusablePicture
from plots.services import cutting, pictures
from plots.services.cutting import folder_of, tiles_folder
from plots.services.jobs import run_job
from plots.tasks import sweep
from plots.uploads import BoundedUpload
from tests.plots.ground_pictures import DEGREES, UTM_15N, ground, tile_pixel, world_file, write
from tests.plots.test_jobs import age

State = GroundPicture.State
SMALL = ground(160, 120)[None]


def content(tmp_path, crs=UTM_15N, driver="GTiff", **options):
    return write(tmp_path / "made", SMALL, crs, driver=driver, **options).read_bytes()


def uploaded(name, data):
    return SimpleUploadedFile(name, data)


@pytest.fixture
def receive(farm, owner, tmp_path):
    """receive(data=a small GeoTIFF, name of the file, …) -> the GroundPicture, its tiles not cut yet."""

    def receive(data=None, file_name="flight.tif", **said):
        upload = uploaded(file_name, content(tmp_path) if data is None else data)
        return pictures.receive_picture(property=farm, user=owner, upload=upload, **said)

    return receive


def cut(row):
    run_job(row.job_id)
    row.refresh_from_db()
    return row


def kept_files(settings):
    return [path for path in settings.MEDIA_ROOT.rglob("*") if path.is_file()]


def test_a_picture_is_kept_placed_and_cut(receive, farm, make_plot, settings):
    make_plot()
    row = receive(name="  Flight   of April ")
    assert (row.state, row.name, row.file_name) == (State.CUTTING, "Flight of April", "flight.tif")
    assert (row.job.kind, row.job.steps_total) == ("picture", row.report["tiles"])
    cut(row)
    assert (row.state, row.job.state) == (State.READY, "done")
    files = list(tiles_folder(farm.pk, row.pk).rglob("*.webp"))
    assert row.tile_bytes == sum(path.stat().st_size for path in files) > 0
    assert {path.stat().st_mode & 0o777 for path in kept_files(settings)} == {0o600}


def test_no_map_offers_a_picture_before_all_of_it_is_there(receive, farm):
    row = receive()
    assert backdrop_of(farm).pictures == []
    cut(row)
    (offered,) = backdrop_of(farm).pictures
    assert offered["name"] == "flight"
    assert offered["bounds"] == row.bounds
    assert offered["address"] == f"/p/{farm.slug}/pictures/{row.pk}/{{z}}/{{x}}/{{y}}.webp"
    pictures.describe_picture(picture=row, name="F", taken_on=None, is_shown=False)
    assert backdrop_of(farm).pictures == []


def test_a_picture_that_cannot_be_used_leaves_nothing(receive, settings):
    with pytest.raises(Refused, match="neither GeoTIFF nor PNG nor JPEG") as refused:
        receive(b"GIF89a" + bytes(40))
    assert list(refused.value.fields) == ["file"]
    assert not GroundPicture.objects.exists()
    assert kept_files(settings) == []


def test_a_picture_without_a_system_asks_and_takes_the_answer(receive, owner, make_plot, tmp_path):
    make_plot()  # near 92° west, 38° north
    row = receive(
        content(tmp_path, None, "PNG"), "scan.png", world_file=uploaded("scan.pgw", world_file().encode())
    )
    assert (row.state, row.report["needs"], row.job) == (State.ASKING, "crs", None)
    assert UTM_15N in dict(row.report["likely_crs"])
    with pytest.raises(Refused, match="does not fit EPSG:4326"):
        pictures.answer_picture(picture=row, user=owner, crs="EPSG:4326")
    with pytest.raises(Refused, match="no coordinate system"):
        pictures.answer_picture(picture=row, user=owner, crs="nonsense")
    row.refresh_from_db()
    assert (row.state, row.crs) == (State.ASKING, "")
    answered = pictures.answer_picture(picture=row, user=owner, crs="26915")
    assert cut(answered).state == State.READY
    with pytest.raises(Conflict, match="needs no answer any more"):
        pictures.answer_picture(picture=row, user=owner, crs="26915")


def test_a_prj_beside_the_world_file_answers_it(receive, tmp_path):
    from pyproj import CRS

    prj = uploaded("a.prj", CRS.from_user_input(UTM_15N).to_wkt("WKT1_ESRI").encode())
    world = uploaded("a.pgw", world_file().encode())
    row = receive(content(tmp_path, None, "PNG"), "a.png", world_file=world, prj_file=prj)
    assert (row.state, row.crs) == (State.CUTTING, UTM_15N)


def test_a_picture_without_a_world_file_asks_for_it(receive, owner, tmp_path):
    row = receive(content(tmp_path, None, "PNG"), "a.png", crs=UTM_15N)
    assert (row.state, row.report["needs"]) == (State.ASKING, "world")
    with pytest.raises(Refused, match="does not say where it lies"):
        pictures.answer_picture(picture=row, user=owner)
    answered = pictures.answer_picture(
        picture=row, user=owner, world_file=uploaded("a.pgw", world_file().encode())
    )
    assert answered.state == State.CUTTING


@pytest.mark.parametrize(
    ("said", "field", "sentence"),
    [
        ({"world_file": uploaded("a.pgw", b"1 2 3")}, "world_file", "3 numbers; six"),
        ({"world_file": uploaded("a.pgw", b"\xff\xfe\x00")}, "world_file", "is no text"),
        ({"world_file": uploaded("a.pgw", b"1" * 1001)}, "world_file", "1,001 bytes"),
        ({"prj_file": uploaded("a.prj", b"LOCAL_CS[1]")}, "prj_file", "no coordinate system that is known"),
        ({"crs": "EPSG:99999"}, "crs", "is not a map or longitude/latitude system"),
        ({"name": "n" * 81}, "name", "at most 80"),
        ({"lacks_room": True}, "file", "has no room"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(receive, settings, said, field, sentence):
    with pytest.raises(Refused, match=sentence) as refused:
        receive(**said)
    assert list(refused.value.fields) == [field]
    assert kept_files(settings) == []


def test_a_picture_far_from_the_plots_is_questioned(receive, owner, make_plot, tmp_path):
    make_plot(lon=-92.5, lat=38.0)
    row = receive()
    # half a degree of longitude at 38° north: 111.32 km × cos 38° × 0.5 = 43.9 km
    assert (row.state, row.report["needs"]) == (State.ASKING, "far")
    assert "27 miles (44 km)" in row.said
    with pytest.raises(Refused, match="Is that right"):
        pictures.answer_picture(picture=row, user=owner)
    assert pictures.answer_picture(picture=row, user=owner, is_far_confirmed=True).state == State.CUTTING


def test_a_picture_around_distant_plots_is_not_questioned(receive, make_plot, tmp_path):
    make_plot(lon=-92.5, lat=38.0)
    wide = content(tmp_path, DEGREES, place=(-93.0, 38.4, 0.006))
    assert receive(wide).state == State.CUTTING


def test_a_file_beyond_the_limit_is_refused_unread(receive, settings, monkeypatch):
    monkeypatch.setattr(pictures, "MAX_FILE_BYTES", 1000)
    with pytest.raises(Refused, match="larger than"):
        receive()
    assert kept_files(settings) == []


def test_a_full_disk_is_a_sentence(receive, settings, monkeypatch):
    def full(*args, **kwargs):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(pictures, "picture_facts", full)
    with pytest.raises(Refused, match="The disk is full"):
        receive()
    assert kept_files(settings) == []


def test_without_room_for_the_tiles_it_waits_for_another_try(receive, owner, monkeypatch):
    row = receive()
    with monkeypatch.context() as few:
        few.setattr(cutting, "SPARE_DISK_BYTES", 10**18)
        cut(row)
    assert (row.state, row.job.state) == (State.REFUSED, "failed")
    assert "Make room, then cut it again." in row.said == row.job.message
    assert cut(pictures.answer_picture(picture=row, user=owner)).state == State.READY


def test_a_picture_that_breaks_off_shows_nothing(receive, farm, monkeypatch):
    row = receive()

    def broken(*args, into, **kwargs):
        into.mkdir(parents=True)
        (into / "20").mkdir()
        raise UnusablePicture("It is damaged.")

    monkeypatch.setattr(cutting, "cut_tiles", broken)
    cut(row)
    assert (row.state, row.said) == (State.REFUSED, "It is damaged.")
    assert not tiles_folder(farm.pk, row.pk).exists()
    assert backdrop_of(farm).pictures == []


def test_a_fault_here_is_said_and_can_be_tried_again(receive, owner, monkeypatch):
    row = receive()
    with monkeypatch.context() as faulty:
        faulty.setattr(cutting, "cut_tiles", lambda *args, **kwargs: 1 / 0)
        cut(row)
    assert (row.state, row.job.state) == (State.REFUSED, "failed")
    assert "logged" in row.said
    assert cut(pictures.answer_picture(picture=row, user=owner)).state == State.READY


def test_cutting_again_changes_nothing(receive, farm):
    row = cut(receive())
    before = {path: path.stat().st_mtime_ns for path in tiles_folder(farm.pk, row.pk).rglob("*.webp")}
    cutting.cut_picture(farm.pk, job=row.job)
    assert {path: path.stat().st_mtime_ns for path in tiles_folder(farm.pk, row.pk).rglob("*.webp")} == before


def test_a_worker_that_died_after_the_tiles_is_made_up_for(receive, farm):
    row = cut(receive())
    GroundPicture.objects.update(state=State.CUTTING, tile_bytes=None)
    Job.objects.update(state="running", beat_at=age(3600))
    sweep()
    row.refresh_from_db()
    assert (row.state, Job.objects.get().state) == (State.READY, "done")
    assert row.tile_bytes > 0


def test_a_removed_picture_takes_its_files_with_it(receive, settings, django_capture_on_commit_callbacks):
    row = cut(receive())
    with django_capture_on_commit_callbacks(execute=True):
        pictures.remove_picture(picture=row)
    assert not GroundPicture.objects.exists()
    assert kept_files(settings) == []


def test_removed_while_it_is_cut_it_leaves_nothing(
    receive, farm, settings, monkeypatch, django_capture_on_commit_callbacks
):
    row = receive()
    job, look_at = row.job, cutting.cut_tiles

    def removed_meanwhile(*args, **kwargs):
        with django_capture_on_commit_callbacks(execute=True):
            pictures.remove_picture(picture=GroundPicture.objects.get(pk=row.pk))
        kwargs["look"](1)
        return look_at(*args, **kwargs)

    monkeypatch.setattr(cutting, "cut_tiles", removed_meanwhile)
    run_job(job.pk)
    assert not folder_of(farm.pk, row.pk).exists()
    assert kept_files(settings) == []


# pages


def test_the_page_takes_a_picture_and_leads_to_its_progress(client, farm, manager, tmp_path):
    client.force_login(manager)
    sent = {"file": uploaded("flight.tif", content(tmp_path)), "taken_on": "2026-04-20", "name": ""}
    page = client.post(reverse("pictures", args=[farm.slug]), sent, follow=True)
    row = GroundPicture.objects.get()
    assert page.redirect_chain == [(reverse("job", args=[farm.slug, row.job_id]), 302)]
    assert "Cutting begins when the worker is free" in page.text
    cut(row)
    assert "lies under the plots" in client.get(reverse("job", args=[farm.slug, row.job_id])).text
    listed = client.get(reverse("pictures", args=[farm.slug])).text
    for words in ("flight", "20 Apr 2026", "9.9", "On the maps"):
        assert words in listed


def test_the_page_says_what_is_wrong_and_keeps_what_was_typed(client, farm, manager):
    client.force_login(manager)
    sent = {"file": uploaded("a.tif", b"x"), "taken_on": "2026-02-31", "name": "Spring"}
    page = unescape(client.post(reverse("pictures", args=[farm.slug]), sent).text)
    assert "The day is no day of the calendar" in page
    assert 'value="Spring"' in page
    sent = {"file": uploaded("a.tif", b"x"), "name": "Spring"}
    assert "neither GeoTIFF nor PNG" in client.post(reverse("pictures", args=[farm.slug]), sent).text


def test_the_picture_asks_on_its_own_page(client, farm, manager, make_plot, tmp_path):
    make_plot()
    client.force_login(manager)
    sent = {
        "file": uploaded("a.png", content(tmp_path, None, "PNG")),
        "world_file": uploaded("a.pgw", world_file().encode()),
    }
    page = client.post(reverse("pictures", args=[farm.slug]), sent, follow=True)
    row = GroundPicture.objects.get()
    assert page.redirect_chain == [(reverse("picture", args=[farm.slug, row.pk]), 302)]
    assert "NAD83 / UTM zone 15N" in page.text
    wrong = client.post(page.redirect_chain[0][0], {"act": "place", "crs": "4326"})
    assert "does not fit EPSG:4326" in unescape(wrong.text)
    right = client.post(page.redirect_chain[0][0], {"act": "place", "likely_crs": UTM_15N})
    row.refresh_from_db()
    assert right.url == reverse("job", args=[farm.slug, row.job_id])


def test_a_viewer_sees_pictures_and_no_forms(client, farm, viewer, receive):
    row = cut(receive())
    client.force_login(viewer)
    for address in (reverse("pictures", args=[farm.slug]), reverse("picture", args=[farm.slug, row.pk])):
        page = client.get(address)
        assert "flight" in page.text
        assert "<form" not in page.text


def test_a_tile_is_given_with_a_long_life_and_few_questions(
    client, farm, viewer, receive, django_assert_num_queries
):
    row = cut(receive())
    client.force_login(viewer)
    lon, lat = (row.west + row.east) / 2, (row.south + row.north) / 2
    x, y = (int(each // 256) for each in tile_pixel(lon, lat, row.max_zoom))
    address = backdrop_of(farm).pictures[0]["address"]
    with django_assert_num_queries(3):  # the session, the person, the door
        tile = client.get(address.format(z=row.max_zoom, x=x, y=y))
    assert tile.content == (tiles_folder(farm.pk, row.pk) / f"{row.max_zoom}/{x}/{y}.webp").read_bytes()
    assert tile["Cache-Control"] == "private, max-age=31536000, immutable"
    assert (tile["Content-Type"], tile["X-Content-Type-Options"]) == ("image/webp", "nosniff")
    beside = client.get(address.format(z=row.max_zoom, x=x + 400, y=y))
    assert (beside.status_code, beside.content[:4], len(beside.content)) == (200, b"RIFF", 34)


@pytest.mark.parametrize(
    "place", ["23/0/0", "2/4/0", "2/0/4", f"{10**40}/0/0", f"2/{10**400}/0", "2/-1/0", "2/../0", "2/%2e%2e/0"]
)
def test_a_tile_of_nowhere_is_not_found(client, farm, viewer, receive, place):
    row = cut(receive())
    client.force_login(viewer)
    assert client.get(f"/p/{farm.slug}/pictures/{row.pk}/{place}.webp").status_code == 404


def test_tiles_of_another_property_or_no_picture_are_not_found(client, farm, elsewhere, stranger, receive):
    row = cut(receive())
    client.force_login(stranger)
    for slug, picture_id in ((farm.slug, row.pk), (elsewhere.slug, row.pk), (elsewhere.slug, uuid.uuid4())):
        assert client.get(reverse("picture-tile", args=[slug, picture_id, 1, 0, 0])).status_code == 404


def test_a_map_asks_once_for_all_pictures(
    client, farm, owner, make_plot, receive, django_assert_max_num_queries
):
    make_plot()
    for number in range(3):
        cut(receive(name=f"Flight {number}"))
    client.force_login(owner)
    with django_assert_max_num_queries(15) as queries:
        page = client.get(reverse("overview", args=[farm.slug]))
    assert sum("groundpicture" in query["sql"] for query in queries) == 1
    assert page.text.count("/{z}/{x}/{y}.webp") == 3


# the API


def test_the_api_takes_a_picture_and_says_where_it_lies(client, farm, manager, tmp_path):
    client.force_login(manager)
    address = reverse("api-pictures", args=[farm.slug])
    answer = client.post(
        address, {"file": uploaded("flight.tif", content(tmp_path)), "taken_on": "2026-04-20"}
    )
    assert answer.status_code == 201
    said = answer.json()
    assert (said["state"], said["needs"], said["tiles"]) == ("cutting", None, None)
    run_job(said["job"])
    said = client.get(reverse("api-picture", args=[farm.slug, said["id"]])).json()
    assert said["tiles"] == f"/p/{farm.slug}/pictures/{said['id']}/{{z}}/{{x}}/{{y}}.webp"
    assert said["bounds"][0] < -91.99 < said["bounds"][2] + 0.02
    assert client.get(address).json()["results"] == [said]


def test_the_api_answers_what_cannot_be_used(client, farm, manager):
    client.force_login(manager)
    answer = client.post(reverse("api-pictures", args=[farm.slug]), {"file": uploaded("a.tif", b"x")})
    assert answer.status_code == 400
    assert "neither GeoTIFF" in answer.json()["error"]["fields"]["file"][0]


# uploads


@pytest.mark.parametrize("route", ["pictures", "api-pictures"])
@pytest.mark.parametrize(("is_signed_in", "most"), [(True, 200_000_000), (False, 50_000_000)])
def test_only_here_and_only_for_people_who_are_signed_in_a_file_may_be_large(
    farm, owner, route, is_signed_in, most
):
    request = RequestFactory().post(reverse(route, args=[farm.slug]))
    request.resolver_match = resolve(request.path)
    if is_signed_in:
        request.user = owner
    handler = BoundedUpload(request)
    handler.new_file("file", "a.tif", "image/tiff", None)
    assert handler.receive_data_chunk(b"x", most) == b"x"
    assert handler.receive_data_chunk(b"x", most + 1) is None


def test_elsewhere_the_limit_is_that_of_a_boundary_file(farm, owner):
    request = RequestFactory().post(reverse("import-new", args=[farm.slug]))
    request.resolver_match, request.user = resolve(request.path), owner
    handler = BoundedUpload(request)
    handler.new_file("file", "a.kml", "text/xml", None)
    assert handler.receive_data_chunk(b"x", 50_000_001) is None


def test_a_large_upload_goes_to_disk(client, farm, manager, monkeypatch):
    chosen = []
    new_file = TemporaryFileUploadHandler.new_file
    monkeypatch.setattr(
        TemporaryFileUploadHandler,
        "new_file",
        lambda self, *args, **kwargs: (chosen.append(args[1]), new_file(self, *args, **kwargs))[1],
    )
    client.force_login(manager)
    client.post(reverse("pictures", args=[farm.slug]), {"file": uploaded("a.tif", b"x" * 3_000_000)})
    assert chosen == ["a.tif"]


def test_a_disk_without_room_swallows_the_upload_and_says_so(client, farm, manager, monkeypatch):
    monkeypatch.setattr("plots.uploads.MAX_FILE_BYTES", 1000)
    monkeypatch.setattr("plots.uploads.SPARE_DISK_BYTES", 10**18)
    client.force_login(manager)
    sent = io.BytesIO(b"II*\0" + bytes(5000))
    sent.name = "a.tif"
    page = client.post(reverse("pictures", args=[farm.slug]), {"file": sent})
    assert "has no room for the file" in page.text
    assert not GroundPicture.objects.exists()
