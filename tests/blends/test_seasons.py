from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from blends.queries import season_rows, season_sums
from blends.services.seasons import assign, copy_assignments, open_season, record_planted
from config.errors import Conflict, Refused


@pytest.fixture
def grain(make_mixed):
    return make_mixed("Grain", {"oats": ("60", "75")})


@pytest.fixture
def north(make_plot):
    return make_plot("North", acres=2)


def give(season, owner, plot, **what):
    return assign(season=season, user=owner, assignments=[{"plot_id": plot.pk} | what])


def test_plot_gets_a_blend_then_lies_fallow_then_is_undecided(season, owner, north, grain):
    assert give(season, owner, north, blend_id=grain.pk, method="broadcast") == 1
    assert season.plantings.get().method == "broadcast"
    assert give(season, owner, north, fallow=True) == 1
    assert (season.plantings.get().blend, season.plantings.get().is_fallow) == (None, True)
    assert give(season, owner, north) == 1
    assert not season.plantings.exists()


def test_assigning_the_same_again_changes_nothing(season, owner, north, grain):
    give(season, owner, north, blend_id=grain.pk)
    assert give(season, owner, north, blend_id=grain.pk) == 0


def test_another_propertys_plot_is_refused(season, owner, elsewhere, make_plot, grain):
    theirs = make_plot("North", property=elsewhere)
    with pytest.raises(Refused, match="not a plot of this property"):
        give(season, owner, theirs, blend_id=grain.pk)
    assert not theirs.plantings.exists()


def test_another_propertys_blend_is_refused(season, owner, elsewhere, north, make_mixed):
    theirs = make_mixed("Grain", {"oats": ("60", None)}, property=elsewhere)
    with pytest.raises(Refused, match="not one of this property"):
        give(season, owner, north, blend_id=theirs.pk)
    assert not season.plantings.exists()


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ({"blend_id": "grain", "fallow": True}, "has a blend and is fallow"),
        ({"blend_id": "grain", "method": "thrown"}, "method is “thrown”"),
    ],
)
def test_assignment_that_cannot_be_is_refused(season, owner, north, grain, what, said):
    with pytest.raises(Refused, match=said):
        give(season, owner, north, **what | {"blend_id": grain.pk})


def test_plot_named_twice_is_refused_and_nothing_is_stored(season, owner, north, grain):
    one = {"plot_id": north.pk, "blend_id": grain.pk}
    with pytest.raises(Refused, match="North is named twice"):
        assign(season=season, user=owner, assignments=[one, one])
    assert not season.plantings.exists()


def test_archived_plot_is_refused(season, owner, north, grain):
    north.is_archived = True
    north.save()
    with pytest.raises(Refused, match="archived"):
        give(season, owner, north, blend_id=grain.pk)


def test_planted_plot_is_not_given_anything_else(season, owner, north, grain):
    give(season, owner, north, blend_id=grain.pk)
    record_planted(planting=season.plantings.get(), on=date(2024, 9, 1), acres=Decimal("1.8"))
    with pytest.raises(Conflict, match="North was planted on 2024-09-01"):
        give(season, owner, north, fallow=True)
    assert season.plantings.get().blend == grain


def test_planting_keeps_its_acres_and_boundary(season, owner, north, grain):
    give(season, owner, north, blend_id=grain.pk)
    planting = record_planted(planting=season.plantings.get(), on=date(2024, 9, 1), acres="1.8")
    assert (planting.planted_acres, planting.boundary, planting.state) == (
        Decimal("1.800"),
        north.boundary,
        "drilled",
    )


@pytest.mark.parametrize("acres", ["0", "-1", "much", "nan"])
def test_planted_acres_that_cannot_be_are_refused(season, owner, north, grain, acres):
    give(season, owner, north, blend_id=grain.pk)
    with pytest.raises(Refused):
        record_planted(planting=season.plantings.get(), on=date(2024, 9, 1), acres=acres)
    assert season.plantings.get().state == "planned"


def test_planting_in_the_future_is_refused(season, owner, north, grain):
    give(season, owner, north, blend_id=grain.pk)
    with pytest.raises(Refused, match="in the future"):
        record_planted(planting=season.plantings.get(), on=timezone.localdate() + timedelta(days=2), acres=1)


def test_fallow_plot_is_not_planted(season, owner, north):
    give(season, owner, north, fallow=True)
    with pytest.raises(Refused, match="fallow"):
        record_planted(planting=season.plantings.get(), on=date(2024, 9, 1), acres=1)


def test_copy_fills_undecided_plots_alone(farm, season, owner, north, make_plot, make_mixed, grain):
    south = make_plot("South", lon=-92.1)
    before = open_season(property=farm, year=2026, kind="cool")
    for plot in (north, south):
        give(before, owner, plot, blend_id=grain.pk, method="broadcast")
    give(season, owner, north, fallow=True)
    assert copy_assignments(season=season, from_season=before) == 1
    copied = season.plantings.get(plot=south)
    assert (copied.blend, copied.method) == (grain, "broadcast")


def test_copy_takes_the_newest_version(farm, season, owner, north, grain, make_mixed):
    before = open_season(property=farm, year=2026, kind="cool")
    give(before, owner, north, blend_id=grain.pk)
    record_planted(planting=before.plantings.get(), on=date(2024, 9, 1), acres=2)
    newer = make_mixed("Grain", {"oats": ("50", None)}, blend=grain)
    copy_assignments(season=season, from_season=before)
    assert season.plantings.get().blend == newer


def test_copy_from_another_property_is_refused(season, elsewhere):
    with pytest.raises(Refused, match="another property"):
        copy_assignments(season=season, from_season=open_season(property=elsewhere, year=2026, kind="cool"))


def test_rows_hold_every_live_plot_and_sums_add_up(season, owner, north, make_plot, grain):
    make_plot("Undecided", acres=1, lon=-92.1)
    make_plot("Unmeasured", acres=None, lon=-92.2)
    resting = make_plot("Resting", acres=0.5, lon=-92.3)
    give(season, owner, north, blend_id=grain.pk)
    give(season, owner, resting, fallow=True)

    rows = {row.plot.name: (row.planting and row.planting.blend, row.acres) for row in season_rows(season)}
    sums = season_sums(season)

    assert rows["North"] == (grain, pytest.approx(2))
    assert rows["Unmeasured"] == (None, None)
    assert (sums.plots, sums.with_blend, sums.fallow, sums.undecided, sums.unmeasured) == (4, 1, 1, 2, 1)
    assert (sums.acres, sums.acres_with_blend) == pytest.approx((3.5, 2.0))
    assert [row.plot.name for row in season_rows(season, undecided=True)] == ["Undecided", "Unmeasured"]
