"""The overview page, its list and the outlines of its map."""

import uuid
from datetime import timedelta

import pytest
import shapely
from django.urls import reverse
from django.utils import timezone
from shapely.geometry import MultiPolygon, box, shape

from blends.models import Blend, Planting, Season, Termination
from fieldlog.models import Visit
from plots.models import Boundary, BoundaryImport, Overlap, Plot, Walk
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
    rows = {row.plot.name: row.plot for row in see().context["rows"]}
    assert (rows["North Bench"].use.mark, rows["North Bench"].stage) == ("SP", "Planned, to be drilled")
    assert (rows["Creek Bottom"].use.mark, rows["Creek Bottom"].stage) == ("CB", "Up, broadcast")
    assert rows["Powerline Strip"].use.name == "Fallow"
    assert rows["Old Orchard"].use.name == "Nothing planned"


def test_list_finds_plots_by_name(see, farm):
    lay_out(farm, 5)
    assert [row.plot.name for row in see(q="creek").context["rows"]] == ["Creek Bottom"]
    assert "No plot has “heron”" in words(see(q="heron"))


def test_list_has_a_hundred_plots_a_page(see, farm):
    lay_out(farm, 130)
    assert len(see().context["rows"]) == 100
    assert len(see(page=2).context["rows"]) == 30


def test_archived_plots_are_listed_apart(see, farm, make_plot):
    kept, archived = make_plot("Kept"), make_plot("Given up")
    archived.is_archived = True
    archived.save()
    assert [row.plot.id for row in see().context["rows"]] == [kept.pk]
    assert [row.plot.id for row in see(archived="").context["rows"]] == [archived.pk]


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
    with django_assert_max_num_queries(16) as before:
        client.get(address)
    plant(lay_out(farm, 290, first=10, columns=20), season, blends)
    with django_assert_max_num_queries(len(before)):
        client.get(address)


def names(page):
    return [row.plot.name for row in page.context["rows"]]


def visit(plot, owner, days_ago):
    moment = timezone.now() - timedelta(days=days_ago)
    return Visit.objects.create(plot=plot, visited_at=moment, recorded_by=owner)


def legend(page):
    return {entry.words: entry.plots for entry in page.context["legend"]}


# Finding and filtering


def test_list_finds_plots_by_their_notes(see, farm):
    plots = lay_out(farm, 3)
    Plot.objects.filter(pk=plots[1].pk).update(notes="Wet after the spring thaw")
    assert names(see(q="spring thaw")) == [plots[1].name]


def test_plots_are_filtered_by_blend_fallow_and_nothing_planned(see, farm):
    _, blends, _ = planted_property(farm, 8, leave=2)
    assert names(see(blend=blends[0].pk)) == ["North Bench", "Old Orchard"]
    assert names(see(blend="fallow")) == ["Pond Field"]
    assert names(see(blend="undecided")) == ["Clay Knob", "Ridge Top"]


def test_filter_by_blend_looks_at_the_season_asked_for(see, farm):
    plots, blends, _ = planted_property(farm, 4, leave=1)
    cool = Season.objects.create(property=farm, year=2026, kind=Season.Kind.COOL)
    Planting.objects.create(season=cool, plot=plots[3], blend=blends[0])
    assert names(see(season="2026-cool", blend=blends[0].pk)) == [plots[3].name]


def test_plots_are_filtered_by_objective(see, farm):
    plots = lay_out(farm, 3)
    Plot.objects.filter(pk=plots[0].pk).update(objective=Plot.Objective.FEED_NEXT)
    assert names(see(objective="feed_next")) == [plots[0].name]
    assert names(see(objective="none")) == sorted(plot.name for plot in plots[1:])


def test_count_says_how_many_were_found_of_how_many_and_their_acres(see, farm, make_plot):
    for name, acres in (("North Bench", 2.25), ("South Bench", 1.5), ("Creek", 4.0)):
        make_plot(name, acres=acres)
    page = words(see(q="bench")).replace('<span class="fig">', "").replace("</span>", "")
    assert "<strong>2 of 3 plots</strong>, 3.75 ac" in page
    assert "Show all" in page


def test_count_says_at_least_while_a_found_plot_is_not_measured(see, make_plot):
    make_plot("North Bench", acres=2.25)
    make_plot("South Bench", acres=None)
    page = words(see(q="bench")).replace('<span class="fig">', "").replace("</span>", "")
    assert "2 of 2 plots</strong>, at least 2.25 ac" in page


def test_show_all_keeps_season_and_colour(see, farm):
    planted_property(farm, 4, leave=1)
    page = see(q="creek", season="2027-warm", colour="acres", sort="acres")
    assert page.context["asked"].query_of_all == "season=2027-warm&colour=acres&sort=acres"


def test_archived_plots_are_found_among_the_archived(see, make_plot):
    for name in ("Old Bench", "Old Creek", "Bench"):
        plot = make_plot(name)
        plot.is_archived = name.startswith("Old")
        plot.save()
    assert names(see(archived="on", q="bench")) == ["Old Bench"]


@pytest.mark.parametrize("query", [{"blend": "x"}, {"blend": "0"}, {"blend": "9" * 30}])
def test_a_blend_that_the_property_does_not_have_is_not_here(client, owner, farm, query):
    client.force_login(owner)
    assert client.get(reverse("overview", args=[farm.slug]), query).status_code == 404


def test_a_blend_of_another_property_is_not_here(client, owner, farm, elsewhere):
    client.force_login(owner)
    blend = Blend.objects.create(property=elsewhere, name="Theirs", mark="TH", tint=1)
    for route in ("overview", "overview-outlines"):
        assert client.get(reverse(route, args=[farm.slug]), {"blend": blend.pk}).status_code == 404


@pytest.mark.parametrize("name", ["objective", "colour", "sort"])
def test_what_cannot_be_asked_for_is_refused_with_what_can(client, owner, farm, name):
    client.force_login(owner)
    answer = client.get(reverse("overview", args=[farm.slug]), {name: "loud"})
    assert answer.status_code == 400
    assert f"{name} is &#x27;loud&#x27;" in words(answer)
    assert "are accepted" in words(answer)


@pytest.mark.parametrize("search", ["\x00", "%", "_", "'", "<b>"])
def test_any_characters_can_be_searched_for(see, make_plot, search):
    make_plot("Creek")
    page = see(q=f"{search}zz")
    assert names(page) == []
    assert "<b>zz" not in page.content.decode()


# Colours, and their legends


def test_days_since_the_last_visit_are_in_classes_and_no_visit_is_a_class_of_its_own(see, owner, farm):
    plots = lay_out(farm, 8)
    for plot, days in zip(plots, (0, 7, 8, 14, 15, 28, 29), strict=False):
        visit(plot, owner, days)
        visit(plot, owner, days + 90)
    page = see(colour="visits")
    assert legend(page) == {
        "up to 7 days": 2,
        "8 to 14 days": 2,
        "15 to 28 days": 2,
        "more than 28 days": 1,
        "no visit recorded": 1,
    }
    looks = {row.plot.id: row.look for row in page.context["rows"]}
    assert [looks[plot.pk] for plot in plots] == [
        *("step-0", "step-0", "step-1", "step-1", "step-2", "step-2", "step-3", "unknown")
    ]
    assert "none recorded" in words(page)


def test_a_visit_by_a_clock_that_is_ahead_is_of_today(see, owner, make_plot):
    visit(make_plot(), owner, -0.5)
    assert legend(see(colour="visits"))["up to 7 days"] == 1


def test_acres_are_in_classes_with_round_limits_and_what_is_not_measured_apart(see, make_plot):
    for i, acres in enumerate((0.3, 0.9, 1.6, 2.2, 3.1, 4.7, 6.0, 8.9, None)):
        make_plot(f"Plot {i}", acres=acres)
    page = see(colour="acres")
    assert legend(page) == {
        "under 1.5 ac": 2,
        "1.5 to under 2.5 ac": 2,
        "2.5 to under 5 ac": 2,
        "5 ac and more": 2,
        "acres not known": 1,
    }
    [unknown] = [entry for entry in page.context["legend"] if entry.look == "unknown"]
    assert unknown.acres is None


def test_limits_of_acres_stay_where_they_are_when_plots_are_filtered(see, make_plot):
    for i, acres in enumerate((0.3, 0.9, 1.6, 2.2, 3.1, 4.7, 6.0, 8.9)):
        make_plot(f"{'Near' if i % 2 else 'Far'} {i}", acres=acres)
    assert legend(see(colour="acres", q="near")).keys() == legend(see(colour="acres")).keys()
    assert sum(legend(see(colour="acres", q="near")).values()) == 4


def test_plots_of_the_same_acres_are_one_class(see, make_plot):
    for i in range(3):
        make_plot(f"Plot {i}", acres=2)
    assert legend(see(colour="acres")) == {"all about alike": 3}


def test_legend_follows_the_filter(see, farm):
    _, blends, _ = planted_property(farm, 8, leave=2)
    assert legend(see(blend=blends[0].pk)) == {"Summer Plate": 2}


@pytest.mark.parametrize("colour", ["visits", "acres"])
def test_outlines_have_the_look_and_the_facts_of_the_colour(outlines, owner, farm, colour):
    plots = lay_out(farm, 4)
    visit(plots[0], owner, 3)
    facts = {each["id"]: each["properties"] for each in outlines(colour=colour).json()["features"]}
    if colour == "visits":
        assert (facts[plots[0].pk]["look"], facts[plots[0].pk]["visited"]) == ("step-0", "visited 3 days ago")
        assert facts[plots[0].pk]["mark"] == "3 d"
        assert (facts[plots[1].pk]["look"], facts[plots[1].pk]["visited"]) == ("unknown", "no visit recorded")
        assert facts[plots[1].pk]["mark"] == ""
    else:
        assert {each["look"] for each in facts.values()} <= {f"step-{at}" for at in range(4)}


# Sorting


def test_list_is_sorted_by_acres_and_by_the_longest_time_without_a_visit(see, owner, make_plot):
    small, large, unknown = (
        make_plot("Small", acres=1),
        make_plot("Large", acres=9),
        make_plot("Unknown", acres=None),
    )
    visit(small, owner, 2)
    visit(large, owner, 5)
    visit(large, owner, 1)
    assert names(see(sort="acres")) == ["Large", "Small", "Unknown"]
    assert names(see(sort="visited")) == ["Unknown", "Small", "Large"]
    assert unknown.boundary is None


# What needs doing


def test_overlaps_between_plots_are_counted_with_their_acres(see, farm, make_plot):
    a, b, gone = make_plot("A"), make_plot("B"), make_plot("C")
    for first, second in ((a, b), (a, gone)):
        ground = first.boundary.geometry
        Overlap.objects.create(
            first=first.boundary, second=second.boundary, geometry=ground, area_m2=4046.8564224, width_m=9
        )
    gone.is_archived = True
    gone.save()
    page = words(see()).replace('<span class="fig">', "").replace("</span>", "")
    assert "1 overlap between plots</a>, 1.00 ac." in page


def test_walked_edges_that_wait_are_counted(see, farm, owner, make_plot):
    plot, now = make_plot(), timezone.now()
    Walk.objects.create(
        property=farm, plot=plot, fixes=[], worst_accuracy_m=10, tolerance_m=1, started_at=now, sent_at=now,
        created_by=owner,
    )  # fmt: skip
    page = words(see()).replace('<span class="fig">', "").replace("</span>", "")
    assert "1 walked edge</a> waits to be looked at." in page


# What is in view


def view_of(*plots, around=0.0):
    west, south, east, north = shapely.total_bounds([plot.boundary.geometry for plot in plots])
    return f"{west - around},{south - around},{east + around},{north + around}"


def test_only_plots_in_view_are_sent(outlines, farm):
    plots = lay_out(farm, 12)
    answer = outlines(bbox=view_of(plots[5]), zoom=17)
    assert [each["properties"]["name"] for each in answer.json()["features"]] == [plots[5].name]


def test_from_near_every_corner_is_drawn(outlines, farm):
    plots = lay_out(farm, 3)
    features = outlines(bbox=view_of(*plots), zoom=17).json()["features"]
    drawn = {each["properties"]["id"]: shape(each["geometry"]) for each in features}
    for plot in plots:
        assert drawn[plot.pk].hausdorff_distance(plot.boundary.geometry) < 1e-7


@pytest.mark.parametrize("zoom", [12, 14, 16])
def test_outlines_in_view_are_within_a_pixel_of_their_boundary(outlines, farm, zoom):
    plots = {plot.pk: plot for plot in lay_out(farm, 40, columns=8)}
    features = outlines(bbox=view_of(*plots.values()), zoom=zoom).json()["features"]
    pixel = 360 / 256 / 2**zoom
    drawn = [each for each in features if "ids" not in each["properties"]]
    assert drawn
    for each in drawn:
        outline = plots[each["properties"]["id"]].boundary.geometry
        assert shape(each["geometry"]).hausdorff_distance(outline) < pixel


def test_neighbours_in_view_share_their_edge_from_afar(outlines, farm):
    edge = natural_outline(-92, 38, 9, 3, corners=120)
    cut = shapely.box(-92.01, 37.99, -92.0, 38.01)
    west, east = edge.intersection(cut), edge.difference(cut)
    for name, outline in (("West", west), ("East", east)):
        plot = Plot.objects.create(property=farm, name=name)
        plot.boundary = Boundary.objects.create(plot=plot, geometry=MultiPolygon([outline]), how="drawn")
        plot.save()
    [a, b] = (
        shape(each["geometry"]) for each in outlines(bbox="-92.1,37.9,-91.9,38.1", zoom=15).json()["features"]
    )
    assert shapely.get_num_coordinates(a) < shapely.get_num_coordinates(west)
    assert a.intersection(b).length > 0
    assert a.intersection(b).area == pytest.approx(0, abs=1e-15)


def test_plots_too_small_to_draw_are_points_in_their_place_with_their_look(outlines, farm):
    plots, _, _ = planted_property(farm, 14)
    features = outlines(bbox="-93,37,-91,39", zoom=8).json()["features"]
    places = {
        pk: (each["properties"]["look"], at)
        for each in features
        for pk, at in zip(each["properties"]["ids"], each["geometry"]["coordinates"], strict=True)
    }
    assert places.keys() == {plot.pk for plot in plots}
    assert places[plots[0].pk][0] == "tint-1"
    pixel = 360 / 256 / 2**8
    for plot in plots:
        middle = shapely.box(*plot.boundary.geometry.bounds).centroid
        assert middle.distance(shapely.Point(places[plot.pk][1])) < pixel / 2


def test_of_more_than_can_be_drawn_the_smallest_are_points(outlines, farm, monkeypatch):
    monkeypatch.setattr("fieldlog.queries.outlines.MOST_DRAWN", 5)
    plots = lay_out(farm, 14)
    features = outlines(bbox=view_of(*plots), zoom=16).json()["features"]
    drawn = {each["properties"]["id"] for each in features if "ids" not in each["properties"]}
    points = {pk for each in features for pk in each["properties"].get("ids", [])}
    assert len(drawn) == 5
    assert drawn | points == {plot.pk for plot in plots}


def test_small_outlines_have_no_words(outlines, farm):
    plots = lay_out(farm, 14)
    facts = {
        each["properties"]["id"]: each["properties"]
        for each in outlines(bbox=view_of(*plots), zoom=14).json()["features"]
        if "ids" not in each["properties"]
    }
    assert any("name" in each for each in facts.values())
    assert any(each.keys() == {"id", "look"} for each in facts.values())


def test_filters_hold_for_what_is_in_view(outlines, farm):
    plots, _, _ = planted_property(farm, 14)
    features = outlines(bbox=view_of(*plots), zoom=17, blend="fallow").json()["features"]
    assert [each["properties"]["look"] for each in features] == ["fallow"]


def test_view_asked_for_again_reads_no_geometry(outlines, farm, django_assert_num_queries):
    plots, _, _ = planted_property(farm, 14)
    query = {"bbox": view_of(*plots), "zoom": 16}
    seen = outlines(**query)["ETag"]
    with django_assert_num_queries(6):  # session, person, membership, seasons, extents, names
        assert outlines(headers={"If-None-Match": seen}, **query).status_code == 304
    plots[0].name = "South Bench"
    plots[0].save()
    assert outlines(headers={"If-None-Match": seen}, **query).status_code == 200


def test_empty_view_has_no_features(outlines, farm):
    lay_out(farm, 3)
    assert outlines(bbox="10,10,11,11", zoom=12).json()["features"] == []


@pytest.mark.parametrize(
    "query",
    [
        {"bbox": "1,2,3", "zoom": 3},
        {"bbox": "a,b,c,d", "zoom": 3},
        {"bbox": "nan,0,1,1", "zoom": 3},
        {"bbox": "5,0,1,1", "zoom": 3},
        {"bbox": "0,0,1,1"},
        {"bbox": "0,0,1,1", "zoom": "far"},
        {"bbox": "0,0,1,1", "zoom": "-1"},
        {"bbox": "0,0,1,1", "zoom": "99"},
        {"bbox": "0,0,1,1", "zoom": "²"},
        {"plot": "1", "colour": "loud"},
    ],
)
def test_a_view_that_cannot_be_is_refused_with_what_can(outlines, farm, query):
    plot = lay_out(farm, 1)[0]
    answer = outlines(**(query | ({"plot": plot.pk} if "plot" in query else {})))
    assert answer.status_code == 400
    assert "accepted" in words(answer) or "comes before" in words(answer)


@pytest.mark.parametrize("colour", ["planted", "visits", "acres"])
def test_a_filtered_page_takes_few_queries(client, owner, farm, colour, django_assert_max_num_queries):
    planted_property(farm, 30)
    client.force_login(owner)
    with django_assert_max_num_queries(17):
        client.get(reverse("overview", args=[farm.slug]), {"q": "plot", "colour": colour, "sort": "visited"})


def test_what_labels_forbid_is_said_and_marked_in_the_list(see, farm, owner):
    planted_property(farm, 6)
    planting = Planting.objects.filter(plot__property=farm, blend__isnull=False).first()
    assert "forbid" not in words(see())
    row = Termination.objects.create(
        pk=uuid.uuid4(),
        planting=planting,
        method=Termination.Method.HERBICIDE,
        done_on=timezone.localdate(),
        sprayed_until=timezone.now(),
        created_by=owner,
    )
    row.products.create(
        name="Burndown A", registration_number="99999-1", rate=1, rate_unit="pt", reentry_h=12, grazing_days=7
    )
    page = see()
    assert "plot now; it is marked in the list" in words(page)
    held = {one.plot.name: [each.word for each in one.held] for one in page.context["rows"] if one.held}
    assert held == {planting.plot.name: ["keep out", "no grazing"]}
    assert words(page).count('<span class="tag stop">') == 2
