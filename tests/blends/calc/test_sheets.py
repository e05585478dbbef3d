"""Pounds of several lots, and fills of a hopper. Sums beside the figures are worked by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc.sheets import ENOUGH_LB, Fill, Stop, fills, full_fill, hundredths, lot_shares, stops


def test_the_rest_comes_from_the_lot_that_has_no_pounds_of_its_own():
    # 3 ac × 50 lb PLS = 150 lb PLS. 100 lb of a lot that is 0.80 alive bring 80; 70 are left, ÷ 0.875 = 80 lb bulk.
    # "Reclamation seed mixture and cultural practices", Colorado Division of Reclamation, Mining and Safety, no year:
    # PLS ÷ pure live fraction = bulk.
    assert lot_shares(150, [0.80, 0.875], [100, None]).lb == pytest.approx([100, 80])


def test_lots_that_bring_too_little_leave_the_rest_open():
    # 150 − 100 × 0.80 − 20 × 0.875 = 150 − 80 − 17.5 = 52.5 lb PLS
    shares = lot_shares(150, [0.80, 0.875], [100, 20])
    assert shares.short_pls_lb == pytest.approx(52.5)
    assert shares.over_pls_lb == 0


def test_lots_that_bring_too_much_say_how_much_and_the_rest_is_nothing():
    # 200 × 0.80 = 160 lb PLS for 150
    shares = lot_shares(150, [0.80, 0.875], [200, None])
    assert shares == ([200.0, 0.0], 0.0, pytest.approx(10))


def test_what_rounding_leaves_is_neither_short_nor_too_much():
    shares = lot_shares(10.004, [1.0], [10])
    assert (shares.short_pls_lb, shares.over_pls_lb) == (0, 0)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ((-1, [0.8], [None]), "pls_lb is -1"),
        ((1, [0.0], [None]), "live fraction is 0.0"),
        ((1, [1.2], [None]), "live fraction is 1.2"),
        ((1, [0.8, 0.8], [None, None]), "two lots"),
        ((1, [0.8], [-3]), r"pounds of the lots are \[-3\]"),
    ],
)
def test_shares_of_what_cannot_be_are_refused(asked, said):
    with pytest.raises(ValueError, match=said):
        lot_shares(*asked)


@given(
    st.floats(0, 5000),
    st.lists(st.tuples(st.floats(0.01, 1), st.floats(0, 500)), max_size=4),
    st.floats(0.01, 1),
)
def test_live_seed_of_all_lots_is_what_the_plot_takes(pls_lb, fixed, live_of_rest):
    live, lb = [each for each, _ in fixed], [each for _, each in fixed]
    shares = lot_shares(pls_lb, [*live, live_of_rest], [*lb, None])
    brought = sum(a * b for a, b in zip(shares.lb, [*live, live_of_rest], strict=True))
    assert brought - shares.over_pls_lb == pytest.approx(pls_lb, abs=2 * ENOUGH_LB)
    assert shares.short_pls_lb == 0


def test_full_fill_is_volume_times_weight():
    # 12 ft³ × 41.5 lb/ft³ = 498 lb; to 80 % 398.40 lb
    assert full_fill(12, 41.5) == 49800
    assert full_fill(12, 41.5, 0.8) == 39840


def test_full_fill_is_rounded_down():
    # 3.3 × 33.33 = 109.989 lb: not a hundredth more goes in
    assert full_fill(3.3, 33.33) == 10998


@pytest.mark.parametrize("asked", [(0, 30), (8, 0), (8, 30, 0)])
def test_box_that_holds_nothing_is_refused(asked):
    with pytest.raises(ValueError, match="accepted is above 0"):
        full_fill(*asked)


@pytest.mark.parametrize("asked", [(None, 30), (8, None)])
def test_unknown_box_or_weight_gives_no_fill(asked):
    assert full_fill(*asked) is None


def test_fills_of_two_full_ones_and_a_part():
    # 400 + 100 lb, a fill of 240: 192 + 48 twice, then 16 + 4
    assert fills([40000, 10000], 24000) == [
        Fill(1, 2, (19200, 4800), False),
        Fill(3, 3, (1600, 400), True),
    ]


def test_what_fits_in_one_fill_is_one_part():
    assert fills([1234, 56], 24000) == [Fill(1, 1, (1234, 56), True)]


def test_little_seed_is_spread_over_the_fills():
    # 0.03 lb of clover in 3 fills of 100 lb: 0.01 lb each, and not all of it in the last one
    assert [fill.parts for fill in fills([29997, 3], 10000)] == [(9999, 1)]


def test_very_many_fills_are_refused():
    with pytest.raises(ValueError, match="1000 fills"):
        fills([100000], 100)


@given(
    st.lists(st.integers(0, 300_000), min_size=1, max_size=12),
    st.integers(1_000, 60_000),
)
def test_fills_add_up_and_none_is_fuller_than_full(components, full):
    if sum(components) // full > 400:
        full = sum(components) // 400 + 1
    found = fills(components, full)
    for i, whole in enumerate(components):
        assert sum(fill.count * fill.parts[i] for fill in found) == whole
    assert all(fill.total == full for fill in found if not fill.is_part)
    assert all(0 < fill.total < full for fill in found if fill.is_part)
    assert all(part >= 0 for fill in found for part in fill.parts)
    assert [fill.is_part for fill in found].count(True) <= 1
    numbers = [(fill.first, fill.last) for fill in found]
    assert [first for first, _ in numbers] == [1, *(last + 1 for _, last in numbers[:-1])][: len(numbers)]


@given(
    st.lists(st.integers(0, 300_000), min_size=1, max_size=12),
    st.integers(1_000, 60_000),
)
def test_full_fills_hold_the_mix(components, full):
    """Every component of a full fill is within the hundredth of rounding for each fill before it."""
    total = sum(components)
    if not 1 <= total // full <= 400:
        return
    for fill in fills(components, full):
        if not fill.is_part:
            for part, whole in zip(fill.parts, components, strict=True):
                assert abs(part - full * whole / total) <= 1 + full / max(total - full * (fill.last - 1), 1)


def test_what_is_left_goes_on_to_the_next_plot():
    # boxes of 240: after 200 are 40 left; 100 more take them and 60 of the next; 180 are left for the last
    assert stops([20000, 10000, 18000], 24000) == [Stop(1, 1, 4000), Stop(1, 2, 18000), Stop(2, 2, 0)]


def test_plot_that_empties_the_box_leaves_nothing_and_the_next_begins_a_fill():
    assert stops([24000, 24000], 24000) == [Stop(1, 1, 0), Stop(2, 2, 0)]


@given(st.lists(st.integers(0, 100_000), min_size=1, max_size=20), st.integers(100, 50_000))
def test_stops_never_leave_more_than_a_fill_and_end_with_nothing(totals, full):
    found = stops(totals, full)
    assert found[-1].left == 0
    assert all(0 <= stop.left < full or stop.left == 0 for stop in found)
    assert all(stop.first_fill <= stop.last_fill for stop in found)


@pytest.mark.parametrize(("lb", "whole"), [(0.004, 0), (0.005, 1), (12.345, 1235), (12.3449, 1234)])
def test_hundredths_round_half_up(lb, whole):
    assert hundredths(lb) == whole
