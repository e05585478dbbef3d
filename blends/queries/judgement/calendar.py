"""Month by month what is browsed, what is seed or grain, and what stands as cover."""

from datetime import date, timedelta
from typing import NamedTuple

from django.utils import timezone

from blends.calc import feeding
from blends.calc.feeding import STANDS_DAYS, Habit, food_months, middle_days, missing_days, times_of
from blends.calc.months import day_in_year, frost_after, months_of, twelve_months
from blends.queries.judgement.cover import is_grass
from blends.queries.judgement.parts import fact_of, value_of
from blends.queries.judgement.shapes import Calendar, Cell, Month, Working
from blends.queries.judgement.words import day, listed, verb
from plots.calc.described import PRACTICE, Source

AFTER_LAST_FROST_DAYS, BEFORE_FIRST_FROST_DAYS = 14, 45
"""When warm blends and cool ones are sown; common practice, no source. [days]"""
RULES = Source(
    "When a stand feeds",
    basis=PRACTICE,
    note="Rules of this calendar, without a source; the days and habits of each species have their own.",
)
_RULES = [
    "Browse begins at the first browse and ends at bloom for what is browsed while young, else with the plant. "
    "What is browsed mostly after frost counts from the first frost on.",
    "Annuals and biennials end when their seed is ripe, what frost kills at the first frost.",
    f"Ripe grain and pods are taken to stand for {STANDS_DAYS['grain']} days, small seed for {STANDS_DAYS['small_seed']}.",
    "Cover is the living plant, and the dead stems of grasses until the end.",
    "A month without browse or seed after the first food is a hole; the food of all species is put together.",
    "Weather moves all of this by weeks.",
]
_SPRING_MONTHS, _OVER_WINTER_DAYS = range(2, 8), 180
"""Days to bloom that are longer run over a winter, and do not hold for what is sown from February to July."""
YEARS = range(1950, 2151)
"""Of a seeding that is judged; those of seasons."""
LONGEST_DAYS = 3 * 366
_STAGES = ("browse", "bloom", "seed")
_HABITS = ("browse_preference", "browsed_when", "seed_use", "winter_fate", "life_cycle")


class Seeding(NamedTuple):
    """A seeding date to judge by, None where there is none, and in words where it comes from."""

    on: date | None
    words: str


def seeding_of(property, figures, plantings, given_on=None):
    """When a blend was sown, or would be.

    Parameters
    ----------
    property : Property
    figures : BlendFigures
    plantings : list of Sown
        Of the blend, the latest season first; empty for a draft.
    given_on : date or None
        The date to take, whatever is recorded.

    Returns
    -------
    Seeding
        The day it was sown in its latest season; else from the average frosts of that season's year, or of the
        frosts to come: warm blends 14 days after the last one, cool blends 45 days before the first.
    """
    if given_on is not None:
        return Seeding(given_on, f"Taken as sown on {day(given_on)}.")
    latest = plantings[0].season if plantings else None
    sown_on = [row.planted_on for row in plantings if row.season == latest and row.planted_on]
    if sown_on:
        return Seeding(min(sown_on), f"Sown on {day(min(sown_on))}.")
    is_warm = plantings[0].kind == "warm" if plantings else _is_warm(figures)
    if is_warm is None:
        return Seeding(None, "There is no seeding date.")
    frost_on = property.last_frost_on if is_warm else property.first_frost_on
    what = "the last frost of spring" if is_warm else "the first frost of autumn"
    if frost_on is None:
        return Seeding(None, f"There is no seeding date, and the property has no date for {what}.")
    shift = timedelta(days=AFTER_LAST_FROST_DAYS if is_warm else -BEFORE_FIRST_FROST_DAYS)
    if plantings:
        year = plantings[0].year
        on = next(due for due in _sowings(frost_on, shift, year) if due.year == year)
    else:
        today = timezone.localdate()
        on = next(due for due in _sowings(frost_on, shift, today.year) if due >= today)
    days = f"{abs(shift.days)} days {'after' if is_warm else 'before'}"
    return Seeding(on, f"Taken as sown on {day(on)}, {days} {what} (common practice, no source).")


def _sowings(frost_on, shift, year):
    """Sowing days by a frost, from before a year to after it: 45 days before 5 January is in the year before."""
    return [day_in_year(frost_on, year + later) + shift for later in (-1, 0, 1, 2)]


def refused_days(seeding_on, end_on):
    """{"seeding_on" or "end_on": the sentence that refuses it}; empty where both can be judged by.

    Parameters
    ----------
    seeding_on, end_on : date or None
        None where they are still to be found.
    """
    if seeding_on is None:
        return {}
    if seeding_on.year not in YEARS:
        said = f"The seeding is on {seeding_on}; accepted is a day from {YEARS[0]} to {YEARS[-1]}."
        return {"seeding_on": said}
    if end_on is not None and end_on <= seeding_on:
        said = f"The end is {day(end_on)}; accepted is a day after the seeding on {day(seeding_on)}."
        return {"end_on": said}
    if end_on is not None and (end_on - seeding_on).days > LONGEST_DAYS:
        said = f"The end is {day(end_on)}; accepted is at most three years after the seeding on {day(seeding_on)}."
        return {"end_on": said}
    return {}


def _is_warm(figures):
    """Whether at least half of the species are warm-season ones; None without any."""
    groups = [str(value_of(row, "group")) for row in figures.rows]
    return 2 * sum(group.startswith("warm") for group in groups) >= len(groups) if groups else None


def calendar_of(property, figures, seeding, end_on=None):
    """The calendar of a blend.

    Parameters
    ----------
    property : Property
        Its average frosts count.
    figures : BlendFigures
    seeding : Seeding
    end_on : date or None
        When it is killed; from `_end_of` when None.

    Returns
    -------
    Calendar
        Species of which something that matters is not known have no row; `missing` names them.
    """
    if seeding.on is None:
        return Calendar(None, [], [], [], [seeding.words], [])
    refused = refused_days(seeding.on, end_on)
    if refused:
        return Calendar(seeding.on, [], [], [], [*refused.values()], [])
    end_words = ""
    if end_on is None:
        end_on, end_words = _end_of(property, figures, seeding.on)
    frost_on = frost_after(seeding.on, property.first_frost_on)
    stands, missing, late = [], [], []
    for row, grass in zip(figures.rows, is_grass(figures.rows), strict=True):
        habit = habit_of(row, grass)
        gaps = missing_days(habit)
        if not value_of(row, "browse_preference"):
            gaps.append("how well deer like it")
        if gaps:
            missing.append(f"{row.species}: {listed(gaps)} {'is' if len(gaps) == 1 else 'are'} not known.")
        elif frost_on is None and feeding.needs_frost(habit):
            late.append(row.species)
        else:
            stands.append((row, habit, times_of(habit, seeding.on, end_on, frost_on)))
    if late:
        missing.append(
            f"The first frost of autumn is not known, on which {listed(late)} hang{'s' * (len(late) == 1)}."
        )
    is_whole = len(stands) == len(figures.rows)
    return Calendar(
        seeding_on=seeding.on,
        months=months_of(seeding.on, end_on),
        rows=[(row.species, _months(row, habit, times, seeding.on, end_on)) for row, habit, times in stands],
        holes=feeding.holes([times for *_, times in stands], seeding.on, end_on),
        missing=missing
        if is_whole or not stands
        else [*missing, "A hole may be filled by species without a row."],
        workings=[_working(figures, seeding, end_on, frost_on)],
        end_on=end_on,
        notes=[*filter(None, [seeding.words, end_words]), *_notes(seeding, stands, frost_on, property)],
    )


def _end_of(property, figures, seeding_on):
    """When a blend makes room, and why in words: when the season after it would be sown, by the average frosts.

    Without that frost's date, and for a blend with a perennial in it, the end of the twelfth month.
    """
    is_warm = _is_warm(figures)
    frost_on = property.first_frost_on if is_warm else property.last_frost_on
    if frost_on is None or any(value_of(row, "life_cycle") == "perennial" for row in figures.rows):
        return twelve_months(seeding_on), ""
    shift = timedelta(days=-BEFORE_FIRST_FROST_DAYS if is_warm else AFTER_LAST_FROST_DAYS)
    end_on = next(due for due in _sowings(frost_on, shift, seeding_on.year) if due > seeding_on)
    what = (
        f"cool blend would be sown, {BEFORE_FIRST_FROST_DAYS} days before the first frost"
        if is_warm
        else (f"warm blend would be sown, {AFTER_LAST_FROST_DAYS} days after the last frost")
    )
    return end_on, f"Taken to end on {day(end_on)}, when a {what} (common practice, no source)."


def habit_of(row, grass):
    """A component's Habit; the days are the middles of their ranges."""
    days = {
        f"days_to_{stage}": middle_days(*(value_of(row, f"days_to_{stage}_{end}") for end in ("low", "high")))
        for stage in _STAGES
    }
    words = {name: str(value_of(row, name) or "") for name in _HABITS if name != "browse_preference"}
    return Habit(**days, **words, is_grass=grass)


def _months(row, habit, times, seeding_on, end_on):
    preference = str(value_of(row, "browse_preference"))
    is_late = habit.browsed_when == "after_frost"
    return [
        Month(
            first=first,
            browse=preference if month.is_browse else "",
            is_late=is_late and month.is_browse,
            is_seed=month.is_seed,
            is_cover=month.is_cover,
            hangs_on_winter=month.hangs_on_winter,
        )
        for first, month in zip(
            months_of(seeding_on, end_on), food_months(times, seeding_on, end_on), strict=True
        )
    ]


def _notes(seeding, stands, frost_on, property):
    notes = []
    if frost_on is not None:
        notes.append(f"The first frost is taken as {day(frost_on)}, an average and so an even chance.")
    unripe = [row.species for row, _, times in stands if times.unripe]
    if unripe:
        notes.append(f"Frost comes before the seed of {listed(unripe)} is ripe.")
    doubtful = [
        row.species
        for row, habit, times in stands
        if times.winter or (frost_on is None and habit.winter_fate == "winter_killed")
    ]
    if doubtful:
        since = "from the first frost on that food is not sure" if frost_on else "that food is not sure"
        notes.append(f"A cold winter kills {listed(doubtful)}: {since}.")
    autumn = [
        row.species
        for row, habit, _ in stands
        if seeding.on.month in _SPRING_MONTHS and habit.days_to_bloom > _OVER_WINTER_DAYS
    ]
    if autumn:
        notes.append(
            f"The days of {listed(autumn)} run from an autumn over the winter; sown in spring "
            f"{verb(autumn, 'it', 'they')} may not bloom in time."
        )
    last_frost_on = frost_after(seeding.on, property.last_frost_on)
    tender = [row.species for row, habit, _ in stands if habit.winter_fate == "frost_killed"]
    if last_frost_on and tender and last_frost_on < frost_on:  # sown while frosts still come
        notes.append(f"Sown before the last frost, {day(last_frost_on)}, which kills {listed(tender)}.")
    return notes


def _working(figures, seeding, end_on, frost_on):
    columns = [
        (f"days_to_{stage}_{end}", f"{words}, {end}")
        for stage, words in zip(_STAGES, ("Days to browse", "Days to bloom", "Days to seed"), strict=True)
        for end in ("low", "high")
    ]
    names = [name for name, _ in columns] + list(_HABITS)
    said = f"{day(seeding.on)} to {day(end_on)}" + (f", first frost {day(frost_on)}" if frost_on else "")
    return Working(
        key="calendar",
        title="When it feeds",
        formula="seeding date + middle of the days to each stage; a month counts when at least half of its days do",
        result=said,
        columns=[head for _, head in columns] + ["Preference", "Browsed", "Seed", "Winter", "Life cycle"],
        rows=[(str(row.species), [_cell(row, name) for name in names]) for row in figures.rows],
        sources=[RULES],
        notes=_RULES,
    )


def _cell(row, name):
    fact = fact_of(row, name)
    return Cell(fact.shown, None, fact)
