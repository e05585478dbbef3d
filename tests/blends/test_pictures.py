"""The pictures: every mark follows its value, what is unknown has none and is said, and the SVG is sound."""

from dataclasses import dataclass
from datetime import date
from xml.etree import ElementTree

import pytest
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from blends.pictures import cn, cover, months, seeds
from blends.pictures.shapes import WIDTH, linear, logarithmic, name_lines
from blends.queries.judgement.shapes import Band, Week

SVG = "{http://www.w3.org/2000/svg}"


@dataclass
class Stage:
    label: str
    cn: Band


@dataclass
class Cell:
    browse: str = ""
    is_seed: bool = False
    is_cover: bool = False
    hangs_on_winter: bool = False


LEAFY, MATURE = Stage("while leafy", Band(12, 15, 19)), Stage("when mature", Band(28, 37, 55))
UNKNOWN = Stage("when mature", Band())
WEEKS = [Week(week, Band(0.5, 0.7, 0.9), Band(2000, 3000, 4000)) for week in range(13)]
SEASON = [date(2026, 9, 1), date(2026, 10, 1), date(2026, 11, 1), date(2026, 12, 1), date(2027, 1, 1)]


def cn_of(*stages, low=20, high=30):
    return cn.cn_picture("cn", list(stages), low, high, "Balance")


def calendar(rows, holes=()):
    return months.calendar_picture("months", SEASON, rows, list(holes))


PICTURES = {
    "cn": cn_of(LEAFY, MATURE),
    "cn unknown": cn_of(UNKNOWN),
    "cn open": cn_of(MATURE, low=30, high=None),
    "cn small": cn.small_cn_picture("small", MATURE, None, 20, "Feed the next crop"),
    "seeds": seeds.seeds_picture("seeds", [("Rye", 18.8), ("Clover", None)]),
    "seeds of nothing": seeds.seeds_picture("seeds", []),
    "cover": cover.cover_picture("cover", WEEKS, Band(60, 90, 120)),
    "cover unknown": cover.cover_picture("cover", [Week(0, Band(), Band())], Band()),
    "months": calendar([("Oats", [Cell("high", True, True, True)] * 5)], SEASON[3:]),
    "no months": months.calendar_picture("months", [], [], []),
}


def drawn(picture):
    html = render_to_string("blends/pictures/_drawn.html", {"picture": picture})
    return ElementTree.fromstring(html)


def marks(picture, css):
    return [shape for shape in picture.shapes if css in shape.css.split()]


def texts(picture):
    return [shape.text for shape in picture.shapes if shape.text]


@pytest.mark.parametrize("name", PICTURES)
def test_svg_is_well_formed_and_tells_what_it_shows(name):
    picture = PICTURES[name]
    root = drawn(picture)
    ids = [each.get("id") for each in root.iter() if each.get("id")]
    assert root.get("role") == "img"
    assert root.get("aria-labelledby").split() == [f"{picture.key}-title", f"{picture.key}-desc"]
    assert root.find(f"{SVG}title").text == picture.title
    assert root.find(f"{SVG}desc").text == picture.description
    assert len(ids) == len(set(ids))
    assert all(each.startswith(f"{picture.key}-") for each in ids)
    assert "style" not in {name for each in root.iter() for name in each.attrib}


@pytest.mark.parametrize("name", PICTURES)
def test_everything_lies_inside_the_picture(name):
    picture = PICTURES[name]
    for shape in picture.shapes:
        across = [value for name, value in shape.numbers.items() if name in ("x", "x1", "x2")]
        down = [value for name, value in shape.numbers.items() if name in ("y", "y1", "y2")]
        assert all(0 <= value <= WIDTH for value in across)
        assert all(0 <= value <= picture.height for value in down)


def test_names_that_people_typed_are_escaped():
    picture = seeds.seeds_picture("seeds", [("<b>&", 3)])
    html = render_to_string("blends/pictures/picture.html", {"picture": picture})
    assert "<b>" not in html
    assert "&lt;b&gt;&amp;" in html


@pytest.mark.parametrize("name", ["cn", "seeds", "cover", "months"])
def test_table_behind_the_picture_has_its_figures(name):
    picture = PICTURES[name]
    html = render_to_string("blends/pictures/picture.html", {"picture": picture})
    assert html.count("<tr>") == 1 + len(picture.table.rows) > 1
    assert "<summary>The figures" in html


# --- scales -----------------------------------------------------------------------------------------------------


@given(st.floats(1, 1000), st.floats(1, 1000))
def test_larger_values_never_lie_further_left(first, second):
    low, high = sorted((first, second))
    for scale in (linear, logarithmic):
        assert scale(low, 5, 90, 10, 300) <= scale(high, 5, 90, 10, 300)


@pytest.mark.parametrize("scale", [linear, logarithmic])
def test_scale_begins_and_ends_where_it_should_and_holds_what_is_outside(scale):
    assert [scale(value, 5, 90, 8, 332) for value in (1, 5, 90, 200)] == pytest.approx([8, 8, 332, 332])


def test_equal_ratios_are_equally_long():
    assert cn.place(20) - cn.place(10) == pytest.approx(cn.place(80) - cn.place(40))


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("Cereal rye", ["Cereal rye"]),
        ("Sorghum-sudangrass", ["Sorghum-", "sudangrass"]),
        ("Austrian winter pea", ["Austrian", "winter pea"]),
        ("Pneumonoultramicroscopicosilicovolcanosis", ["Pneumonoultra", "microscopico…"]),
    ],
)
def test_long_names_are_broken_where_they_can_be(name, lines):
    assert name_lines(name, 100) == lines


# --- C:N --------------------------------------------------------------------------------------------------------


def test_band_ends_at_the_places_of_its_values():
    band = marks(cn_of(MATURE), "p-band")[0].numbers
    assert band["x"] == pytest.approx(cn.place(28))
    assert band["x"] + band["width"] == pytest.approx(cn.place(55))


def test_zone_ends_at_the_places_of_its_values():
    zone = marks(cn_of(MATURE), "p-zone")[0].numbers
    assert (zone["x"], zone["x"] + zone["width"]) == pytest.approx((cn.place(20), cn.place(30)))


def test_zone_that_is_open_reaches_the_end_of_the_scale():
    zone = marks(cn_of(MATURE, low=30, high=None), "p-zone")[0].numbers
    assert zone["x"] + zone["width"] == pytest.approx(cn.place(90))
    assert "Balance: above 30" in texts(cn_of(MATURE, low=30, high=None))


def test_cn_that_is_not_known_has_no_mark_and_says_so():
    picture = cn_of(LEAFY, UNKNOWN)
    assert len(marks(picture, "p-band")) == len(marks(picture, "p-likely")) == 1
    assert "When mature: not known" in texts(picture)
    assert picture.said == ["C:N when mature is not known."]


def test_cn_is_told_in_words():
    picture = cn_of(LEAFY, MATURE)
    assert picture.description.startswith(
        "While leafy 12 to 19, likely 15. When mature 28 to 55, likely 37. Balance wants 20 to 30."
    )


def test_cn_marks_24():
    picture = cn_of(MATURE)
    assert [shape.numbers["x1"] for shape in marks(picture, "p-mark")] == [pytest.approx(cn.place(24))]


# --- seeds ------------------------------------------------------------------------------------------------------


def test_length_of_a_bar_follows_its_value():
    bars = marks(seeds.seeds_picture("seeds", [("Rye", 20), ("Oats", 10), ("Clover", 5)]), "p-bar")
    longest, half, quarter = (shape.numbers["width"] for shape in bars)
    assert (half, quarter) == pytest.approx((longest / 2, longest / 4))


def test_unknown_seeds_have_no_bar_and_no_sum():
    picture = seeds.seeds_picture("seeds", [("Rye", 20), ("Clover", None)])
    assert len(marks(picture, "p-bar")) == 1
    assert "not known" in texts(picture)
    assert picture.table.rows[-1] == ["In all", "not known"]
    assert picture.said == ["Not known for Clover, so there is no sum."]


def test_smallest_seed_count_still_shows():
    assert seeds.bar_length(0.001, 500) > 1


# --- cover ------------------------------------------------------------------------------------------------------


def test_band_of_cover_lies_at_the_scaled_places():
    picture = PICTURES["cover"]
    [area] = marks(picture, "p-area")
    first = area.attributes["d"][1:].split(" L")[0]
    x, y = cover.place(0, 90, 12)
    assert first == f"{x:g} {y:g}"
    assert area.attributes["d"].count("L") == 2 * len(WEEKS) - 1


def test_thirty_percent_is_drawn_across():
    [held] = marks(PICTURES["cover"], "p-held")
    assert held.numbers["y1"] == held.numbers["y2"] == cover.place(0, 30, 12)[1]


def test_cover_that_is_not_known_is_not_drawn():
    picture = PICTURES["cover unknown"]
    assert not marks(picture, "p-area") + marks(picture, "p-line")
    assert "Cover is not known." in texts(picture)
    assert picture.description == "Not known."


def test_cover_is_told_in_words():
    assert "At termination 50 to 90 %, likely 70, of the ground is covered" in PICTURES["cover"].description
    assert "60 to 120 days, likely 90" in PICTURES["cover"].description


# --- months -----------------------------------------------------------------------------------------------------


def test_browse_that_is_liked_more_stands_higher():
    def height(level):
        [path] = marks(calendar([("Oats", [Cell(level)] + [Cell()] * 4)]), f"p-browse-{level}")
        return float(path.attributes["d"].split("v")[1].split("h")[0])

    assert height("low") < height("moderate") < height("high")


def test_month_without_food_is_hatched_and_said():
    picture = calendar([("Oats", [Cell("high"), Cell(), Cell(), Cell("high"), Cell()])], SEASON[1:3])
    assert len(marks(picture, "p-hatched")) == 2
    assert picture.said == ["Nothing to eat in Oct to Nov 2026."]


def test_month_that_hangs_on_the_winter_is_drawn_open():
    picture = calendar([("Oats", [Cell("high"), Cell("high", hangs_on_winter=True), Cell(), Cell(), Cell()])])
    assert marks(picture, "p-doubtful")[0].attributes["d"].count("M") == 1
    assert marks(picture, "p-browse-high")[0].attributes["d"].count("M") == 1


def test_calendar_as_a_table_has_spans_of_months():
    cells = [Cell("high"), Cell("high"), Cell(), Cell(is_seed=True), Cell(is_cover=True)]
    assert calendar([("Oats", cells)]).table.rows == [
        ["Oats", "high: Sep to Oct 2026", "Dec 2026", "Jan 2027"]
    ]


@pytest.mark.parametrize(
    ("which", "words"),
    [
        ([], ""),
        ([0], "Sep 2026"),
        ([0, 1, 3], "Sep to Oct 2026 and Dec 2026"),
        ([3, 4], "Dec 2026 to Jan 2027"),
        ([0, 2, 4], "Sep 2026, Nov 2026 and Jan 2027"),
    ],
)
def test_months_are_listed_in_runs(which, words):
    assert months.month_list([SEASON[number] for number in which]) == words
