"""What is planned follows the ground of a plot that is split or merged; what has been planted stays where it was."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from shapely.geometry import LineString, MultiPolygon, box

from blends.models import Planting, SeedOrder
from blends.services.orders import recompute_order
from blends.services.seasons import assign, open_season, record_planted
from plots.models import Plot
from plots.services.boundaries import set_boundary
from plots.services.merging import merge_plots
from plots.services.plots import archive_plot
from plots.services.reshaping import CannotUndo
from plots.services.splitting import split_plot, undo_split
from tests.scenery import lay_out

ACROSS = LineString([(-91.9985, 37.999), (-91.9985, 38.003)])


@pytest.fixture
def north(small_property, owner):
    """North, 2 acres of Grain planned, now with a boundary that can be split."""
    plot = small_property.season.plantings.get(plot__name="North").plot
    set_boundary(plot=plot, geometry=box(-92, 38, -91.998, 38.002), user=owner, how="drawn")
    recompute_order(small_property.pk)
    return plot


@pytest.fixture
def split(north, owner):
    def split(plot=north):
        return split_plot(
            plot=plot, lines=[ACROSS], names=[None, "Trial"], user=owner, replaces=plot.boundary_id
        )

    return split


@pytest.fixture
def merge(north, owner):
    def merge(other):
        return merge_plots(
            plot=Plot.objects.get(pk=north.pk),
            others=[(other, other.boundary_id)],
            user=owner,
            replaces=north.boundary_id,
        )

    return merge


def planting(plot, season):
    return Planting.objects.get(plot=plot, season=season)


def is_stale(order):
    return SeedOrder.objects.get(pk=order.pk).is_stale


def test_a_new_plot_is_planned_as_the_one_that_it_came_from(split, north, small_property):
    _, [new], said = split()
    mine, theirs = (planting(plot, small_property.season) for plot in (north, new))
    assert (theirs.blend, theirs.method, theirs.state) == (mine.blend, "drilled", "planned")
    assert (theirs.planted_acres, theirs.cost_used_usd) == (None, None)
    assert said == []
    assert is_stale(small_property)


def test_the_order_is_for_the_same_acres_after_a_split(split, small_property):
    before = SeedOrder.objects.get(pk=small_property.pk).acres
    split()
    recompute_order(small_property.pk)
    assert float(SeedOrder.objects.get(pk=small_property.pk).acres) == pytest.approx(float(before), abs=2e-3)


def test_fallow_is_planned_for_the_new_plot_too(split, north, owner, farm):
    later = open_season(property=farm, year=2028, kind="warm")
    assign(season=later, user=owner, assignments=[{"plot_id": north.pk, "fallow": True}])
    _, [new], _ = split()
    assert planting(new, later).is_fallow


def test_an_undecided_season_stays_undecided(split, farm):
    later = open_season(property=farm, year=2028, kind="warm")
    split()
    assert not later.plantings.exists()


def test_what_was_planted_stays_with_the_plot_and_its_acres(split, north, small_property):
    record_planted(planting=planting(north, small_property.season), on=date(2024, 9, 1), acres="8.5")
    recompute_order(small_property.pk)
    before = Planting.objects.filter(plot=north).values().get()
    kept, [new], said = split()
    recompute_order(small_property.pk)
    assert Planting.objects.filter(plot=kept).values().get() == before
    assert not new.plantings.exists()
    assert said == [
        "What was planted before the split stays with North, with the acres of its day: 8.5 in the "
        f"{str(small_property.season)[0].lower()}{str(small_property.season)[1:]}."
    ]


def test_an_undone_split_takes_the_planned_out_of_the_order(split, north, owner, small_property):
    recompute_order(small_property.pk)
    before = SeedOrder.objects.get(pk=small_property.pk).acres
    kept, _, _ = split()
    undo_split(plot=kept, user=owner, replaces=kept.boundary_id)
    assert is_stale(small_property)
    recompute_order(small_property.pk)
    assert SeedOrder.objects.get(pk=small_property.pk).acres == before


def test_a_split_whose_piece_was_planted_is_not_undone(split, owner, small_property):
    kept, [new], _ = split()
    record_planted(planting=planting(new, small_property.season), on=date(2024, 9, 1), acres=1)
    with pytest.raises(CannotUndo, match="Trial was planted in the .* season"):
        undo_split(plot=kept, user=owner, replaces=kept.boundary_id)
    assert not Plot.objects.get(pk=new.pk).is_archived


# merging


@pytest.fixture
def beside(make_plot):
    """A plot beside North, of which nothing is planned."""
    return make_plot("Beside", geometry=MultiPolygon([box(-91.998, 38, -91.997, 38.002)]))


def test_the_kept_plot_takes_over_what_is_planned_where_nothing_is_decided_for_it(
    merge, north, beside, owner, farm, small_property
):
    later = open_season(property=farm, year=2028, kind="warm")
    grain = planting(north, small_property.season).blend
    assign(
        season=later,
        user=owner,
        assignments=[{"plot_id": beside.pk, "blend_id": grain.pk, "method": "broadcast"}],
    )
    recompute_order(later.order.pk)
    kept, _, said = merge(beside)
    taken = planting(kept, later)
    assert (taken.blend, taken.method, taken.state) == (grain, "broadcast", "planned")
    assert Planting.objects.filter(plot=beside, season=later).exists()  # it stays, and is in no order
    assert said == []
    assert is_stale(later.order)
    recompute_order(later.order.pk)
    kept.refresh_from_db()
    assert float(SeedOrder.objects.get(pk=later.order.pk).acres) == pytest.approx(kept.mapped_acres, abs=1e-3)


def test_where_both_differ_the_kept_plots_stands_and_it_is_said(merge, north, beside, owner, small_property):
    assign(season=small_property.season, user=owner, assignments=[{"plot_id": beside.pk, "fallow": True}])
    before = planting(north, small_property.season)
    kept, _, said = merge(beside)
    assert planting(kept, small_property.season) == before
    assert said == [
        f"{small_property.season}: Beside was to get fallow, and North gets Grain (drilled); that stands."
    ]


def test_where_both_are_the_same_there_is_nothing_to_say(merge, north, beside, owner, small_property):
    grain = planting(north, small_property.season).blend
    assign(
        season=small_property.season, user=owner, assignments=[{"plot_id": beside.pk, "blend_id": grain.pk}]
    )
    assert merge(beside)[2] == []


def test_what_was_planted_on_an_absorbed_plot_stays_as_it_was(merge, north, beside, owner, small_property):
    grain = planting(north, small_property.season).blend
    assign(
        season=small_property.season, user=owner, assignments=[{"plot_id": beside.pk, "blend_id": grain.pk}]
    )
    record_planted(planting=planting(beside, small_property.season), on=date(2024, 9, 1), acres="2.25")
    kept_facts = ("blend", "state", "planted_on", "planted_acres", "boundary")
    before = Planting.objects.filter(plot=beside).values(*kept_facts).get()
    assert before["planted_acres"] == Decimal("2.250")
    _, _, [sentence] = merge(beside)
    recompute_order(small_property.pk)
    assert Planting.objects.filter(plot=beside).values(*kept_facts).get() == before
    assert "the ground of Beside has been planted" in sentence


def test_an_archived_plots_planning_returns_with_it(merge, beside, north, owner, farm, small_property):
    """Bringing an absorbed plot back is the way to undo a merge: nothing of it was erased."""
    later = open_season(property=farm, year=2028, kind="warm")
    assign(season=later, user=owner, assignments=[{"plot_id": beside.pk, "fallow": True}])
    merge(beside)
    assert Planting.objects.filter(plot=beside, season=later, is_fallow=True).exists()


def test_splitting_costs_the_same_however_much_is_planned_around(split, north, owner, farm, small_property):
    with CaptureQueriesContext(connection) as few:
        kept, _, _ = split()
    undo_split(plot=kept, user=owner, replaces=kept.boundary_id)
    Plot.objects.filter(name="Trial").update(name="Trial before")
    plots = lay_out(farm, 300, first=20)
    bag = small_property.season.plantings.get(plot__name="Creek").blend_id
    given = [{"plot_id": plot.pk, "blend_id": bag} for plot in plots]
    assign(season=small_property.season, user=owner, assignments=given)
    with CaptureQueriesContext(connection) as many:
        split(Plot.objects.get(pk=north.pk))
    assert len(many) <= len(few) + 1  # the ground that it shares with plots laid over it is stored


def test_an_archived_plot_is_not_planned_again_by_a_split(north, owner, split, small_property):
    archive_plot(plot=small_property.season.plantings.get(plot__name="South").plot)
    split()
    assert Planting.objects.filter(season=small_property.season, state="planned").count() == 4
