"""What a season's plan puts on the work list: once, with the day and what it rests on, and following the plan."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from blends.models import Season
from blends.services.blends import save_blend
from blends.services.seasons import assign, open_season
from fieldlog.models import WorkItem
from fieldlog.services.plan_work import follow_plan
from fieldlog.services.work import change_work, drop_work
from plots.models import SoilTest
from tests.planting_day import species

YEAR = timezone.localdate().year + 1


@pytest.fixture
def plan(farm, owner, make_plot):
    """A warm season of next year on two plots; frosts as their days of the year."""
    farm.last_frost_on, farm.first_frost_on = date(2000, 4, 20), date(2000, 10, 15)
    farm.save()
    plots = [make_plot("Heron Bench"), make_plot("Alder Creek", lon=-91.99)]
    for plot in plots:
        SoilTest.objects.create(
            plot=plot, sampled_on=timezone.localdate(), depth_bottom_in=Decimal(6), ph=6, created_by=owner
        )
    season = open_season(property=farm, year=YEAR, kind="warm")
    blend = save_blend(
        property=farm,
        user=owner,
        name="Summer",
        kind="mixed",
        components=[{"species_id": species("cowpea").pk, "drilled_pls_lb_per_acre": Decimal(20)}],
    )
    assign(
        season=season, user=owner, assignments=[{"plot_id": plot.pk, "blend_id": blend.pk} for plot in plots]
    )
    return season


def item(kind):
    return WorkItem.objects.get(kind=kind)


def days():
    return {each.kind: (each.starts_on, each.due_on) for each in WorkItem.objects.all()}


def test_it_has_the_days_that_follow_from_the_last_frost(plan, farm):
    follow_plan(property=farm)
    sown = date(YEAR, 5, 4)  # 14 days after 20 April
    assert days() == {
        "order": (None, sown - timedelta(days=42)),
        "calibrate": (None, sown - timedelta(days=7)),
        "drill": (sown, sown + timedelta(days=14)),
    }
    assert "14 days after the last frost of spring (common practice, no source)" in item("drill").how
    assert "Summer: soil of " in item("drill").how
    assert "Alder Creek, Heron Bench" in item("drill").how


def test_it_is_put_there_once(plan, farm):
    assert follow_plan(property=farm) == 3
    assert follow_plan(property=farm) == 0
    assert WorkItem.objects.count() == 3


def test_without_a_frost_no_day_is_known_and_none_is_invented(plan, farm):
    farm.last_frost_on = None
    farm.save()
    follow_plan(property=farm)
    assert set(days().values()) == {(None, None)}
    assert "the property's settings have no date for the last frost of spring" in item("drill").how


def test_it_moves_with_the_plan_save_for_what_somebody_changed(plan, farm, owner):
    follow_plan(property=farm)
    change_work(item=item("order"), user=owner, wanted={"due_on": date(YEAR, 2, 1)})
    farm.last_frost_on = date(2000, 4, 30)
    farm.save()
    follow_plan(property=farm)
    assert item("order").due_on == date(YEAR, 2, 1)
    assert "Apr" not in item("order").title
    assert f"May 14, {YEAR}" in item("order").how
    assert item("drill").starts_on == date(YEAR, 5, 14)


def test_what_the_plan_has_no_more_is_dropped_and_comes_back(plan, farm, owner):
    follow_plan(property=farm)
    rows = list(plan.plantings.all())
    plan.plantings.all().delete()
    follow_plan(property=farm)
    assert item("drill").state == "dropped"
    assert item("drill").earlier[-1]["why"] == "The plan has it no more."
    for row in rows:
        row.save(force_insert=True)
    follow_plan(property=farm)
    assert item("drill").state == "open"


def test_what_somebody_dropped_stays_dropped(plan, farm, owner):
    follow_plan(property=farm)
    drop_work(item=item("calibrate"), user=owner, why="Done by the neighbour")
    follow_plan(property=farm)
    assert item("calibrate").state == "dropped"


def test_it_is_done_when_every_plot_is_planted(plan, farm):
    follow_plan(property=farm)
    plan.plantings.update(state="drilled", planted_on=date(YEAR, 5, 6), planted_acres=1)
    follow_plan(property=farm)
    assert {each.kind: each.state for each in WorkItem.objects.all()} == {
        "order": "done",
        "calibrate": "done",
        "drill": "done",
    }


def test_a_stand_is_ended_before_the_next_season_is_sown_on_its_plot(plan, farm, owner):
    cool = open_season(property=farm, year=YEAR, kind="cool")
    blend = plan.plantings.first().blend
    plot = plan.plantings.first().plot
    assign(season=cool, user=owner, assignments=[{"plot_id": plot.pk, "blend_id": blend.pk}])
    plan.plantings.update(state="up", planted_on=date(YEAR, 5, 6), planted_acres=1)
    follow_plan(property=farm)
    ends = item("terminate")
    assert ends.plan_key == f"{YEAR}-warm/terminate"
    assert ends.title == f"End the stands of the warm season {YEAR}: 1 plot"
    assert ends.due_on == date(YEAR, 10, 15) - timedelta(days=45 + 14)
    assert plot.name in ends.how


def test_soil_is_tested_when_the_last_test_has_run_out(farm, owner, make_plot):
    today = timezone.localdate()
    old, fresh = make_plot("Old"), make_plot("Fresh", lon=-91.99)
    make_plot("Never", lon=-91.98)
    for plot, years in ((old, 3), (fresh, 1)):
        SoilTest.objects.create(
            plot=plot,
            sampled_on=today.replace(year=today.year - years, day=min(today.day, 28)),
            depth_bottom_in=Decimal(6),
            ph=6,
            created_by=owner,
        )
    follow_plan(property=farm)
    test = item("soil_test")
    assert test.title == "Test the soil of 2 plots"
    assert test.due_on == today.replace(day=min(today.day, 28))
    assert "Never tested, so that no day follows: Never." in test.how
    assert "Fresh" not in test.how


def test_a_property_without_plots_has_nothing_to_do(farm):
    assert follow_plan(property=farm) == 0
    assert not Season.objects.exists()
