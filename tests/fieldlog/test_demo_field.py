"""The demonstration's field log, loaded through the services that a phone's records go through."""

from datetime import UTC, datetime
from unittest import mock

import pytest
from django.conf import settings
from django.utils import timezone
from PIL import Image
from shapely.geometry import Point

from fieldlog.kinds import KINDS
from fieldlog.models import Phone, Photo, PhotoPoint, Proposal, Reading, Visit, WorkItem, WorkReport
from fieldlog.services import demo
from fieldlog.services.demo_field import _taps
from plots.models import User
from tests.loaded import loaded_once

FOLDER = settings.BASE_DIR / "fixtures" / "demo" / "pictures"


@pytest.fixture(scope="module")
def once(django_db_setup, django_db_blocker, tmp_path_factory):
    before, settings.MEDIA_ROOT = settings.MEDIA_ROOT, str(tmp_path_factory.mktemp("uploads"))
    with loaded_once(django_db_blocker, demo.load_demo):
        yield
    settings.MEDIA_ROOT = before


@pytest.fixture
def hollow(once, db):
    return User.objects.get(username="demo-owner").memberships.get().property


def test_every_kind_of_reading_is_shown(hollow):
    assert {each.kind for each in Reading.objects.all()} == set(KINDS)


def test_every_reading_comes_to_a_figure_save_where_dry_weights_are_awaited(hollow):
    unknown = [
        each for each in Reading.objects.all() if all(row["value"] is None for row in each.figures[:1])
    ]
    assert [(each.kind, each.visit.plot.name) for each in unknown] == [("dry_matter", "Saddle")]
    assert unknown[0].figures[0]["remark"] == "waits for the dry weights"


def test_readings_know_what_grew_there(hollow):
    on_sown_ground = Reading.objects.exclude(kind__in=("found", "weeds", "rain")).select_related("planting")
    assert all(each.planting.plot_id == each.visit.plot_id for each in on_sown_ground)
    stands = [each for each in on_sown_ground if each.kind == "stand"]
    shares = [row["value"] for each in stands for row in each.figures if row["name"] == "emergence_pct"]
    assert len(shares) == len(stands)
    assert all(10 < share < 90 for share in shares)


def test_a_photo_point_has_pictures_of_two_years_and_every_picture_is_here(hollow):
    for point in PhotoPoint.objects.filter(plot__property=hollow):
        taken = [photo.taken_at for photo in point.photos.all()]
        assert (max(taken) - min(taken)).days > 300
    assert not Photo.objects.filter(arrived_at__isnull=True).exists()


def test_a_patch_of_weeds_has_its_pin_and_its_picture(hollow):
    patch = Reading.objects.filter(kind="weeds").latest("taken_at")
    assert patch.visit.plot.boundary.geometry.distance(_point(patch)) < 0.001
    assert patch.photos.count() == 1


def _point(reading):
    return Point(reading.lon, reading.lat)


def test_work_is_overdue_and_somebodys_and_done_with_its_minutes(hollow):
    work = WorkItem.objects.filter(property=hollow)
    assert work.filter(state="open", due_on__lt=timezone.localdate()).exists()
    assert work.filter(state="open", assigned_to__username="demo-intern").exists()
    reports = WorkReport.objects.filter(item__property=hollow)
    assert reports.count() == work.filter(state="done").count() > 2
    assert all(report.minutes for report in reports)


def test_a_patch_that_was_proposed_has_been_pulled_and_another_waits_for_somebody(hollow):
    proposals = Proposal.objects.filter(rule="pull_weeds").order_by("reading__taken_at")
    assert [each.state for each in proposals] == ["accepted", "open"]
    [report] = proposals[0].work_item.reports.all()
    assert report.is_finished
    assert report.photos.count() == 1


def test_two_corrections_of_one_count_wait_for_a_choice(hollow):
    first = Reading.objects.get(corrections__isnull=False, replaces=None, corrections__rivals__isnull=False)
    assert {each.recorded_by.username for each in first.corrections.all() if each.counts} == {
        "demo-intern",
        "demo-manager",
    }


def test_two_visits_wait_on_a_phone(hollow):
    assert [len(phone.waiting) for phone in Phone.objects.all()] == [2]


def test_a_second_load_adds_nothing(hollow):
    def count():
        return [model.objects.count() for model in (Visit, Reading, Photo, PhotoPoint, WorkItem, Phone)]

    before = count()
    demo.load_demo()
    assert count() == before


@pytest.mark.parametrize(
    "today", [datetime(2027, 5, 12, 9, tzinfo=UTC), datetime(2027, 9, 20, 9, tzinfo=UTC)]
)
def test_what_would_lie_ahead_is_left_out(db, today):
    with mock.patch("django.utils.timezone.now", return_value=today):
        demo.load_demo()
    assert Visit.objects.filter(readings__isnull=False).exists()
    assert all(visit.visited_at < today for visit in Visit.objects.all())


@pytest.mark.parametrize(("told", "taps"), [("2/4", "0101"), ("0/3", "000"), ("3/3", "111")])
def test_taps_are_spread_over_the_line(told, taps):
    assert _taps(told) == taps


def test_the_drawn_pictures_are_small_and_say_nothing_of_a_camera():
    files = list(FOLDER.iterdir())
    assert sum(file.stat().st_size for file in files) < 150_000
    for file in files:
        with Image.open(file) as picture:
            assert picture.format == "JPEG"
            assert not picture.getexif()
