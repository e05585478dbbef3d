"""Seed tags under 7 CFR 201 against worked examples; `examples.py` says how they are kept."""

import datetime

import pytest

from blends.calc import tags
from tests.published.examples import assert_published, inputs_of


def months_after(kind, hermetic):
    """Clover is no listed grass."""
    assert kind == "clover"
    assert not hermetic
    return tags.germination_test_age(datetime.date(2027, 3, 1), "ordinary").months


CALCULATIONS = {
    "TAG-01": lambda label_pct, test_pct, seeds_tested: (
        tags.germination_tolerance(label_pct, test_pct, seeds_tested).tolerance_points
    ),
    "TAG-02": lambda mean_pct, seeds_tested: (
        tags.germination_tolerance(mean_pct, mean_pct, seeds_tested).tolerance_points
    ),
    "TAG-03": lambda labelled_number: tags.noxious_tolerance(labelled_number).most_within,
    "TAG-04": months_after,
}

HAVE_THEIR_OWN_TEST = set()


@pytest.mark.parametrize("name", CALCULATIONS)
def test_calculation_gives_the_published_figure(name):
    assert_published(name, lambda **inputs: float(CALCULATIONS[name](**inputs)))


def test_the_test_of_the_example_is_within_tolerance_of_its_label():
    """TAG-01, whose basis says: 90 is within tolerance of 94."""
    assert tags.germination_tolerance(**inputs_of("TAG-01")).verdict == "within tolerance"


def test_the_printed_formula_does_not_reproduce_the_table():
    """TAG-03, whose basis says that the formula rounds up to 15 where the table has 16."""
    assert tags.noxious_tolerance(**inputs_of("TAG-03")).by_formula == pytest.approx(14.88)
