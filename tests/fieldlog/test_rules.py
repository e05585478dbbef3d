"""What each rule says at, below and above its threshold, and what becomes of it when readings are corrected."""

from datetime import UTC, date, datetime, timedelta

import pytest

from blends.services.blends import save_blend
from blends.services.seasons import assign, open_season
from config.errors import Refused
from fieldlog.kinds import KINDS
from fieldlog.models import Proposal, Reading, Visit, WorkItem
from fieldlog.rules import RULES
from fieldlog.rules.described import Seen
from fieldlog.services.rule_settings import rules_of, save_rule
from fieldlog.services.rules import consider, forget_ended_stands
from fieldlog.services.work import add_work

ON = date(2026, 7, 10)


def seen(kind, values=None, figures=None, on=ON, age_days=None, id="r"):
    told = {name: {"name": name, "value": value} for name, value in (figures or {}).items()}
    return Seen(id, kind, on, values or {}, told, age_days)


def said(key, *readings, **thresholds):
    rule = RULES[key]
    return rule.speaks(list(readings), rule.defaults | thresholds)


class TestEveryRule:
    @pytest.mark.parametrize("rule", RULES.values(), ids=lambda rule: rule.key)
    def test_it_names_its_sources_and_looks_at_kinds_that_there_are(self, rule):
        assert 0 < len(rule.rests_on) <= 300
        assert set(rule.kinds) <= set(KINDS)
        assert all(step.default is not None and step.unit for step in rule.thresholds)


class TestPullWeeds:
    WEED = {
        "species": {"id": None, "name": "Pigweed"},
        "stage": "bloom",
        "height_in": 30,
        "where": "beside",
        "plants": 1200,
    }

    def test_a_patch_in_bloom_beside_the_plot_is_pulled_within_three_days(self):
        proposed = said("pull_weeds", seen("weeds", self.WEED, {"patch_ft2": 200}))
        assert proposed.sentence == (
            "Pigweed in bloom, 30 in tall, beside the plot (a patch of 200 ft², 1,200 plants): pull it before it sets "
            "seed, by Jul 13."
        )
        assert (proposed.work_kind, proposed.due_on) == ("pull", date(2026, 7, 13))

    @pytest.mark.parametrize(
        ("changed", "due_on"),
        [
            ({"stage": "bud"}, date(2026, 7, 17)),
            ({"stage": "seed"}, date(2026, 7, 12)),
            ({"seed_set": "green"}, date(2026, 7, 12)),
            ({"seed_set": "ripe"}, date(2026, 7, 11)),
            ({"height_in": 12}, date(2026, 7, 13)),
            ({"height_in": None}, date(2026, 7, 13)),
            ({"where": "inside"}, date(2026, 7, 13)),
        ],
    )
    def test_the_stage_sets_the_day(self, changed, due_on):
        assert said("pull_weeds", seen("weeds", self.WEED | changed)).due_on == due_on

    @pytest.mark.parametrize(
        "changed",
        [
            {"height_in": 11.9},
            {"stage": "leafy"},
            {"stage": "seedling"},
            {"stage": "dead", "seed_set": "ripe"},
            {"stage": None},
            {"seed_set": "shed"},
        ],
    )
    def test_it_is_silent_where_there_is_no_seed_to_prevent(self, changed):
        assert said("pull_weeds", seen("weeds", self.WEED | changed)) is None

    def test_what_is_not_known_is_not_said(self):
        assert said("pull_weeds", seen("weeds", {"stage": "bud"})).sentence == (
            "A weed in bud, at the plot: pull it before it sets seed, by Jul 17."
        )


class TestThinStand:
    def stand(self, percent, day, id="r"):
        return seen(
            "stand", figures={"emergence_pct": percent}, on=ON + timedelta(days=day), age_days=day, id=id
        )

    def test_a_first_thin_count_is_counted_again(self):
        proposed = said("thin_stand", self.stand(49, 20))
        assert proposed.sentence == (
            "49 % of the live seed stood on Jul 30, day 20 after planting; 50 % is the least that you expect: count again "
            "by Aug 6."
        )
        assert (proposed.work_kind, proposed.due_on) == ("recount", date(2026, 8, 6))

    def test_another_thin_count_says_overseed_and_no_day_follows(self):
        proposed = said("thin_stand", self.stand(40, 20), self.stand(42, 27, "s"))
        assert (proposed.work_kind, proposed.due_on, proposed.reading_id) == ("overseed", None, "s")
        assert "the count of Jul 30 said 40 %: overseed the thin places." in proposed.sentence

    def test_two_counts_of_nearly_the_same_day_are_one(self):
        assert said("thin_stand", self.stand(40, 20), self.stand(42, 22)).work_kind == "recount"
        assert said("thin_stand", self.stand(40, 20), self.stand(42, 23)).work_kind == "overseed"

    @pytest.mark.parametrize(("percent", "day"), [(50, 20), (51, 20), (10, 13)])
    def test_at_the_threshold_above_it_and_too_early_it_is_silent(self, percent, day):
        assert said("thin_stand", self.stand(percent, day)) is None

    def test_a_good_count_after_a_thin_one_ends_it(self):
        assert said("thin_stand", self.stand(40, 20), self.stand(70, 27)) is None

    def test_what_is_not_known_is_not_thin(self):
        assert said("thin_stand", self.stand(None, 20)) is None
        assert said("thin_stand", seen("stand", figures={"emergence_pct": 10})) is None


class TestHeavyUse:
    @pytest.mark.parametrize(
        ("name", "words"),
        [
            ("use_pct", "of the growth was eaten"),
            ("height_removed_pct", "of the height was gone"),
            ("bitten_pct", "of the stems were bitten"),
        ],
    )
    def test_each_measure_by_its_own_name(self, name, words):
        first = {"species": {"id": 1, "name": "Cowpea"}}
        proposed = said("heavy_use", seen("browse", first, {name: 61}, age_days=31))
        assert proposed.sentence == (
            f"61 % {words} by day 31 after planting, more than 60 %. Cowpea went first. For the next blend: more of "
            "something that is less liked, which spares the rest while it is small, or more acres."
        )
        assert (proposed.work_kind, proposed.due_on) == ("", None)

    @pytest.mark.parametrize(("value", "told"), [(60.3, "60.3 %"), (60.04, "60.04 %"), (61.4, "61 %")])
    def test_a_figure_just_beyond_is_not_told_as_the_threshold_itself(self, value, told):
        proposed = said("heavy_use", seen("browse", figures={"use_pct": value}, age_days=20))
        assert proposed.sentence.startswith(f"{told} of the growth was eaten by day 20")

    @pytest.mark.parametrize(("value", "age"), [(60, 20), (59, 20), (90, 32), (90, None), (None, 20)])
    def test_at_the_threshold_later_and_unknown_it_is_silent(self, value, age):
        assert said("heavy_use", seen("browse", figures={"use_pct": value}, age_days=age)) is None


class TestThinCover:
    def cover(self, percent, day=0):
        return seen("cover", figures={"cover_pct": percent}, on=ON + timedelta(days=day), id="c")

    def bare(self, degrees, day=0):
        return seen("temperature", {"bare_f": degrees}, on=ON + timedelta(days=day), id="t")

    def test_little_cover_on_hot_ground_wants_more_stem(self):
        proposed = said("thin_cover", self.cover(29), self.bare(118, 3))
        assert proposed.sentence == (
            "29 % of the ground was covered on Jul 10, less than 30 %, and bare soil had 118 °F on Jul 13. For the next "
            "blend: more stem, such as a cereal or another grass that stands long."
        )
        assert (proposed.reading_id, proposed.work_kind) == ("c", "")

    @pytest.mark.parametrize(
        ("percent", "degrees", "day"),
        [(30, 118, 0), (31, 118, 0), (29, 100, 0), (29, 118, 15), (29, None, 0), (None, 118, 0)],
    )
    def test_one_of_both_alone_is_no_reason(self, percent, degrees, day):
        assert said("thin_cover", self.cover(percent), self.bare(degrees, day)) is None


@pytest.fixture
def plot(make_plot):
    return make_plot("Heron Bench")


@pytest.fixture
def planting(farm, owner, plot):
    season = open_season(property=farm, year=2026, kind="warm")
    blend = save_blend(property=farm, user=owner, name="Summer", kind="mixed", components=[])
    assign(season=season, user=owner, assignments=[{"plot_id": plot.pk, "blend_id": blend.pk}])
    row = plot.plantings.get()
    row.planted_on, row.planted_acres, row.state = ON, 1, "drilled"
    row.save()
    return row


@pytest.fixture
def read(owner, plot):
    """Stores a reading and lets the rules look at it."""

    def store(kind, values=None, figures=None, day=0, **how):
        at = datetime(2026, 7, 10, 15, tzinfo=UTC) + timedelta(days=day)
        visit = Visit.objects.create(plot=plot, visited_at=at, recorded_by=owner)
        told = [{"name": name, "value": value} for name, value in (figures or {}).items()]
        reading = Reading.objects.create(
            visit=visit, kind=kind, values=values or {}, figures=told, taken_at=at, recorded_by=owner, **how
        )
        consider(reading)
        return reading

    return store


WEED = {"species": {"id": None, "name": "Pigweed"}, "stage": "bloom", "height_in": 30}


def states():
    return sorted(Proposal.objects.values_list("rule", "work_kind", "state"))


@pytest.mark.django_db
class TestProposals:
    def test_considered_again_it_is_proposed_once(self, read):
        reading = read("weeds", WEED)
        consider(reading)
        assert states() == [("pull_weeds", "pull", "open")]
        assert Proposal.objects.get().thresholds["height_in"] == 12

    def test_struck_it_is_gone(self, read, owner):
        reading = read("weeds", WEED)
        reading.struck_at, reading.struck_by = reading.taken_at, owner
        reading.save()
        consider(reading)
        assert states() == [("pull_weeds", "pull", "gone")]

    def test_corrected_it_goes_and_the_new_version_is_considered(self, read):
        first = read("weeds", WEED)
        second = read("weeds", WEED | {"stage": "bud"}, replaces=first)
        first.replaced_by = second
        first.save()
        consider(first)
        assert [(each.reading_id, each.state) for each in Proposal.objects.order_by("pk")] == [
            (first.pk, "gone"),
            (second.pk, "open"),
        ]

    def test_a_patch_seen_again_at_its_place_is_one_proposal(self, read):
        read("weeds", WEED, lon=-92.0, lat=38.0)
        read("weeds", WEED, lon=-92.00005, lat=38.0, day=3)
        read("weeds", WEED, lon=-92.01, lat=38.0, day=3)
        assert sorted(Proposal.objects.values_list("state", flat=True)) == ["gone", "open", "open"]

    def test_a_reading_that_comes_late_leaves_the_later_one_its_say(self, read):
        later = read("weeds", WEED | {"stage": "seed"}, lon=-92.0, lat=38.0, day=9)
        read("weeds", WEED, lon=-92.0, lat=38.0)
        assert [each.reading for each in Proposal.objects.filter(state="open")] == [later]

    def test_a_patch_that_is_on_the_work_list_is_not_proposed_again(self, read, farm, owner, plot):
        said = {"kind": "pull", "plot_id": plot.pk, "lon": -92.0, "lat": 38.0}
        item, _ = add_work(property=farm, user=owner, said=said)
        read("weeds", WEED, lon=-92.0, lat=38.0)
        assert states() == []
        WorkItem.objects.filter(pk=item.pk).update(state="done")
        read("weeds", WEED, lon=-92.0, lat=38.0, day=9)
        assert states() == [("pull_weeds", "pull", "open")]

    def test_a_second_thin_count_takes_the_place_of_the_first(self, read, planting):
        read("stand", figures={"emergence_pct": 40}, day=20, planting=planting)
        read("stand", figures={"emergence_pct": 41}, day=27, planting=planting)
        assert states() == [("thin_stand", "overseed", "open"), ("thin_stand", "recount", "gone")]

    def test_a_good_recount_ends_it(self, read, planting):
        read("stand", figures={"emergence_pct": 40}, day=20, planting=planting)
        read("stand", figures={"emergence_pct": 80}, day=27, planting=planting)
        assert states() == [("thin_stand", "recount", "gone")]

    def test_the_recount_struck_brings_the_first_back(self, read, planting, owner):
        read("stand", figures={"emergence_pct": 40}, day=20, planting=planting)
        good = read("stand", figures={"emergence_pct": 80}, day=27, planting=planting)
        good.struck_at, good.struck_by = good.taken_at, owner
        good.save()
        consider(good)
        assert states() == [("thin_stand", "recount", "open")]

    def test_cover_and_heat_come_from_two_readings_in_either_order(self, read):
        read("temperature", {"bare_f": 118})
        assert states() == []
        read("cover", figures={"cover_pct": 20}, day=2)
        assert states() == [("thin_cover", "", "open")]

    def test_a_dismissed_thought_does_not_come_back_with_the_next_reading(self, read, planting, owner):
        read("browse", figures={"use_pct": 70}, day=20, planting=planting)
        Proposal.objects.update(state="dismissed", decided_by=owner)
        read("browse", figures={"use_pct": 75}, day=25, planting=planting)
        assert states() == [("heavy_use", "", "dismissed")]

    def test_work_on_a_stand_that_was_ended_is_gone_and_thoughts_stay(self, read, planting):
        read("stand", figures={"emergence_pct": 40}, day=20, planting=planting)
        read("browse", figures={"use_pct": 70}, day=20, planting=planting)
        planting.state = "terminated"
        planting.save()
        forget_ended_stands()
        assert states() == [("heavy_use", "", "open"), ("thin_stand", "recount", "gone")]
        read("stand", figures={"emergence_pct": 30}, day=21, planting=planting)
        assert states() == [("heavy_use", "", "open"), ("thin_stand", "recount", "gone")]

    def test_a_kind_that_no_rule_looks_at_costs_nothing(self, read, django_assert_num_queries):
        reading = read("rain", {"gauge_in": 1})
        with django_assert_num_queries(0):
            consider(reading)


@pytest.mark.django_db
class TestThresholdsOfAProperty:
    def test_an_owners_threshold_counts_and_stands_on_the_proposal(self, read, farm, owner):
        save_rule(property=farm, key="pull_weeds", user=owner, thresholds={"height_in": 40}, is_on=True)
        read("weeds", WEED)
        assert states() == []
        read("weeds", WEED | {"height_in": 41})
        assert Proposal.objects.get().thresholds["height_in"] == 40

    def test_a_rule_that_is_off_is_silent(self, read, farm, owner):
        save_rule(property=farm, key="pull_weeds", user=owner, thresholds={}, is_on=False)
        read("weeds", WEED)
        assert states() == []

    def test_what_it_was_before_is_kept(self, farm, owner):
        save_rule(property=farm, key="thin_stand", user=owner, thresholds={"least_pct": 60}, is_on=True)
        save_rule(property=farm, key="thin_stand", user=owner, thresholds={}, is_on=True)
        here = rules_of(farm.pk)["thin_stand"]
        assert here.thresholds["least_pct"] == 50
        assert len(here.changed.earlier) == 2

    @pytest.mark.parametrize(
        ("thresholds", "sentence"),
        [
            ({"least_pct": 101}, "a number from 0 to 100 % is accepted"),
            ({"least_pct": "many"}, "a number from 0 to 100 % is accepted"),
            ({"moon": 1}, "does not ask for 'moon'"),
        ],
    )
    def test_a_threshold_that_cannot_be_is_refused(self, farm, owner, thresholds, sentence):
        with pytest.raises(Refused, match=sentence):
            save_rule(property=farm, key="thin_stand", user=owner, thresholds=thresholds, is_on=True)
