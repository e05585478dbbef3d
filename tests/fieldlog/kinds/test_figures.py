"""What readings come to, held to published examples and to arithmetic by hand."""

import pytest

from fieldlog.kinds import KINDS
from fieldlog.kinds.described import Facts, Sown


def figures_of(key, values, facts=None, **changed):
    """{name: Figure} of a reading that the kind accepts."""
    kind = KINDS[key]
    kept, wrong = kind.read(values)
    assert wrong == {}
    of_kind, wrong = kind.read_settings(changed)
    assert wrong == {}
    return {figure.name: figure for figure in kind.figures(kept, of_kind, facts or Facts())}


RYE, CLOVER = Sown(1, "Cereal rye", 20.0), Sown(2, "Crimson clover", 10.0)


class TestStand:
    def test_a_published_count_along_rows(self):
        """40 plants on 3 feet of 7-inch rows are 22.9 a square foot: Ohio State University Extension, 2019."""
        found = figures_of("stand", {"plants": [40, 40]}, row_ft=3, row_spacing_in=7)
        assert found["plants_per_ft2"].value == pytest.approx(22.86, abs=0.01)
        assert found["counts"].value == 2

    def test_emergence_is_of_all_live_seed_with_its_error(self):
        """By hand: 12, 18 and 15 in a frame of 1 ft² are 15 ± 1.732; of 30 live seeds 50 % ± 5.77."""
        facts = Facts(sown=(RYE, CLOVER), age_days=30)
        came_up = figures_of("stand", {"plants": [12, 18, 15]}, facts, method="frame")["emergence_pct"]
        assert came_up.value == pytest.approx(50)
        assert came_up.error == pytest.approx(5.7735, abs=0.001)
        assert (came_up.expected_low, came_up.remark) == (50, "")

    def test_a_place_without_a_plant_is_a_zero(self):
        assert figures_of("stand", {"plants": [0, 10]}, method="frame")["plants_per_ft2"].value == 5

    def test_each_species_for_itself_and_a_species_not_listed_at_a_place_is_zero_there(self):
        rows = [
            {"place": 1, "species": {"id": 1, "name": "Cereal rye"}, "plants": 12},
            {"place": 1, "species": {"id": 2, "name": "Crimson clover"}, "plants": 6},
            {"place": 2, "species": {"id": 1, "name": "Cereal rye"}, "plants": 8},
            {"place": 2, "species": {"id": None, "name": "Oats"}, "plants": 2},
        ]
        facts = Facts(sown=(RYE, CLOVER), age_days=30)
        found = figures_of("stand", {"species_counts": rows}, facts, method="frame", by_species=True)
        assert found["plants_per_ft2"].value == 14
        assert found["emergence_pct:1"].value == pytest.approx(50)
        assert found["emergence_pct:2"].value == pytest.approx(30)
        assert found["plants_per_ft2:oats"].value == 1
        assert found["emergence_pct:oats"].value is None
        assert "not known" in found["emergence_pct:oats"].remark

    @pytest.mark.parametrize(
        ("facts", "said"),
        [
            (Facts(), "how much live seed was sown is not known"),
            (Facts(sown=(RYE, Sown(2, "Crimson clover", None))), "how much live seed was sown is not known"),
            (Facts(sown=(RYE,), age_days=6), "day 6 after planting; more may still come up"),
            (Facts(sown=(Sown(1, "Cereal rye", 5.0),), age_days=30), "more plants than live seed"),
        ],
    )
    def test_it_says_what_stands_in_the_way(self, facts, said):
        came_up = figures_of("stand", {"plants": [12, 10]}, facts, method="frame")["emergence_pct"]
        assert came_up.remark.startswith(said)

    def test_rows_need_their_spacing_from_the_machine_or_the_owner(self):
        assert figures_of("stand", {"plants": [40]})["plants_per_ft2"].value is None
        by_machine = figures_of("stand", {"plants": [40]}, Facts(row_spacing_in=7))
        assert by_machine["plants_per_ft2"].value == pytest.approx(22.86, abs=0.01)
        assert by_machine["plants_per_ft2"].remark == "one count says nothing of the spread"

    def test_ground_that_was_broadcast_has_no_rows(self):
        """Whatever spacing the protocol names: a length of row means nothing there."""
        facts = Facts(sown=(RYE,), row_spacing_in=7.5, is_drilled=False)
        plants = figures_of("stand", {"plants": [40, 40]}, facts, row_spacing_in=7)["plants_per_ft2"]
        assert (plants.value, plants.remark) == (
            None,
            "it was broadcast and has no rows; count inside a frame",
        )
        assert figures_of("stand", {"plants": [40]}, facts, method="frame")["plants_per_ft2"].value == 40

    def test_a_place_without_any_plant_counts_in_a_count_by_species_too(self):
        rows = [
            {"place": 1, "species": {"id": 1, "name": "Cereal rye"}, "plants": 12},
            {"place": 2, "plants": 0},
        ]
        found = figures_of("stand", {"species_counts": rows}, method="frame", by_species=True)
        assert (found["plants_per_ft2"].value, found["plants_per_ft2:1"].value) == (6, 6)


class TestBrowse:
    def test_weights_are_taken_over_all_pairs(self):
        """By hand: (160 − 100) ÷ 160; the error as in the docstring of the calculation."""
        pairs = [{"caged_g": a, "open_g": b} for a, b in ((60, 31), (48, 40), (52, 29))]
        use = figures_of("browse", {"weights": pairs}, method="weight")["use_pct"]
        assert use.value == pytest.approx(37.5)
        assert use.error == pytest.approx(9.51, abs=0.01)

    def test_height_is_not_called_weight(self):
        found = figures_of("browse", {"heights": [{"caged_in": 10, "open_in": 4}]})
        assert found["height_removed_pct"].value == pytest.approx(60)
        assert "use_pct" not in found

    def test_a_half_measured_pair_leaves_the_whole_unknown(self):
        rows = [{"caged_in": 10, "open_in": 4}, {"caged_in": 9}]
        removed = figures_of("browse", {"heights": rows})["height_removed_pct"]
        assert (removed.value, removed.remark) == (None, "a pair lacks one of its heights")

    def test_nothing_inside_the_cage_is_no_use_of_zero(self):
        use = figures_of("browse", {"weights": [{"caged_g": 0, "open_g": 0}]}, method="weight")["use_pct"]
        assert use.value is None
        assert "accepted is a total above 0 g" in use.remark

    def test_more_outside_says_that_nothing_was_found(self):
        use = figures_of("browse", {"weights": [{"caged_g": 40, "open_g": 45}]}, method="weight")["use_pct"]
        assert use.value == pytest.approx(-12.5)
        assert use.remark.startswith("no use found")

    def test_stems_by_species(self):
        rows = [
            {"species": {"id": 1, "name": "Cowpea"}, "bitten": 30, "whole": 10},
            {"species": {"id": 2, "name": "Sunflower"}, "bitten": 4, "whole": 56},
            {"bitten": 5},
        ]
        found = figures_of("browse", {"stems": rows}, method="stems")
        assert found["bitten_pct"].value == pytest.approx(34)
        assert found["bitten_pct"].error == pytest.approx(4.737, abs=0.001)
        assert found["bitten_pct"].remark.startswith("1 of 3 rows")
        assert found["bitten_pct:1"].value == pytest.approx(75)


class TestCover:
    def test_one_line_has_the_error_of_its_marks(self):
        """By hand: √(0.44 × 0.56 ÷ 100) is 4.96 points."""
        cover = figures_of("cover", {"lines": ["1" * 44 + "0" * 56]})["cover_pct"]
        assert (cover.value, cover.error) == (pytest.approx(44), pytest.approx(4.964, abs=0.001))

    def test_lines_that_were_left_early_count_by_their_marks(self):
        found = figures_of("cover", {"lines": ["1" * 40 + "0" * 60, "1" * 30 + "0" * 20]})
        assert found["cover_pct"].value == pytest.approx(46.67, abs=0.01)
        assert found["cover_points"].value == 150

    def test_an_error_of_nothing_is_not_believed(self):
        assert "too small" in figures_of("cover", {"lines": ["1" * 100]})["cover_pct"].remark

    def test_by_eye_it_is_a_span(self):
        cover = figures_of("cover", {"cover_class": "25_50"}, method="estimate")["cover_pct"]
        assert (cover.low, cover.value, cover.high) == (25, 37.5, 50)


def test_a_good_mulch_keeps_the_ground_forty_degrees_cooler():
    """110 °F on top and 70 °F below at nine in the morning: common practice, no source."""
    found = figures_of("temperature", {"surface_f": 110, "under_f": 70, "bare_f": 121.5})
    assert (found["mulch_gap_f"].value, found["mulch_gap_f"].expected_low) == (40, 40)
    assert found["bare_gap_f"].value == 51.5
    assert found["leaf_gap_f"].value is None


class TestMoisture:
    def test_the_feel_gives_a_span_as_the_agencys_card_has_it(self):
        """Loam, slightly moist: 25 to 50 % left, 0.75 to 1.575 in/ft short; USDA NRCS Wyoming, no year."""
        found = figures_of("moisture", {"texture": "loam", "feel": "slightly_moist"})
        assert (found["available_pct"].low, found["available_pct"].high) == (25, 50)
        assert found["depletion_in_per_ft"].low == pytest.approx(0.75)
        assert found["depletion_in_per_ft"].high == pytest.approx(1.575)

    def test_the_plots_texture_stands_in(self):
        found = figures_of("moisture", {"feel": "slightly_moist"}, Facts(texture="loam"))
        assert found["depletion_in_per_ft"].high == pytest.approx(1.575)

    def test_without_any_texture_what_is_left_is_known_and_what_is_missing_is_not(self):
        found = figures_of("moisture", {"feel": "moist"})
        assert (found["available_pct"].low, found["available_pct"].high) == (50, 75)
        assert found["depletion_in_per_ft"].remark == "the texture is not known"


class TestDryMatter:
    def frames(self, *rows):
        return {"frames": [dict(zip(("fresh_g", "tare_g", "dry_g"), row, strict=False)) for row in rows]}

    def test_it_waits_for_the_dry_weights(self):
        found = figures_of("dry_matter", self.frames((180, 20), (150, 20)))
        assert found["dry_lb_per_acre"].value is None
        assert found["dry_lb_per_acre"].remark == "waits for the dry weights"
        assert found["frames"].value == 2

    def test_dried_frames_with_the_bag_off(self):
        """By hand: 20, 30 and 10 g on 1.92 ft² are 1,000 lb/acre ± 289, as in the docstring of the calculation."""
        said = self.frames((100, 10, 30), (140, 10, 40), (70, 10, 20))
        found = figures_of("dry_matter", said, Facts(acres=1.5))
        assert found["dry_lb_per_acre"].value == pytest.approx(1000, abs=1)
        assert found["dry_lb_per_acre"].error == pytest.approx(289, abs=1)
        assert found["dry_matter_pct"].value == pytest.approx(100 * 60 / 280)
        assert found["dry_lb_on_plot"].value == pytest.approx(1500, abs=1)

    def test_an_empty_frame_counts(self):
        said = self.frames((100, 10, 30))
        said["frames"].append({"is_empty": True})
        assert figures_of("dry_matter", said)["dry_lb_per_acre"].value == pytest.approx(500.2, abs=0.1)

    def test_frames_not_dried_yet_go_by_their_fresh_weights(self):
        """By hand: a fifth is dry; fresh 100 and 200 g are 20 and 40 g dry, 30 on average."""
        found = figures_of("dry_matter", self.frames((110, 10, 30), (210, 10)))
        assert found["dry_lb_per_acre"].value == pytest.approx(30 * 96.033 / 1.92, abs=0.1)
        assert found["dry_lb_per_acre"].remark.startswith("1 of 2 frames dried")

    def test_a_bag_that_was_not_weighed_is_said_and_not_taken_for_waiting(self):
        found = figures_of("dry_matter", {"frames": [{"fresh_g": 180, "dry_g": 40}]})
        assert found["dry_lb_per_acre"].value is None
        assert found["dry_lb_per_acre"].remark.startswith("the weight of an empty bag is missing")
        assert found["dry_matter_pct"].remark == found["dry_lb_per_acre"].remark

    def test_of_nothing_but_empty_frames_no_weight_is_awaited(self):
        found = figures_of("dry_matter", {"frames": [{"is_empty": True}, {"is_empty": True}]})
        assert found["dry_lb_per_acre"].value == 0
        assert (found["dry_matter_pct"].value, found["dry_matter_pct"].remark) == (None, "")

    @pytest.mark.parametrize("row", [(180, 200, 60), (100, 10, 120)])
    def test_weights_that_cannot_be_give_no_figure(self, row):
        found = figures_of("dry_matter", self.frames(row))
        assert found["dry_matter_pct"].value is None
        assert "weighs more" in found["dry_matter_pct"].remark


class TestGrowth:
    FACTS = Facts(sown=(Sown(1, "Cowpea", days_to_bloom=(50, 60), days_to_seed=(80, 100)),), age_days=70)

    @pytest.mark.parametrize(
        ("stage", "age", "pace"),
        [
            *(("leafy", 70, "late, "), ("leafy", 55, ""), ("bloom", 40, "early, "), ("bloom", 55, "")),
            *(("ripe", 70, "early, "), ("milk", 120, "late, "), ("ripe", 90, "")),
        ],
    )
    def test_a_stage_stands_against_the_days_of_its_species(self, stage, age, pace):
        row = {"species": {"id": 1, "name": "Cowpea"}, "stage": stage, "height_in": 22}
        found = figures_of("growth", {"plants": [row]}, Facts(sown=self.FACTS.sown, age_days=age))
        expected = "expected are bloom by day 50 to 60 and ripe seed by day 80 to 100"
        assert found["stage:1"].remark == f"day {age}; {pace}{expected}"
        assert (found["height_in:1"].value, found["tallest_in"].value) == (22, 22)

    def test_what_comes_back_in_a_later_year_is_not_late(self):
        row = {"species": {"id": 1, "name": "Cowpea"}, "stage": "leafy"}
        found = figures_of("growth", {"plants": [row]}, Facts(sown=self.FACTS.sown, age_days=400))
        assert found["stage:1"].remark == ""

    def test_of_another_species_nothing_is_expected(self):
        row = {"species": {"id": None, "name": "Oats"}, "stage": "boot"}
        found = figures_of("growth", {"plants": [row]}, self.FACTS)
        assert (found["stage:oats"].value, found["stage:oats"].remark) == ("Boot", "")

    def test_rows_of_one_species_are_taken_together(self):
        cowpea = {"id": 1, "name": "Cowpea"}
        rows = [{"species": cowpea, "stage": s, "height_in": h} for s, h in (("bloom", 20), ("leafy", 24))]
        found = figures_of("growth", {"plants": rows}, self.FACTS)
        assert found["stage:1"].value == "Leafy, before stems to bloom"
        assert (found["height_in:1"].value, found["tallest_in"].value) == (22, 24)


def test_a_patch_of_weeds_has_its_ground_and_its_share_of_the_plot():
    said = {
        "species": {"id": None, "name": "Pigweed"},
        "where": "inside",
        "seed_set": "green",
        "height_in": 60,
        "patch_length_ft": 33,
        "patch_width_ft": 19.8,
    }
    found = figures_of("weeds", said, Facts(acres=1.5))
    assert found["patch_ft2"].value == pytest.approx(653.4)
    assert found["share_of_plot_pct"].value == pytest.approx(1)
    assert found["seed_set"].value == "Seed is forming, green"
    assert "share_of_plot_pct" not in figures_of("weeds", said | {"where": "beside"}, Facts(acres=1.5))


class TestSoil:
    def test_rings_have_a_mean_and_their_ends(self):
        """By hand: an inch in 6 and in 12 minutes are 10 and 5 in/h."""
        found = figures_of("soil", {"minutes": [6, 12]})["infiltration_in_per_h"]
        assert found.value == pytest.approx(7.5, abs=0.02)
        assert found.error == pytest.approx(2.5, abs=0.02)
        assert found.remark == "2 rings from 5.0 to 10.0 in/h"

    def test_the_ring_that_was_measured_counts(self):
        """444 mL in a ring of 6.00 in are 0.958 in, in 12 minutes 4.79 in/h, as in the calculation."""
        found = figures_of("soil", {"minutes": [12]}, inside_diameter_in=6)
        assert found["infiltration_in_per_h"].value == pytest.approx(4.79, abs=0.01)

    def test_worms_by_the_ground_of_a_spade(self):
        found = figures_of("soil", {"worms": [2, 4]})
        assert (found["worms_per_spade"].value, found["worms_per_ft2"].value) == (3, 12)
        assert found["worms_per_ft2"].expected_low == 10

    def test_the_class_of_the_slake_test(self):
        found = figures_of("soil", {"slake": "5"})["slake_class"]
        assert (found.value, found.remark) == (5, "A quarter to three quarters stay after five dips")


class TestRain:
    def test_rain_a_day(self):
        found = figures_of("rain", {"gauge_in": 1.4, "days": 7, "high_f": 91, "low_f": 63})
        assert found["rain_in_per_day"].value == pytest.approx(0.2)

    def test_an_empty_gauge_is_zero_and_a_skipped_one_unknown(self):
        assert figures_of("rain", {"gauge_in": 0})["rain_in"].value == 0
        skipped = figures_of("rain", {"days": 3})
        assert skipped["rain_in"].value is None
        assert (skipped["rain_in_per_day"].value, skipped["rain_in_per_day"].remark) == (None, "not read")

    def test_a_low_above_the_high_is_not_believed(self):
        found = figures_of("rain", {"high_f": 60, "low_f": 80})
        assert (found["high_f"].value, found["low_f"].value) == (None, None)
        assert found["low_f"].remark == "the low is above the high"


@pytest.mark.parametrize(
    ("key", "values", "doubted"),
    [
        ("temperature", {"bare_f": 170}, ["bare_f"]),
        ("temperature", {"bare_f": 125}, []),
        ("temperature", {"leaf_f": 125, "under_f": 119}, ["leaf_f"]),
        ("rain", {"gauge_in": 9, "low_f": -35}, ["gauge_in", "low_f"]),
        ("stand", {"plants": [14, 4000]}, ["plants"]),
        ("growth", {"plants": [{"height_in": 200}]}, ["plants"]),
    ],
)
def test_what_hardly_can_be_is_questioned_and_not_refused(key, values, doubted):
    kept, wrong = KINDS[key].read(values)
    assert wrong == {}
    assert KINDS[key].doubted(kept) == doubted
    assert KINDS[key].doubted(kept, doubted) == []


@pytest.mark.parametrize(
    ("key", "values", "said"),
    [
        ("rain", {"gauge_in": -1}, "Rain in the gauge is -1 in; a number from 0 to 60 in is accepted"),
        (
            "stand",
            {"plants": [3.5]},
            "Plants in each count is 3.5; a whole number from 0 to 100000 is accepted",
        ),
        (
            "cover",
            {"lines": ["12"]},
            "Residue under the mark? is \"['12']\"; lines of 0 and 1 are accepted, such as 1101",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(key, values, said):
    kept, wrong = KINDS[key].read(values)
    assert (kept, list(wrong.values())) == ({}, [said])
