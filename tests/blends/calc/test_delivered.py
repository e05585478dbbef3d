"""Why a plot took more or less than was planned. By definition; the worked figures are ours, done by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from blends.calc.delivered import difference, explained, mean_target


def test_more_acres_and_a_heavy_drill():
    """40 lb/ac on 5.0 mapped acres is 200 lb. 5.3 acres were drilled with 220.48 lb, 41.6 lb/ac, 4 % heavy.
    0.3 ac × 40 = 12 lb by acres; 1.6 lb/ac × 5.3 ac = 8.48 lb by rate; together 20.48."""
    found = difference(220.48, 40, 5.3, 5)
    assert found.planned_lb == 200
    assert (found.by_acres_lb, found.by_rate_lb) == (pytest.approx(12), pytest.approx(8.48))
    assert found.heavy_share == pytest.approx(0.04)
    assert explained(found) == "0.30 ac more than mapped took 12.0 lb; the drill ran 4.0 % heavy: 8.5 lb."


def test_fewer_acres_and_a_light_spreader():
    """60 lb/ac on 2 mapped acres is 120 lb. 1.8 acres got 86.4 lb, 48 lb/ac, 20 % light.
    −0.2 ac × 60 = −12; −12 lb/ac × 1.8 ac = −21.6; together −33.6."""
    found = difference(86.4, 60, 1.8, 2)
    assert (found.by_acres_lb, found.by_rate_lb) == (pytest.approx(-12), pytest.approx(-21.6))
    assert found.difference_lb == pytest.approx(-33.6)
    said = "0.20 ac less than mapped saved 12.0 lb; the spreader ran 20 % light: 21.6 lb less."
    assert explained(found, "spreader") == said


def test_unknown_stays_unknown():
    no_target = difference(50, None, 2, 2)
    assert (no_target.planned_lb, no_target.difference_lb, no_target.by_rate_lb) == (None, None, None)
    assert no_target.delivered_lb_per_acre == 25
    no_map = difference(90, 40, 2, None)
    assert (no_map.planned_lb, no_map.by_acres_lb, no_map.difference_lb) == (None, None, None)
    assert no_map.by_rate_lb == pytest.approx(10)
    assert explained(no_map) == "How many acres are mapped is not known; the drill ran 12 % heavy: 10.0 lb."
    assert difference(None, 40, 2, 2).delivered_lb_per_acre is None
    assert explained(difference(None, 40, 2, 2)) == "How much was used is not known."


@pytest.mark.parametrize("values", [(1, 1, 0, 1), (1, 1, -2, 1), (-1, 1, 1, 1), (1, -1, 1, 1), (1, 1, 1, -1)])
def test_what_cannot_be_is_refused(values):
    with pytest.raises(ValueError, match="accepted is"):
        difference(*values)


FIGURE = st.floats(0, 1e5)
ACRES = st.floats(0.01, 1e4)


@given(used=FIGURE, target=FIGURE, drilled=ACRES, mapped=FIGURE)
def test_the_two_parts_are_the_whole_difference(used, target, drilled, mapped):
    found = difference(used, target, drilled, mapped)
    scale = max(used, target * drilled, target * mapped, 1)
    assert found.by_acres_lb + found.by_rate_lb == pytest.approx(found.difference_lb, abs=1e-9 * scale)
    by_rate = (found.delivered_lb_per_acre - target) * drilled
    assert found.by_rate_lb == pytest.approx(by_rate, abs=1e-9 * scale)


@given(targets=st.lists(FIGURE, min_size=1, max_size=5), data=st.data())
def test_a_mean_target_asks_for_the_pounds_of_its_days(targets, data):
    acres = data.draw(st.lists(ACRES, min_size=len(targets), max_size=len(targets)))
    pounds = sum(target * each for target, each in zip(targets, acres, strict=True))
    assert mean_target(targets, acres) * sum(acres) == pytest.approx(pounds, abs=1e-6 * max(pounds, 1))
