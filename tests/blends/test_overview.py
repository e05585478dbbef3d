"""The overview page, its list and the outlines of its map."""

import pytest
from django.urls import reverse
from shapely.geometry import MultiPolygon, box, shape

from blends.models import Planting, Season
from plots.models import Boundary, BoundaryImport
from tests.scenery import lay_out, natural_outline, plant, planted_property


@pytest.fixture
def see(client, owner, farm):
    """see(**query) -> the page as the owner sees it."""
    client.force_login(owner)

    def see(**query):
        response = client.get(reverse("overview", args=[farm.slug]), query)
        assert response.status_code == 200
        return response

    return see


@pytest.fixture
def outlines(client, owner, farm):
    client.force_login(owner)

    def outlines(headers=None, **query):
        return client.get(reverse("overview-outlines", args=[farm.slug]), query, headers=headers)

    return outlines


def words(response):
    return " ".join(response.content.decode().replace("&nbsp;", " ").split())


def test_overview_of_an_empty_property_says_what_to_do_next(see, farm):
    page = see()
    assert "No plots yet" in words(page)
    assert reverse("import-new", args=[farm.slug]) in words(page)
    assert "data-map" not in words(page)


def test_viewer_of_an_empty_property_is_not_sent_to_a_page_they_may_not_open(client, viewer, farm):
    client.force_login(viewer)
    page = client.get(reverse("overview", args=[farm.slug]))
    assert reverse("import-new", args=[farm.slug]) not in words(page)


def test_overview_sums_the_mapped_acres(see, farm, make_plot):
    make_plot("North Bench", acres=2.25)
    make_plot("Creek Bottom", acres=1.5)
    assert ">3.75 ac<" in words(see())
    assert "at least" not in words(see())


def test_overview_says_at_least_while_a_plot_is_not_measured(see, make_plot):
    make_plot("North Bench", acres=2.25)
    make_plot("Creek Bottom", acres=None)
    page = words(see())
    assert 'at least <span class="fig">2.25 ac' in page
    assert "1 plot has no boundary" in page.replace('<span class="fig">1</span>', "1")


def test_overview_gives_no_acres_while_nothing_is_measured(see, make_plot):
    make_plot("Creek Bottom", acres=None)
    assert "0.00" not in words(see())


def test_overview_shows_the_latest_season_with_anything_planned(see, farm):
    _, _, planned = planted_property(farm, 4, leave=1)
    Season.objects.create(property=farm, year=2029, kind=Season.Kind.COOL)
    assert see().context["season"] == planned


def test_overview_shows_the_season_that_the_address_names(see, farm):
    planted_property(farm, 4, leave=1)
    cool = Season.objects.create(property=farm, year=2026, kind=Season.Kind.COOL)
    page = see(season="2026-cool")
    assert page.context["season"] == cool
    assert page.context["sums"].undecided.plots == 4


def test_a_season_that_the_property_does_not_have_is_not_here(client, owner, farm):
    client.force_login(owner)
    assert client.get(reverse("overview", args=[farm.slug]), {"season": "2031-warm"}).status_code == 404


def test_overview_counts_the_plots_with_nothing_planned_and_leads_to_the_season(see, farm):
    planted_property(farm, 6, leave=3)
    page = words(see()).replace('<span class="fig">3</span>', "3")
    assert "Nothing planned for 3 plots in" in page
    assert f'href="{reverse("season", args=[farm.slug, "2027-warm"])}">Warm season 2027<' in page


def test_overview_without_a_season_asks_to_open_one(see, make_plot):
    make_plot()
    assert "No season is open" in words(see())


def test_list_gives_sign_stage_and_acres_of_each_plot(see, farm):
    plots, _, season = planted_property(farm, 4, leave=1)
    Planting.objects.filter(plot=plots[1]).update(
        state="up", planted_on="2027-05-04", planted_acres=1, method="broadcast"
    )
    rows = {row.name: row for row in see().context["rows"]}
    assert (rows["North Bench"].use.mark, rows["North Bench"].stage) == ("SP", "Planned, to be drilled")
    assert (rows["Creek Bottom"].use.mark, rows["Creek Bottom"].stage) == ("CB", "Up, broadcast")
    assert rows["Powerline Strip"].use.name == "Fallow"
    assert rows["Old Orchard"].use.name == "Nothing planned"


def test_list_finds_plots_by_name(see, farm):
    lay_out(farm, 5)
    assert [row.name for row in see(q="creek").context["rows"]] == ["Creek Bottom"]
    assert "No plot has “heron”" in words(see(q="heron"))


def test_list_has_a_hundred_plots_a_page(see, farm):
    lay_out(farm, 130)
    assert len(see().context["rows"]) == 100
    assert len(see(page=2).context["rows"]) == 30


def test_archived_plots_are_listed_apart(see, farm, make_plot):
    kept, archived = make_plot("Kept"), make_plot("Given up")
    archived.is_archived = True
    archived.save()
    assert [row.id for row in see().context["rows"]] == [kept.pk]
    assert [row.id for row in see(archived="").context["rows"]] == [archived.pk]


def test_overview_names_an_import_that_waits_for_an_answer(see, farm, owner, make_plot):
    make_plot()
    waiting = BoundaryImport.objects.create(property=farm, file_name="back_forty.kml", state="preview")
    assert reverse("import", args=[farm.slug, waiting.pk]) in words(see())


def test_overview_polls_while_boundaries_are_measured_and_then_loads_anew(client, owner, farm):
    lay_out(farm, 2, measured=False)
    client.force_login(owner)
    address, htmx = reverse("overview", args=[farm.slug]), {"HX-Request": "true"}
    assert 'hx-trigger="every 2s"' in words(client.get(address))
    assert "Measuring" in words(client.get(address, headers=htmx))
    Boundary.objects.update(area_m2=4046.86, perimeter_m=300)
    assert client.get(address, headers=htmx)["HX-Refresh"] == "true"
    assert "hx-trigger" not in words(client.get(address))


def test_outlines_say_what_the_map_shows(outlines, farm):
    plots, blends, _ = planted_property(farm, 4, leave=1)
    answer = outlines()
    assert answer["Content-Type"] == "application/geo+json"
    features = {feature["id"]: feature for feature in answer.json()["features"]}
    assert len(features) == 4
    assert features[plots[0].pk]["properties"] == {
        "id": plots[0].pk,
        "name": "North Bench",
        "acres": f"{plots[0].mapped_acres:.2f} ac",
        "look": "tint-1",
        "mark": "SP",
        "blend": "Summer Plate",
        "stage": "Planned, to be drilled",
        "href": reverse("plot", args=[farm.slug, plots[0].pk]),
    }
    assert features[plots[2].pk]["properties"]["look"] == "fallow"
    assert features[plots[3].pk]["properties"]["look"] == "undecided"


@pytest.mark.parametrize(("count", "most_m"), [(3, 2), (501, 7)])
def test_outlines_from_afar_stay_near_the_boundary(outlines, farm, count, most_m):
    boundaries = {plot.pk: plot.boundary.geometry for plot in lay_out(farm, count, columns=20)}
    drawn = {feature["id"]: shape(feature["geometry"]) for feature in outlines().json()["features"]}
    off_m = [drawn[pk].hausdorff_distance(boundary) * 111_000 for pk, boundary in boundaries.items()]
    assert 0 < max(off_m) < most_m


def test_a_plot_smaller_than_what_is_left_out_does_not_vanish(outlines, make_plot):
    west, south, side = -92.0, 38.0, 0.000008
    make_plot("Lick", geometry=MultiPolygon([box(west, south, west + side, south + side)]))
    assert not shape(outlines().json()["features"][0]["geometry"]).is_empty


def test_outline_of_one_plot_has_every_corner(outlines, farm):
    plots = lay_out(farm, 2)
    features = outlines(plot=plots[0].pk).json()["features"]
    assert [feature["id"] for feature in features] == [plots[0].pk]
    drawn = shape(features[0]["geometry"])
    assert drawn.hausdorff_distance(plots[0].boundary.geometry) < 1e-7


def test_outlines_asked_for_again_are_not_sent_again(outlines, farm, django_assert_num_queries):
    plots, blends, _ = planted_property(farm, 4, leave=1)
    seen = outlines()["ETag"]
    assert outlines(headers={"If-None-Match": seen}).status_code == 304
    with django_assert_num_queries(5):  # session, person, membership, seasons, plots: no geometry
        outlines(headers={"If-None-Match": seen})


@pytest.mark.parametrize("change", ["boundary", "name", "planting"])
def test_outlines_are_sent_again_after_a_change(outlines, farm, change):
    plots, blends, season = planted_property(farm, 4, leave=1)
    seen = outlines()["ETag"]
    if change == "boundary":
        new = MultiPolygon([natural_outline(-92, 38, 2, 7)])
        plots[0].boundary = Boundary.objects.create(plot=plots[0], geometry=new, how="drawn")
        plots[0].save()
    elif change == "name":
        plots[0].name = "South Bench"
        plots[0].save()
    else:
        Planting.objects.create(season=season, plot=plots[3], blend=blends[0])
    assert outlines(headers={"If-None-Match": seen}).status_code == 200


def test_outlines_are_for_the_browser_that_asked_alone(outlines, farm):
    lay_out(farm, 1)
    assert outlines()["Cache-Control"] == "private, no-cache"


@pytest.mark.parametrize("plot", ["", "x", "1 or 1"])
def test_outlines_of_a_plot_that_is_no_number_are_not_here(outlines, farm, plot):
    assert outlines(plot=plot).status_code == 404


def test_outlines_of_another_propertys_plot_are_not_here(outlines, elsewhere):
    plot = lay_out(elsewhere, 1)[0]
    assert outlines(plot=plot.pk).status_code == 404


def test_a_name_cannot_break_out_of_the_page(see, farm, make_plot):
    make_plot("<script>alert(1)</script>")
    assert "<script>alert" not in see().content.decode()


@pytest.mark.parametrize("route", ["overview", "overview-outlines"])
def test_queries_stay_the_same_for_thirty_times_the_plots(
    client, owner, farm, route, django_assert_max_num_queries
):
    client.force_login(owner)
    address = reverse(route, args=[farm.slug])
    _, blends, season = planted_property(farm, 10)
    with django_assert_max_num_queries(15) as before:
        client.get(address)
    plant(lay_out(farm, 290, first=10, columns=20), season, blends)
    with django_assert_max_num_queries(len(before)):
        client.get(address)
