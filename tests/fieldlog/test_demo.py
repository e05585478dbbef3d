"""The record of the demonstration's ground, loaded through the services."""

import json
import runpy
from datetime import timedelta

import pytest
from django.conf import settings
from django.utils import timezone
from shapely.geometry import shape

from blends.models import Planting, PlantingRecord, SeedOrder
from fieldlog.models import Visit
from fieldlog.queries.visits import last_visits
from fieldlog.services import demo
from plots.models import Boundary, Landmark, SoilTest, User, Walk
from plots.queries import standing_overlaps
from plots.services.mending import NARROW_FT, slivers_of
from tests.loaded import loaded_once

FOLDER = settings.BASE_DIR / "fixtures" / "demo"


@pytest.fixture(scope="module")
def once(django_db_setup, django_db_blocker):
    with loaded_once(django_db_blocker, demo.load_demo):
        yield


@pytest.fixture
def hollow(once, db):
    return User.objects.get(username="demo-owner").memberships.get().property


def test_twelve_plots_were_visited_in_the_last_weeks_and_two_never(hollow):
    last = last_visits(hollow)
    assert len(last) == hollow.plots.count() - 2
    assert all(
        timedelta(0) < timezone.now() - visited_at < timedelta(days=50) for visited_at in last.values()
    )
    assert len({visit.recorded_by_id for visit in Visit.objects.all()}) == 3


def test_one_plot_was_imported_corrected_and_walked(hollow):
    plot = hollow.plots.get(name="Old Orchard")
    walked, drawn, imported = plot.boundaries.all()
    assert [each.how for each in (imported, drawn, walked)] == ["imported", "drawn", "walked"]
    assert plot.boundary == walked
    assert drawn.acres < imported.acres
    assert abs(walked.acres - drawn.acres) < walked.margin_acres
    days = [each.created_at.date() for each in (imported, drawn, walked)]
    assert days == sorted(set(days))
    assert (
        days[0]
        < Planting.objects.filter(plot=plot, planted_on__isnull=False).earliest("planted_on").planted_on
    )


def test_planted_acres_stay_and_orders_follow(hollow):
    for name in ("Old Orchard", "Saddle"):
        plot = hollow.plots.get(name=name)
        first = plot.boundaries.last()
        records = PlantingRecord.objects.filter(planting__plot=plot).select_related("planting")
        assert records
        assert all(row.planting.planted_acres == row.acres for row in records)
        assert all(abs(row.mapped_acres - first.acres) < 0.01 for row in records)
        assert all(row.planting.boundary == first for row in records)
    orders = SeedOrder.objects.filter(season__property=hollow)
    assert [(order.is_stale, order.problems) for order in orders] == [(False, [])] * 3


def test_one_sliver_can_be_mended(hollow):
    assert standing_overlaps(hollow).count() == 1
    assert len(slivers_of(hollow, NARROW_FT)) == 1


def test_one_walk_waits_to_be_looked_at(hollow):
    (walk,) = Walk.objects.filter(property=hollow, state=Walk.State.WAITING)
    assert walk.plot.name == "Cedar Pocket"
    assert walk.created_by.username == "demo-intern"


def test_landmarks_are_of_six_kinds_and_only_the_power_line_crosses_a_plot(hollow):
    landmarks = Landmark.objects.filter(property=hollow)
    assert {each.kind for each in landmarks} == set(Landmark.Kind.values) - {"other"}
    grounds = [plot.boundary.geometry for plot in hollow.plots.select_related("boundary")]
    crossing = {
        each.kind for each in landmarks if any(each.geometry.intersects(ground) for ground in grounds)
    }
    assert crossing == {"power_line"}


def test_three_plots_have_three_years_of_soil_tests_that_say_they_are_invented(hollow):
    tests = SoilTest.objects.filter(plot__property=hollow)
    by_plot = {}
    for test in tests:
        by_plot.setdefault(test.plot.name, []).append(test.sampled_on)
    assert sorted(map(len, by_plot.values())) == [1, 3, 3, 3]
    assert all("nvented" in test.notes for test in tests)
    assert all(day < timezone.localdate() for days in by_plot.values() for day in days)


def test_a_second_load_changes_nothing(hollow):
    def count():
        return [model.objects.count() for model in (Boundary, Walk, Landmark, SoilTest, Visit)]

    before = count()
    demo.load_demo()
    assert count() == before


def test_the_record_is_what_its_script_makes():
    stored = json.loads((FOLDER / "record.geojson").read_text(encoding="utf-8"))["features"]
    made = list(runpy.run_path(str(FOLDER / "make_record.py"))["features"]())
    assert len(made) == len(stored)
    for ours, theirs in zip(made, stored, strict=True):
        assert ours["properties"].keys() == theirs["properties"].keys()
        if theirs["geometry"]:
            assert shape(ours["geometry"]).equals_exact(shape(theirs["geometry"]), 1e-6)
        else:
            fixes = [each["properties"]["fixes"] for each in (ours, theirs)]
            assert [fix[2:] for fix in fixes[0]] == [fix[2:] for fix in fixes[1]]
            for a, b in zip(*fixes, strict=True):
                assert a[:2] == pytest.approx(b[:2], abs=1e-6)
