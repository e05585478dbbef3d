"""The demonstration property, loaded through the services."""

import json
import runpy
from datetime import date

import pytest
from django.conf import settings
from shapely.geometry import shape

from blends.models import Blend, Planting, SeedOrder
from blends.services import demo
from config.errors import Refused
from plots.models import Boundary, Membership, User


@pytest.fixture
def hollow(db):
    demo.load_demo()
    return User.objects.get(username="demo-owner").memberships.get().property


def test_the_plots_are_fourteen_of_a_third_to_nine_acres(hollow):
    acres = [plot.mapped_acres for plot in hollow.plots.select_related("boundary")]
    assert len(acres) == 14
    assert 0.3 <= min(acres) < 0.35
    assert 8.5 < max(acres) <= 9


def test_one_plot_has_a_hole_and_one_is_in_two_parts(hollow):
    boundaries = Boundary.objects.filter(plot__property=hollow)
    assert sorted(boundary.hole_count for boundary in boundaries)[-2:] == [0, 1]
    assert sorted(boundary.part_count for boundary in boundaries)[-2:] == [1, 2]


def test_the_last_two_seasons_are_planted_and_the_coming_one_is_half_planned(hollow):
    coming, *past = hollow.seasons.all()
    assert [season.plantings.count() for season in past] == [14, 14]
    decided = Planting.objects.filter(season__in=past, is_fallow=False)
    assert set(decided.values_list("state", flat=True)) == {Planting.State.DRILLED}
    assert coming.plantings.count() == 7
    assert set(coming.plantings.values_list("state", flat=True)) == {Planting.State.PLANNED}


def test_two_blends_are_mixed_here_and_one_is_bought(hollow):
    kinds = Blend.objects.filter(property=hollow).values_list("kind", flat=True)
    assert sorted(kinds) == ["bought", "mixed", "mixed"]


def test_every_order_is_computed_and_priced(hollow):
    orders = SeedOrder.objects.filter(season__property=hollow)
    assert [order.problems for order in orders] == [[], [], []]
    assert all(order.cost_bought_usd >= order.cost_used_usd > 0 for order in orders)
    assert not any(order.is_stale for order in orders)


def test_each_role_of_the_crew_is_there(hollow):
    roles = Membership.objects.filter(property=hollow).values_list("role", flat=True)
    assert sorted(roles) == ["manager", "owner", "recorder"]


def test_a_second_load_changes_nothing(hollow):
    def count():
        return [model.objects.count() for model in (User, Boundary, Blend, Planting, SeedOrder)]

    before = count()
    demo.load_demo()
    assert count() == before


def test_a_load_that_was_cut_short_goes_on_where_it_stopped(db, monkeypatch):
    with monkeypatch.context() as patched:
        patched.setattr(demo, "_choose", lambda *args: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            demo.load_demo()
    demo.load_demo()
    assert Planting.objects.count() == 35
    assert Boundary.objects.count() == 14


def test_people_of_its_own_keep_the_demonstration_out(owner):
    with pytest.raises(Refused, match="without people"):
        demo.load_demo()


@pytest.mark.parametrize("password", [demo.PASSWORD, "another password"])
def test_it_is_open_as_long_as_its_password_is_the_known_one(db, password):
    User.objects.create_user("demo-owner", password=password)
    assert demo.is_open() is (password == demo.PASSWORD)


@pytest.mark.parametrize(
    ("today", "seasons"),
    [
        (date(2026, 11, 25), [(2026, "warm"), (2026, "cool"), (2027, "warm")]),
        (date(2027, 5, 31), [(2026, "warm"), (2026, "cool"), (2027, "warm")]),
        (date(2027, 6, 1), [(2026, "cool"), (2027, "warm"), (2027, "cool")]),
        (date(2027, 12, 31), [(2027, "warm"), (2027, "cool"), (2028, "warm")]),
        (date(2028, 1, 1), [(2027, "warm"), (2027, "cool"), (2028, "warm")]),
    ],
)
def test_the_seasons_follow_the_day_of_the_load(today, seasons):
    assert demo.seasons_around(today) == seasons


def test_the_outlines_are_what_their_script_makes():
    folder = settings.BASE_DIR / "fixtures" / "demo"
    stored = json.loads((folder / "outlines.geojson").read_text(encoding="utf-8"))["features"]
    made = list(runpy.run_path(str(folder / "make_outlines.py"))["features"]())
    assert [each["properties"] for each in made] == [each["properties"] for each in stored]
    for ours, theirs in zip(made, stored, strict=True):
        assert shape(ours["geometry"]).equals_exact(shape(theirs["geometry"]), 1e-6)
