"""Residue, its nitrogen and its cover, worked by hand on the blend of tests/blends/stands.py."""

import math
from datetime import date
from decimal import Decimal

import pytest

from blends.models import Blend, Clipping
from blends.queries import draft_of
from blends.queries.judgement import judge, judge_blends
from blends.queries.judgement.shapes import Band
from blends.services.seasons import assign, open_season
from blends.services.species import override_value
from plots.models import Plot
from tests.blends.stands import GRASS, PEA, drilled, own_species, two_halves

KG_PER_HA = 1.12085116  # of a pound an acre
NOTHING = Band()


@pytest.fixture
def halves(farm, owner):
    return two_halves(farm, owner)


@pytest.fixture
def judgement(farm, halves):
    return judge(farm, draft_of(halves))


def ends(band):
    return band.low, band.likely, band.high


def clip(blend, name, grams, *, stage="mature", on=date(2027, 6, 1), frames=2):
    return Clipping.objects.create(
        blend=blend,
        species=blend.components.get(species__common_name=name).species,
        stage=stage,
        clipped_on=on,
        frames=frames,
        frame_ft2=Decimal("4.8"),
        dry_g=Decimal(grams),
    )


def test_dry_matter_is_the_share_of_the_full_rate_of_what_each_makes_alone(judgement):
    mature = judgement.residues["mature"]
    assert ends(mature.dry_matter_lb_per_acre) == pytest.approx((3000, 5000, 7000))
    assert [ends(row.dry_matter_lb_per_acre) for row in mature.rows] == [
        pytest.approx((2000, 3000, 4000)),
        pytest.approx((1000, 2000, 3000)),
    ]
    assert [row.share for row in mature.rows] == pytest.approx([0.6, 0.4])


def test_crowded_stand_makes_no_more_than_a_full_one(farm, owner, halves):
    grass, pea = (row.species for row in halves.components.all())
    twice = judge(farm, draft_of(drilled(farm, owner, "Twice", {grass: 100, pea: 50})))
    assert ends(twice.residues["mature"].dry_matter_lb_per_acre) == pytest.approx((3000, 5000, 7000))


def test_mature_cn_is_carbon_over_nitrogen_with_its_extremes(judgement):
    # Likely: (3000 × 0.40 + 2000 × 0.42) ÷ (3000 × 0.01 + 2000 × 0.03) = 2040 ÷ 90.
    # Low: 2,000 of grass with 3,000 of pea, 2060 ÷ 110; high: 4,000 with 1,000, 2020 ÷ 70.
    assert ends(judgement.residues["mature"].cn) == pytest.approx((2060 / 110, 2040 / 90, 2020 / 70))


def test_leafy_cn_takes_42_percent_carbon_where_the_ratio_is_not_known(judgement):
    # (3000 × 0.40 + 2000 × 0.42) ÷ (3000 × 0.02 + 2000 × 0.04) = 2040 ÷ 140.
    leafy = judgement.residues["leafy"]
    assert leafy.cn.likely == pytest.approx(2040 / 140)
    assert [row.cn for row in leafy.rows] == pytest.approx([20, 10.5])
    assert any("while leafy is not in the table" in said for said in leafy.missing)


def test_nitrogen_follows_the_dry_matter(judgement):
    assert ends(judgement.residues["mature"].nitrogen_lb_per_acre) == pytest.approx((50, 90, 130))


def test_available_nitrogen_comes_by_each_published_way_as_a_range(judgement):
    ways = judgement.residues["mature"].available
    assert (ways[0].low, ways[0].high) == pytest.approx((50 / 4, 130 / 2))
    # 50 lb in 1.5 short tons is 1.667 %, 130 lb in 3.5 tons 1.857 %: 17.5 lb a ton for each percent above 1.5.
    content = ways[-1]
    assert content.low == pytest.approx(1.5 * 17.5 * (5 / 3 - 1.5))
    assert content.high == pytest.approx(3.5 * 17.5 * (13 / 7 - 1.5))
    assert all(way.limits and way.source.title for way in ways)


@pytest.mark.parametrize(
    ("objective", "by", "said"),
    [
        ("hold_weeds", 2040 / 90 - 30, "C:N 23 when mature: 7 short of what holds weeds (above 30)."),
        (
            "feed_next",
            2040 / 90 - 20,
            "C:N 23 when mature: 3 above what feeds the next crop (below 20), though its range, 19 to 29, "
            "reaches into it.",
        ),
        (
            "balance",
            0,
            "C:N 23 when mature: within what is balanced (20 to 30), though it may lie anywhere from 19 to 29.",
        ),
    ],
)
def test_gap_says_how_far_the_objective_is(farm, halves, objective, by, said):
    gap = judge(farm, draft_of(halves), objective=objective).residues["mature"].gap
    assert gap.by == pytest.approx(by)
    assert gap.sentence == said


@pytest.mark.parametrize(
    ("cn", "objective", "said"),
    [
        (30, "hold_weeds", "C:N 30 when mature: at the edge of what holds weeds (above 30)."),
        (20, "feed_next", "C:N 20 when mature: at the edge of what feeds the next crop (below 20)."),
        (30, "balance", "C:N 30 when mature: within what is balanced (20 to 30)."),
        (29.6, "hold_weeds", "C:N 29.6 when mature: 0.4 short of what holds weeds (above 30)."),
        (29.98, "hold_weeds", "C:N 29.98 when mature: less than 0.1 short of what holds weeds (above 30)."),
    ],
)
def test_edge_belongs_to_what_is_balanced(farm, owner, cn, objective, said):
    alone = {"nitrogen_pct_mature": 1.4, "cn_mature": cn, "dry_matter_lb_ac_low": 1999.3}
    blend = drilled(farm, owner, "Alone", {own_species(farm, "Grass alone", GRASS | alone): 37})
    mature = judge(farm, draft_of(blend), objective=objective).residues["mature"]
    assert mature.gap.sentence == said
    assert mature.meaning.startswith("20 to 30: balanced")


def test_ground_is_covered_by_the_summed_coefficients(judgement):
    at_first = judgement.cover.weeks[0]
    likely = 1e-5 * KG_PER_HA * (40 * 3000 + 32 * 2000)
    assert at_first.cover.likely == pytest.approx(1 - math.exp(-likely), rel=1e-6)
    assert len(judgement.cover.weeks) == 27


def test_cover_lasts_from_the_least_wasting_fastest_to_the_most_wasting_slowest(judgement):
    # C:N 19 to 29 is below 30 throughout: 0.009 to 0.022 a day, 0.0155 in the middle.
    def days(grass, pea, decay):
        return math.log(1e-5 * KG_PER_HA * (40 * grass + 32 * pea) / -math.log(0.7)) / decay

    expected = days(2000, 1000, 0.022), days(3000, 2000, 0.0155), days(4000, 3000, 0.009)
    assert ends(judgement.cover.days_above_30_pct) == pytest.approx(expected, rel=1e-6)
    assert judgement.cover.days_above_30_pct.likely == pytest.approx(113, abs=0.5)


def test_cover_and_dry_matter_shrink_week_by_week(judgement):
    for band in ("cover", "dry_matter_lb_per_acre"):
        likely = [getattr(week, band).likely for week in judgement.cover.weeks]
        assert likely == sorted(likely, reverse=True)
    # 26 weeks are 182 days.
    last = judgement.cover.weeks[-1].dry_matter_lb_per_acre
    assert last.likely == pytest.approx(5000 * math.exp(-0.0155 * 182))


def test_weed_biomass_and_weed_numbers_are_told_apart(judgement):
    thresholds = judgement.cover.thresholds
    assert {one.what for one in thresholds} == {"biomass", "numbers"}
    [biomass] = [one for one in thresholds if one.label.startswith("75 %")]
    mark = 5000 / KG_PER_HA
    assert ends(biomass.days) == pytest.approx(
        (0, math.log(5000 / mark) / 0.0155, math.log(7000 / mark) / 0.009)
    )


def test_what_only_grass_does_is_not_said_of_peas(farm, owner):
    pea = own_species(farm, "Bench pea", PEA, dry_matter_lb_ac_high=30_000)
    cover = judge(farm, draft_of(drilled(farm, owner, "Peas", {pea: 50}))).cover
    by_label = {one.label: one for one in cover.thresholds}
    assert by_label["75 % less weed biomass"].days == NOTHING
    assert "0 % grass" in by_label["75 % less weed biomass"].sentence
    assert by_label["Fewer small-seeded weeds come up"].days.likely > 0


def test_what_is_never_reached_holds_for_0_days_and_says_so(farm, halves):
    [rye] = [one for one in judge(farm, draft_of(halves)).cover.thresholds if "rye" in one.label]
    assert ends(rye.days) == (0, 0, 0)
    assert "does not reach 8,030 lb/ac" in rye.sentence


def test_both_ends_of_a_range_of_masses_are_judged(farm, halves):
    [small] = [one for one in judge(farm, draft_of(halves)).cover.thresholds if one.what == "numbers"]
    assert "4,500 to 8,900 lb/ac" in small.sentence
    assert "stays above 4,461 lb/ac for" in small.sentence
    assert small.sentence.endswith("The blend does not reach 8,922 lb/ac.")


@pytest.mark.parametrize(
    ("left_out", "unknown", "said"),
    [
        (
            ["dry_matter_lb_ac_low"],
            {"dry_matter_lb_per_acre", "cn", "nitrogen_lb_per_acre"},
            "Bench pea has no dry matter, low and high.",
        ),
        (
            ["nitrogen_pct_mature", "cn_mature"],
            {"cn", "nitrogen_lb_per_acre"},
            "Bench pea has neither nitrogen nor C:N when mature.",
        ),
        (["nitrogen_pct_mature"], set(), None),
        (
            ["drill_lb_ac_low"],
            {"dry_matter_lb_per_acre", "cn", "nitrogen_lb_per_acre"},
            "Bench pea has no full rate drilled.",
        ),
    ],
    ids=["dry matter", "nitrogen and C:N", "nitrogen alone", "full rate"],
)
def test_unknown_stays_unknown_and_is_named(farm, owner, left_out, unknown, said):
    pea = {name: value for name, value in PEA.items() if name not in left_out}
    mature = judge(farm, draft_of(two_halves(farm, owner, pea=pea))).residues["mature"]
    bands = {"dry_matter_lb_per_acre", "cn", "nitrogen_lb_per_acre"}
    assert {name for name in bands if getattr(mature, name) == NOTHING} == unknown
    assert mature.missing == ([said] if said else [])
    if "nitrogen_lb_per_acre" in unknown:
        assert all(way.low is way.high is None for way in mature.available)


def test_unknown_cover_coefficient_leaves_the_cover_unknown_and_the_mass_known(farm, owner):
    pea = {name: value for name, value in PEA.items() if name != "cover_cm2_per_g"}
    cover = judge(farm, draft_of(two_halves(farm, owner, pea=pea))).cover
    assert (cover.days_above_30_pct, cover.weeks[0].cover) == (NOTHING, NOTHING)
    assert cover.weeks[0].dry_matter_lb_per_acre.likely == pytest.approx(5000)
    assert cover.missing == ["Bench pea has no ground covered by its residue."]


def test_missing_rate_is_named_and_leaves_everything_unknown(farm, halves):
    draft = draft_of(halves)
    draft["components"][1]["drilled_pls_lb_per_acre"] = None
    mature = judge(farm, draft).residues["mature"]
    assert mature.cn == NOTHING
    assert mature.missing == ["Bench pea has no drilled rate."]


def test_values_that_cannot_be_give_no_figure_but_a_sentence(farm, owner, halves):
    # 8 % nitrogen at C:N 14 is 112 % carbon.
    pea = halves.components.last().species
    override_value(property=farm, species=pea, user=owner, field="nitrogen_pct_mature", value="8")
    mature = judge(farm, draft_of(halves)).residues["mature"]
    assert mature.cn == NOTHING
    assert mature.missing == ["Carbon is 112 %; accepted is a number above 0 and at most 100 %."]


def test_blend_without_components_is_judged_without_a_figure(farm):
    judgement = judge(farm, {"kind": "mixed", "components": []})
    assert judgement.residues["mature"].dry_matter_lb_per_acre == NOTHING
    assert judgement.residues["mature"].missing == ["There are no components yet."]
    assert (judgement.cover.weeks, judgement.findings) == ([], [])


def test_clippings_go_before_the_table_at_their_stage(farm, halves):
    clip(halves, "Bench pea", 96)  # from 9.6 ft²: 10 g × 96.033
    judgement = judge(farm, draft_of(halves))
    pea = judgement.residues["mature"].rows[1]
    assert pea.is_clipped
    assert ends(pea.dry_matter_lb_per_acre) == pytest.approx((960.334,) * 3, rel=1e-6)
    assert ends(judgement.residues["mature"].dry_matter_lb_per_acre) == pytest.approx(
        (2960.334, 3960.334, 4960.334), rel=1e-6
    )
    leafy = judgement.residues["leafy"].rows[1]
    assert not leafy.is_clipped
    assert ends(leafy.dry_matter_lb_per_acre) == pytest.approx((1000, 2000, 3000))


def test_only_the_latest_day_of_clipping_counts_and_its_frames_together(farm, halves):
    clip(halves, "Bench pea", 500, on=date(2027, 5, 1))
    clip(halves, "Bench pea", 96)
    clip(halves, "Bench pea", 0, frames=1)  # a frame with nothing in it is ground too
    pea = judge(farm, draft_of(halves)).residues["mature"].rows[1]
    assert pea.dry_matter_lb_per_acre.likely == pytest.approx(96 / 14.4 * 96.0334, rel=1e-5)


def test_clipped_species_needs_no_full_rate(farm, owner):
    pea = {name: value for name, value in PEA.items() if not name.startswith("drill")}
    blend = two_halves(farm, owner, pea=pea)
    clip(blend, "Bench grass", 96)
    clip(blend, "Bench pea", 96)
    mature = judge(farm, draft_of(blend)).residues["mature"]
    assert (mature.missing, mature.cn.low) == ([], pytest.approx(mature.cn.high))
    assert mature.cn.likely == pytest.approx((0.40 + 0.42) / (0.01 + 0.03))


def test_share_that_the_others_need_is_missed_of_a_clipped_species_too(farm, owner):
    pea = {name: value for name, value in PEA.items() if not name.startswith("drill")}
    blend = two_halves(farm, owner, pea=pea)
    clip(blend, "Bench pea", 96)
    mature = judge(farm, draft_of(blend)).residues["mature"]
    assert (mature.dry_matter_lb_per_acre, mature.missing) == (
        NOTHING,
        ["Bench pea has no full rate drilled."],
    )


def test_nothing_clipped_has_no_part_in_the_cn(farm, halves):
    clip(halves, "Bench pea", 0)
    mature = judge(farm, draft_of(halves)).residues["mature"]
    assert ends(mature.cn) == pytest.approx((40, 40, 40))


def test_clippings_of_an_earlier_version_do_not_count(farm, halves, owner):
    clip(halves, "Bench pea", 96)
    following = Blend.objects.create(
        property=farm, name="Halves", version=2, previous=halves, created_by=owner
    )
    for row in halves.components.all():
        following.components.create(species=row.species, drilled_pls_lb_per_acre=row.drilled_pls_lb_per_acre)
    mature = judge(farm, draft_of(following)).residues["mature"]
    assert not any(row.is_clipped for row in mature.rows)


def test_own_value_counts_before_the_tables(farm, owner, halves):
    pea = halves.components.last().species
    override_value(property=farm, species=pea, user=owner, field="nitrogen_pct_mature", value="2")
    nitrogen = judge(farm, draft_of(halves)).residues["mature"].nitrogen_lb_per_acre
    assert nitrogen.likely == pytest.approx(30 + 40)


def test_bought_mix_is_judged_by_what_its_tag_sows(farm, owner, halves):
    # 125 lb of the bag with 50 % and 25 % pure seed, of which 80 % grows: 50 and 25 PLS lb.
    grass, pea = (row.species_id for row in halves.components.all())
    bag = {
        "kind": "bought",
        "drilled_bulk_lb_per_acre": "125",
        "components": [
            {"species_id": grass, "tag_pct_by_weight": "50", "tag_germination_pct": "80"},
            {"species_id": pea, "tag_pct_by_weight": "25", "tag_germination_pct": "80"},
        ],
    }
    assert judge(farm, bag).residues["mature"].cn.likely == pytest.approx(2040 / 90)
    del bag["components"][1]["tag_germination_pct"]
    assert judge(farm, bag).residues["mature"].missing == ["Bench pea has no drilled rate."]


def test_plot_without_an_objective_is_judged_by_balance(farm, halves):
    assert judge(farm, draft_of(halves), objective="").objective == "balance"


def test_method_without_being_named_is_the_one_with_rates(farm, owner, halves):
    draft = draft_of(halves)
    assert judge(farm, draft).method == "drilled"
    for row in draft["components"]:
        row["broadcast_pls_lb_per_acre"], row["drilled_pls_lb_per_acre"] = 40, None
    assert judge(farm, draft).method == "broadcast"


def test_every_main_figure_has_its_working_with_the_facts_that_went_in(judgement):
    workings = [
        *judgement.workings,
        *judgement.residues["leafy"].workings,
        *judgement.residues["mature"].workings,
        *judgement.cover.workings,
    ]
    keys = [working.key for working in workings]
    assert len(keys) == len(set(keys))
    assert {"seeds-per-sqft", "share-of-full-rate", "cn-mature", "nitrogen-leafy", "cover", "weeds"} <= set(
        keys
    )
    assert all(working.formula and working.result and working.sources for working in workings)
    assert all(len(cells) == len(working.columns) for working in workings for _, cells in working.rows)
    [cn] = [working for working in workings if working.key == "cn-mature"]
    assert cn.result == "22.7 (18.7 to 28.9)"
    [(_, cells), _] = cn.rows
    assert [cell.fact and cell.fact.field for cell in cells] == [
        None,
        None,
        "nitrogen_pct_mature",
        "cn_mature",
    ]


def test_workings_say_what_their_ranges_leave_out(farm, halves):
    clip(halves, "Bench pea", 96)
    mature = judge(farm, draft_of(halves)).residues["mature"]
    notes = {working.key: " ".join(working.notes) for working in mature.workings}
    assert "own C:N varies" in notes["cn-mature"]
    assert "do not look at C:N" in notes["available-mature"]
    assert "how far its frames differ" in notes["dry-matter-mature"]


def test_plots_of_a_blend_have_the_gap_to_their_own_objective(farm, owner, halves, make_plot):
    weeds, undecided = make_plot("North Bench"), make_plot("Creek", lon=-91.0)
    Plot.objects.filter(pk=weeds.pk).update(objective="hold_weeds")
    season = open_season(property=farm, year=2027, kind="cool")
    rows = [{"plot_id": plot.pk, "blend_id": halves.pk, "method": "drilled"} for plot in (weeds, undecided)]
    assign(season=season, user=owner, assignments=rows)
    bench, creek = judge(farm, draft_of(halves)).plots
    assert (creek.plots, creek.gap) == ([undecided.name], None)
    assert (bench.plots, bench.gap.by) == ([weeds.name], pytest.approx(2040 / 90 - 30))


def many(property, user, count, name):
    species = [own_species(property, f"{name} {number}", GRASS) for number in range(count)]
    return drilled(property, user, name, dict.fromkeys(species, 5))


def test_twenty_components_ask_no_more_than_two(farm, owner, halves, django_assert_num_queries):
    for blend in (halves, many(farm, owner, 20, "Crowd")):
        draft = draft_of(blend)
        with django_assert_num_queries(7):
            judge(farm, draft)
        with django_assert_num_queries(5):
            judge(farm, draft, with_costs=False)


def test_four_blends_ask_no_more_than_one(farm, owner, halves, django_assert_num_queries):
    for name in ("Two", "Three", "Four"):
        many(farm, owner, 3, name)
    for blends in (Blend.objects.filter(pk=halves.pk), Blend.objects.filter(property=farm)):
        with django_assert_num_queries(9):  # the blends and their components too
            judged = judge_blends(farm, blends)
    assert [blend.name for blend, _ in judged] == ["Four", "Halves", "Three", "Two"]
    alone = judge(farm, draft_of(halves))
    assert judged[1][1].residues == alone.residues


def test_species_of_another_property_is_no_part_of_a_draft(farm, elsewhere, halves):
    theirs = own_species(elsewhere, "Far pea", PEA)
    draft = draft_of(halves)
    draft["components"].append({"species_id": theirs.pk, "drilled_pls_lb_per_acre": "20"})
    judgement = judge(farm, draft)
    assert len(judgement.residues["mature"].rows) == 2
    assert judgement.figures.notes == [f"Species {theirs.pk} is not in this property's list."]


def test_plants_without_nitrogen_have_no_ratio_and_it_is_said(farm, owner):
    bare = GRASS | {"nitrogen_pct_mature": 0}
    blend = drilled(farm, owner, "Bare", {own_species(farm, "Bare grass", bare): 50})
    mature = judge(farm, draft_of(blend)).residues["mature"]
    assert (mature.cn, mature.rows[0].cn) == (Band(), None)
    assert mature.missing == ["Nitrogen is 0 %; accepted is a number above 0 and at most 100 %."]
