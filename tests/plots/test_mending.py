"""Slivers between neighbours are mended by trimming one of the two, and the record keeps what was before."""

import pytest
from shapely.geometry import MultiPolygon, box

from config.errors import Refused
from plots.calc.geodesy import geodesic_area_perimeter
from plots.models import Boundary, Overlap, Plot
from plots.queries import standing_overlaps
from plots.services.boundaries import BoundaryChanged, set_boundary
from plots.services.mending import keeper_of, mend_slivers, slivers_of, undo_mending
from plots.services.restoring import boundary_before, restore_boundary

STEP = 0.001
HALF_METRE = 0.5 / 87_800  # of longitude at 38° north, in degrees
EDGE = -92 + STEP


def west(plot_edge=EDGE):
    return box(EDGE - STEP, 38, plot_edge, 38 + STEP)


def east(plot_edge=EDGE - HALF_METRE):
    return box(plot_edge, 38, EDGE + STEP, 38 + STEP)


@pytest.fixture
def draw(owner):
    def draw(plot, outline, **how):
        return set_boundary(plot=plot, geometry=outline, user=owner, **({"how": "drawn"} | how))

    return draw


@pytest.fixture
def pair(make_plot, draw):
    """West, whose boundary is older, and East, which reaches half a metre into it."""
    plots = make_plot("West", acres=None), make_plot("East", acres=None)
    draw(plots[0], west())
    draw(plots[1], east(), how="walked", accuracy_m=2.5)
    return plots


@pytest.fixture
def mend(farm, owner):
    def mend(narrow_ft=3.0, keepers=None):
        return mend_slivers(property=farm, user=owner, narrow_ft=narrow_ft, keepers=keepers)

    return mend


def current(plot):
    return Plot.objects.select_related("boundary").get(pk=plot.pk).boundary


def test_the_plot_with_the_older_boundary_keeps_the_ground(farm, pair, mend):
    outcome = mend()
    [done] = outcome.mended
    assert (done.plot, done.kept_by, outcome.left) == (pair[1], [pair[0]], [])
    assert current(pair[0]).pk == pair[0].boundary_id
    assert current(pair[1]).geometry.equals(MultiPolygon([east(EDGE)]))
    assert not standing_overlaps(farm).exists()


def test_the_new_boundary_says_how_why_and_who_and_keeps_the_accuracy(pair, mend, owner):
    mend()
    boundary = current(pair[1])
    assert (boundary.how, boundary.why, boundary.created_by) == ("reshaped", "Trimmed to West", owner)
    assert boundary.accuracy_m == 2.5
    assert boundary.area_m2 == pytest.approx(geodesic_area_perimeter(east(EDGE))[0])
    assert Boundary.objects.filter(plot=pair[1]).count() == 2


def test_acres_given_up_are_those_of_the_sliver(farm, pair, mend):
    [sliver] = slivers_of(farm, 3.0)
    assert mend().mended[0].acres_given_up == pytest.approx(sliver.acres, abs=1e-6)


def test_a_person_chooses_which_plot_keeps_the_ground(farm, pair, mend):
    [sliver] = slivers_of(farm, 3.0)
    assert keeper_of(sliver) == pair[0]
    mend(keepers={sliver.pk: pair[1].pk})
    assert current(pair[0]).geometry.equals(MultiPolygon([west(EDGE - HALF_METRE)]))
    assert current(pair[1]).pk == pair[1].boundary_id
    assert not standing_overlaps(farm).exists()


def test_a_wider_overlap_is_no_sliver(farm, pair, mend, draw):
    assert mend(narrow_ft=1.0).mended == []
    [wide] = standing_overlaps(farm)
    with pytest.raises(Refused, match="one of at most 1 ft"):
        mend(narrow_ft=1.0, keepers={wide.pk: pair[0].pk})
    assert len(mend(narrow_ft=1.7).mended) == 1


@pytest.mark.parametrize("narrow_ft", [0, -1, 30.1, float("nan"), float("inf")])
def test_a_width_that_makes_no_sense_is_refused(farm, narrow_ft):
    with pytest.raises(Refused, match="a number of feet above 0, at most 30, is accepted"):
        slivers_of(farm, narrow_ft)


def test_a_keeper_that_has_no_part_in_it_is_refused(farm, pair, mend, make_plot):
    [sliver] = slivers_of(farm, 3.0)
    with pytest.raises(Refused, match=r"West \(\d+\) or East \(\d+\) can keep the ground"):
        mend(keepers={sliver.pk: make_plot("Third", lon=-93).pk})


def test_an_overlap_that_is_gone_is_said_and_nothing_is_changed(farm, pair, mend, draw):
    [sliver] = slivers_of(farm, 3.0)
    draw(pair[1], east(EDGE))
    before = Boundary.objects.count()
    with pytest.raises(Refused, match="not any more"):
        mend(keepers={sliver.pk: pair[0].pk})
    assert Boundary.objects.count() == before


def test_overlaps_of_another_property_are_never_touched(farm, elsewhere, mend, make_plot, draw):
    plots = [make_plot(name, acres=None, property=elsewhere) for name in ("A", "B")]
    draw(plots[0], west())
    draw(plots[1], east())
    [theirs] = standing_overlaps(elsewhere)
    assert mend().mended == []
    with pytest.raises(Refused):
        mend(keepers={theirs.pk: plots[0].pk})


def test_a_plot_between_two_is_trimmed_once_to_both(farm, mend, make_plot, draw):
    far = box(EDGE + STEP - HALF_METRE, 38, EDGE + STEP * 2, 38 + STEP)
    for name, outline in (("West", west()), ("East", far), ("Between", east())):
        draw(make_plot(name, acres=None), outline)
    [done] = mend().mended
    assert done.boundary.why in ("Trimmed to West and East", "Trimmed to East and West")
    assert not standing_overlaps(farm).exists()
    assert Boundary.objects.filter(plot__name="Between").count() == 2


def test_a_chain_of_plots_is_mended_at_one_go_without_gaps(farm, mend, make_plot, draw):
    """Each reaches into the one before it: whoever is trimmed is trimmed to what its neighbour has by then."""
    for number in range(4):
        start = -92 + STEP * number - (HALF_METRE if number else 0)
        draw(make_plot(f"P{number}", acres=None), box(start, 38, -92 + STEP * (number + 1), 38 + STEP))
    assert len(mend().mended) == 3
    assert not standing_overlaps(farm).exists()
    outlines = (
        Boundary.objects.exclude(current_of=None).order_by("plot__name").values_list("geometry", flat=True)
    )
    whole = MultiPolygon([part for outline in outlines for part in outline.geoms]).buffer(0)
    assert whole.equals_exact(MultiPolygon([box(-92, 38, -92 + STEP * 4, 38 + STEP)]).buffer(0), 1e-9) or (
        abs(whole.area - 4 * STEP * STEP) < 1e-14
    )


def test_what_would_fall_into_pieces_is_left_and_said_and_the_rest_is_mended(
    farm, pair, mend, make_plot, draw
):
    path = box(EDGE + STEP / 2, 38 - STEP, EDGE + STEP / 2 + HALF_METRE, 38 + STEP * 2)
    draw(make_plot("Path", acres=None), path)
    Boundary.objects.filter(plot__name="Path").update(created_at="2020-01-01T00:00Z")
    outcome = mend()
    assert outcome.left == ["East is left as it was: trimmed to Path, it would fall into 2 pieces."]
    assert [done.boundary.why for done in outcome.mended] == ["Trimmed to West"]
    assert [{each.first.plot.name, each.second.plot.name} for each in standing_overlaps(farm)] == [
        {"East", "Path"}
    ]


def test_mending_twice_does_nothing_more(pair, mend):
    mend()
    count = Boundary.objects.count()
    assert mend().mended == []
    assert Boundary.objects.count() == count


def test_two_presses_at_once_trim_once(farm, owner, at_once):
    plots = [Plot.objects.create(property=farm, name=name) for name in ("West", "East")]
    for plot, outline in zip(plots, (west(), east()), strict=True):
        set_boundary(plot=plot, geometry=outline, user=owner, how="drawn")
    press = lambda: mend_slivers(property=farm, user=owner, narrow_ft=3.0)  # noqa: E731
    outcomes = at_once(press, press)
    assert sorted(len(each.mended) for each in outcomes) == [0, 1]
    assert Boundary.objects.count() == 3


def test_undoing_takes_up_the_boundary_before(farm, owner, pair, mend):
    made = [done.boundary.pk for done in mend().mended]
    assert undo_mending(property=farm, user=owner, boundary_ids=made) == [pair[1]]
    boundary = current(pair[1])
    assert boundary.geometry.equals(MultiPolygon([east()]))
    assert (boundary.how, boundary.accuracy_m, boundary.why) == ("walked", 2.5, "Trim undone")
    assert boundary.restored_from_id == pair[1].boundary_id
    assert standing_overlaps(farm).count() == 1


def test_undoing_what_has_changed_since_is_refused_whole(farm, owner, pair, mend, draw):
    made = [done.boundary.pk for done in mend().mended]
    draw(pair[1], east(EDGE + HALF_METRE))
    with pytest.raises(Refused, match="has changed since"):
        undo_mending(property=farm, user=owner, boundary_ids=made)
    for ids in ([], [pair[0].boundary_id], [*made, 10**15]):
        with pytest.raises(Refused):
            undo_mending(property=farm, user=owner, boundary_ids=ids)


def test_restoring_makes_a_new_boundary_of_an_old_one(pair, draw, owner):
    first = pair[1].boundary
    draw(pair[1], east(EDGE))
    restored = restore_boundary(boundary=first, user=owner, why="The fence stays")
    assert restored.pk != first.pk
    assert (restored.restored_from, restored.how, restored.why) == (first, "walked", "The fence stays")
    assert restored.geometry.equals_exact(first.geometry, 0)
    assert (restored.area_m2, restored.accuracy_m) == (first.area_m2, first.accuracy_m)
    assert Boundary.objects.filter(plot=pair[1]).count() == 3


def test_undoing_a_restore_is_restoring_again(pair, draw, owner):
    first = pair[1].boundary
    second = draw(pair[1], east(EDGE))
    restore_boundary(boundary=first, user=owner)
    second.refresh_from_db()
    again = restore_boundary(boundary=second, user=owner)
    assert again.geometry.equals_exact(second.geometry, 0)
    assert current(pair[1]) == again


def test_restoring_what_holds_now_is_refused(pair, owner):
    with pytest.raises(Refused, match="holds now already"):
        restore_boundary(boundary=pair[0].boundary, user=owner)


def test_restoring_over_somebody_elses_change_is_told(pair, draw, owner):
    first = pair[1].boundary
    seen = draw(pair[1], east(EDGE))
    draw(pair[1], east(EDGE + HALF_METRE))
    with pytest.raises(BoundaryChanged):
        restore_boundary(boundary=first, user=owner, replaces=seen.pk)
    assert Boundary.objects.filter(plot=pair[1]).count() == 3


def test_the_boundary_before_is_the_one_before_in_the_record(pair, draw):
    first = pair[1].boundary
    second = draw(pair[1], east(EDGE))
    third = draw(pair[1], east(EDGE + HALF_METRE))
    assert [boundary_before(each) for each in (third, second, first)] == [second, first, None]


def test_nothing_of_the_record_is_changed_by_it(pair, mend):
    before = list(Boundary.objects.order_by("pk").values("pk", "area_m2", "how", "why", "created_at"))
    overlaps = list(Overlap.objects.values("pk", "area_m2"))
    mend()
    after = Boundary.objects.filter(pk__in=[each["pk"] for each in before])
    assert list(after.order_by("pk").values("pk", "area_m2", "how", "why", "created_at")) == before
    assert list(Overlap.objects.values("pk", "area_m2")) == overlaps
