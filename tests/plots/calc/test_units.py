"""Exact by definition: international yard and pound (1959) and NIST SP 811 (2008), appendix B."""

import numpy as np
import pytest

from plots.calc import units


@pytest.mark.parametrize(
    ("convert", "given", "expected"),
    [
        (units.acres_to_m2, 1, 4046.8564224),
        (units.acres_to_ha, 1, 0.40468564224),
        (units.ft_to_m, 1, 0.3048),
        (units.in_to_cm, 1, 2.54),
        (units.lb_to_kg, 1, 0.45359237),
        (units.kg_per_ha_to_lb_per_acre, 1, 0.892179122),
        (units.g_per_ft2_to_lb_per_acre, 1, 43_560 / 453.59237),
        (units.f_to_c, 32, 0),
        (units.f_to_c, -40, -40),
        (units.c_to_f, 100, 212),
    ],
)
def test_conversion_follows_the_definition(convert, given, expected):
    assert convert(given) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("there", "back"),
    [
        (units.m2_to_acres, units.acres_to_m2),
        (units.acres_to_ha, units.ha_to_acres),
        (units.m_to_ft, units.ft_to_m),
        (units.in_to_cm, units.cm_to_in),
        (units.lb_to_kg, units.kg_to_lb),
        (units.lb_per_acre_to_kg_per_ha, units.kg_per_ha_to_lb_per_acre),
        (units.f_to_c, units.c_to_f),
    ],
)
def test_there_and_back_changes_nothing_and_keeps_nan(there, back):
    values = np.array([[0, 0.3, 41.7], [-12.5, 1e6, np.nan]])
    assert back(there(values)) == pytest.approx(values, rel=1e-12, abs=1e-12, nan_ok=True)


def test_acre_is_43560_square_feet():
    assert units.acres_to_m2(1) == pytest.approx(units.FT2_PER_ACRE * units.M_PER_FT**2, rel=1e-15)
