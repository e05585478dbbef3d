"""Outlines that hardly lie where they are meant to are questioned; the others never are."""

import json

import pytest
from django.core.files.base import ContentFile
from shapely.geometry import box

from config.errors import Refused
from plots.geojson import checked_outline
from plots.services.doubts import FAR_M, doubts_about
from plots.services.imports import receive_file

KM_OF_LATITUDE = (
    1 / 111.0
)  # near 38° N a degree of latitude is 110.99 km (WGS84, by definition of the ellipsoid)


def doubts(property, west, south, **how):
    return doubts_about(property, box(west, south, west + 0.001, south + 0.001), name="Creek", **how)


@pytest.mark.parametrize(
    ("km", "is_questioned"), [(0, False), (9, False), (15, False), (19.5, False), (20.5, True)]
)
def test_what_lies_beyond_20_km_is_questioned(farm, make_plot, km, is_questioned):
    make_plot(lat=38.0)
    assert bool(doubts(farm, -92, 38.001 + km * KM_OF_LATITUDE)) is is_questioned


def test_the_question_names_the_plot_and_the_distance(farm, make_plot):
    make_plot()
    [sentence] = doubts(farm, -92, 38.001 + 50 * KM_OF_LATITUDE)
    assert sentence == "Creek would lie 50 km (31 miles) from the nearest other plot. Is that meant?"


@pytest.mark.parametrize(
    ("place", "asked"),
    [
        ((38.0, -91.9), "are the two swapped?"),
        ((91.9, 38.0), "sign of its longitude"),
        ((-92.0, -38.05), "sign of its latitude"),
        ((-80.0, 38.0), "Is that meant?"),
        # beyond a pole when swapped: no place at all, and no error
        ((-120.0, 38.0), "Is that meant?"),
    ],
)
def test_a_slip_of_the_hand_is_recognized(farm, make_plot, place, asked):
    make_plot()
    [sentence] = doubts(farm, *place)
    assert asked in sentence


def test_where_the_swap_lies_beyond_a_pole_the_refusal_asks_about_it():
    """West of 90° W, where much of the timber is, exchanged numbers are no place at all."""
    with pytest.raises(Refused, match="exchanged it fits; are they swapped"):
        checked_outline(box(38.0, -92.0, 38.001, -91.999))
    with pytest.raises(Refused, match=r"are accepted\.$"):
        checked_outline(box(-92.0, 138.0, -91.999, 138.001))


def test_the_first_plot_of_a_property_raises_no_doubt(farm, make_plot):
    make_plot(acres=None)
    assert doubts(farm, 10, 50) == []


def test_a_plots_own_boundary_says_nothing_about_where_it_lies(farm, make_plot):
    alone = make_plot()
    assert doubts(farm, 10, 50, but=alone) == []
    make_plot("Other")
    assert doubts(farm, 10, 50, but=alone) != []


def test_only_plots_in_use_of_the_same_property_count(farm, make_plot, elsewhere):
    make_plot("Theirs", property=elsewhere)
    gone = make_plot("Gone")
    gone.is_archived = True
    gone.save()
    make_plot("Here", lon=-80.0)
    assert doubts(farm, -92, 38) != []


def test_a_place_between_two_far_sites_is_near_neither(farm, make_plot):
    make_plot("West", lon=-93)
    make_plot("East", lon=-91)
    assert doubts(farm, -92, 38) != []
    assert doubts(farm, -91.1, 38) == []


@pytest.mark.parametrize(("lon", "other"), [(179.99, -179.99), (-179.99, 179.97)])
def test_the_180th_meridian_is_no_edge_of_the_world(farm, make_plot, lon, other):
    make_plot(lon=lon, lat=-17)
    assert doubts(farm, other, -17) == []
    assert doubts(farm, 0, -17) != []


@pytest.mark.parametrize("lat", [89.95, -89.95])
def test_over_a_pole_is_near(farm, make_plot, lat):
    make_plot(lon=0, lat=lat)
    assert doubts(farm, 179, lat) == []
    assert doubts(farm, 179, lat * 0.99) != []


def test_an_ordinary_outline_costs_one_question_to_the_database(farm, make_plot, django_assert_num_queries):
    for number in range(12):
        make_plot(f"Plot {number}", lon=-92 + number / 500)
    with django_assert_num_queries(1):
        assert doubts(farm, -92, 38) == []


# of a file


@pytest.fixture
def notes_of(farm, owner):
    """notes_of((lon, lat), …): what the preview says about a file with a square at each place."""

    def notes_of(*places):
        features = [
            {
                "type": "Feature",
                "properties": {"name": f"Plot {number}"},
                "geometry": box(lon, lat, lon + 0.001, lat + 0.001).__geo_interface__,
            }
            for number, (lon, lat) in enumerate(places, start=1)
        ]
        text = json.dumps({"type": "FeatureCollection", "features": features}).encode()
        row = receive_file(property=farm, user=owner, upload=ContentFile(text, "plots.geojson"))
        assert row.state == "preview"
        return [note for note in row.report["notes"] if "lie" in note]

    return notes_of


NEAR = [(-92 + number / 500, 38) for number in range(4)]


def test_the_outlines_of_a_first_file_are_compared_with_each_other(notes_of):
    assert notes_of(*NEAR) == []
    [note] = notes_of(*NEAR, (91.9, 38))
    assert note.startswith("“Plot 5” would lie")
    assert "sign of its longitude" in note


def test_two_sites_in_a_first_file_question_the_smaller_one(notes_of):
    far = [(-91, 38), (-91.002, 38)]
    assert [note[:8] for note in notes_of(*far, *NEAR)] == ["“Plot 1”", "“Plot 2”"]


def test_two_lone_outlines_leave_open_which_is_wrong(notes_of):
    assert notes_of((-92, 38), (-80, 38)) == []


def test_many_far_outlines_are_told_in_few_sentences(notes_of, make_plot):
    make_plot()
    said = notes_of(*NEAR, *[(-80 + number / 500, 38) for number in range(8)])
    assert len(said) == 6
    assert said[-1].startswith("3 more")


def test_a_whole_file_far_off_is_questioned_once(notes_of, make_plot):
    make_plot(lon=-80.0)
    [note] = notes_of(*NEAR)
    assert note.startswith("These outlines lie about 65")
    assert note.endswith("miles from the plots that are there. Is the coordinate system right?")


def test_a_whole_file_with_the_wrong_sign_is_asked_about_the_sign(notes_of, make_plot):
    make_plot()
    [note] = notes_of(*[(-lon, lat) for lon, lat in NEAR])
    assert "sign of its longitude" in note


def test_the_distance_is_ours_and_stated():
    assert FAR_M == 20_000
