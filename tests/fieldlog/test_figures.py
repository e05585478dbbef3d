"""Figures that were made by an older version, or before something about the planting was corrected, are made again."""

import uuid
from datetime import date, datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from blends.models import Planting
from blends.services.lots import add_test, correct_lot, strike_test
from blends.services.planting_records import record_planting
from blends.services.species import end_override, override_value
from fieldlog.kinds import KINDS
from fieldlog.kinds.described import Facts
from fieldlog.models import Reading, Visit
from fieldlog.services import figures
from fieldlog.services.figures import doubted, figures_for, remake_old
from plots.services.measuring import tell_acreage_changed
from tests.planting_day import PlantingDay


@pytest.fixture
def day(farm, owner, make_plot):
    return PlantingDay(farm, owner, make_plot)


@pytest.fixture
def count_stand(owner):
    """count_stand(plot, plants) -> a stored reading in a frame of 1 ft²"""

    def count_stand(plot, plants, **more):
        at = timezone.make_aware(datetime(2026, 10, 1, 12))
        visit = Visit.objects.create(plot=plot, visited_at=at, recorded_by=owner)
        settings = KINDS["stand"].defaults | {"method": "frame"}
        reading = Reading(
            visit=visit,
            kind="stand",
            values={"plants": plants},
            settings=settings,
            taken_at=at,
            recorded_by=owner,
            **more,
        )
        figures_for(reading, Facts())
        reading.save(force_insert=True)
        return reading

    return count_stand


def value(reading, name):
    reading.refresh_from_db()
    return next(each["value"] for each in reading.figures if each["name"] == name)


def plant(planting, on=date(2026, 9, 10)):
    planting.state, planting.planted_on, planting.planted_acres = Planting.State.UP, on, Decimal(2)
    planting.save()


def test_a_planting_that_is_recorded_later_brings_the_emergence(day, count_stand):
    reading = count_stand(day.plots[0], [10, 20])
    assert value(reading, "emergence_pct") is None
    planting = day.season.plantings.get(plot=day.plots[0])
    plant(planting)
    assert remake_old() == 1
    assert value(reading, "emergence_pct") > 0
    assert reading.planting_id == planting.pk
    assert remake_old() == 0


def test_a_planting_of_another_plot_changes_nothing(day, count_stand):
    count_stand(day.plots[0], [10, 20])
    plant(day.season.plantings.get(plot=day.plots[1]))
    assert remake_old() == 0


class TestWhatIsKnownOtherwiseSince:
    """Each entered after the count: emergence follows it."""

    @pytest.fixture
    def counted(self, day, count_stand, owner):
        """A stand on a plot whose sowing is recorded, 10 plants/ft²."""
        plot = day.plots[0]
        record_planting(
            id=uuid.uuid4(),
            planting=day.season.plantings.get(plot=plot),
            user=owner,
            said={"done_on": date(2026, 9, 10), "acres": Decimal(2), "machine_id": day.machine.pk},
            seeds=[{"lot_id": day.lots["cereal_rye"].pk, "used_lb": Decimal(120)}],
        )
        reading = count_stand(plot, [10, 10])
        Reading.objects.update(figures_by=0)
        remake_old()
        return reading

    def test_a_test_of_the_lot(self, day, owner, counted):
        """Half as much alive is twice the emergence; struck, it is as before."""
        before = value(counted, "emergence_pct")
        lot = day.lots["cereal_rye"]
        test = add_test(lot=lot, user=owner, tested_on=date(2026, 9, 1), germination_pct=Decimal(45))
        assert remake_old() == 1
        assert value(counted, "emergence_pct") == pytest.approx(2 * before)
        strike_test(test=test, user=owner)
        assert remake_old() == 1
        assert value(counted, "emergence_pct") == pytest.approx(before)

    def test_a_tag_that_was_typed_wrong(self, day, owner, counted):
        before = value(counted, "emergence_pct")
        correct_lot(lot=day.lots["cereal_rye"], user=owner, germination_pct=Decimal(60))
        assert remake_old() == 1
        assert value(counted, "emergence_pct") == pytest.approx(1.5 * before)

    def test_seeds_in_a_pound(self, day, owner, counted):
        before, species = value(counted, "emergence_pct"), day.lots["cereal_rye"].species
        half = str(round(species.seeds_per_lb / 2))
        override = override_value(
            property=day.farm, species=species, user=owner, field="seeds_per_lb", value=half
        )
        assert remake_old() == 1
        assert value(counted, "emergence_pct") == pytest.approx(2 * before, rel=1e-3)
        end_override(override=override)
        assert remake_old() == 1
        assert value(counted, "emergence_pct") == pytest.approx(before)

    def test_rows_farther_apart(self, day, counted):
        Reading.objects.update(settings=KINDS["stand"].defaults | {"row_ft": 1}, figures_by=0)
        remake_old()
        assert value(counted, "plants_per_ft2") == pytest.approx(16)
        day.machine.spacing_in = Decimal(15)
        day.machine.save()
        assert remake_old() == 1
        assert value(counted, "plants_per_ft2") == pytest.approx(8)

    def test_acres_that_were_measured_anew(self, day, counted):
        """What is a share of the plot follows its acres, what is a square foot does not."""
        plot = day.plots[0]
        tell_acreage_changed([plot.pk])
        assert remake_old() == 0
        said = {"where": "inside", "patch_length_ft": 66, "patch_width_ft": 66}
        Reading.objects.update(kind="weeds", values=said, settings={}, planting=None)
        tell_acreage_changed([plot.pk])
        assert remake_old() == 1
        assert value(counted, "share_of_plot_pct") == pytest.approx(100 * 0.1 / 2, rel=1e-3)

    def test_another_lot_changes_nothing(self, day, owner, counted):
        add_test(
            lot=day.lots["crimson_clover"],
            user=owner,
            tested_on=date(2026, 9, 1),
            germination_pct=Decimal(45),
        )
        assert remake_old() == 0


def test_figures_of_an_older_version_are_made_again(day, count_stand):
    reading = count_stand(day.plots[0], [10, 20])
    Reading.objects.update(figures=[], figures_by=KINDS["stand"].version - 1)
    assert remake_old() == 1
    assert value(reading, "plants_per_ft2") == 15


def test_a_kind_that_is_no_more_keeps_its_figures(day, count_stand):
    count_stand(day.plots[0], [10, 20])
    Reading.objects.update(kind="sundial", figures_by=0)
    assert remake_old() == 0


def test_answers_that_a_kind_does_not_ask_for_any_more_are_passed_over(day, count_stand):
    reading = count_stand(day.plots[0], [10, 20])
    Reading.objects.update(values={"plants": [10, 20], "rows": "many"}, settings={"method": 3}, figures_by=0)
    assert remake_old() == 1
    assert value(reading, "plants_per_ft2") is None
    assert reading.values["rows"] == "many"


def test_the_rules_look_again_where_a_figure_changed(day, count_stand, monkeypatch):
    seen = []
    monkeypatch.setattr(figures, "consider", seen.append)
    changed = count_stand(day.plots[0], [10, 20])
    count_stand(day.plots[0], [11, 12], struck_at=timezone.now())
    count_stand(day.plots[1], [10, 20])
    plant(day.season.plantings.get(plot=day.plots[0]))
    Reading.objects.update(figures_by=0)
    assert remake_old() == 3
    assert seen == [changed]


def test_many_readings_take_a_few_queries(day, count_stand):
    for number in range(20):
        count_stand(day.plots[number % 2], [number, 5])
    Reading.objects.update(figures_by=0)
    with CaptureQueriesContext(connection) as asked:
        remake_old()
    assert len(asked) <= 20


def test_what_is_questionable_says_so_until_somebody_stands_by_it(day, count_stand):
    reading = count_stand(day.plots[0], [5000])
    assert doubted(reading) == ["plants"]
    reading.sure_of = ["plants"]
    assert doubted(reading) == []
