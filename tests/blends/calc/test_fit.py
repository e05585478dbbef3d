"""Fit of components: depth windows, soil temperature, families in a row and crowding."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc.fit import crowding, depth_settings, seasons_in_a_row, soil_temperature_for_all

DEPTHS = st.lists(
    st.tuples(st.integers(0, 12), st.integers(0, 12)).map(lambda ends: (min(ends) / 4, max(ends) / 4)),
    min_size=1,
    max_size=7,
)


def test_window_of_all_is_from_the_largest_low_to_the_smallest_high():
    settings = depth_settings([0.5, 0.75, 0.25], [1.5, 2.0, 1.0])
    assert settings.is_one_pass
    assert (settings.low_in.tolist(), settings.high_in.tolist()) == ([0.75], [1.0])


def test_window_of_one_depth_is_a_window():
    assert depth_settings([0.25, 0.5], [0.5, 1.0]).is_one_pass


def test_three_depths_that_never_meet_take_three_settings():
    settings = depth_settings([2, 0.25, 1], [3, 0.5, 1.5])
    assert settings.setting_of.tolist() == [2, 0, 1]


def test_unknown_depth_belongs_to_no_setting():
    settings = depth_settings([0.5, None, 0.5], [1, 1, None])
    assert settings.setting_of.tolist() == [0, -1, -1]


def test_nothing_known_gives_no_setting():
    settings = depth_settings([None], [None])
    assert (len(settings.low_in), settings.is_one_pass) == (0, False)


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        ([-1], [1], "depth is -1 in; accepted is a number of 0 in or more"),
        ([2], [1], "low depth is 2 in, above the high depth of 1 in"),
    ],
)
def test_depths_that_cannot_be_are_refused(low, high, said):
    with pytest.raises(ValueError, match=said):
        depth_settings(low, high)


@given(DEPTHS)
def test_every_window_lies_within_the_depths_of_its_species(depths):
    low, high = map(np.array, zip(*depths, strict=True))
    settings = depth_settings(low, high)
    assert (settings.low_in <= settings.high_in).all()
    assert (low <= settings.low_in[settings.setting_of]).all()
    assert (settings.high_in[settings.setting_of] <= high).all()


@given(DEPTHS)
def test_no_fewer_settings_would_do(depths):
    """By trying every choice of depths among the high ends, of which the best choice is always one."""
    low, high = map(np.array, zip(*depths, strict=True))
    found = len(depth_settings(low, high).low_in)
    for fewer in range(1, found):
        for chosen in combinations(sorted(set(high)), fewer):
            assert not all(any(a <= depth <= b for depth in chosen) for a, b in depths)


@given(DEPTHS, st.randoms(use_true_random=False))
def test_order_of_the_species_changes_no_window(depths, random):
    shuffled = random.sample(depths, len(depths))
    one, other = (depth_settings(*zip(*each, strict=True)) for each in (depths, shuffled))
    assert one.low_in.tolist() == other.low_in.tolist()


def test_soil_has_to_suit_the_species_that_wants_it_warmest():
    assert soil_temperature_for_all([45, 65, 60]) == (65, [1], [])


def test_all_species_that_set_the_temperature_are_named():
    assert soil_temperature_for_all([65, 45, 65]).set_by == [0, 2]


def test_unknown_soil_temperature_is_named_and_not_taken_for_cold():
    soil = soil_temperature_for_all([45, None])
    assert (soil.lowest_f, soil.unknown) == (45, [1])
    assert np.isnan(soil_temperature_for_all([None]).lowest_f)


@pytest.mark.parametrize(
    ("seasons", "expected"),
    [
        ([{"Poaceae"}, {"Poaceae"}, {"Poaceae"}], 3),
        ([{"Poaceae"}, {"Fabaceae"}, {"Poaceae"}], 1),
        ([{"Poaceae"}, {"Poaceae"}, set(), {"Poaceae"}], 2),
        ([set(), {"Poaceae"}], None),
    ],
    ids=["every season", "another family between", "fallow between", "fallow now"],
)
def test_seasons_of_a_family_are_counted_back_to_the_first_without_it(seasons, expected):
    assert seasons_in_a_row(seasons).get("Poaceae") == expected


@pytest.mark.parametrize(
    ("share", "expected"),
    [(1.21, "crowded"), (1.2, "full"), (1.0, "full"), (0.8, "full"), (0.79, "thin"), (np.nan, "")],
)
def test_shares_of_about_one_hundred_percent_are_a_full_stand(share, expected):
    """ "Reclamation seed mixture and cultural practices", Colorado Division of Reclamation, Mining and Safety:
    shares add up to 100 %. The 20 % to either side are our choice."""
    assert crowding(share) == expected
