"""Renaming, archiving and re-drawing plots; properties; reads."""

import json

import pytest
from shapely.geometry import MultiPolygon, Polygon, box

from config.errors import Refused
from plots.models import Boundary, Membership, Plot
from plots.queries import middle_of, outlines_for, plots_for, properties_with_totals
from plots.services import boundaries
from plots.services import plots as services
from plots.services.measuring import acreage_changed
from plots.services.properties import create_property

SQUARE = box(-92.0, 38.0, -91.999, 38.001)


@pytest.fixture
def told():
    """The plot ids that acreage_changed was sent with."""
    ids = []

    def receive(sender, plot_ids, **kwargs):
        ids.append(list(plot_ids))

    acreage_changed.connect(receive)
    yield ids
    acreage_changed.disconnect(receive)


def test_a_drawn_boundary_is_measured_at_once_and_told(make_plot, owner, told):
    plot = make_plot(acres=None)
    boundaries.set_boundary(plot=plot, geometry=SQUARE, user=owner, how=Boundary.How.DRAWN, why="Drawn anew")
    plot.refresh_from_db()
    assert plot.mapped_acres > 0
    assert told == [[plot.pk]]


@pytest.mark.parametrize(
    "outline",
    [
        Polygon(),
        Polygon([(-92, 38), (-91, 39), (-91, 38), (-92, 39)]),
        box(-181, 38, -180.5, 39),
        MultiPolygon([box(-92, 38, -91, 39), box(-91.5, 38, -90, 39)]),
    ],
)
def test_an_outline_that_cannot_be_measured_is_refused(make_plot, owner, outline):
    plot = make_plot()
    with pytest.raises(Refused):
        boundaries.set_boundary(plot=plot, geometry=outline, user=owner, how=Boundary.How.DRAWN)
    assert plot.boundaries.count() == 1


def test_an_unknown_way_of_making_a_boundary_is_refused(make_plot, owner):
    with pytest.raises(Refused):
        boundaries.set_boundary(plot=make_plot(), geometry=SQUARE, user=owner, how="guessed")


def test_an_altitude_is_dropped(make_plot, owner):
    plot = make_plot()
    flat = Polygon([(-92, 38, 200), (-91.9, 38, 210), (-91.9, 38.1, 220)])
    assert not boundaries.set_boundary(plot=plot, geometry=flat, user=owner, how="drawn").geometry.has_z


def test_renaming_does_not_undo_a_boundary_that_was_drawn_meanwhile(make_plot, owner):
    plot = make_plot()
    stale = Plot.objects.get(pk=plot.pk)
    drawn = boundaries.set_boundary(plot=plot, geometry=SQUARE, user=owner, how="drawn")
    services.update_plot(plot=stale, name="New Name", notes="", objective="")
    assert Plot.objects.get().boundary_id == drawn.pk


def test_a_plot_keeps_its_name_to_itself_in_any_case(make_plot):
    make_plot("Pond", lon=-91)
    with pytest.raises(Refused, match="Another plot of this property has this name"):
        services.update_plot(plot=make_plot("Bench"), name="POND", notes="", objective="")


def test_archiving_and_restoring_is_told(make_plot, told):
    plot = make_plot()
    services.archive_plot(plot=plot)
    services.restore_plot(plot=plot)
    assert told == [[plot.pk], [plot.pk]]


def test_archived_plots_are_listed_apart(farm, make_plot):
    make_plot("A")
    services.archive_plot(plot=make_plot("B"))
    assert [plot.name for plot in plots_for(farm)] == ["A"]
    assert [plot.name for plot in plots_for(farm, archived=True)] == ["B"]


def test_listing_plots_reads_no_geometry_and_takes_one_query(farm, make_plot, django_assert_num_queries):
    for number in range(5):
        make_plot(f"P{number}")
    with django_assert_num_queries(1) as queries:
        assert all(plot.mapped_acres for plot in plots_for(farm))
    assert "geometry" not in queries[0]["sql"]


def test_an_unmeasured_plot_is_unknown_in_the_outlines(farm, make_plot):
    make_plot()
    Boundary.objects.update(area_m2=None, perimeter_m=None)
    assert json.loads(outlines_for(farm))["features"][0]["properties"]["acres"] is None


def test_the_sum_of_a_property_counts_what_is_not_measured(owner, make_plot):
    make_plot("A", acres=2.0)
    make_plot("B", acres=None)
    totals = properties_with_totals(owner).get()
    assert (totals.plot_count, totals.unmeasured_count, totals.role) == (2, 1, "owner")
    assert totals.area_m2 == pytest.approx(2.0 * 4046.8564224)


def test_the_middle_of_a_property_without_boundaries_is_unknown(farm, make_plot):
    make_plot(acres=None)
    assert middle_of(farm) is None


@pytest.mark.parametrize(
    ("name", "slug"),
    [
        ("Tally Hollow", "tally-hollow-2"),
        ("Мой участок", "property"),
        ("x" * 120, "x" * 52),
        ("--", "property"),
    ],
)
def test_a_property_gets_an_address_of_its_own(farm, owner, name, slug):
    property = create_property(user=owner, name=name)
    assert property.slug == slug
    assert Membership.objects.get(property=property).role == "owner"


@pytest.mark.parametrize("name", ["", "   ", "x" * 121])
def test_a_property_needs_a_name_that_fits(owner, name):
    with pytest.raises(Refused):
        create_property(user=owner, name=name)
