"""Properties and refusals of stand counts and emergence. Figures are checked in tests/published."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from blends.calc.seed import seeds_per_sqft
from fieldlog.calc import stand
from plots.calc.described import BadInput
from plots.calc.units import FT2_PER_ACRE

counts = st.lists(st.integers(0, 200), min_size=1, max_size=10)
spacings = st.floats(1, 60)


@given(spacings)
def test_plants_on_the_thousandth_of_an_acre_times_1000_are_those_on_an_acre(row_spacing_in):
    row = stand.thousandth_acre_row(row_spacing_in)
    counted = stand.stand_from_rows([27], row.row_ft, row_spacing_in)
    assert counted.plants_per_acre == pytest.approx(27_000)
    assert row.row_in == pytest.approx(12 * row.row_ft)


@given(counts, st.floats(0.5, 100), spacings)
def test_counts_can_be_split_into_shorter_rows(plants, row_ft, row_spacing_in):
    short = stand.stand_from_rows(plants, row_ft, row_spacing_in)
    long = stand.stand_from_rows([sum(plants)], row_ft * len(plants), row_spacing_in)
    assert short.plants_per_sqft == pytest.approx(long.plants_per_sqft)
    assert short.counts == len(plants)


@given(st.lists(st.integers(0, 200), min_size=2, max_size=10))
def test_error_is_the_standard_error_of_the_mean(plants):
    counted = stand.stand_from_rows(plants, 12, 1)  # one square foot
    assert counted.error_per_sqft == pytest.approx(stats.sem(plants), abs=1e-9)
    assert counted.error_per_acre == pytest.approx(stats.sem(plants) * FT2_PER_ACRE, abs=1e-4)


def test_a_place_without_a_plant_counts():
    assert (
        stand.stand_from_hoop([20, 0], 30).plants_per_acre == stand.stand_from_hoop([10], 30).plants_per_acre
    )


@pytest.mark.parametrize(
    "counted",
    [
        stand.stand_from_rows([40, None], 3, 7),
        stand.stand_from_rows([40, 38], 3, None),
        stand.stand_from_hoop([], 30),
    ],
)
def test_what_was_not_counted_leaves_the_stand_unknown(counted):
    assert np.isnan(counted).all()


@given(st.floats(1, 200), st.floats(100, 5e6), st.floats(1, 100), st.floats(0, 1))
def test_emergence_finds_the_share_that_came_up(bulk_lb_per_acre, seeds_per_lb, pure_live_pct, share):
    live = seeds_per_sqft(bulk_lb_per_acre, seeds_per_lb) * pure_live_pct / 100
    came_up = stand.emergence(share * live, bulk_lb_per_acre, seeds_per_lb, pure_live_pct)
    assert came_up.of_live_seed_pct == pytest.approx(100 * share, abs=1e-6)
    assert came_up.of_bulk_seed_pct == pytest.approx(came_up.of_live_seed_pct * pure_live_pct / 100, abs=1e-6)


def test_emergence_above_100_is_kept_and_remarked():
    came_up = stand.emergence(40, 90, 14_000, 88)
    assert came_up.of_live_seed_pct > 100
    assert came_up.remark.startswith("more plants than live seed sown")


def test_emergence_without_the_tag_is_known_of_all_seed_only():
    came_up = stand.emergence(22, 90, 14_000, None)
    assert np.isnan(came_up.of_live_seed_pct)
    assert came_up.of_bulk_seed_pct == pytest.approx(76, abs=0.1)
    assert came_up.remark == "not known"


def test_wheat_stands_say_when_to_replant():
    notes = " ".join(stand.stand_from_rows.calculation.notes)
    assert "20 to 30 plants/ft² are adequate; below 12 to 14 consider replanting" in notes


@pytest.mark.parametrize(
    ("refused", "sentence"),
    [
        (lambda: stand.thousandth_acre_row(0), "Between rows is 0 in; accepted is a number above 0 in"),
        (
            lambda: stand.stand_from_rows([-2], 3, 7),
            "Plants counted is -2; accepted is a number of 0 or more",
        ),
        (
            lambda: stand.emergence(20, 90, 14_000, 120),
            "Pure live seed is 120 %; accepted is a number above 0 and at most 100 %",
        ),
    ],
)
def test_refuses_what_cannot_be(refused, sentence):
    with pytest.raises(BadInput) as caught:
        refused()
    assert caught.value.sentence == sentence
