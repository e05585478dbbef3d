"""The page of one plot, and the page that edits it."""

import datetime
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone
from shapely.geometry import MultiPolygon, Polygon

from blends.models import Planting, Season, SeedOrder
from blends.queries.plots import rings_of
from plots.calc.geodesy import geodesic_area_perimeter
from plots.models import Boundary, BoundaryImport, Plot
from plots.queries import standing_overlaps
from plots.services.boundaries import set_boundary
from plots.services.plots import archive_plot
from tests.scenery import blends_of, lay_out, natural_outline


@pytest.fixture
def ground(farm):
    """A plot with a hole and one in two parts."""
    return lay_out(farm, 2)


@pytest.fixture
def see(client, owner, farm):
    client.force_login(owner)

    def see(plot, person=None):
        if person is not None:
            client.force_login(person)
        response = client.get(reverse("plot", args=[farm.slug, plot.pk]))
        assert response.status_code == 200
        return " ".join(response.content.decode().replace("&nbsp;", " ").split())

    return see


@pytest.fixture
def planted(farm, ground):
    """The first plot, planted last fall at 0.250 acres with seed that cost 20.00 dollars."""
    season = Season.objects.create(property=farm, year=2026, kind=Season.Kind.COOL)
    return Planting.objects.create(
        season=season,
        plot=ground[0],
        blend=blends_of(farm)[0],
        state=Planting.State.UP,
        planted_on=datetime.date(2026, 9, 4),
        planted_acres=Decimal("0.250"),
        cost_used_usd=Decimal("20.00"),
    )


@pytest.fixture
def edit(client, manager, farm):
    client.force_login(manager)

    def edit(plot, **posted):
        return client.post(reverse("plot-edit", args=[farm.slug, plot.pk]), posted)

    return edit


def test_page_shows_acres_perimeter_and_hole(see, ground):
    page = see(ground[0])
    boundary = ground[0].boundary
    assert f">{boundary.acres:.2f} ac<" in page
    assert f"{boundary.perimeter_m / 0.3048:,.0f}</span> ft" in page
    assert "hole, not planted" in page


def test_working_can_be_checked_by_hand(see, ground):
    page = see(ground[0])
    outer, hole = rings_of(ground[0].boundary.geometry)
    assert f"{outer.area_m2:,.1f}</span> m²" in page
    assert f'−<span class="fig">{hole.area_m2:,.1f}</span> m²' in page
    assert '÷ <span class="fig">4,046.8564224</span> m² an acre' in page


def test_parts_less_holes_are_the_plot():
    part = natural_outline(-92, 38, 4, 1).difference(natural_outline(-92, 38, 0.4, 2))
    whole = MultiPolygon([part, natural_outline(-91.99, 38, 1, 3)])
    area_m2, perimeter_m = geodesic_area_perimeter(whole)
    rings = rings_of(whole)
    assert [(ring.part, ring.is_hole) for ring in rings] == [(1, False), (1, True), (2, False)]
    assert sum(ring.signed_area_m2 for ring in rings) == pytest.approx(area_m2, rel=1e-12)
    assert sum(ring.perimeter_m for ring in rings) == pytest.approx(perimeter_m, rel=1e-12)


def test_plot_without_a_boundary_says_what_to_do(see, make_plot, farm):
    page = see(make_plot(acres=None))
    assert "No boundary yet" in page
    assert reverse("import-new", args=[farm.slug]) in page
    assert "data-map" not in page


def test_unmeasured_plot_is_not_shown_as_zero(see, farm):
    plot = lay_out(farm, 1, measured=False)[0]
    page = see(plot)
    assert "measuring" in page
    assert "0.00 ac" not in page


def test_history_keeps_the_boundaries_before_with_who_how_and_why(see, ground, manager, farm):
    plot = ground[0]
    before = plot.boundary
    plot.boundary = Boundary.objects.create(
        plot=plot,
        geometry=MultiPolygon([Polygon([(-92, 38), (-91.999, 38), (-91.999, 38.001)])]),
        area_m2=5000,
        perimeter_m=300,
        how=Boundary.How.WALKED,
        why="Moved the fence",
        created_by=manager,
        source_import=BoundaryImport.objects.create(property=farm, file_name="walk.gpx", state="stored"),
    )
    plot.save()
    page = see(plot)
    assert "Walked with a phone" in page
    assert "by manager: Moved the fence" in page
    assert "walk.gpx" in page
    assert f"{before.acres:.2f} ac" in page
    assert page.count("holds now") == 1


def test_repairs_of_the_import_are_shown(see, ground):
    Boundary.objects.filter(pk=ground[0].boundary_id).update(repairs=["The outline crossed itself once."])
    assert "The outline crossed itself once." in see(ground[0])


def test_planting_keeps_the_acres_it_was_planted_at(see, planted):
    page = see(planted.plot)
    assert "Cool 2026" in page
    assert "Up, drilled, 4 Sep 2026" in page
    assert ">0.25 ac<" in page


def test_seed_cost_an_acre_is_what_the_order_says_over_planted_acres(see, planted):
    assert "$80.00" in see(planted.plot)


def test_costs_are_not_shown_to_a_recorder(see, planted, recorder):
    page = see(planted.plot, recorder)
    assert "$" not in page
    assert "Seed cost" not in page


def test_costs_of_a_stale_order_say_recomputing(see, planted):
    SeedOrder.objects.create(season=planted.season, inputs_version=3, computed_version=2)
    assert "recomputing" in see(planted.plot)


def test_map_of_the_page_asks_for_this_plot_alone(see, ground, farm):
    address = reverse("overview-outlines", args=[farm.slug], query={"plot": ground[1].pk})
    assert f'data-outlines="{address}"' in see(ground[1])


def test_viewer_is_offered_no_edit(see, ground, viewer, farm):
    assert reverse("plot-edit", args=[farm.slug, ground[0].pk]) not in see(ground[0], viewer)


def test_manager_renames_a_plot_and_writes_notes(edit, ground, farm):
    answer = edit(ground[0], name="  South   Bench ", notes="Wet until May.")
    assert answer.url == reverse("plot", args=[farm.slug, ground[0].pk])
    ground[0].refresh_from_db()
    assert (ground[0].name, ground[0].notes) == ("South Bench", "Wet until May.")


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("", "a plot needs one of 1 to 80 characters"),
        ("creek bottom", "Another plot of this property has this name."),
        ("x" * 81, "at most 80 characters"),
    ],
)
def test_a_name_that_cannot_be_used_is_refused_and_what_was_typed_kept(edit, ground, name, sentence):
    page = edit(ground[0], name=name, notes="Kept as typed").content.decode()
    assert sentence in page
    assert "Kept as typed" in page
    ground[0].refresh_from_db()
    assert ground[0].name == "North Bench"


def test_archived_plot_leaves_the_overview_and_comes_back(edit, client, ground, farm):
    overview = reverse("overview", args=[farm.slug])
    edit(ground[0], act="archive")
    assert [row.plot.name for row in client.get(overview).context["rows"]] == ["Creek Bottom"]
    edit(ground[0], act="restore")
    assert len(client.get(overview).context["rows"]) == 2


def test_archived_plot_still_has_its_page_and_outline(edit, client, ground, farm):
    edit(ground[0], act="archive")
    page = client.get(reverse("plot", args=[farm.slug, ground[0].pk]))
    assert "Archived" in page.content.decode()
    outlines = client.get(page.context["outlines"]).json()
    assert len(outlines["features"]) == 1


@pytest.mark.parametrize("role", ["viewer", "recorder"])
def test_roles_without_edit_may_not_change_a_plot(client, ground, farm, role, request):
    client.force_login(request.getfixturevalue(role))
    answer = client.post(reverse("plot-edit", args=[farm.slug, ground[0].pk]), {"act": "archive"})
    assert answer.status_code == 403
    ground[0].refresh_from_db()
    assert not ground[0].is_archived


def test_queries_stay_the_same_however_long_the_history(
    client, owner, farm, ground, planted, django_assert_max_num_queries
):
    client.force_login(owner)
    address = reverse("plot", args=[farm.slug, ground[0].pk])
    with django_assert_max_num_queries(18) as before:
        client.get(address)
    for year in range(2000, 2020):
        season = Season.objects.create(property=farm, year=year, kind=Season.Kind.WARM)
        Planting.objects.create(season=season, plot=ground[0], blend=planted.blend)
        Boundary.objects.create(
            plot=ground[0], geometry=ground[0].boundary.geometry, how="drawn", created_by=owner
        )
    with django_assert_max_num_queries(len(before)):
        client.get(address)


def test_objective_is_chosen_and_shown_with_what_it_means(edit, see, ground):
    assert "What its residue is for</h2><p>Not decided." in see(ground[0])
    edit(ground[0], name=ground[0].name, objective="hold_weeds", notes="")
    assert "Hold weeds: residue above 30:1, which lasts as mulch and ties nitrogen up." in see(ground[0])
    edit(ground[0], name=ground[0].name, objective="", notes="")
    ground[0].refresh_from_db()
    assert ground[0].objective == ""


def test_objective_that_there_is_not_is_refused(edit, ground):
    response = edit(ground[0], name=ground[0].name, objective="grow_trees", notes="")
    assert "grow_trees is not one of the available choices" in response.content.decode()
    ground[0].refresh_from_db()
    assert ground[0].objective == ""


def corrected(plot, owner, **how):
    """The plot with a new boundary, a little smaller; gives the one before."""
    before, outline = plot.boundary, plot.boundary.geometry.buffer(-0.00005)
    set_boundary(plot=plot, geometry=outline, user=owner, **({"how": "drawn"} | how))
    return before


def test_margin_stands_beside_the_acres_with_its_working(see, ground, owner):
    assert "±" not in see(ground[0])  # nobody knows how accurate an imported edge is
    corrected(ground[0], owner, how="walked", accuracy_m=3.4904)
    boundary, page = ground[0].boundary, see(ground[0])
    assert (
        f'{boundary.acres:.2f} ac</span> <span class="fig">± <span class="fig">{boundary.margin_acres:.2f}'
        in page
    )
    assert f'{boundary.perimeter_m:,.1f}</span> m × <span class="fig">3.490</span> m ÷' in page
    by_hand = round(float(f"{boundary.perimeter_m:.1f}") * 3.490 / 4046.8564224, 2)
    assert by_hand == round(boundary.margin_acres, 2)  # with 3.5 m it would be a hundredth more
    assert "common practice, no source" in page


def test_what_moved_stands_first_while_it_is_news_and_with_the_record_later(see, ground, owner):
    assert "What moved" not in see(ground[0])
    before = corrected(ground[0], owner)
    page = see(ground[0])
    assert page.index("What moved with the boundary of") < page.index(">Plantings<")
    assert f"{before.acres:.2f} ac</span> to <span" in page
    long_ago = timezone.now() - datetime.timedelta(days=15)
    Boundary.objects.filter(pk=ground[0].boundary_id).update(created_at=long_ago)
    Boundary.objects.filter(pk=before.pk).update(created_at=long_ago - datetime.timedelta(days=1))
    page = see(ground[0])
    assert page.index("What moved with the boundary of") > page.index(">Plantings<")


def test_what_was_planted_is_said_to_be_kept(see, planted, owner):
    corrected(planted.plot, owner)
    page = see(planted.plot)
    assert "Kept as it was, with its order and its costs:" in page
    assert 'Cool 2026, Summer Plate: <span class="fig">0.25 ac</span> planted 4 Sep 2026' in page


def test_the_order_of_what_moved_is_linked_only_for_those_who_see_costs(see, ground, owner, recorder, farm):
    season = Season.objects.create(property=farm, year=2028, kind=Season.Kind.COOL)
    SeedOrder.objects.create(season=season, inputs_version=3, computed_version=2)
    Planting.objects.create(season=season, plot=ground[0], blend=blends_of(farm)[0])
    corrected(ground[0], owner)
    address = reverse("order", args=[farm.slug, "2028-cool"])
    assert address in see(ground[0])
    assert "recomputing" in see(ground[0])
    assert address not in see(ground[0], recorder)


def test_overlaps_of_the_plot_are_shown_until_they_are_gone(see, ground, owner, farm):
    set_boundary(plot=ground[1], geometry=ground[0].boundary.geometry, user=owner, how="drawn")
    overlap = standing_overlaps(farm).get()
    page = see(ground[0])
    assert f"{overlap.acres:.2f} ac" in page
    assert "Seed for it is ordered twice." in page
    assert reverse("overlaps", args=[farm.slug]) in page
    archive_plot(plot=ground[1])
    assert "shares ground" not in see(ground[0])


ACTS = {
    "boundary-edit": ["manager", "owner"],
    "plot-split": ["manager", "owner"],
    "plot-merge": ["manager", "owner"],
    "plot-edit": ["manager", "owner"],
    "walk": ["recorder", "manager", "owner"],
    "boundary-history": ["viewer", "recorder", "manager", "owner"],
}


@pytest.mark.parametrize("act", ACTS)
def test_acts_are_offered_to_those_who_may(see, ground, farm, act, request):
    args = [farm.slug] if act == "walk" else [farm.slug, ground[0].pk]
    for person in ("viewer", "recorder", "manager", "owner"):
        page = see(ground[0], request.getfixturevalue(person))
        offered = f'href="{reverse(act, args=args)}' in page
        assert offered == (person in ACTS[act]), person


def test_long_record_is_cut_and_leads_to_all_of_it(see, ground, owner, farm):
    for number in range(6):
        set_boundary(
            plot=ground[0],
            geometry=ground[0].boundary.geometry,
            user=owner,
            how="drawn",
            why=f"Change {number}",
        )
    page = see(ground[0])
    assert [f"Change {number}" in page for number in range(6)] == [False, True, True, True, True, True]
    assert "and see the older ones" in page


def test_page_of_a_plot_with_everything_asks_at_most_twenty_times(
    see, planted, owner, django_assert_max_num_queries
):
    corrected(planted.plot, owner, how="walked", accuracy_m=2.0)
    set_boundary(
        plot=Plot.objects.get(name="Creek Bottom"),
        geometry=planted.plot.boundary.geometry,
        user=owner,
        how="drawn",
    )
    Planting.objects.create(
        season=Season.objects.create(property=planted.plot.property, year=2028, kind=Season.Kind.COOL),
        plot=planted.plot,
        blend=planted.blend,
    )
    with django_assert_max_num_queries(20):
        assert "What moved" in see(planted.plot)
