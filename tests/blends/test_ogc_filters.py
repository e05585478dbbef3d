"""What the parameters of an items request mean, and what is refused."""

from datetime import UTC, date, datetime

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from blends.ogc.filters import CRS84, MOST, Period, boxes, period, wanted_from
from config.errors import Refused

FIRST, LAST = date(2026, 4, 20), date(2026, 6, 1)


@pytest.mark.parametrize(
    ("text", "limit"),
    [("1", 1), ("10", 10), ("0010", 10), ("1000", MOST), ("1001", MOST), ("9" * 5_000, MOST)],
)
def test_limit_beyond_the_most_counts_as_the_most(text, limit):
    assert wanted_from({"limit": text}).limit == limit


@pytest.mark.parametrize("text", ["0", "-1", "", "ten", "1.5", "1e3", "٣", "²", " 1", "0000"])
def test_limit_that_is_no_number_of_features_is_refused(text):
    with pytest.raises(Refused, match="limit"):
        wanted_from({"limit": text})


@pytest.mark.parametrize("text", ["-1", "", "x"])
def test_offset_that_is_no_whole_number_is_refused(text):
    with pytest.raises(Refused, match="offset"):
        wanted_from({"offset": text})


def test_nothing_said_means_the_first_hundred_of_everything():
    wanted = wanted_from({})
    assert (wanted.limit, wanted.offset, wanted.places) == (100, 0, ())
    assert wanted.period == Period()


@pytest.mark.parametrize("name", ["crs", "bbox-crs"])
def test_only_longitude_and_latitude_are_spoken(name):
    wanted_from({name: CRS84})
    with pytest.raises(Refused, match=name):
        wanted_from({name: "http://www.opengis.net/def/crs/EPSG/0/3857"})


@pytest.mark.parametrize(
    ("text", "bounds"),
    [
        ("-92.1,38,-91.9,38.5", [(-92.1, 38, -91.9, 38.5)]),
        ("-92.1,38,0,-91.9,38.5,300", [(-92.1, 38, -91.9, 38.5)]),
        ("-92.0000000000000001,38,-92,38", [(-92, 38, -92, 38)]),
        ("170,-10,-170,10", [(170, -10, 180, 10), (-180, -10, -170, 10)]),
    ],
)
def test_bbox_has_four_or_six_numbers_and_may_cross_the_180th_meridian(text, bounds):
    assert [place.bounds for place in boxes(text)] == bounds


@pytest.mark.parametrize(
    "text", ["", "1,2,3", "1,2,3,4,5", "1,2,3,4,5,6,7", "a,b,c,d", "nan,0,1,1", "0,0,inf,1", "0,2,1,1"]
)
def test_bbox_of_anything_else_is_refused(text):
    with pytest.raises(Refused, match="bbox"):
        boxes(text)


@given(st.lists(st.floats(allow_nan=False, allow_infinity=False), min_size=4, max_size=4))
def test_bbox_of_any_numbers_is_valid_ground_or_refused(numbers):
    try:
        places = boxes(",".join(map(repr, numbers)))
    except Refused:
        assert numbers[1] > numbers[3]
    else:
        assert all(shapely.is_valid(place) for place in places)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2026-04-20", (FIRST, FIRST)),
        ("2026-04-20T", (FIRST, FIRST)),
        ("2026-04-20T00:00:00Z", (FIRST, FIRST)),
        ("2026-04-20t23:59:59.5z", (FIRST, FIRST)),
        # the day as it is written, whatever day it is elsewhere
        ("2026-04-20T23:00:00-06:00", (FIRST, FIRST)),
        ("2026-04-20T00:00:00Z/..", (FIRST, None)),
        ("2026-04-20T00:00:00Z/", (FIRST, None)),
        ("../2026-06-01T00:00:00Z", (None, LAST)),
        ("/2026-06-01", (None, LAST)),
        ("2026-04-20T00:00:00Z/2026-06-01T00:00:00Z", (FIRST, LAST)),
        ("../..", (None, None)),
    ],
)
def test_datetime_is_a_moment_or_an_interval_with_open_ends(text, expected):
    found = period(text)
    assert (found.first_day, found.last_day) == expected


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("2026-04-20T12:00:00Z", (2026, 4, 20, 12), (2026, 4, 20, 12)),
        ("2026-04-20T23:00:00-06:00", (2026, 4, 21, 5), (2026, 4, 21, 5)),
        ("2026-04-20", (2026, 4, 20), (2026, 4, 20, 23, 59, 59, 999999)),
        ("2026-04-20T12:00:00Z/..", (2026, 4, 20, 12), None),
        ("../2026-04-20", None, (2026, 4, 20, 23, 59, 59, 999999)),
        # beyond the calendar in UTC
        ("0001-01-01T00:00:00+14:00/..", (1, 1, 1), None),
        ("../9999-12-31T23:59:59-12:00", None, (9999, 12, 31, 23, 59, 59, 999999)),
    ],
)
def test_datetime_means_moments_too(text, first, last):
    found = period(text)
    assert found.first == (first and datetime(*first, tzinfo=UTC))
    assert found.last == (last and datetime(*last, tzinfo=UTC))


@pytest.mark.parametrize(
    "text",
    [
        *("", "yesterday", "2026", "2026-13-01", "2026-02-30T00:00:00Z", "2026-04-20T00:00:00", "20260420"),
        *("2026-04-20T25:00:00Z", "2026-04-20 00:00:00Z", "2026-W17-1", "2026-04-20/2026-05-01/2026-06-01"),
        *("2026-06-01/2026-04-20", "2026-04-20T12:00:00Z/2026-04-20T11:00:00Z", "../yesterday"),
    ],
)
def test_datetime_of_anything_else_is_refused(text):
    with pytest.raises(Refused, match="datetime"):
        period(text)
