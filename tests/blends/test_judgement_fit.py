"""How components fit each other and the plot, and the cautions that apply, on the blend of stands.py."""

import pytest

from blends.models import Hazard
from blends.queries import draft_of
from blends.queries.judgement import judge
from blends.services.seasons import assign, open_season
from blends.services.species import override_value
from tests.blends.stands import GRASS, PEA, drilled, own_species, two_halves


@pytest.fixture
def halves(farm, owner):
    return two_halves(farm, owner)


def finding(judgement, key):
    return next((one for one in judgement.findings if one.key == key), None)


def caution(judgement, key):
    return next((one for one in judgement.cautions if one.key == key), None)


def judged(farm, owner, **species):
    """A blend of own species, each given as its values over those of the grass."""
    rates = {own_species(farm, name.capitalize(), GRASS, **values): 20 for name, values in species.items()}
    return judge(farm, draft_of(drilled(farm, owner, " and ".join(species), rates)))


def without(values, *names):
    return {name: value for name, value in values.items() if name not in names}


def test_one_drill_setting_that_suits_all_is_named(farm, halves):
    # 0.5 to 1.5 in and 1 to 2 in.
    depth = finding(judge(farm, draft_of(halves)), "depth")
    assert (depth.weight, depth.sentence) == ("note", "One drill setting suits all: 1 to 1.5 in.")


def test_depths_that_never_meet_are_a_warning_with_a_grouping(farm, owner):
    judgement = judged(
        farm,
        owner,
        clover={"depth_in_low": 0.25, "depth_in_high": 0.5},
        grass={},
        corn={"depth_in_low": 1.5, "depth_in_high": 2},
    )
    depth = finding(judgement, "depth")
    assert depth.weight == "warn"
    assert depth.sentence == (
        "No one drill setting suits all. 2 passes, or boxes set apart, would: Clover and Grass at 0.5 in; "
        "Corn at 1.5 to 2 in."
    )


def test_unknown_depth_is_named_and_in_no_group(farm, owner):
    pea = without(PEA, "depth_in_low")
    depth = finding(judge(farm, draft_of(two_halves(farm, owner, pea=pea))), "depth")
    assert depth.sentence == (
        "One drill setting suits all: 0.5 to 1.5 in. The depth of Bench pea is not known."
    )
    assert [str(one) for one in depth.species] == ["Bench grass"]


def test_warm_and_cool_species_together_are_a_warning(farm, owner, halves):
    mixed = finding(judge(farm, draft_of(halves)), "warm_and_cool")
    assert mixed.weight == "warn"
    assert "warm-season Bench pea and cool-season Bench grass" in mixed.sentence
    assert finding(judged(farm, owner, grass={}, oat={}), "warm_and_cool") is None


def test_soil_has_to_suit_the_species_that_wants_it_warmest(farm, halves):
    soil = finding(judge(farm, draft_of(halves)), "soil_temperature")
    assert soil.sentence == "The soil has to have 60 °F, which Bench pea wants."


def test_unknown_soil_temperature_makes_it_at_least(farm, owner):
    pea = without(PEA, "min_soil_temp_f")
    soil = finding(judge(farm, draft_of(two_halves(farm, owner, pea=pea))), "soil_temperature")
    assert soil.sentence == (
        "The soil has to have at least 45 °F, which Bench grass wants. Of Bench pea it is not known."
    )


def test_inoculants_are_counted_by_group_and_unknown_ones_are_named(farm, owner):
    judgement = judged(
        farm,
        owner,
        pea={"inoculant_group": "pea group"},
        vetch={"inoculant_group": "pea group"},
        cowpea={"inoculant_group": "cowpea group"},
        legume={"fixes_nitrogen": True},
        grass={},
    )
    assert finding(judgement, "inoculant").sentence == (
        "2 inoculants: pea group for Pea and Vetch; cowpea group for Cowpea. "
        "The inoculant of Legume is not known."
    )


@pytest.mark.parametrize(
    ("rate", "weight", "said"),
    [
        (25, "note", "add up to 50 %: thin"),
        (50, "note", "add up to 100 %: about a full stand"),
        (80, "warn", "add up to 160 %: crowded"),
    ],
)
def test_crowding_is_the_sum_of_the_shares(farm, owner, halves, rate, weight, said):
    grass, pea = (row.species for row in halves.components.all())
    blend = drilled(farm, owner, "Other", {grass: rate, pea: rate / 2})
    crowding = finding(judge(farm, draft_of(blend)), "crowding")
    assert crowding.weight == weight
    assert said in crowding.sentence


def test_crowding_gives_the_seeds_on_a_square_foot(farm, halves):
    # (50 × 10,000 + 25 × 3,000) ÷ 43,560 = 13.2
    assert "13 live seeds on a square foot" in finding(judge(farm, draft_of(halves)), "crowding").sentence


def sow(farm, owner, plot, blend, year, kind="cool"):
    season = open_season(property=farm, year=year, kind=kind)
    what = {"fallow": True} if blend is None else {"blend_id": blend.pk, "method": "drilled"}
    assign(season=season, user=owner, assignments=[{"plot_id": plot.pk} | what])


@pytest.fixture
def grassland(farm, owner):
    return drilled(farm, owner, "Oats", {own_species(farm, "Oat", GRASS): 50})


def test_family_a_third_time_running_names_the_plot(farm, owner, halves, grassland, make_plot):
    bench, creek = make_plot("North Bench"), make_plot("Creek", lon=-91.0)
    for year in (2025, 2026):
        sow(farm, owner, bench, grassland, year)
    sow(farm, owner, creek, grassland, 2026)
    for plot in (bench, creek):
        sow(farm, owner, plot, halves, 2027)
    family = finding(judge(farm, draft_of(halves)), "family")
    assert family.weight == "warn"
    assert family.sentence == "Poaceae on North Bench for 3 plantings running; two are the usual most."
    assert [str(one) for one in family.species] == ["Bench grass"]


@pytest.mark.parametrize("between", ["fallow", "pea"])
def test_another_crop_or_fallow_between_ends_the_row(farm, owner, halves, grassland, make_plot, between):
    plot = make_plot()
    pea = drilled(farm, owner, "Peas", {own_species(farm, "Pea", PEA): 25})
    sow(farm, owner, plot, grassland, 2025)
    sow(farm, owner, plot, None if between == "fallow" else pea, 2026)
    sow(farm, owner, plot, halves, 2027)
    assert finding(judge(farm, draft_of(halves)), "family") is None


def test_draft_is_held_against_the_past_of_the_plot_that_is_asked_for(
    farm, owner, halves, grassland, make_plot
):
    plot = make_plot()
    for year in (2025, 2026):
        sow(farm, owner, plot, grassland, year)
    draft = draft_of(halves) | {"blend": None}
    assert finding(judge(farm, draft), "family") is None
    assert "on North Bench for 3" in finding(judge(farm, draft, plot=plot), "family").sentence


def test_many_plots_are_not_all_named(farm, owner, halves, grassland, make_plot):
    for number in range(6):
        plot = make_plot(f"Plot {number}", lon=-92 + number / 10)
        for year, blend in ((2025, grassland), (2026, grassland), (2027, halves)):
            sow(farm, owner, plot, blend, year)
    said = finding(judge(farm, draft_of(halves)), "family").sentence
    assert "on Plot 0, Plot 1, Plot 2, Plot 3 and 2 more for 3" in said


def test_worst_findings_come_first(farm, halves):
    weights = [one.weight for one in judge(farm, draft_of(halves)).findings]
    assert weights == sorted(weights, key=["stop", "warn", "note"].index)


def test_hazards_name_their_species_with_its_own_words(farm, owner):
    judgement = judged(
        farm,
        owner,
        sorghum={"hazards": "prussic_acid nitrate", "cautions": "prussic acid after frost"},
        millet={"hazards": "nitrate", "cautions": ""},
        grass={},
    )
    acid = caution(judgement, "prussic_acid")
    assert [str(one) for one in acid.species] == ["Sorghum"]
    assert [(str(one), fact.value) for one, fact in acid.words] == [("Sorghum", "prussic acid after frost")]
    assert [str(one) for one in caution(judgement, "nitrate").species] == ["Sorghum", "Millet"]
    assert caution(judgement, "bloat") is None


def test_every_hazard_has_a_sentence_and_a_basis(farm, owner):
    judgement = judged(farm, owner, weed={"hazards": " ".join(Hazard.values)})
    for hazard in Hazard:
        found = caution(judgement, hazard.value)
        assert found.sentence
        assert found.sources


def test_species_without_a_hazard_keep_their_words_and_silence_is_not_safety(farm, owner):
    judgement = judged(
        farm, owner, barley={"cautions": "grass tetany"}, grass={}, sorghum={"hazards": "nitrate"}
    )
    other, unknown = caution(judgement, "other"), caution(judgement, "unknown")
    assert [(str(one), fact.value) for one, fact in other.words] == [("Barley", "grass tetany")]
    assert [str(one) for one in unknown.species] == ["Grass"]


def test_species_that_was_said_to_have_no_hazard_is_not_unknown(farm, owner):
    grass = own_species(farm, "Grass", GRASS)
    blend = drilled(farm, owner, "Grass", {grass: 50})
    assert caution(judge(farm, draft_of(blend)), "unknown") is not None
    override_value(property=farm, species=grass, user=owner, field="hazards", value="none")
    assert caution(judge(farm, draft_of(blend)), "unknown") is None


def test_small_seed_beside_an_allelopathic_species_is_named(farm, owner):
    rye = {"hazards": "allelopathy"}
    judgement = judged(farm, owner, rye=rye, clover={"seeds_per_lb": 150_000}, pea={"seeds_per_lb": 3_000})
    assert "Here: Clover, of more than 100,000 seeds a pound" in caution(judgement, "allelopathy").sentence
    alone = judged(farm, owner, triticale=rye)
    assert "No other species here is known to have" in caution(alone, "allelopathy").sentence


def test_unknown_seed_is_neither_called_large_nor_left_out_of_the_bird_rule(farm, owner):
    judgement = judged(
        farm, owner, rye={"hazards": "allelopathy"}, forb={"seeds_per_lb": None, "seed_use": ""}
    )
    assert "The seeds per pound of Forb are not known." in caution(judgement, "allelopathy").sentence
    assert "Forb" in [str(one) for one in caution(judgement, "manipulated_grain").species]


def test_rules_that_always_apply_are_always_there(farm):
    cautions = judge(farm, {"kind": "mixed", "components": []}).cautions
    assert [one.key for one in cautions] == ["treated_seed", "sown_seed", "local_rules"]
    assert cautions[-1].sentence.endswith("not legal advice.")


def test_sown_seed_has_its_bird_rule_even_where_none_is_grown(farm, owner):
    """50 CFR 20.11 and 20.21(i), US Code of Federal Regulations."""
    sown = caution(judged(farm, owner, rye={"seed_use": "little"}), "sown_seed")
    assert "State Extension recommends" in sown.sentence
    assert [source.title[:9] for source in sown.sources] == ["50 CFR 20"]


def test_bird_rule_comes_with_grain_and_small_seed_alone(farm, owner):
    grain = caution(judged(farm, owner, corn={"seed_use": "grain"}), "manipulated_grain")
    assert grain.sources[0].title.startswith("50 CFR 20.11")
    assert [str(one) for one in grain.species] == ["Corn"]
    assert caution(judged(farm, owner, clover={"seed_use": "little"}), "manipulated_grain") is None


def test_plantings_of_another_property_never_count(farm, elsewhere, owner, stranger, make_plot):
    theirs = two_halves(elsewhere, stranger, name="Theirs")
    plot = make_plot("Far Bench", property=elsewhere)
    for year in (2025, 2026, 2027):
        sow(elsewhere, stranger, plot, theirs, year)
    ours = two_halves(farm, owner)
    assert finding(judge(farm, draft_of(ours)), "family") is None
    assert finding(judge(farm, draft_of(ours), plot=plot), "family") is None
