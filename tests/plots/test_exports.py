"""Which plots leave, for whom, by the page and by the API."""

import json

import pytest
from django.urls import reverse

from config.errors import Refused
from plots.exports import selection_of
from plots.formats.write import KINDS
from plots.models import Boundary

API = "/api/v1/properties/tally-hollow/plots/export/"


def page(form="geojson", slug="tally-hollow"):
    return reverse("plots-export-file", args=[slug, form])


def names(response):
    return [feature["properties"]["name"] for feature in json.loads(response.content)["features"]]


@pytest.fixture
def plots(make_plot):
    return [
        make_plot(name, lon=-92 - number / 100) for number, name in enumerate(["Creek", "Bench", "Annex"])
    ]


@pytest.fixture
def member(client, viewer):
    client.force_login(viewer)
    return client


def test_all_plots_leave_by_name_when_none_is_named(farm, plots):
    assert [plot.name for plot in selection_of(farm).plots] == ["Annex", "Bench", "Creek"]


def test_a_plot_leaves_with_what_is_known_of_it(farm, make_plot):
    plot = make_plot("Creek", acres=2.0)
    plot.notes, plot.objective = "Wet corner", "balance"
    plot.save()
    Boundary.objects.update(how=Boundary.How.WALKED, accuracy_m=3.2)
    (found,) = selection_of(farm).plots
    assert found.attributes == {
        "plot_id": plot.pk,
        "name": "Creek",
        "acres_mapped": 2.0,
        "perimeter_ft": pytest.approx(400 / 0.3048),
        "boundary_how": "walked",
        "boundary_on": plot.boundary.created_at.date(),
        "accuracy_ft": pytest.approx(3.2 / 0.3048),
        "objective": "balance",
        "notes": "Wet corner",
    }
    assert found.boundary_told == "Walked with a phone. Its edge is typically off by 3.2 m (10 ft)."


def test_what_is_not_known_leaves_as_none(farm, make_plot):
    make_plot(acres=None, geometry=make_plot("Other").boundary.geometry)
    found = next(plot for plot in selection_of(farm).plots if plot.name == "North Bench").attributes
    assert [
        found[name] for name in ("acres_mapped", "perimeter_ft", "accuracy_ft", "objective", "notes")
    ] == [None] * 5


def test_archived_plots_stay(farm, plots):
    plots[0].is_archived = True
    plots[0].save()
    assert [plot.name for plot in selection_of(farm).plots] == ["Annex", "Bench"]


def test_a_plot_without_a_boundary_is_named(farm, plots, make_plot):
    bare = make_plot("Bare", acres=None)
    with pytest.raises(Refused, match="“Bare” has no boundary yet"):
        selection_of(farm, [plots[0].pk, bare.pk])


def test_a_property_without_boundaries_has_nothing_to_export(farm, make_plot):
    make_plot("Bare", acres=None)
    with pytest.raises(Refused, match="at least one is needed"):
        selection_of(farm)


def test_one_query_reads_however_many_plots(farm, plots, django_assert_num_queries):
    with django_assert_num_queries(1):
        selection_of(farm)


@pytest.mark.parametrize("key", KINDS)
def test_a_viewer_downloads_each_kind_as_a_file(key, member, plots):
    response = member.get(page(key))
    assert response.status_code == 200
    assert response["Content-Type"] == KINDS[key].media_type
    wanted = "fiboa" if key.startswith("fiboa") else "plots"
    assert (
        response["Content-Disposition"] == f'attachment; filename="tally-hollow-{wanted}.{KINDS[key].ending}"'
    )
    assert (response["X-Content-Type-Options"], response["Cache-Control"]) == ("nosniff", "private, no-store")


def test_only_the_ticked_plots_are_in_the_file(member, plots):
    response = member.get(page(), {"of": "ticked", "plot": [plots[0].pk, plots[2].pk]})
    assert names(response) == ["Annex", "Creek"]


def test_no_plot_ticked_is_said_on_the_page_where_one_can_be(member, plots):
    response = member.get(page(), {"of": "ticked"})
    assert response.status_code == 400
    assert "No plot is chosen that has a boundary" in response.content.decode()
    assert "checked" not in response.content.decode()


def test_the_page_ticks_every_plot_with_a_boundary_and_names_every_kind(member, plots, make_plot):
    make_plot("Bare", acres=None)
    text = member.get(reverse("plots-export", args=["tally-hollow"])).content.decode()
    assert text.count(" checked") == 3
    assert "Bare" not in text
    assert all(f'formaction="{page(key)}"' in text for key in KINDS)


def test_the_page_unticks_all_without_a_script(member, plots):
    assert (
        "checked"
        not in member.get(reverse("plots-export", args=["tally-hollow"]), {"tick": "none"}).content.decode()
    )


def test_a_property_of_very_many_plots_is_exported_whole(member, plots, monkeypatch):
    monkeypatch.setattr("fieldlog.views.exports.MOST_TICKED", 2)
    text = member.get(reverse("plots-export", args=["tally-hollow"])).content.decode()
    assert 'type="checkbox"' not in text
    assert 'name="of"' not in text


def test_a_page_without_plots_says_so(member):
    assert (
        "No plot has a boundary yet"
        in member.get(reverse("plots-export", args=["tally-hollow"])).content.decode()
    )


def test_an_unknown_kind_is_not_there(member, plots):
    assert member.get(page("dxf")).status_code == 404


@pytest.mark.parametrize("address", [page(), f"{API}?as=geojson"])
@pytest.mark.parametrize("beside", [False, True])
def test_a_plot_of_another_property_is_not_there(address, beside, member, plots, make_plot, elsewhere):
    hostile = make_plot("Theirs", property=elsewhere)
    asked = [hostile.pk, plots[0].pk] if beside else [hostile.pk]
    query = "&".join(f"plot={pk}" for pk in asked)
    response = member.get(f"{address}{'&' if '?' in address else '?'}{query}")
    assert response.status_code == 404
    assert "Theirs" not in response.content.decode()


@pytest.mark.parametrize("plot_id", ["0", str(2**63), "9" * 5000])
def test_an_id_that_no_plot_can_have_is_not_there(plot_id, member, plots):
    assert member.get(page(), {"plot": plot_id}).status_code == 404
    assert member.get(API, {"as": "csv", "plot": plot_id}).status_code == 404


def test_an_id_that_is_no_number_is_refused_by_its_name(member, plots):
    response = member.get(API, {"as": "csv", "plot": "1;2"})
    assert response.status_code == 400
    assert response.json()["error"]["message"].startswith("plot is '1;2'")
    assert member.get(page(), {"plot": "1;2"}).status_code == 400


@pytest.mark.parametrize("key", KINDS)
def test_the_api_gives_the_file_of_the_page(key, member, plots):
    query = {"plot": [plots[1].pk]}
    by_api, by_page = member.get(API, {"as": key} | query), member.get(page(key), query)
    assert (by_api.status_code, by_api["Content-Type"]) == (200, KINDS[key].media_type)
    assert by_api.content == by_page.content


def test_the_api_lists_the_kinds_when_it_knows_not_the_one_asked_for(member, plots):
    response = member.get(API, {"as": "dxf"})
    assert response.status_code == 400
    assert response.json()["error"]["message"] == f"as is 'dxf'; accepted are {', '.join(KINDS)}."


def test_the_api_minds_no_accept_header(member, plots):
    assert member.get(API, {"as": "shapefile"}, headers={"accept": "application/zip"}).status_code == 200
