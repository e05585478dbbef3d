"""The record of a plot's boundaries as a page: any two compared, an older one taken up again."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from shapely.geometry import MultiPolygon, box

from blends.models import Blend, Planting, Season
from plots.models import Boundary
from plots.services.boundaries import set_boundary
from tests.blends.pages import words

STEP = 0.001
FIRST = box(-92, 38, -92 + STEP, 38 + STEP)
SECOND = box(-92 + STEP * 0.1, 38, -92 + STEP * 1.3, 38 + STEP)
THIRD = box(-92, 38, -92 + STEP * 1.3, 38 + STEP)


@pytest.fixture
def plot(make_plot, owner, manager):
    plot = make_plot("North", acres=None)
    set_boundary(plot=plot, geometry=FIRST, user=owner, how="imported", repairs=["It crossed itself once."])
    set_boundary(
        plot=plot, geometry=SECOND, user=manager, how="walked", why="Cleared the edge", accuracy_m=2.0
    )
    return plot


@pytest.fixture
def record(plot):
    """Of the plot, oldest first."""
    return list(plot.boundaries.order_by("pk"))


@pytest.fixture
def see(client, farm, plot, manager):
    client.force_login(manager)

    def see(query="", person=None):
        if person is not None:
            client.force_login(person)
        return client.get(reverse("boundary-history", args=[farm.slug, plot.pk]) + query)

    return see


@pytest.fixture
def restore(client, farm, plot, see):
    def restore(boundary, **posted):
        body = {"boundary": boundary.pk, "replaces": plot.boundary_id, "why": ""} | posted
        return client.post(reverse("boundary-history", args=[farm.slug, plot.pk]), body)

    return restore


def test_every_boundary_says_who_when_how_why_and_how_accurate(see, record):
    page = words(see())
    margin = record[1].perimeter_m * 2 / 4046.8564224
    assert f"{record[1].acres:.2f} ac ± {margin:.2f}" in page
    assert "Walked with a phone by manager: Cleared the edge" in page
    assert "Imported from a file by owner" in page
    assert "It crossed itself once." in page
    assert page.count("holds now") == 1
    assert page.count("±") == 2  # the one that is known, and what it means


def test_the_current_one_is_set_against_the_one_before(see, record):
    response = see()
    comparison = response.context["comparison"]
    assert (comparison.first, comparison.second) == tuple(record)
    assert response.context["older"] == [record[0]]
    gained, lost = 0.3 * record[0].acres, 0.1 * record[0].acres
    page = words(response)
    assert f"gained {gained:.2f} ac lost {lost:.2f} ac" in page
    assert (
        f"{record[0].acres:.2f} ac − {lost:.2f} ac lost + {gained:.2f} ac gained = {record[1].acres:.2f} ac"
        in page
    )


def test_any_two_are_compared_in_either_direction(see, plot, record, owner):
    set_boundary(plot=plot, geometry=THIRD, user=owner, how="drawn")
    response = see(f"?first={record[1].pk}&second={record[0].pk}")
    acres = response.context["comparison"].acres
    assert acres["gained"] == pytest.approx(0.1 * record[0].acres, rel=1e-3)
    assert acres["lost"] == pytest.approx(0.3 * record[0].acres, rel=1e-3)
    assert response.context["moved"] is None  # neither holds now
    assert response.context["older"] == [record[1], record[0]]
    assert f"first={record[1].pk}&amp;second={record[0].pk}" in response.content.decode()


def test_the_map_asks_for_the_two_that_are_compared(see, client, record):
    features = client.get(see().context["outlines"]).json()["features"]
    assert {feature["properties"]["what"] for feature in features} == {
        "first",
        "second",
        "kept",
        "gained",
        "lost",
    }


def test_choosing_one_twice_asks_for_two(see, record):
    page = words(see(f"?first={record[0].pk}&second={record[0].pk}"))
    assert "Choose two different ones" in page


@pytest.mark.parametrize(
    "query", ["?first=x&second=1", "?first={}&second=999999", f"?first={{}}&second={10**30}"]
)
def test_a_boundary_that_is_not_the_plots_is_not_found(see, record, query):
    assert see(query.format(record[0].pk)).status_code == 404


def test_one_boundary_and_none_have_nothing_to_compare(client, farm, make_plot, see):
    for acres, sentence in ((2.0, "There is one boundary"), (None, "No boundary yet")):
        other = make_plot(f"Other {acres}", acres=acres, lon=-93)
        page = words(client.get(reverse("boundary-history", args=[farm.slug, other.pk])))
        assert sentence in page
        assert "Compare the two" not in page


def test_same_ground_is_said_to_be(see, plot, owner, record):
    set_boundary(plot=plot, geometry=SECOND, user=owner, how="drawn")
    assert "The two are the same ground" in words(see())


def test_what_moved_stands_with_the_current_one(see, farm, plot, record):
    season = Season.objects.create(property=farm, year=2027, kind="cool")
    blend = Blend.objects.create(property=farm, name="Grain", mark="G")
    Planting.objects.create(season=season, plot=plot, blend=blend)
    page = words(see())
    assert f"Mapped acres went from {record[0].acres:.2f} ac to {record[1].acres:.2f} ac" in page
    assert f"{record[0].acres:.2f} → {record[1].acres:.2f} ac" in page
    assert "– not known → – not known PLS" in page  # the blend has no rates


def test_restoring_leads_to_the_plot_and_says_so(restore, record, plot, client):
    answer = restore(record[0], why="The fence stays")
    assert answer.url.endswith(f"/plots/{plot.pk}/#moved")
    plot.refresh_from_db()
    assert plot.boundary.restored_from == record[0]
    page = words(client.get(answer.url))
    assert "has the boundary of" in page
    assert "taken up again from" in page
    assert "The fence stays" in page


def test_restoring_after_somebody_elses_change_is_said_and_nothing_is_lost(restore, record, plot, owner):
    seen = plot.boundary_id
    theirs = set_boundary(plot=plot, geometry=THIRD, user=owner, how="drawn")
    answer = restore(record[0], replaces=seen, why="The fence <stays>")
    assert answer.status_code == 409
    page = words(answer)
    assert "was changed by owner since you opened this page" in page
    assert 'value="The fence &lt;stays&gt;"' in answer.content.decode()
    assert f'name="replaces" value="{theirs.pk}"' in answer.content.decode()
    assert plot.boundaries.count() == 3


def test_restoring_the_current_one_and_a_reason_that_is_too_long_are_refused(restore, record, plot):
    assert "holds now already" in words(restore(record[1]))
    assert "The reason has 301 characters; at most 300 are accepted." in words(
        restore(record[0], why="x" * 301)
    )
    assert plot.boundaries.count() == 2


def test_restoring_a_boundary_of_another_plot_is_not_found(restore, make_plot):
    assert restore(make_plot("Other", lon=-93).boundary).status_code == 404


@pytest.mark.parametrize("role", ["viewer", "recorder"])
def test_only_editors_may_restore(see, restore, record, client, role, request):
    person = request.getfixturevalue(role)
    assert "Restore it" not in words(see(person=person))
    assert restore(record[0]).status_code == 403


def test_as_many_queries_for_a_long_record(see, plot, owner, record):
    def asked():
        with CaptureQueriesContext(connection) as found:
            assert see().status_code == 200
        return len(found)

    before = asked()
    for number in range(30):
        Boundary.objects.create(
            plot=plot, geometry=MultiPolygon([FIRST]), how="drawn", created_by=owner, why=f"Change {number}"
        )
    assert asked() <= before <= 15
