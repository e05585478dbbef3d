"""Drill, spreader and sprayer against worked examples; `examples.py` says how they are kept."""

from decimal import Decimal

import pytest

from blends.calc import calibration
from blends.models import Machine
from blends.queries.next_blend import catch_over
from tests.published.examples import assert_published, inputs_of, published


def caught_g(course_ft, row_spacing_in, rate_lb_per_acre):
    return calibration.seed_to_catch(rate_lb_per_acre, course_ft, row_spacing_in).catch_g


CALCULATIONS = {
    "CAL-01": lambda openers, spacing_in, acre_fraction: calibration.course_for_acres(
        acre_fraction, openers * spacing_in / 12
    ),
    "CAL-02": lambda circumference_ft, row_spacing_in, turns: (
        calibration.wheel_course(circumference_ft, turns, row_spacing_in).area_sqft
    ),
    "CAL-03": lambda area_ft2, rate_lb_per_acre: caught_g(area_ft2, 12, rate_lb_per_acre),
    "CAL-04": caught_g,
    "CAL-05": caught_g,
    "CAL-06": calibration.sprayer_course_ft,
    "CAL-07": lambda row_in, course_ft, caught_oz: (
        calibration.sprayed_rate([caught_oz], row_in, course_ft).mean
    ),
    "CAL-08": lambda area_ft2, n_lb_per_1000ft2, analysis_n_pct: calibration.fertiliser_lb(
        n_lb_per_1000ft2 * area_ft2 / 1000, analysis_n_pct
    ),
}

HAVE_THEIR_OWN_TEST = set()


@pytest.mark.parametrize("name", CALCULATIONS)
def test_calculation_gives_the_published_figure(name):
    assert_published(name, lambda **inputs: float(CALCULATIONS[name](**inputs)))


def test_the_wheel_course_of_one_example_catches_the_grams_of_the_next():
    """CAL-02 and -03 are two steps of one calibration: 20 turns, then what one row has to catch."""
    course = calibration.wheel_course(**inputs_of("CAL-02"))
    caught = calibration.seed_to_catch(inputs_of("CAL-03")["rate_lb_per_acre"], course.course_ft, 7.5)
    assert caught.catch_g == published("CAL-03")


def test_a_course_of_the_two_nozzle_example_is_half_that_of_one():
    """CAL-06 and -07: two nozzles caught together sweep 40 in and need 102 ft."""
    assert calibration.sprayer_course_ft(inputs_of("CAL-07")["row_in"]) == pytest.approx(
        inputs_of("CAL-07")["course_ft"], rel=0.003
    )


@pytest.mark.parametrize("name", ["CAL-04", "CAL-05"])
def test_one_row_of_a_machine_catches_the_published_grams_over_150_ft(name):
    """The table credited to the University of Kentucky: grams a row for each lb/ac, by what is between the rows."""
    given = inputs_of(name)
    drill = Machine(kind="drill", openers=20, spacing_in=Decimal(str(given["row_spacing_in"])))
    row_g, whole_g = catch_over(drill, given["rate_lb_per_acre"], given["course_ft"])
    assert row_g == published(name)
    assert whole_g == pytest.approx(20 * row_g)
