"""Plots that become one: nothing of the ground is counted twice, and nothing that was known is lost."""

import json

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.polygon import orient

from config.errors import Refused
from plots.calc.geodesy import geodesic_area_perimeter
from plots.calc.merging import GAP_M, gaps_between, merged
from plots.models import Boundary, Plot
from plots.queries import standing_overlaps
from plots.services.boundaries import BoundaryChanged, set_boundary
from plots.services.merging import MOST, merge_plots, merge_preview
from plots.services.plots import archive_plot
from tests.scenery import natural_outline

M = 1 / 87_800  # degrees of longitude to the metre at 38° N
LEFT = MultiPolygon([box(-92, 38, -91.999, 38.001)])


def right(gap_m=0.0, south=38.0):
    west = -91.999 + gap_m * M
    return MultiPolygon([box(west, south, west + 0.001, south + 0.001)])


def area_m2(outline):
    return float(geodesic_area_perimeter(outline)[0])


# ground


def test_neighbours_with_an_edge_in_common_become_one_part():
    whole = merged([LEFT, right()])
    assert len(whole.geoms) == 1
    assert area_m2(whole) == pytest.approx(area_m2(LEFT) + area_m2(right()), rel=1e-9, abs=1e-4)


def test_plots_that_do_not_touch_become_parts():
    assert len(merged([LEFT, right(30)]).geoms) == 2


@settings(max_examples=60)
@given(st.integers(0, 10_000), st.floats(0, 0.002), st.floats(0, 0.002))
def test_no_ground_is_lost_or_counted_twice(seed, east, north):
    one, other = natural_outline(-92, 38, 3, seed), natural_outline(-92 + east, 38 + north, 2, seed + 1)
    assume(one.is_valid)
    assume(other.is_valid)
    one, other = (MultiPolygon([orient(each)]) for each in (one, other))
    whole = merged([one, other])
    assert whole.is_valid
    shared = one.intersection(other)
    shared_m2 = area_m2(shared) if isinstance(shared, (Polygon, MultiPolygon)) else 0.0
    # a crossing of edges lies on straight lines of the map, up to a millimetre beside the geodesics
    assert area_m2(whole) == pytest.approx(area_m2(one) + area_m2(other) - shared_m2, rel=1e-5)


@pytest.mark.parametrize("gap_m", [0.001, 0.01, 0.3, 0.95])
def test_a_narrow_gap_can_be_closed(gap_m):
    outlines = [LEFT, right(gap_m)]
    assert len(merged(outlines).geoms) == 2
    whole = merged([*outlines, *gaps_between(outlines)])
    assert (len(whole.geoms), len(whole.geoms[0].interiors)) == (1, 0)
    gap_m2 = area_m2(whole) - area_m2(LEFT) - area_m2(outlines[1])
    assert gap_m2 == pytest.approx(gap_m * 111, rel=0.001, abs=0.001)


@pytest.mark.parametrize("turned_m", [0.0, 0.0004, 0.03], ids=str)
def test_closing_a_gap_adds_no_ground_outside_it(turned_m):
    """The outer edges of neighbours seldom lie in one line: that corner is no gap with a margin of its own."""
    east = MultiPolygon(
        [
            Polygon(
                [
                    (-91.999 + 0.6 * M, 38),
                    (-91.998, 38 - turned_m * M),
                    (-91.998, 38.001 + turned_m * M),
                    (-91.999 + 0.6 * M, 38.001),
                ]
            )
        ]
    )
    whole = merged([LEFT, east, *gaps_between([LEFT, east])])
    assert (len(whole.geoms), len(whole.geoms[0].interiors)) == (1, 0)
    gap_m2 = area_m2(whole) - area_m2(LEFT) - area_m2(east)
    assert gap_m2 == pytest.approx(0.6 * 111, rel=0.001, abs=turned_m * 88)  # what the bend itself holds
    assert whole.difference(whole.convex_hull.buffer(1e-12)).is_empty
    assert whole.bounds == pytest.approx(merged([LEFT, east]).bounds, abs=1e-12)


@pytest.mark.parametrize("gap_m", [0.0, GAP_M + 0.1, 30.0])
def test_what_is_no_narrow_gap_is_left(gap_m):
    assert gaps_between([LEFT, right(gap_m)]) == []


def test_corners_away_from_a_gap_stay_as_they_are():
    outlines = [LEFT, right(0.5)]
    whole = merged([*outlines, *gaps_between(outlines)])
    corners = set(whole.geoms[0].exterior.coords)
    assert {(-92.0, 38.0), (-92.0, 38.001)} <= corners


def test_a_gap_that_widens_is_closed_where_it_is_narrow():
    wedge = MultiPolygon(
        [Polygon([(-91.999, 38), (-91.998, 38), (-91.998, 38.001), (-91.999 + 3 * M, 38.001)])]
    )
    whole = merged([LEFT, wedge, *gaps_between([LEFT, wedge])])
    assert len(whole.geoms) == 1
    gained_m2 = area_m2(whole) - area_m2(LEFT) - area_m2(wedge)
    narrow_m2 = 0.5 * GAP_M * 111 / 3  # a third of the wedge's length
    assert 0.85 * narrow_m2 < gained_m2 <= narrow_m2  # the filling ends blunt, before the gap is a metre wide


def test_narrow_ground_of_one_plot_alone_is_no_gap():
    notched = MultiPolygon([LEFT.geoms[0].difference(box(-91.9995, 38.0005, -91.9995 + 0.5 * M, 38.002))])
    assert gaps_between([notched, right(30)]) == []


def test_plots_off_by_half_share_one_edge():
    whole = merged([LEFT, right(0.4, south=38.0005), *gaps_between([LEFT, right(0.4, south=38.0005)])])
    assert len(whole.geoms) == 1


# storing


@pytest.fixture
def two(make_plot, manager):
    plots = [make_plot("Creek", acres=None), make_plot("Gate", acres=None)]
    for plot, outline in zip(plots, (LEFT, right()), strict=True):
        set_boundary(plot=plot, geometry=outline, user=manager, how="walked", accuracy_m=2.0)
    return plots


@pytest.fixture
def merge(two, manager):
    def merge(**how):
        plot, other = two
        how = {
            "others": [(other, other.boundary_id)],
            "replaces": plot.boundary_id,
            "why": "Fence is gone",
        } | how
        return merge_plots(plot=plot, user=manager, **how)

    return merge


def test_one_plot_has_the_ground_and_the_other_is_archived(merge, two):
    before = [plot.boundary_id for plot in two]
    kept, [archived], said = merge()
    assert (kept.name, archived.name, said) == ("Creek", "Gate", [])
    assert (kept.boundary.how, kept.boundary.accuracy_m) == ("reshaped", 2.0)
    assert kept.boundary.why == "Merged with Gate. Fence is gone"
    gate = Plot.objects.get(name="Gate")
    assert gate.is_archived
    assert gate.boundary_id == before[1]  # what it was stays with it
    assert Boundary.objects.filter(pk__in=before).count() == 2


def test_the_merged_plot_does_not_overlap_what_it_is_made_of(merge, farm):
    merge()
    assert list(standing_overlaps(farm)) == []


def test_an_accuracy_that_one_plot_does_not_know_is_unknown(merge, two, manager):
    two[1].boundary = set_boundary(plot=two[1], geometry=right(), user=manager, how="drawn")
    kept, _, _ = merge()
    assert kept.boundary.accuracy_m is None


def test_the_worst_accuracy_counts(merge, two, manager):
    set_boundary(plot=two[1], geometry=right(), user=manager, how="walked", accuracy_m=4.5)
    kept, _, _ = merge()
    assert kept.boundary.accuracy_m == 4.5


def test_a_gap_is_closed_only_when_that_is_wanted(merge, two, manager):
    set_boundary(plot=two[1], geometry=right(0.5), user=manager, how="drawn")
    tried = [merge_preview(plot=two[0], others=[two[1]], closes_gaps=closes) for closes in (False, True)]
    assert [each["parts"] for each in tried] == [2, 1]
    assert "It can be closed." in tried[0]["notes"][-1]
    assert tried[1]["notes"] == [
        "The gap between them, nowhere wider than 3.3 ft, becomes the plot's: 0.014 acre."
    ]
    kept, _, _ = merge(closes_gaps=True)
    assert kept.boundary.area_m2 == pytest.approx(tried[1]["area_m2"])


def test_a_preview_tells_parts_and_shared_ground(two, manager):
    set_boundary(plot=two[1], geometry=right(-20), user=manager, how="drawn")
    found = merge_preview(plot=two[0], others=[two[1]])
    assert found["notes"] == ["They share 0.55 acre, which counts once."]
    assert found["acres"] == pytest.approx(found["acres_apart"] - 0.55, abs=0.005)
    set_boundary(plot=two[1], geometry=right(40), user=manager, how="drawn")
    found = merge_preview(plot=two[0], others=[two[1]])
    assert found["notes"] == ["They do not all touch: the plot will have 2 parts."]


def test_a_bend_between_outer_edges_is_not_told_as_a_gap(two, manager):
    """The plots overlap; where their north edges meet, one rises from a third of a millimetre below the other."""
    bent = Polygon([(-91.9992, 38), (-91.998, 38), (-91.998, 38.001 + 6e-9), (-91.9992, 38.001 - 5e-9)])
    set_boundary(plot=two[1], geometry=MultiPolygon([bent]), user=manager, how="drawn")
    assert gaps_between([each.boundary.geometry for each in two])
    found = merge_preview(plot=two[0], others=[two[1]])
    assert found["gap_acres"] == 0
    assert not any("gap" in note for note in found["notes"])


def test_another_change_of_either_plot_stops_the_merge(merge, two, manager):
    seen = two[1].boundary_id
    newer = set_boundary(plot=two[1], geometry=right(5), user=manager, how="drawn")
    with pytest.raises(BoundaryChanged) as caught:
        merge(others=[(two[1], seen)])
    assert caught.value.current == newer
    assert not Plot.objects.filter(is_archived=True).exists()


def test_what_cannot_be_merged_is_refused(merge, two, make_plot, elsewhere):
    plot, other = two
    unmapped, theirs = make_plot("Unmapped", acres=None), make_plot("Theirs", property=elsewhere)
    gone = make_plot("Gone")
    archive_plot(plot=gone)
    cases = {
        "Creek alone is chosen": [],
        "Gate is named twice": [other, other],
        "Creek is named twice": [plot],
        "Unmapped has no boundary yet": [unmapped],
        "Gone is archived": [gone],
        f"There is no plot {theirs.pk} on Tally Hollow": [theirs],
        f"{MOST + 1} plots are chosen": [other] * (MOST + 1),
    }
    for said, others in cases.items():
        with pytest.raises(Refused, match=said):
            merge(others=[(each, each.boundary_id or 0) for each in others])


# the API


@pytest.fixture
def post(client, manager, two):
    client.force_login(manager)

    def post(**body):
        plot, other = two
        body = {
            "others": [{"plot_id": other.pk, "replaces": other.boundary_id}],
            "replaces": plot.boundary_id,
        } | body
        address = f"/api/v1/properties/tally-hollow/plots/{plot.pk}/merge/"
        return client.post(address, json.dumps(body), "application/json")

    return post


def test_a_merge_is_tried_before_it_is_made(post, two):
    tried = post(dry=True)
    assert tried.status_code == 200
    assert tried.json()["geometry"]["type"] == "MultiPolygon"
    assert not Plot.objects.filter(is_archived=True).exists()
    made = post()
    assert made.status_code == 201
    assert made.json()["plot"]["mapped_acres"] == pytest.approx(tried.json()["acres"])
    assert [(each["name"], each["is_archived"]) for each in made.json()["archived"]] == [("Gate", True)]


def test_another_propertys_plot_is_not_merged(post, make_plot, elsewhere):
    theirs = make_plot(property=elsewhere)
    answer = post(others=[{"plot_id": theirs.pk, "replaces": theirs.boundary_id}])
    assert answer.status_code == 400
    assert answer.json()["error"]["fields"]["others"] == [f"There is no plot {theirs.pk} on Tally Hollow."]


def test_a_newer_boundary_is_shown_even_when_it_is_only_tried(post, two, owner):
    seen = two[1].boundary_id
    set_boundary(plot=two[1], geometry=right(3), user=owner, how="drawn")
    answer = post(dry=True, others=[{"plot_id": two[1].pk, "replaces": seen}])
    assert (answer.status_code, answer.json()["error"]["code"]) == (409, "boundary_changed")
