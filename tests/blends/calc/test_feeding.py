"""When a stand feeds, worked by hand on a calendar.

The stand is sown on 20 May 2027, the average first frost is 15 October, and the calendar goes to 1 May 2028.
"""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc.feeding import (
    Habit,
    Times,
    food_months,
    holes,
    middle_days,
    missing_days,
    times_of,
)
from blends.calc.months import Span, frost_after, months_of, twelve_months

SOWN, END, FROST = date(2027, 5, 20), date(2028, 5, 1), date(2027, 10, 15)
COWPEA = Habit(
    days_to_browse=30,  # 19 June
    days_to_bloom=55,  # 14 July
    days_to_seed=90,  # 18 August
    browsed_when="growing",
    seed_use="grain",
    winter_fate="frost_killed",
    life_cycle="annual",
)


def times(habit, sown=SOWN, end=END, frost=FROST):
    return times_of(habit, sown, end, frost)


def months(habit, what, sown=SOWN, end=END, frost=FROST):
    """Months as 2027-06 in which the species has `what`."""
    rows = food_months(times(habit, sown, end, frost), sown, end)
    return [
        f"{first:%Y-%m}"
        for first, month in zip(months_of(sown, end), rows, strict=True)
        if getattr(month, what)
    ]


def test_annual_is_browsed_until_its_seed_is_ripe():
    assert times(COWPEA).browse == Span(date(2027, 6, 19), date(2027, 8, 18))
    # June has 12 days of it and May ends before it: June is out. August has 17 days of 31.
    assert months(COWPEA, "is_browse") == ["2027-07", "2027-08"]


def test_what_is_browsed_young_ends_at_bloom():
    assert times(replace(COWPEA, browsed_when="young")).browse == Span(date(2027, 6, 19), date(2027, 7, 14))


def test_frost_ends_what_it_kills_before_the_seed_would():
    late = replace(COWPEA, days_to_seed=200)  # 6 December
    assert times(late).browse == Span(date(2027, 6, 19), FROST)


def test_seed_that_frost_reaches_first_never_counts():
    late = times(replace(COWPEA, days_to_seed=200))
    assert (late.seed, late.unripe) == (None, True)
    assert not times(COWPEA).unripe


def test_ripe_grain_stands_for_120_days_through_the_frost():
    assert times(COWPEA).seed == Span(date(2027, 8, 18), date(2027, 12, 16))
    assert months(COWPEA, "is_seed") == ["2027-09", "2027-10", "2027-11"]


def test_seed_stands_no_longer_than_the_stand():
    assert times(COWPEA, end=date(2027, 10, 1)).seed.end == date(2027, 10, 1)


def test_little_seed_is_no_food():
    assert times(replace(COWPEA, seed_use="little")).seed is None


def test_overwintering_perennial_goes_on_to_the_end():
    clover = Habit(60, 90, np.nan, "growing", "little", "overwinters", "perennial")
    assert times(clover, frost=None).browse == Span(date(2027, 7, 19), END)


def test_what_is_eaten_after_frost_waits_for_it_and_hangs_on_the_winter():
    turnip = Habit(45, 400, 460, "after_frost", "little", "winter_killed", "biennial")
    assert times(turnip).browse == Span(FROST, END)
    assert months(turnip, "hangs_on_winter") == [
        f"{month:%Y-%m}" for month in months_of(date(2027, 10, 1), END)
    ]


def test_dead_grass_stands_as_cover_and_dead_peas_do_not():
    assert times(COWPEA).cover == Span(date(2027, 6, 19), date(2027, 8, 18))
    assert times(replace(COWPEA, is_grass=True)).cover == Span(date(2027, 6, 19), END)


def test_day_past_the_end_gives_no_food():
    assert times(COWPEA, end=date(2027, 6, 15)) == Times()


def test_what_takes_days_that_are_not_known_is_refused():
    with pytest.raises(ValueError, match="days to ripe seed is not known"):
        times(replace(COWPEA, days_to_seed=np.nan))


def test_without_a_frost_date_nothing_is_said_of_what_frost_kills():
    with pytest.raises(ValueError, match="the first frost is not known"):
        times(COWPEA, frost=None)


def test_bloom_need_not_be_known_of_what_is_browsed_as_long_as_it_grows():
    assert missing_days(replace(COWPEA, days_to_bloom=np.nan)) == []
    assert missing_days(replace(COWPEA, days_to_bloom=np.nan, browsed_when="young")) == ["days to bloom"]


def test_everything_unknown_is_named():
    assert missing_days(Habit()) == [
        "days to the first browse",
        "when it is browsed",
        "use of its seed",
        "what winter does to it",
        "life cycle",
    ]


def test_middle_of_unknown_days_is_unknown_and_never_0():
    assert np.isnan(middle_days(None, None))
    assert (middle_days(0, 10), middle_days(None, 10)) == (5, 10)


@pytest.mark.parametrize(
    ("seeding_on", "expected"),
    [
        (date(2027, 5, 20), date(2027, 10, 15)),
        (date(2027, 10, 15), date(2028, 10, 15)),
        (date(2027, 12, 1), date(2028, 10, 15)),
    ],
)
def test_first_frost_is_the_next_after_seeding(seeding_on, expected):
    assert frost_after(seeding_on, date(1999, 10, 15)) == expected


def test_calendar_without_an_end_has_twelve_months():
    assert len(months_of(SOWN, twelve_months(SOWN))) == 12


def test_end_before_seeding_is_refused():
    with pytest.raises(ValueError, match="accepted is a day after the seeding on 2027-05-20"):
        months_of(SOWN, SOWN)


def test_month_between_two_foods_is_a_hole():
    early = Times(browse=Span(date(2027, 6, 1), date(2027, 7, 10)))  # July: 9 days
    late = Times(seed=Span(date(2027, 8, 20), date(2027, 10, 1)))  # August: 12 days
    assert holes([early, late], SOWN, date(2027, 10, 1)) == [date(2027, 7, 1), date(2027, 8, 1)]


def test_two_short_foods_fill_a_month_between_them():
    early = Times(browse=Span(date(2027, 6, 1), date(2027, 7, 10)))  # July: 9 days
    late = Times(seed=Span(date(2027, 7, 22), date(2027, 10, 1)))  # July: 10 days, so 19 of 31
    assert holes([early, late], SOWN, date(2027, 10, 1)) == []


def test_days_of_two_species_at_once_count_once():
    early = Times(browse=Span(date(2027, 6, 1), date(2027, 7, 10)))
    same = Times(browse=Span(date(2027, 6, 5), date(2027, 7, 9)))
    assert holes([early, same], SOWN, date(2027, 8, 1)) == [date(2027, 7, 1)]


def test_nothing_to_eat_before_the_first_food_is_no_hole():
    only = Times(browse=Span(date(2027, 8, 1), date(2027, 10, 1)))
    assert holes([only], SOWN, date(2027, 10, 1)) == []
    assert holes([], SOWN, END) == []


def test_food_too_short_for_half_a_month_counts_where_most_of_it_is():
    short = Times(browse=Span(date(2027, 6, 25), date(2027, 7, 9)))  # June: 6 days, July: 8
    rows = food_months(short, SOWN, date(2027, 9, 1))
    assert [month.is_browse for month in rows] == [False, False, True, False]


def test_last_month_is_measured_by_the_days_that_are_in_the_calendar():
    to_the_end = Times(browse=Span(date(2027, 8, 28), date(2027, 9, 6)))
    rows = food_months(to_the_end, SOWN, date(2027, 9, 6))
    assert [month.is_browse for month in rows][-2:] == [False, True]


@given(
    st.integers(0, 120),
    st.integers(0, 200),
    st.sampled_from(["young", "growing", "after_frost"]),
    st.sampled_from(["frost_killed", "winter_killed", "overwinters"]),
    st.integers(0, 364),
)
def test_nothing_happens_outside_the_calendar_nor_before_the_first_browse(browse, more, when, fate, day):
    habit = Habit(browse, browse + more / 2, browse + more, when, "grain", fate, "annual")
    sown = date(2027, 1, 1) + timedelta(days=day)
    end = twelve_months(sown)
    found = times_of(habit, sown, end, frost_after(sown, FROST))
    first = sown + timedelta(days=browse)
    spans = [span for span in (found.browse, found.seed, found.cover, found.winter) if span]
    assert all(sown <= span.start < span.end <= end for span in spans)
    assert all(first <= span.start for span in (found.browse, found.seed, found.cover) if span)
    assert len(food_months(found, sown, end)) == 12


@given(st.lists(st.tuples(st.integers(0, 340), st.integers(1, 90)), max_size=5))
def test_a_hole_has_no_species_with_food_in_it(spans):
    found = [
        Times(browse=Span(SOWN + timedelta(days=at), min(END, SOWN + timedelta(days=at + days))))
        for at, days in spans
    ]
    fed = {
        first
        for one in found
        for first, month in zip(months_of(SOWN, END), food_months(one, SOWN, END), strict=True)
        if month.is_browse
    }
    assert fed.isdisjoint(holes(found, SOWN, END))
