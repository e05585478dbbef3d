"""Attributes made plain, and the plot's name among them."""

import datetime

import numpy as np
import pytest

from plots.formats.attributes import Cleaner, as_name, clean_text, name_fields
from plots.formats.model import unique_names
from tests.plots.formats.build import box, feature, geojson, polygon


@pytest.mark.parametrize(
    ("value", "kept"),
    [
        ("plain", "plain"),
        ("nul\0and\x1bescape", "nulandescape"),
        ("\u202egnp.evil\u202c", "gnp.evil"),
        ("e\u0301", "\u00e9"),
        ("half a pair \ud800", "half a pair"),
        ("<script>alert(1)</script>", "<script>alert(1)</script>"),
        ("=HYPERLINK(1)", "=HYPERLINK(1)"),
        (True, True),
        (7, 7),
        (2**63, None),
        (1.5, 1.5),
        (float("nan"), None),
        (float("inf"), None),
        (None, None),
        ({"nested": 1}, None),
        ([1, 2], None),
        (b"bytes", None),
        (np.int64(3), 3),
        (np.float64("nan"), None),
        (datetime.date(2026, 4, 1), "2026-04-01"),
    ],
)
def test_value_is_made_plain(value, kept):
    assert Cleaner().clean({"a": value}) == {"a": kept}


def test_long_text_is_cut_and_counted():
    cleaner = Cleaner()
    assert cleaner.clean({"a": "x" * 20_000, "b": "y" * 501}) == {"a": "x" * 500, "b": "y" * 500}
    assert cleaner.notes() == ["In the attributes, 2 values were cut to 500 characters."]


def test_dropped_values_are_counted():
    cleaner = Cleaner()
    cleaner.clean({"a": [1], "b": float("nan"), "c": 10**30})
    assert cleaner.notes()[0].startswith("In the attributes, 2 values were dropped")


def test_only_sixty_columns_are_kept():
    cleaner = Cleaner()
    assert len(cleaner.clean({f"c{number}": number for number in range(75)})) == 60
    assert cleaner.notes() == ["Only the first 60 attributes are kept; 15 more are not."]


def test_all_attributes_together_are_bounded(monkeypatch):
    monkeypatch.setattr("plots.formats.attributes.MAX_ATTRIBUTE_CHARACTERS", 1_000)
    cleaner = Cleaner()
    rows = [cleaner.clean({"a": "x" * 400}) for _ in range(4)]
    assert [row["a"] and len(row["a"]) for row in rows] == [400, 400, None, None]


@pytest.mark.parametrize(
    ("value", "name"),
    [
        ("  Pond\n field ", "Pond field"),
        (12, "12"),
        (12.0, "12"),
        (True, ""),
        (None, ""),
        ("", ""),
        ("x" * 300, "x" * 100),
    ],
)
def test_value_becomes_a_name_of_one_short_line(value, name):
    assert as_name(value) == name


def test_clean_text_keeps_line_breaks():
    assert clean_text("one\ntwo\tthree") == "one\ntwo\tthree"


def test_plots_without_a_name_are_numbered_and_equal_names_told_apart():
    assert unique_names(["Pond", None, "Pond", "Pond (2)", "Pond"]) == [
        "Pond",
        "Plot 2",
        "Pond (3)",
        "Pond (2)",
        "Pond (4)",
    ]


@pytest.mark.parametrize(
    ("rows", "fields", "sure"),
    [
        (
            [{"id": 1, "crop": "corn", "NAME": "a"}, {"id": 2, "crop": "corn", "NAME": "b"}],
            ["NAME", "id", "crop"],
            True,
        ),
        ([{"Field_Name": "a"}], ["Field_Name"], True),
        ([{"OBJECTID": 1, "soil": "loam"}], ["OBJECTID", "soil"], False),
        ([{"crop_name": "corn"}] * 5, ["crop_name"], False),
        ([{"acres": 2.5}], [], False),
        ([{}], [], False),
    ],
)
def test_columns_offer_themselves_as_the_name(rows, fields, sure):
    assert name_fields(rows) == (fields, sure)


@pytest.fixture
def two_columns(reading):
    rows = [
        feature(polygon(box(2 * number)), name=name, crop=crop)
        for number, (name, crop) in enumerate([("a", "rye"), ("b", "oats"), ("c", "rye")])
    ]
    return reading("a.json", geojson(*rows))


def test_person_can_choose_another_column(two_columns):
    again = two_columns.named_by("crop")
    assert two_columns.name_fields == ["name", "crop"]
    assert [outline.name for outline in again.outlines] == ["rye", "oats", "rye (2)"]
    assert [outline.name for outline in two_columns.outlines] == ["a", "b", "c"]


def test_column_that_is_not_there_is_refused(two_columns):
    with pytest.raises(ValueError, match="“soil”"):
        two_columns.named_by("soil")


def test_missing_and_repeated_names_are_said(reading):
    rows = [feature(polygon(box(2 * number)), name=name) for number, name in enumerate(["a", None, "a", "b"])]
    found = reading("a.json", geojson(*rows))
    assert [outline.name for outline in found.outlines] == ["a", "Plot 2", "a (2)", "b"]
    assert found.notes == [
        "1 plot had no “name” and took a number as name.",
        "1 name in “name” had been given before and took a number.",
    ]


def test_many_things_left_out_alike_are_counted(reading):
    points = [{"type": "Point", "coordinates": [-93, 42]}] * 70
    found = reading("a.json", geojson(polygon(box()), *points))
    assert len(found.left_out) == 51
    assert found.left_out[-1].what == "20 more"
