"""When a stand feeds: what is browsed, what is seed or grain, and what stands as cover, month by month.

Days from seeding to a stage are ranges; their middle counts. A day that is not known leaves the species out, and
`missing_days` names what it takes. Frost dates are averages, which are even chances. A season's weather moves all
of this by weeks: it is a plan, not a forecast.

Our rules, none of them from a source:

- Browse begins at the first browse. It ends at bloom for what is browsed while young, else with the plant. What is
  browsed mostly after frost counts from the first frost on.
- An annual or biennial ends when its seed is ripe; whatever frost kills ends at the first frost after seeding; a
  perennial goes on. What a cold winter kills is taken to live on, and from the first frost on it is marked as
  hanging on the winter.
- Seed that is not ripe when the frost kills the plant does not count. Ripe grain and pods stand for `STANDS_DAYS`
  from the plants on, small seed for less.
- Cover is the living plant from its first browse on, and after its death the stems of grasses, which last; those of
  legumes, brassicas and other broadleaves are gone soon (common practice).
- A month counts when at least half of its days inside the calendar do. A time too short for that counts in the month
  that has most of it.
"""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from blends.calc.months import Span, month_spans, months_counted

STANDS_DAYS = {"grain": 120, "small_seed": 60}
"""For how long ripe seed is taken to be there, by the use of the seed; our assumption, no source. [days]"""

_NEVER = date.max


@dataclass(frozen=True)
class Habit:
    """When a species is eaten and when it ends.

    Attributes
    ----------
    days_to_browse, days_to_bloom, days_to_seed : float
        From seeding; NaN where not known. [days]
    browsed_when : str
        young, growing, after_frost; empty where not known.
    seed_use : str
        grain, small_seed, little; empty where not known.
    winter_fate : str
        frost_killed, winter_killed, overwinters; empty where not known.
    life_cycle : str
        annual, biennial, perennial; empty where not known.
    is_grass : bool
    """

    days_to_browse: float = np.nan
    days_to_bloom: float = np.nan
    days_to_seed: float = np.nan
    browsed_when: str = ""
    seed_use: str = ""
    winter_fate: str = ""
    life_cycle: str = ""
    is_grass: bool = False


@dataclass(frozen=True)
class Times:
    """When a species is browsed, has seed and stands as cover; None for never.

    `winter` is the part of its life that a cold winter may take; `unripe` says that frost comes before the seed.
    """

    browse: Span | None = None
    seed: Span | None = None
    cover: Span | None = None
    winter: Span | None = None
    unripe: bool = False


@dataclass(frozen=True)
class FoodMonth:
    """A species in one month. `hangs_on_winter` marks browse that a cold winter takes away."""

    is_browse: bool = False
    is_seed: bool = False
    is_cover: bool = False
    hangs_on_winter: bool = False


def middle_days(low, high):
    """Middle of a range of days; of one end alone that end, NaN where neither is known.

    Parameters
    ----------
    low, high : float or None
        [days]

    Returns
    -------
    float
        [days]

    Examples
    --------
    >>> middle_days(40, 60), middle_days(40, None), middle_days(None, None)
    (50.0, 40.0, nan)
    """
    known = [float(days) for days in (low, high) if days is not None]
    return sum(known) / len(known) if known else float("nan")


def missing_days(habit):
    """What has to be known of a species before it has a place in the calendar, and is not.

    Parameters
    ----------
    habit : Habit

    Returns
    -------
    list of str
        In words; empty where all that matters is known.

    Examples
    --------
    >>> missing_days(Habit(days_to_browse=30, browsed_when="growing", life_cycle="perennial",
    ...                    winter_fate="overwinters", seed_use="little"))
    []
    >>> missing_days(Habit(days_to_browse=30, browsed_when="young", life_cycle="annual", winter_fate="overwinters"))
    ['days to bloom', 'days to ripe seed', 'use of its seed']
    """
    has_end = habit.life_cycle in ("annual", "biennial")
    needs = {
        "days to the first browse": np.isnan(habit.days_to_browse),
        "days to bloom": habit.browsed_when == "young" and np.isnan(habit.days_to_bloom),
        "days to ripe seed": (has_end or habit.seed_use in STANDS_DAYS) and np.isnan(habit.days_to_seed),
        "when it is browsed": not habit.browsed_when,
        "use of its seed": not habit.seed_use,
        "what winter does to it": not habit.winter_fate,
        "life cycle": not habit.life_cycle,
    }
    return [words for words, is_missing in needs.items() if is_missing]


def needs_frost(habit):
    """Whether the species' times hang on the date of the first frost."""
    return habit.winter_fate == "frost_killed" or habit.browsed_when == "after_frost"


def times_of(habit, seeding_on, end_on, frost_on):
    """When a species is browsed, has seed and stands as cover.

    Parameters
    ----------
    habit : Habit
        One of which `missing_days` names nothing.
    seeding_on, end_on : date
        The calendar's first day, and the day up to which it goes: termination.
    frost_on : date or None
        The first frost after seeding, from `frost_after`; needed where `needs_frost`.

    Returns
    -------
    Times

    Raises
    ------
    ValueError
        Something that matters is missing.

    Examples
    --------
    Cowpea sown 20 May, browsed after 30 days, ripe after 90, killed by frost on 15 October:

    >>> pea = Habit(30, 55, 90, "growing", "grain", "frost_killed", "annual")
    >>> times = times_of(pea, date(2027, 5, 20), date(2028, 5, 1), date(2027, 10, 15))
    >>> times.browse.start.isoformat(), times.browse.end.isoformat(), times.seed.end.isoformat()
    ('2027-06-19', '2027-08-18', '2027-12-16')
    """
    if missing_days(habit) or (frost_on is None and needs_frost(habit)):
        raise ValueError(f"{', '.join(missing_days(habit)) or 'the first frost'} is not known")
    whole = Span(seeding_on, end_on)

    def after(days):
        return seeding_on + timedelta(days=round(days))

    ripe_on = _NEVER if np.isnan(habit.days_to_seed) else after(habit.days_to_seed)
    killed_on = frost_on if habit.winter_fate == "frost_killed" else _NEVER
    dies_on = min(killed_on, _NEVER if habit.life_cycle == "perennial" else ripe_on)
    starts_on = after(habit.days_to_browse)
    browse = Span(starts_on, dies_on)
    if habit.browsed_when == "young":
        browse = Span(starts_on, min(dies_on, after(habit.days_to_bloom)))
    if habit.browsed_when == "after_frost":
        browse = Span(max(starts_on, frost_on), dies_on)
    has_seed = habit.seed_use in STANDS_DAYS
    is_unripe = has_seed and killed_on < ripe_on
    seed = Span(ripe_on, ripe_on + timedelta(days=STANDS_DAYS[habit.seed_use])) if has_seed else None
    is_doubtful = habit.winter_fate == "winter_killed" and frost_on is not None
    return Times(
        browse=_part(browse, whole),
        seed=None if is_unripe else _part(seed, whole),
        cover=_part(Span(starts_on, _NEVER if habit.is_grass else dies_on), whole),
        winter=_part(Span(frost_on, dies_on), whole) if is_doubtful else None,
        unripe=is_unripe and ripe_on < _NEVER,
    )


def food_months(times, seeding_on, end_on):
    """A species month by month.

    Parameters
    ----------
    times : Times
    seeding_on, end_on : date

    Returns
    -------
    list of FoodMonth
        One for each of `months_of`.

    Examples
    --------
    >>> times = Times(browse=Span(date(2027, 6, 19), date(2027, 8, 18)))
    >>> [month.is_browse for month in food_months(times, date(2027, 5, 20), date(2027, 10, 1))]
    [False, False, True, True, False]
    """
    months = month_spans(seeding_on, end_on)
    browse, seed, cover, winter = (
        months_counted([span] if span else [], months)
        for span in (times.browse, times.seed, times.cover, times.winter)
    )
    return [
        FoodMonth(bool(eaten), bool(ripe), bool(covered), bool(eaten and doubtful))
        for eaten, ripe, covered, doubtful in zip(browse, seed, cover, winter, strict=True)
    ]


def holes(all_times, seeding_on, end_on):
    """Months with nothing to eat, from the first food of any species on.

    The times of all species are put together before they are counted, so that two species of ten days each may
    feed a month between them.

    Parameters
    ----------
    all_times : list of Times
    seeding_on, end_on : date

    Returns
    -------
    list of date
        First days of months; empty where there is never any food, since nothing then begins.

    Examples
    --------
    >>> first = Times(browse=Span(date(2027, 6, 1), date(2027, 7, 1)))
    >>> last = Times(seed=Span(date(2027, 9, 1), date(2027, 11, 1)))
    >>> [month.isoformat() for month in holes([first, last], date(2027, 5, 20), date(2027, 11, 1))]
    ['2027-07-01', '2027-08-01']
    """
    spans = [span for times in all_times for span in (times.browse, times.seed) if span]
    if not spans:
        return []
    months = month_spans(seeding_on, end_on)
    alone = np.array([months_counted([span], months) for span in spans]).any(axis=0)
    fed = alone | months_counted(spans, months)
    begun = np.maximum.accumulate(fed)
    return [month.start.replace(day=1) for month, bare in zip(months, begun & ~fed, strict=True) if bare]


def _part(span, whole):
    part = None if span is None else span.within(whole)
    return part if part and part.days else None
