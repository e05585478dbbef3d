"""Ground too small for acres is written in square feet."""

import pytest

from config.templatetags.figures import signed
from plots.templatetags.ground import ground, ground_text


@pytest.mark.parametrize(
    ("acres", "text"),
    [
        (3.424, "3.42 ac"),
        (0.01, "0.01 ac"),
        (0.0099, "431 ft²"),
        (1 / 43_560, "1 ft²"),
        (0, "0.00 ac"),
        (None, "acres not known"),
    ],
)
def test_ground_is_written_so_that_it_never_reads_as_none(acres, text):
    assert ground_text(acres) == text


def test_unknown_ground_is_a_dash_that_says_so():
    assert "not known" in ground(None)
    assert ">3.42 ac<" in ground(3.42)


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.254, "+0.25"), (-1234.5, "−1,234.50"), (0.001, "0.00"), (-0.001, "0.00"), (0, "0.00")],
)
def test_a_difference_has_its_sign_but_where_it_reads_as_zero(value, text):
    assert f">{text}<" in signed(value, 2)


def test_a_difference_that_is_not_known_is_no_zero():
    assert "not known" in signed(None, 2)
