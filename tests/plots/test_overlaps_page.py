"""The page of overlaps: what is shared, slivers mended with one press, and undone."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from shapely.geometry import box

from plots.models import Boundary
from plots.queries import standing_overlaps
from plots.services.boundaries import set_boundary
from tests.blends.pages import words

STEP = 0.001
SLIVER = STEP * 0.005  # 0.44 m, 1.4 ft


@pytest.fixture
def row_of_plots(make_plot, owner):
    """row_of_plots(n): plots from west to east, each reaching a sliver into the one before it."""

    def lay(count, first=0):
        plots = []
        for number in range(first, first + count):
            west = -92 + STEP * number - (SLIVER if number else 0)
            plot = make_plot(f"P{number}", acres=None)
            outline = box(west, 38, -92 + STEP * (number + 1), 38 + STEP)
            set_boundary(plot=plot, geometry=outline, user=owner, how="drawn")
            plots.append(plot)
        return plots

    return lay


@pytest.fixture
def address(farm):
    return reverse("overlaps", args=[farm.slug])


@pytest.fixture
def see(client, manager, address):
    client.force_login(manager)
    return lambda query="": client.get(address + query)


@pytest.fixture
def press(client, see, address):
    return lambda **posted: client.post(address, posted, follow=True)


def test_no_overlaps_is_said_calmly(see, row_of_plots):
    row_of_plots(1)
    page = words(see())
    assert "No two plots in use share ground" in page
    assert "Mend" not in page


def test_overlaps_are_listed_largest_first_with_acres_and_widest_place(see, row_of_plots, make_plot, owner):
    row_of_plots(2)
    wide = box(-92 + STEP * 1.5, 38, -92 + STEP * 3, 38 + STEP)
    set_boundary(plot=make_plot("Wide", acres=None), geometry=wide, user=owner, how="drawn")
    page = words(see())
    assert page.index("1. P1 and Wide") < page.index("2. P0 and P1")
    assert "1.4 ft" in page
    assert "Mend the sliver" in page
    assert "Correct P1 or Wide" in page
    assert page.count("Keeps it") == 1


def test_the_width_is_chosen_and_kept_in_the_address(see, row_of_plots):
    row_of_plots(2)
    assert "Mend the sliver" in words(see("?width=1.5"))
    narrow = see("?width=1")
    assert "Mend" not in words(narrow).replace("mended", "")
    assert 'value="1"' in narrow.content.decode()


@pytest.mark.parametrize("typed", ["wide", "0", "-3", "31", "nan", "1e400", "\x00"])
def test_a_width_that_makes_no_sense_is_said_at_the_field(see, row_of_plots, typed):
    row_of_plots(2)
    page = words(see(f"?width={typed}"))
    assert "a number of feet above 0, at most 30, is accepted" in page
    assert "Mend the sliver" in page  # with the width that is the default


def test_one_press_mends_all_and_says_what_was_trimmed(farm, press, row_of_plots):
    plots = row_of_plots(3)
    page = words(press(act="all", width="3"))
    assert "P1 was trimmed to P0 and gave up 0.01 ac." in page
    assert "P2 was trimmed to P1 and gave up 0.01 ac." in page
    assert "No overlaps" in page
    assert not standing_overlaps(farm).exists()
    assert [plot.boundaries.count() for plot in plots] == [1, 2, 2]


def test_the_trim_is_undone_with_one_press(farm, press, row_of_plots):
    plots = row_of_plots(2)
    response = press(act="all", width="3")
    assert "Trimmed a moment ago: P1 ." in words(response)
    ids = [each.pk for each in response.context["mended"]]
    page = words(press(act="undo", mended=ids, width="3"))
    assert "P1: the boundary from before the trim holds again." in page
    assert "Undo the trim" not in page
    assert standing_overlaps(farm).count() == 1
    assert plots[1].boundaries.count() == 3


def test_undo_is_not_offered_once_the_boundary_has_changed(see, press, row_of_plots, owner):
    plots = row_of_plots(2)
    [made] = press(act="all", width="3").context["mended"]
    set_boundary(plot=plots[1], geometry=box(-91, 38, -90.999, 38.001), user=owner, how="drawn")
    assert "Undo" not in words(see(f"?mended={made.pk}"))
    assert "has changed since it was trimmed" in words(press(act="undo", mended=[made.pk], width="3"))


def test_a_person_chooses_who_keeps_the_ground_of_one(farm, press, row_of_plots):
    plots = row_of_plots(3)
    overlap = standing_overlaps(farm).get(first__plot=plots[0])
    page = words(press(act="one", overlap=overlap.pk, keeps=plots[1].pk, width="3"))
    assert "P0 was trimmed to P1" in page
    assert standing_overlaps(farm).count() == 1


def test_what_cannot_be_trimmed_is_said(press, row_of_plots, make_plot, owner):
    path = box(-92 + STEP * 0.5, 37.99, -92 + STEP * 0.5 + SLIVER, 38.01)
    set_boundary(plot=make_plot("Path", acres=None), geometry=path, user=owner, how="drawn")
    row_of_plots(1)
    assert "P0 is left as it was: trimmed to Path, it would fall into 2 pieces." in words(
        press(act="all", width="3")
    )


def test_an_overlap_that_is_gone_is_said(press, row_of_plots):
    row_of_plots(2)
    assert "look again at what there is" in words(press(act="one", overlap=99999, keeps=1, width="3"))
    assert "look again at what there is" in words(press(act="one", overlap=10**30, keeps="x", width="3"))


def test_mending_with_a_width_that_makes_no_sense_changes_nothing(client, address, see, row_of_plots):
    row_of_plots(2)
    answer = client.post(address, {"act": "all", "width": "0"})
    assert answer.status_code == 400
    assert Boundary.objects.count() == 2


def test_viewers_see_and_may_not_mend(client, address, viewer, row_of_plots):
    row_of_plots(2)
    client.force_login(viewer)
    page = words(client.get(address))
    assert "P0 and P1" in page
    assert "Mend" not in page.replace("mended", "")
    assert client.post(address, {"act": "all"}).status_code == 403


def test_map_has_the_plots_and_the_shared_ground_numbered_as_in_the_list(see, client, row_of_plots):
    row_of_plots(3)
    features = client.get(see().context["outlines"]).json()["features"]
    facts = [feature["properties"] for feature in features]
    assert [each["name"] for each in facts if each["what"] == "plot"] == ["P0", "P1", "P2"]
    assert [each["mark"] for each in facts if each["what"] == "shared"] == ["1", "2"]


@pytest.mark.parametrize("route", ["overlaps", "overlaps-map"])
def test_as_many_queries_for_many_overlaps(client, farm, see, row_of_plots, route):
    def asked():
        with CaptureQueriesContext(connection) as found:
            assert client.get(reverse(route, args=[farm.slug])).status_code == 200
        return len(found)

    row_of_plots(4)
    before = asked()
    row_of_plots(60, first=4)
    assert asked() == before <= 15
