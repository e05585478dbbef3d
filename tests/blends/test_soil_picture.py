"""The picture of soil tests: points at their days and figures, lines only between what can be compared."""

import datetime
from decimal import Decimal
from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from blends.pictures.shapes import WIDTH
from blends.pictures.soil import MEASURES, Sample, day_place, decimals_of, runs_of, soil_picture

NAMES = [measure[0] for measure in MEASURES]


def sample(day, depth="0–6 in", p_key="mehlich3", p_method="Mehlich 3", **figures):
    figures = {name: Decimal(str(figures[name])) if name in figures else None for name in NAMES}
    return Sample(datetime.date.fromisoformat(day), depth, figures, p_method, p_key, "County lab")


def marks(picture, css):
    return [shape for shape in picture.shapes if css in shape.css.split()]


def points(shape):
    """The corners of a line's path."""
    return [tuple(map(float, each.split())) for each in shape.attributes["d"][1:].split(" L")]


def texts(picture):
    return [shape.text for shape in picture.shapes if shape.text]


SPRINGS = [sample("2022-03-10", ph=5.8), sample("2024-03-12", ph=6.1), sample("2026-03-11", ph=6.4)]


def test_points_lie_at_their_true_days():
    [line] = marks(soil_picture("soil", SPRINGS), "p-soil-line")
    xs = [x for x, _ in points(line)]
    first, last = SPRINGS[0].sampled_on, SPRINGS[2].sampled_on
    share = (SPRINGS[1].sampled_on - first) / (last - first)
    assert xs[1] - xs[0] == pytest.approx((xs[2] - xs[0]) * share, abs=0.1)
    assert xs == pytest.approx([day_place(each.sampled_on, first, last) for each in SPRINGS], abs=0.06)


def test_higher_figures_lie_higher_and_in_proportion():
    [line] = marks(soil_picture("soil", SPRINGS), "p-soil-line")
    (_, low), (_, middle), (_, high) = points(line)
    assert low > middle > high
    assert low - middle == pytest.approx(middle - high, abs=0.2)  # 5.8, 6.1, 6.4


def test_a_line_joins_only_tests_of_one_depth():
    tests = [
        sample("2022-03-10", ph=5.8),
        sample("2023-03-10", "0–12 in", ph=6.0),
        sample("2024-03-10", ph=6.1),
    ]
    picture = soil_picture("soil", tests)
    [line] = marks(picture, "p-soil-line")
    assert len(points(line)) == 2
    assert [words for _, words in picture.legend] == ["0–6 in", "0–12 in"]
    assert len(marks(picture, "p-soil-mark")) == 2  # one path for each depth's marks


def test_a_line_of_phosphorus_joins_only_one_way_of_extraction():
    """UF/IFAS Extension, HS1229 (Liu and others, read in 2026): 'different extractants can give totally different
    values even for the same soil sample'."""
    tests = [
        sample("2022-03-10", p_ppm=20, k_ppm=90),
        sample("2023-03-10", p_key="bray1", p_method="Bray P1", p_ppm=14, k_ppm=95),
        sample("2024-03-10", p_ppm=24, k_ppm=99),
    ]
    picture = soil_picture("soil", tests)
    assert sorted(len(points(line)) for line in marks(picture, "p-soil-line")) == [2, 3]  # of P, and of K
    assert any("Mehlich 3 and Bray P1" in each and "cannot be compared" in each for each in picture.said)


def test_unknown_and_other_ways_of_extraction_are_joined_with_nothing():
    tests = [sample(f"202{i}-03-10", p_key=None, p_method="", p_ppm=20 + i) for i in range(3)]
    picture = soil_picture("soil", tests)
    assert not marks(picture, "p-soil-line")
    assert marks(picture, "p-soil-mark")[0].attributes["d"].count("M") == 3
    assert (
        picture.said[0]
        == "How P was extracted is not said for 3 of 3 tests, so no line joins them with others."
    )


def test_what_was_not_measured_leaves_a_gap():
    tests = [SPRINGS[0], sample("2023-03-10", k_ppm=88), *SPRINGS[1:]]
    picture = soil_picture("soil", tests)
    assert [[s.figures["ph"] for s in run] for run in runs_of(tests, "ph")] == [
        [Decimal("5.8")],
        [Decimal("6.1"), Decimal("6.4")],
    ]
    [line] = marks(picture, "p-soil-line")
    assert len(points(line)) == 2
    assert picture.table.rows[2][3] == "not measured"


def test_a_figure_that_was_never_measured_has_no_strip_and_is_named():
    picture = soil_picture("soil", SPRINGS)
    assert "pH in water" in texts(picture)
    assert not any("Potassium" in each for each in texts(picture))
    assert picture.said == ["Never measured: Organic matter, Phosphorus, P, Potassium, K and CEC."]


def test_of_one_test_no_trend_is_said():
    picture = soil_picture("soil", [sample("2026-03-11", ph=6.4)])
    assert not marks(picture, "p-soil-line")
    assert picture.description == "pH in water: 0–6 in: 6.4 on 11 Mar 2026."
    assert "11 Mar 2026" in texts(picture)


def test_the_trend_is_told_in_words():
    assert soil_picture("soil", SPRINGS).description == (
        "pH in water: 0–6 in: from 5.8 on 10 Mar 2022 to 6.4 on 11 Mar 2026."
    )


def test_measured_zero_is_a_point_and_not_a_gap():
    tests = [sample("2022-03-10", p_ppm=0), sample("2024-03-10", p_ppm=4)]
    [line] = marks(soil_picture("soil", tests), "p-soil-line")
    assert len(points(line)) == 2


def test_table_has_the_latest_test_first_with_its_figures():
    picture = soil_picture("soil", [*SPRINGS, sample("2026-04-01", p_ppm="22.75", organic_matter_pct=3)])
    assert [row[0] for row in picture.table.rows] == [
        "1 Apr 2026",
        "11 Mar 2026",
        "12 Mar 2024",
        "10 Mar 2022",
    ]
    assert picture.table.rows[0][1:] == [
        "County lab", "0–6 in", "not measured", "3", "22.75, Mehlich 3", "not measured", "not measured",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("figure", "least", "decimals"), [("6.2", 1, 1), ("6.20", 1, 1), ("6.25", 1, 2), ("6", 1, 0), ("150", 0, 0), ("22.5", 0, 1)]
)  # fmt: skip
def test_figures_are_written_as_exactly_as_they_were_found(figure, least, decimals):
    assert decimals_of(Decimal(figure), least) == decimals


days = st.dates(datetime.date(1990, 1, 1), datetime.date(2060, 1, 1)).map(str)
figures = st.fixed_dictionaries({}, optional={
    "ph": st.decimals(2, 12, places=2), "organic_matter_pct": st.decimals(0, 100, places=2),
    "p_ppm": st.decimals(0, 10_000, places=2), "k_ppm": st.decimals(0, 10_000, places=2),
    "cec_meq_per_100g": st.decimals(0, 300, places=1),
})  # fmt: skip
samples = st.lists(
    st.builds(
        lambda day, depth, key, found: sample(day, depth, key, key or "", **found),
        days, st.sampled_from(["0–6 in", "0–12 in", "6–12 in"]), st.sampled_from(["mehlich3", "bray1", None]), figures,
    ),
    max_size=8,
)  # fmt: skip


@given(samples)
def test_every_figure_is_drawn_once_and_lies_inside_the_picture(tests):
    picture = soil_picture("soil", tests)
    drawn = sum(shape.attributes["d"].count("M") for shape in marks(picture, "p-soil-mark"))
    assert drawn == sum(figure is not None for each in tests for figure in each.figures.values())
    for line in marks(picture, "p-soil-line"):
        assert all(0 <= x <= WIDTH and 0 <= y <= picture.height for x, y in points(line))
    for shape in picture.shapes:
        assert all(0 <= value <= WIDTH for name, value in shape.numbers.items() if name in ("x", "x1", "x2"))
        assert all(0 <= value <= picture.height for name, value in shape.numbers.items() if name[0] == "y")


@given(samples)
def test_svg_is_well_formed_and_has_classes_and_no_styles(tests):
    picture = soil_picture("soil", tests)
    root = ElementTree.fromstring(render_to_string("blends/pictures/_drawn.html", {"picture": picture}))
    assert "style" not in {name for each in root.iter() for name in each.attrib}
    ids = [each.get("id") for each in root.iter() if each.get("id")]
    assert len(ids) == len(set(ids))
    assert all(each.startswith("soil-") for each in ids)
