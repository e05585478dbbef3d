"""The pages of splitting and merging, without a browser."""

import json

import pytest
import shapely
from django.contrib.messages import get_messages
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from shapely.geometry import LineString, MultiPolygon, box

from plots.beside import plots_beside
from plots.models import Plot
from plots.services.boundaries import set_boundary
from plots.services.plots import archive_plot
from tests.scenery import lay_out

MOST_QUERIES = 15
LINE = json.dumps(LineString([(-91.9997, 37.999), (-91.9997, 38.003)]).__geo_interface__)
ROUTES = pytest.mark.parametrize("route", ["plot-split", "plot-merge"])


@pytest.fixture
def plot(make_plot, manager):
    plot = make_plot("Creek Bottom", acres=None)
    set_boundary(plot=plot, geometry=box(-92, 38, -91.999, 38.001), user=manager, how="drawn")
    return plot


@pytest.fixture
def page(client, manager, farm, plot):
    """page(route, **posted) -> the answer to the manager."""
    client.force_login(manager)

    def page(route, **posted):
        address = reverse(route, args=[farm.slug, plot.pk])
        if not posted:
            return client.get(address)
        return client.post(address, {"replaces": plot.boundary_id} | posted)

    return page


def said(answer):
    return [str(message) for message in get_messages(answer.wsgi_request)]


def test_a_split_leads_to_the_plot_and_says_what_came_of_it(page, plot):
    answer = page("plot-split", act="split", line=LINE, name=["Creek Bottom", "East"], keeps="0")
    assert answer.status_code == 302
    [sentence] = said(answer)
    kept, new = Plot.objects.get(pk=plot.pk), Plot.objects.get(name="East")
    assert sentence.startswith(
        f"Creek Bottom is split: it keeps {kept.mapped_acres:.2f} ac, and East ({new.mapped_acres:.2f} ac) came off"
    )
    assert sentence.endswith("its Split page can undo it.")


@pytest.mark.parametrize(
    ("posted", "sentence"),
    [
        ({}, "No line is drawn; draw one across the plot"),
        ({"line": "[1]"}, "No line is drawn"),
        (
            {"line": f'{{"type": "LineString", "coordinates": [[1{"0" * 400}, 38], [1, 2]]}}'},
            "not those of a line",
        ),
        ({"line": f'{{"type": "LineString", "coordinates": {"[" * 470}{"]" * 470}}}'}, "No line is drawn"),
        ({"line": f'{{"type": {"[" * 900}{"]" * 900}}}'}, "No line is drawn"),
        ({"line": '{"type": "Point"}'}, "The line is &#x27;Point&#x27;"),
        ({"line": LINE, "name": ["", ""], "keeps": "0"}, "A name is missing"),
        ({"line": LINE, "name": ["", "x\x00"], "keeps": "7"}, "A name is missing"),
        ({"line": LINE, "name": ["", "East"], "why": "w" * 161}, "161 characters"),
        ({"line": LINE, "name": ["", "East"], "replaces": "x"}, "has changed the boundary"),
    ],
)
def test_what_cannot_be_split_is_told_and_what_was_typed_stays(page, plot, posted, sentence):
    answer = page("plot-split", **({"act": "split", "why": "A trial"} | posted))
    assert answer.status_code == 200
    assert sentence in answer.content.decode()
    assert answer.context["typed"].why == posted.get("why", "A trial")
    assert Plot.objects.count() == 1


def test_undoing_what_was_no_split_is_told(page):
    answer = page("plot-split", act="undo")
    assert "was no split" in answer.content.decode()


def test_the_page_offers_to_undo_a_split_and_no_other_change(page, plot, manager):
    assert "Undo the split" not in page("plot-split").content.decode()
    page("plot-split", act="split", line=LINE, name=["", "East"], keeps="0")
    assert "Undo the split" in page("plot-split").content.decode()
    plot.refresh_from_db()
    set_boundary(plot=plot, geometry=box(-92, 38, -91.9994, 38.001), user=manager, how="drawn")
    assert "Undo the split" not in page("plot-split").content.decode()


def test_a_merge_without_a_script_is_made_of_the_list_alone(page, plot, make_plot):
    gate = make_plot("Gate", lon=-91.999)
    answer = page("plot-merge", others=[gate.pk], **{f"seen-{gate.pk}": gate.boundary_id})
    assert answer.status_code == 302
    acres = Plot.objects.get(pk=plot.pk).mapped_acres
    assert said(answer)[0].startswith(f"Creek Bottom has the ground of Gate too: {acres:.2f} ac.")
    assert Plot.objects.get(pk=gate.pk).is_archived


def test_a_plot_of_another_property_is_not_merged(page, make_plot, elsewhere):
    theirs = make_plot("Theirs", property=elsewhere)
    answer = page("plot-merge", others=[theirs.pk], **{f"seen-{theirs.pk}": theirs.boundary_id})
    assert f"There is no plot {theirs.pk} on Tally Hollow." in answer.content.decode()


def test_a_plot_that_was_not_seen_is_not_merged(page, make_plot):
    gate = make_plot("Gate", lon=-91.999)
    answer = page("plot-merge", others=[gate.pk])
    assert "has changed the boundary of Gate" in answer.content.decode()


@ROUTES
def test_an_archived_plot_and_one_without_boundary_say_why_not(page, plot, make_plot, client, farm, route):
    unmapped = make_plot("Unmapped", acres=None)
    assert "no boundary yet" in client.get(reverse(route, args=[farm.slug, unmapped.pk])).content.decode()
    archive_plot(plot=plot)
    assert "archived; bring it back" in page(route).content.decode()


def test_plots_are_listed_nearest_first_by_their_edges(plot, make_plot):
    """A crescent's extent may hold a plot that its edge is far from."""
    square = box(-91.99, 38, -91.98, 38.01)
    crescent = make_plot(
        "Crescent", geometry=MultiPolygon([square.difference(box(-91.9899, 38.0001, -91.98, 38.01))])
    )
    inside = make_plot("Inside", lon=-91.9815, lat=38.0085)
    make_plot("Near", lon=-91.9899, lat=38.0102)
    assert [each.name for each in plots_beside(crescent, 2)] == ["Near", "Inside"]
    assert [each.name for each in plots_beside(crescent, 1, always=[plot.pk])][-1] == "Creek Bottom"
    assert plots_beside(inside, 1)[0].away_ft is None or plots_beside(inside, 1)[0].away_ft > 0


@ROUTES
def test_the_pages_cost_the_same_at_10_and_at_300_plots(client, manager, farm, route):
    client.force_login(manager)
    plots = lay_out(farm, 10)
    address = reverse(route, args=[farm.slug, plots[4].pk])

    def asked():
        with CaptureQueriesContext(connection) as found:
            assert client.get(address).status_code == 200
        return len(found)

    few = asked()
    lay_out(farm, 290, first=10)
    assert asked() == few <= MOST_QUERIES


def test_the_map_gets_every_digit_of_the_boundary(page, plot):
    given = page("plot-split").context["given"]
    assert shapely.from_geojson(json.dumps(given["geometry"])).equals(plot.boundary.geometry)
