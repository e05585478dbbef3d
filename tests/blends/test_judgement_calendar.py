"""What feeds and when, by the blend of stands.py sown on 1 May 2027 with the first frost on 15 October.

Bench grass, browsed young: 35 days to browse (5 June), 65 to bloom (5 July), 100 to seed (9 August);
                            its grain stands for 120 days, to 7 December
Bench pea, while it grows:  30 days (31 May) until the frost; its seed would be ripe on 17 November
"""

from datetime import date
from decimal import Decimal

import pytest
from django.utils import timezone

from blends.models import Planting
from blends.queries import draft_of
from blends.queries.judgement import judge
from blends.services.seasons import assign, open_season
from tests.blends.stands import GRASS, PEA, drilled, own_species, two_halves

SOWN, KILLED = date(2027, 5, 1), date(2028, 5, 1)


@pytest.fixture
def frosty(farm):
    farm.last_frost_on, farm.first_frost_on = date(2000, 4, 20), date(2000, 10, 15)
    farm.save()
    return farm


@pytest.fixture
def halves(farm, owner):
    return two_halves(farm, owner)


def calendar(farm, blend, **options):
    """Judged over a year unless the options say otherwise."""
    return judge(farm, draft_of(blend), **({"seeding_on": SOWN, "end_on": KILLED} | options)).calendar


def seeding_on(farm, blend):
    """The day that is taken when none is given."""
    return judge(farm, draft_of(blend)).calendar.seeding_on


def months(row, what):
    """Months like 6 of 2027 in which the row has `what`."""
    _, cells = row
    return [cell.first.month for cell in cells if getattr(cell, what)]


def test_rows_follow_the_days_of_each_species(frosty, halves):
    found = calendar(frosty, halves)
    grass, pea = found.rows
    assert months(grass, "browse") == [6]
    assert {cell.browse for cell in grass[1]} == {"", "high"}
    assert months(grass, "is_seed") == [8, 9, 10, 11]
    assert months(pea, "browse") == [6, 7, 8, 9]
    assert months(pea, "is_seed") == []
    assert (len(found.months), found.end_on) == (12, date(2028, 5, 1))


def test_a_warm_blend_ends_when_a_cool_one_would_be_sown(frosty, halves):
    found = calendar(frosty, halves, end_on=None)
    assert found.end_on == date(2027, 8, 31)  # 45 days before 15 October
    assert [month.month for month in found.months] == [5, 6, 7, 8]
    assert "Taken to end on 31 Aug 2027" in " ".join(found.notes)


def test_without_the_frost_of_its_end_a_blend_is_judged_over_twelve_months(frosty, halves):
    frosty.first_frost_on = None
    assert calendar(frosty, halves, end_on=None).end_on == KILLED


def test_dead_grass_covers_to_the_end_and_the_pea_to_the_frost(frosty, halves):
    grass, pea = calendar(frosty, halves).rows
    assert months(grass, "is_cover") == [6, 7, 8, 9, 10, 11, 12, 1, 2, 3, 4]
    assert months(pea, "is_cover") == [6, 7, 8, 9]


def test_months_with_nothing_to_eat_are_holes(frosty, halves):
    found = calendar(frosty, halves)
    # October is fed by the grain; it ends on 7 December, which has 6 days of 31.
    assert [month.month for month in found.holes] == [12, 1, 2, 3, 4]
    assert calendar(frosty, halves, end_on=date(2027, 12, 1)).holes == []


def test_hole_in_summer_shows(frosty, owner):
    grass = own_species(frosty, "Bench grass", GRASS)
    found = calendar(frosty, drilled(frosty, owner, "Grass", {grass: 50}))
    assert [month.month for month in found.holes][:1] == [7]


def test_food_after_frost_is_marked_late_and_hangs_on_the_winter(frosty, owner):
    turnip = own_species(
        frosty,
        "Turnip",
        PEA,
        browsed_when="after_frost",
        winter_fate="winter_killed",
        life_cycle="biennial",
        days_to_seed_low=400,
        days_to_seed_high=400,
    )
    found = calendar(frosty, drilled(frosty, owner, "Turnips", {turnip: 2}))
    [row] = found.rows
    assert months(row, "is_late") == months(row, "browse") == months(row, "hangs_on_winter")
    assert months(row, "browse")[0] == 10
    assert any("A cold winter kills Turnip" in note for note in found.notes)


def test_without_a_frost_date_what_frost_kills_has_no_row(farm, halves):
    found = calendar(farm, halves)
    assert [str(species) for species, _ in found.rows] == ["Bench grass"]
    assert "The first frost of autumn is not known, on which Bench pea hangs." in found.missing


@pytest.mark.parametrize(
    ("left_out", "said"),
    [
        (["days_to_browse_low", "days_to_browse_high"], "Bench pea: days to the first browse is not known."),
        (["browse_preference"], "Bench pea: how well deer like it is not known."),
        (
            ["days_to_seed_low", "days_to_seed_high", "seed_use"],
            "Bench pea: days to ripe seed and use of its seed are not known.",
        ),
    ],
)
def test_unknown_days_leave_a_species_without_a_row(frosty, owner, left_out, said):
    pea = {name: value for name, value in PEA.items() if name not in left_out}
    found = calendar(frosty, two_halves(frosty, owner, pea=pea))
    assert [str(species) for species, _ in found.rows] == ["Bench grass"]
    assert found.missing == [said, "A hole may be filled by species without a row."]


def test_unripe_seed_is_said(frosty, halves, owner):
    pea = own_species(frosty, "Late pea", PEA, seed_use="grain")
    found = calendar(frosty, drilled(frosty, owner, "Late", {pea: 25}))
    assert "Frost comes before the seed of Late pea is ripe." in found.notes


def test_end_before_the_seeding_gives_a_sentence_and_no_months(frosty, halves):
    found = calendar(frosty, halves, end_on=SOWN)
    assert found.months == []
    assert found.missing == ["The end is 1 May 2027; accepted is a day after the seeding on 1 May 2027."]


def test_day_that_it_was_sown_is_the_seeding_date(frosty, owner, halves, make_plot):
    plot = make_plot()
    season = open_season(property=frosty, year=2027, kind="warm")
    row = {"plot_id": plot.pk, "blend_id": halves.pk, "method": "drilled"}
    assign(season=season, user=owner, assignments=[row])
    assert seeding_on(frosty, halves) == date(2027, 5, 4)  # 20 April and 14 days
    Planting.objects.update(planted_on=date(2027, 5, 11), planted_acres=Decimal(2), state="drilled")
    assert seeding_on(frosty, halves) == date(2027, 5, 11)


def test_cool_season_is_sown_45_days_before_the_first_frost(frosty, owner, halves, make_plot):
    season = open_season(property=frosty, year=2027, kind="cool")
    row = {"plot_id": make_plot().pk, "blend_id": halves.pk, "method": "drilled"}
    assign(season=season, user=owner, assignments=[row])
    assert seeding_on(frosty, halves) == date(2027, 8, 31)
    assert "common practice, no source" in judge(frosty, draft_of(halves)).calendar.notes[0]


def test_blend_on_no_plot_is_sown_by_the_frosts_to_come(frosty, owner, monkeypatch):
    monkeypatch.setattr(timezone, "localdate", lambda: date(2027, 9, 10))
    grass = drilled(frosty, owner, "Grass", {own_species(frosty, "Bench grass", GRASS): 50})
    pea = drilled(frosty, owner, "Pea", {own_species(frosty, "Bench pea", PEA): 25})
    assert seeding_on(frosty, grass) == date(2028, 8, 31)
    assert seeding_on(frosty, pea) == date(2028, 5, 4)


def test_without_dates_there_is_no_calendar_and_it_is_said_why(farm, halves):
    found = judge(farm, draft_of(halves)).calendar
    assert (found.seeding_on, found.months, found.rows) == (None, [], [])
    assert "no date for the last frost of spring" in found.missing[0]


def test_calendar_has_its_working(frosty, halves):
    [working] = calendar(frosty, halves).workings
    assert working.key == "calendar"
    assert [len(cells) for _, cells in working.rows] == [len(working.columns)] * 2
    assert working.result == "1 May 2027 to 1 May 2028, first frost 15 Oct 2027"


def test_winter_is_said_to_be_unsure_without_a_frost_date_too(farm, owner):
    radish = own_species(farm, "Radish", GRASS, winter_fate="winter_killed")
    found = calendar(farm, drilled(farm, owner, "Radish", {radish: 8}))
    assert "A cold winter kills Radish: that food is not sure." in found.notes


def test_days_over_the_winter_are_doubted_of_a_spring_sowing(frosty, owner):
    rye = own_species(frosty, "Rye", GRASS, days_to_bloom_low=225, days_to_bloom_high=250)
    blend = drilled(frosty, owner, "Rye", {rye: 60})
    said = "The days of Rye run from an autumn over the winter; sown in spring it may not bloom in time."
    assert said in calendar(frosty, blend).notes
    assert said not in calendar(frosty, blend, seeding_on=date(2027, 9, 1)).notes


def test_first_frost_in_january_is_that_of_the_season_before_it(farm, owner, halves, make_plot):
    farm.first_frost_on = date(2000, 1, 5)
    farm.save()
    season = open_season(property=farm, year=2027, kind="cool")
    row = {"plot_id": make_plot().pk, "blend_id": halves.pk, "method": "drilled"}
    assign(season=season, user=owner, assignments=[row])
    assert seeding_on(farm, halves) == date(2027, 11, 21)  # 45 days before 5 January 2028
    sown_late = calendar(farm, halves, seeding_on=date(2027, 12, 1), end_on=None)
    assert sown_late.end_on == date(2028, 11, 21)


@pytest.mark.parametrize(
    ("sown_on", "last_frost"),
    [(date(2027, 3, 1), "20 Apr 2027"), (date(2027, 11, 1), "20 Apr 2028"), (date(2027, 8, 1), None)],
)
def test_what_frost_kills_is_said_to_be_sown_too_early_in_spring_and_too_late_in_autumn(
    frosty, halves, sown_on, last_frost
):
    notes = calendar(frosty, halves, seeding_on=sown_on, end_on=date(2028, 12, 1)).notes
    said = [note for note in notes if note.startswith("Sown before the last frost")]
    assert said == (
        [f"Sown before the last frost, {last_frost}, which kills Bench pea."] if last_frost else []
    )


@pytest.mark.parametrize(
    ("sown", "killed", "said"),
    [
        (date(9999, 12, 31), None, "The seeding is on 9999-12-31; accepted is a day from 1950 to 2150."),
        (date(1, 1, 1), None, "The seeding is on 0001-01-01; accepted is a day from 1950 to 2150."),
        (
            SOWN,
            date(9999, 12, 31),
            "The end is 31 Dec 9999; accepted is at most three years after the seeding on 1 May 2027.",
        ),
    ],
)
def test_days_that_no_calendar_holds_are_said(frosty, halves, sown, killed, said):
    found = calendar(frosty, halves, seeding_on=sown, end_on=killed)
    assert (found.months, found.rows, found.missing) == ([], [], [said])
